"""The target tree: constructs of the target generation with their arguments, before it is text."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Union

from migrate.ir.nodes import Rational
from migrate.packs.model import Construct, Parameter, Unit


@dataclass(frozen=True, slots=True)
class Number:
    """A number in a unit; `spelling` where the source's own spelling still holds."""

    value: Rational | str
    unit: Unit
    spelling: str = ""


@dataclass(frozen=True, slots=True)
class Reference:
    """The name of a definition that is moved by itself."""

    name: str
    value: Any


@dataclass(frozen=True, slots=True)
class Target:
    """A construct with its arguments by parameter, in the signature's order; `value` is the IR it stands for."""

    construct: Construct
    arguments: tuple[tuple[Parameter, TargetValue], ...]
    value: Any
    word: str = ""

    @property
    def name(self) -> str:
        """The construct's name; of a family of words, the word it stands for."""
        return self.construct.name.replace("*", self.word) if self.word else self.construct.name


TargetValue = Union[Target, Number, Reference, "tuple[Target | Number | Reference, ...]"]


def nodes(tree: TargetValue) -> Iterator[Target | Reference]:
    """Every construct and reference of a tree, outermost first, in order."""
    if isinstance(tree, tuple):
        for item in tree:
            yield from nodes(item)
    elif isinstance(tree, Reference):
        yield tree
    elif isinstance(tree, Target):
        yield tree
        for _, value in tree.arguments:
            yield from nodes(value)
