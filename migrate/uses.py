"""How a text uses definitions with parameters: what lift records and lower reads, so that neither knows the other."""

from __future__ import annotations

import re
from collections.abc import Mapping, Set
from dataclasses import dataclass
from typing import Any, Protocol

from migrate.concrete.nodes import Node
from migrate.scope import Definition, Environment

NAMES = re.compile(r"[A-Za-z_]\w*")


@dataclass(frozen=True, slots=True)
class Called:
    """A use of a definition with parameters: its node, the environment of the use and the one inside.

    `value` is the IR object that stands for the use, `body` the equal one that the definition's own text makes.
    """

    name: str
    definition: Definition
    sort: str
    value: Any
    body: Any
    node: Node
    given: tuple[Node, ...]
    outer: Environment
    inner: Environment


@dataclass(frozen=True, slots=True)
class Held:
    """A parameter where it stands in a definition's body: `value` is the IR object there, `given` the argument's."""

    name: str
    environment: Environment
    sort: str
    value: Any
    given: Any


class Uses(Protocol):
    """What was recorded: calls and held parameters by the id of their IR value, and the names each environment read."""

    @property
    def called(self) -> Mapping[int, Called]: ...
    @property
    def held(self) -> Mapping[int, Held]: ...
    @property
    def read(self) -> Set[tuple[int, str]]: ...
