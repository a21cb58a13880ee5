"""The canonical dump of IR: a skeleton of words and the numbers that hang on it.

Two parts mean the same where skeleton and numbers are equal; they are alike but for rounding where only
numbers differ, and by little.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from migrate.ir import nodes as ir
from migrate.ir.colour import linear_light
from migrate.ir.facts import Blade
from migrate.ir.nodes import Rational
from migrate.ir.walk import NODE_CLASSES, field_names

DUTY_STEP = Fraction(1, 255)


@dataclass(frozen=True, slots=True)
class Dump:
    """`skeleton` holds words and shape; `numbers` the values, and `light` those that are linear light."""

    skeleton: str
    numbers: tuple[Rational, ...]
    light: tuple[float, ...]

    def key(self) -> str:
        """One string; equal keys mean equal meaning."""
        return f"{self.skeleton}|{','.join(map(str, self.numbers))}|{','.join(map(repr, self.light))}"


def dump(node: Any, blade: Blade = Blade()) -> Dump:  # noqa: B008  # a frozen value
    """The canonical dump; lengths become shares of the blade where its facts are known."""
    words: list[str] = []
    numbers: list[Rational] = []
    light: list[float] = []
    _write(node, blade, words, numbers, light)
    return Dump(" ".join(words), tuple(numbers), tuple(light))


def _write(value: Any, blade: Blade, words: list[str], numbers: list[Rational], light: list[float]) -> None:
    kind = type(value)
    if kind is str:
        words.append(value)
    elif kind is ir.Colour:
        words.append("colour")
        light.extend(linear_light(value))
    elif kind is ir.Length or kind is ir.Speed:
        share = share_of_blade(value, blade)
        words.append("length" if share is not None else f"length[{value.unit}]")
        numbers.append(value.value if share is None else share)
    elif kind in NODE_CLASSES:
        words.append(f"({kind.__name__}")
        for name in field_names(kind):
            _write(getattr(value, name), blade, words, numbers, light)
        words.append(")")
    elif kind is tuple:
        words.append("[")
        for item in value:
            _write(item, blade, words, numbers, light)
        words.append("]")
    elif isinstance(value, (int, Fraction)):
        words.append("#")
        numbers.append(value)
    else:
        words.append(str(value))


def share_of_blade(length: ir.Length | ir.Speed, blade: Blade) -> Rational | None:
    """A length as a share of the blade (a speed as shares a second), or None where a fact is missing."""
    whole = full(length.unit, blade)
    if whole is None:
        return 0 if length.value == 0 else None
    return Fraction(length.value) / whole


def full(unit: str, blade: Blade) -> Rational | None:
    """The blade's own length in a unit, or None where a fact is missing."""
    if unit == "mil":
        return 1000
    if blade.pixels is None:
        return None
    if unit == "px":
        return blade.pixels
    return None if blade.per_metre is None else Fraction(blade.pixels * 1000) / blade.per_metre


def rounding(before: Dump, after: Dump) -> Fraction | None:
    """The largest relative difference of two dumps that are alike, or None where they are not.

    Colours count as equal within one duty step; a number that became or was 0 is not alike.
    """
    if before.skeleton != after.skeleton:
        return None
    lights = zip(before.light, after.light, strict=True)
    if any(a != b and abs(a - b) > DUTY_STEP for a, b in lights):
        return None
    largest = Fraction(0)
    if before.numbers == after.numbers:
        return largest
    for a, b in zip(before.numbers, after.numbers, strict=True):
        if a != b:
            if a == 0 or b == 0:
                return None
            # By the larger of the two, so that a move up and the move back down are told alike.
            largest = max(largest, abs(Fraction(b) - Fraction(a)) / max(abs(Fraction(a)), abs(Fraction(b))))
    return largest
