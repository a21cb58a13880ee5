"""What becomes of the constants of a config when the numbers that they stand for change their unit."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from migrate.concrete.items import Constant, Define
from migrate.diagnostics import Diagnostic
from migrate.ir.nodes import Rational
from migrate.lower.settle import numbers, text_in
from migrate.packs.units import spelled
from migrate.scope import NotANumber, Scope, number
from migrate.source import Span
from migrate.uses import NAMES

_NAME = re.compile(rb"[A-Za-z_]\w*")
_TEXT = re.compile(rb"//(?:[^\n\\]|\\.)*|/\*.*?\*/|\"(?:[^\"\\\n]|\\.)*\"", re.DOTALL)
# What C++14 added to the spelling of integers: `1'000` and `0b101`.
_YOUNG = re.compile(r"\b0[bB][01']+\b|\b(?:0[xX])?[\da-fA-F]+(?:'[\da-fA-F]+)+")
OLD_STANDARDS = ("c++98", "c++11")


@dataclass(frozen=True)
class Numbers:
    """The constants of a file by name, with what each comes to."""

    items: Mapping[str, Constant | Define]
    values: Mapping[str, Rational]


def constants_of(items: Iterable[Any], scope: Scope) -> Numbers:
    """The named numbers: constants, and macros without parameters that come to a number."""
    found: dict[str, Constant | Define] = {}
    values: dict[str, Rational] = {}
    for item in items:
        plain = isinstance(item, Constant) or (isinstance(item, Define) and item.params is None)
        if plain and item.value is not None and item.value.kind not in ("application", "string"):
            try:
                values[item.name] = number(scope, item.value)
            except NotANumber:
                continue
            found[item.name] = item
    return Numbers(found, values)


@dataclass
class Decision:
    """The constants that get a new value, those that styles say, and what there is to say about them and the others."""

    values: dict[str, Rational] = field(default_factory=dict)
    said: frozenset[str] = frozenset()
    notes: list[Diagnostic] = field(default_factory=list)


def decide(
    constants: Numbers, scope: Scope, printed: Sequence[tuple[Any, int]], lifted: Sequence[Span], fixed: frozenset[str],
    decimals: int,
) -> Decision:  # fmt: skip
    """Which constants change at their place: those whose every use, alone, comes to one other number.

    `printed` are the trees that become text, each with the environment it is printed in; `lifted` the spans of
    source that they stand for, or that no build reads; `fixed` the names that keep their value in any case.
    """
    wanted: dict[str, list[Rational]] = {name: [] for name in constants.items}
    said: set[str] = set()
    for tree, environment in printed:
        for found in numbers(tree):
            text = text_in(found, environment)
            said.update(NAMES.findall(text))
            if text in wanted and not isinstance(found.value, str) and found.value not in wanted[text]:
                wanted[text].append(found.value)
    elsewhere = _elsewhere(constants, scope, lifted)
    out = Decision(said=frozenset(said))
    for name, values in wanted.items():
        if values in ([], [constants.values[name]]):
            continue
        if len(values) == 1 and name not in fixed and name not in elsewhere:
            out.values[name] = values[0]
        out.notes.append(_note(constants, name, values, out, name in elsewhere or name in fixed, decimals))
    return out


def _note(
    constants: Numbers, name: str, values: Sequence[Rational], out: Decision, bound: bool, decimals: int
) -> Diagnostic:
    item = constants.items[name]
    span = item.name_span if isinstance(item, Constant) else Span(item.span.start, item.body.end)
    old = spelled(constants.values[name], max(decimals, 3))
    words = [spelled(v, decimals) for v in values]
    if name in out.values:
        message = f"`{name}` is {words[0]} instead of {old}: every use of it converts to that number"
        return Diagnostic("constant-converted", "note", span, message)
    listed = words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
    why = "it is used elsewhere too" if bound and len(words) == 1 else "its uses come to different numbers"
    message = f"`{name}` stays {old}, since {why}; its uses in styles come to {listed}, written out where that differs"
    return Diagnostic("constant-written-out", "note", span, message)


def _elsewhere(constants: Numbers, scope: Scope, lifted: Sequence[Span]) -> frozenset[str]:
    """The constants whose name also stands in code that no tree replaces."""
    return frozenset(occurrences(scope, frozenset(constants.items), _with_names(constants, scope, lifted)))


def _with_names(constants: Numbers, scope: Scope, lifted: Sequence[Span]) -> list[Span]:
    """The spans, and the places where the constants themselves are defined."""
    own = []
    for item in constants.items.values():
        if isinstance(item, Constant):
            own.append(item.name_span)
        else:
            own.append(Span(item.span.start, item.body.start))
    return merged([*lifted, *own])


def occurrences(scope: Scope, names: frozenset[str], apart: Sequence[Span]) -> set[str]:
    """Those of the names that stand in code (no comment, no string) outside of the spans, which are in order."""
    data = _TEXT.sub(lambda m: b" " * len(m[0]), scope.source.data)
    out, index = set(), 0
    for found in _NAME.finditer(data):
        while index < len(apart) and apart[index].end <= found.start():
            index += 1
        inside = index < len(apart) and apart[index].start <= found.start()
        if not inside and found[0].decode() in names:
            out.add(found[0].decode())
    return out


def merged(spans: Iterable[Span]) -> list[Span]:
    """The spans in order, those that overlap as one."""
    out: list[Span] = []
    for span in sorted(spans):
        if out and span.start <= out[-1].end:
            out[-1] = Span(out[-1].start, max(out[-1].end, span.end))
        else:
            out.append(span)
    return out


def plain_numbers(text: str, standard: str) -> str:
    """A text whose integer literals an old standard can read.

    >>> plain_numbers("(9 * 1'000)", "c++11"), plain_numbers("1'000", "c++14")
    ('(9 * 1000)', "1'000")
    """
    if standard not in OLD_STANDARDS:
        return text

    def plain(found: re.Match[str]) -> str:
        word = found[0].replace("'", "")
        return str(int(word, 2)) if word[:2].lower() == "0b" else word

    return _YOUNG.sub(plain, text)


def whole_ones(constants: Numbers, scope: Scope, decision: Decision) -> dict[str, int]:
    """The constants that must be whole numbers where the generation has no others: those that styles say, and theirs.

    What stays a number with decimals is not among them: then no style says it.
    """
    final = {**constants.values, **decision.values}
    out: dict[str, int] = {}
    waiting = sorted(decision.said & constants.items.keys())
    while waiting:
        name, value = waiting[-1], final[waiting.pop()]
        if name not in out and isinstance(value, int):
            out[name] = value
            waiting += [n for n in _names_of(constants.items[name], scope) if n in constants.items]
    return out


def _names_of(item: Constant | Define, scope: Scope) -> list[str]:
    return [] if item.value is None else NAMES.findall(scope.text(item.value))


def whole_text(text: str, value: int, constants: Numbers) -> str:
    """The text of a whole number without anything that has decimals."""
    broken = any(isinstance(constants.values.get(name), Fraction) for name in NAMES.findall(text))
    return str(value) if broken or "." in text else text


def new_text(
    item: Constant | Define, scope: Scope, values: Mapping[str, Rational], standard: str, decimals: int
) -> str:
    """The text of a constant's value in the target."""
    assert item.value is not None
    if item.name in values:
        return spelled(values[item.name], decimals)
    return plain_numbers(scope.text(item.value), standard)
