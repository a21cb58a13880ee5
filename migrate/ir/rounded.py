"""Which numbers of two parts that are alike but for rounding were rounded, from what to what, in words."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from migrate.ir import nodes as ir
from migrate.ir.dump import full
from migrate.ir.facts import Blade
from migrate.ir.nodes import Rational
from migrate.ir.walk import NODE_CLASSES, field_names

# What counts microseconds by its field's name, or millihertz; every other bare number has no unit.
_TIMES = frozenset(("period", "lag", "duration", "up", "down", "half_life", "attack", "decay", "release", "time"))
_MOST = 3


def rounded(before: Any, after: Any, blades: tuple[Blade, Blade], above: Fraction) -> tuple[str, ...]:
    """`width was rounded from 60.5 mm (5.81 px) to 6 px`, for each number that changed by more than a share `above`.

    `blades` are those of the two sides. Told are at most three, each once, those that changed most first. A number
    that became or was 0 was not rounded.
    """
    found = [(share, words) for share, words in _pairs("", before, after, blades) if share > above]
    told = dict.fromkeys(words for _, words in sorted(found, key=lambda pair: -pair[0]))
    return tuple(told)[:_MOST]


def _pairs(name: str, one: Any, two: Any, blades: tuple[Blade, Blade]) -> Iterator[tuple[Fraction, str]]:
    """The numbers that differ, each with its share and in words; `name` is the field that holds them."""
    if type(one) in (ir.Length, ir.Speed) and type(two) is type(one):
        yield from _lengths(name, one, two, blades)
    elif type(one) in NODE_CLASSES and type(two) is type(one) and type(one) is not ir.Colour:
        for inner in field_names(type(one)):
            yield from _pairs(inner, getattr(one, inner), getattr(two, inner), blades)
    elif isinstance(one, tuple) and isinstance(two, tuple) and len(one) == len(two):
        for first, second in zip(one, two, strict=True):
            yield from _pairs(name, first, second, blades)
    elif isinstance(one, (int, Fraction)) and isinstance(two, (int, Fraction)) and one != two and one and two:
        scale, unit = (1000, " ms") if name in _TIMES else (1000, " Hz") if name == "rate" else (1, "")
        first, second = _spelled(Fraction(one) / scale, Fraction(two) / scale)
        yield _share(one, two), f"`{name}` was rounded from {first}{unit} to {second}{unit}"


def _lengths(name: str, one: Any, two: Any, blades: tuple[Blade, Blade]) -> Iterator[tuple[Fraction, str]]:
    second = "/s" if type(one) is ir.Speed else ""
    whole, there = full(one.unit, blades[0]), full(two.unit, blades[1])
    same = one.unit == two.unit
    if not same and (not whole or not there):
        return  # no blade is known to convert by
    value = Fraction(one.value) if same else Fraction(one.value) * Fraction(there or 1) / Fraction(whole or 1)
    if value != two.value and value and two.value:
        here, now = _spelled(value, two.value)
        (own,) = _spelled(one.value)
        told = "" if same else f" ({here} {two.unit}{second})"
        words = f"{here if same else own} {one.unit}{second}{told} to {now} {two.unit}{second}"
        yield _share(value, two.value), f"`{name}` was rounded from {words}"


def _share(one: Rational, two: Rational) -> Fraction:
    """By how much two numbers that differ do so, by the larger of them: `rounding` says it so too."""
    return abs(Fraction(one) - Fraction(two)) / max(abs(Fraction(one)), abs(Fraction(two)))


def _spelled(*values: Rational) -> tuple[str, ...]:
    """Numbers in decimal, by three digits, or by as many as tell them apart."""
    for digits in range(3, 12):
        texts = tuple(f"{float(value):.{max(digits, len(str(int(abs(Fraction(value))))))}g}" for value in values)
        if len(set(texts)) == len(values):
            break
    return texts
