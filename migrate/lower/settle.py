"""Spells the numbers of target trees: by the source's own names where these still come to the right number."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from operator import is_
from typing import Any

from migrate.arithmetic import NotANumber
from migrate.ir.nodes import Rational
from migrate.lower.target import Number, Reference, Target
from migrate.scope import Scope, value_of

# Spells one number: its text in the place where it stands, or "" for digits.
Speller = Callable[[Number], str]


def numbers(tree: Any) -> Iterator[Number]:
    """Every number of a tree in order, also those in the arguments of references."""
    stack = [tree]
    while stack:
        item = stack.pop()
        kind = type(item)
        if kind is Number:
            yield item
        elif kind is Target:
            stack.extend([value for _, value in reversed(item.arguments)])
        elif kind is Reference:
            stack.extend(reversed(item.arguments))
        elif kind is tuple:
            stack.extend(reversed(item))


def settled(tree: Any, spell: Speller) -> Any:
    """The tree with every number spelled anew; a part in which nothing changes stays the same object."""
    kind = type(tree)
    if kind is Number:
        if not tree.spelling and tree.spelt is None:
            return tree
        text = spell(tree)
        return tree if text == tree.spelling else replace(tree, spelling=text)
    if kind is Target:
        values = [settled(value, spell) for _, value in tree.arguments]
        if all(map(is_, values, [value for _, value in tree.arguments])):
            return tree
        return replace(tree, arguments=tuple(zip([p for p, _ in tree.arguments], values, strict=True)))
    if kind is tuple or kind is Reference:
        given = tree if kind is tuple else tree.arguments
        items = tuple([settled(item, spell) for item in given])
        if all(map(is_, items, given)):
            return tree
        return items if kind is tuple else replace(tree, arguments=items)
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
