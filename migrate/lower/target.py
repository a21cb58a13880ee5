"""The target tree: constructs of the target generation with their arguments, before it is text."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Union

from migrate.ir.nodes import Rational
from migrate.packs.model import Construct, Parameter, Unit
from migrate.packs.units import Spelt


@dataclass(frozen=True, slots=True)
class Number:
    """A number in a unit; `spelling` where the source's own spelling still holds, `spelt` what that was."""

    value: Rational | str
    unit: Unit
    spelling: str = ""
    spelt: Spelt | None = None


@dataclass(frozen=True, slots=True)
class Use:
    """A use of a definition: its target sort, and its arguments as values to be covered, numbers or plain text.

    `brackets` are those that the arguments stand in: `<>` of a template, `()` of a macro.
    """

    name: str
    sort: str
    arguments: tuple[tuple[Any, tuple[str, ...]] | Number | str, ...] = ()
    brackets: str = "<>"


@dataclass(frozen=True, slots=True)
class Reference:
    """The name of a definition that is moved by itself, with its arguments."""

    name: str
    value: Any
    arguments: tuple[Target | Number | Reference | str, ...] = ()
    brackets: str = "<>"


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
    stack: list[Any] = [tree]
    while stack:
        item = stack.pop()
        kind = type(item)
        if kind is Target:
            yield item
            stack.extend([value for _, value in reversed(item.arguments)])
        elif kind is Reference:
            yield item
            stack.extend(reversed(item.arguments))
        elif kind is tuple:
            stack.extend(reversed(item))


def name_of(tree: TargetValue) -> str:
    """The name of a tree's outermost construct, or nothing."""
    if isinstance(tree, Target):
        return tree.name
    return tree.name if isinstance(tree, Reference) else ""
