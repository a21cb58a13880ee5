"""Spells the numbers of target trees: by the source's own names where these still come to the right number."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from typing import Any

from migrate.arithmetic import NotANumber
from migrate.ir.nodes import Rational
from migrate.lower.target import Number, Reference, Target
from migrate.scope import Scope, value_of

# Spells one number: its text in the place where it stands, or "" for digits.
Speller = Callable[[Number], str]


def numbers(tree: Any) -> Iterator[Number]:
    """Every number of a tree, also those in the arguments of references."""
    match tree:
        case Number():
            yield tree
        case tuple():
            for item in tree:
                yield from numbers(item)
        case Reference():
            yield from numbers(tuple(a for a in tree.arguments if not isinstance(a, str)))
        case Target():
            for _, value in tree.arguments:
                yield from numbers(value)


def settled(tree: Any, spell: Speller) -> Any:
    """The tree with every number spelled anew; a part in which nothing changes stays the same object."""
    match tree:
        case Number(spelling="", spelt=None):
            return tree
        case Number():
            text = spell(tree)
            return tree if text == tree.spelling else replace(tree, spelling=text)
        case tuple():
            items = tuple(settled(item, spell) for item in tree)
            return tree if all(a is b for a, b in zip(items, tree, strict=True)) else items
        case Reference():
            given = tuple(a if isinstance(a, str) else settled(a, spell) for a in tree.arguments)
            same = all(a is b for a, b in zip(given, tree.arguments, strict=True))
            return tree if same else replace(tree, arguments=given)
        case Target():
            new = tuple((p, settled(v, spell)) for p, v in tree.arguments)
            same = all(a[1] is b[1] for a, b in zip(new, tree.arguments, strict=True))
            return tree if same else replace(tree, arguments=new)
        case _:
            return tree


def text_in(number: Number, environment: int) -> str:
    """The source's spelling of a number as it stood in an environment (0: outside of all definitions), or empty."""
    return number.spelt.texts.get(environment, "") if number.spelt is not None else ""


def comes_to(scope: Scope, text: str, values: Mapping[str, Rational]) -> Rational | None:
    """What a spelling comes to with some names' new values, or None where it comes to no number."""
    try:
        return value_of(scope, text, values)
    except NotANumber:
        return None


def speller(
    scope: Scope, environment: int, values: Mapping[str, Rational], plain: Callable[[str], str] = str
) -> Speller:
    """Spells a number as the source did in an environment, where that still comes to it.

    `plain` makes of a spelling what the target's standard can read.
    """

    def spell(number: Number) -> str:
        text = text_in(number, environment)
        return plain(text) if text and comes_to(scope, text, values) == number.value else ""

    return spell
