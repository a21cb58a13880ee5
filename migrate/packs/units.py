"""Numbers between a generation's units and the IR, exact where they can be, the rounding stated where not."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType
from typing import Any, NamedTuple

from migrate.ir import nodes as ir
from migrate.ir.colour import duty_codes
from migrate.ir.dump import full
from migrate.ir.facts import Blade
from migrate.ir.nodes import Rational
from migrate.packs.model import Measure, Unit

_WORDS: dict[str, Unit] = {
    "ms": Unit("ms", "time", 1000),
    "hz": Unit("hz", "rate", 1000),
    "dps": Unit("dps", "plain"),
    "": Unit("", "plain"),
    **{u: Unit(u, "length", 1, u) for u in ("px", "mil", "mm")},
    **{f"{u}_s": Unit(f"{u}_s", "speed", 1, u) for u in ("px", "mil", "mm")},
}


class MissingFact(Exception):
    """A conversion needs the blade's pixel count (or its pitch), which nothing says."""

    def __init__(self, fact: str) -> None:
        super().__init__(fact)
        self.fact = fact


class Spelt(NamedTuple):
    """How the source spelled a number: what it came to, and its text by the id of the environment it is said in.

    The environment outside of all definitions counts as 0; a plain literal has no text.
    """

    number: Rational
    texts: Mapping[int, str]


class Written(int):
    """A whole number that the source wrote as an argument."""

    spelt: Spelt

    def __new__(cls, value: int, spelt: Spelt = Spelt(0, MappingProxyType({}))) -> Written:  # noqa: B008  # immutable
        self = super().__new__(cls, value)
        self.spelt = spelt
        return self


class WrittenFraction(Fraction):
    """A fraction that the source wrote as an argument."""

    spelt: Spelt

    @classmethod
    def of(cls, value: Fraction, spelt: Spelt) -> WrittenFraction:
        """The same number, marked."""
        self = super().__new__(cls, value.numerator, value.denominator)
        self.spelt = spelt
        return self


def spelt_of(value: Any) -> Spelt | None:
    """How the source spelled an IR value, where its author wrote it."""
    match value:
        case ir.Length() | ir.Speed():
            return spelt_of(value.value)
        case ir.Grain():
            return None if value.length is None else spelt_of(value.length)
        case Written() | WrittenFraction():
            return value.spelt
        case _:
            return None


def plain(value: Rational) -> Rational:
    """A fraction without a remainder becomes an int."""
    if isinstance(value, int):
        return value
    return value.numerator if value.denominator == 1 else value


def over(value: Rational, divisor: Rational) -> Rational:
    """A quotient; an int where nothing remains."""
    if isinstance(value, int) and isinstance(divisor, int):
        whole_part, rest = divmod(value, divisor)
        return Fraction(value, divisor) if rest else whole_part
    return plain(Fraction(value) / divisor)


def times(value: Rational, factor: Rational) -> Rational:
    """A product; an int where nothing remains."""
    if isinstance(factor, int):
        whole_part, rest = divmod(value.numerator * factor, value.denominator)
        return Fraction(value) * factor if rest else whole_part
    return plain(Fraction(value) * factor)


def measure(value: Measure) -> Any:
    """A number of an equation as the IR holds it; a bare number stays itself."""
    return to_ir(value.value, _WORDS[value.unit])


def to_ir(number: Rational, unit: Unit) -> Any:
    """A number of the generation as the IR's value. Times and rates round to whole µs and mHz, half up."""
    match unit.kind:
        case "time" | "rate":
            return _whole(number * unit.scale)
        case "tempo":
            return _whole(plain(Fraction(unit.scale) / number)) if number > 0 else 0
        case "weight":
            return over(number, unit.scale)
        case "parts":
            return ir.Length(plain(Fraction(unit.scale) / number) if number > 0 else 0, unit.length)  # type: ignore[arg-type]
        case "length":
            return ir.Length(plain(number * unit.scale), unit.length)  # type: ignore[arg-type]
        case "speed":
            return ir.Speed(plain(number * unit.scale), unit.length)  # type: ignore[arg-type]
        case "grain":
            return _grain(number, unit)
        case "packed_duty":
            packed = int(number)
            return ir.Colour("duty", (packed >> 16 & 255, packed >> 8 & 255, packed & 255))
        case _:
            return plain(number)


def written(value: Any, spelt: Spelt, unit: Unit) -> Any:
    """Marks the number of an IR value as written by the source's author."""
    match value:
        case bool():
            return value
        case int():
            return Written(value, spelt)
        case Fraction():
            return WrittenFraction.of(value, spelt)
        case ir.Length() | ir.Speed():
            return type(value)(written(value.value, spelt, unit), value.unit)
        case ir.Grain() if value.length is not None:
            return ir.Grain(value.kind, written(value.length, spelt, unit))
        case _:
            return value


def _whole(value: Rational) -> int:
    return value if isinstance(value, int) else int((2 * value + 1) // 2)


def _grain(number: Rational, unit: Unit) -> ir.Grain:
    if number == 0:
        return ir.Grain("each")
    if unit.length == "mil" and number >= 1000:
        return ir.Grain("whole")
    return ir.Grain("length", ir.Length(plain(number), unit.length))  # type: ignore[arg-type]


def from_ir(value: Any, unit: Unit, blade: Blade) -> Rational | str | None:
    """The exact number that writes an IR value in a unit, or None where the unit cannot hold it.

    Raises MissingFact where the conversion needs the blade.
    """
    match unit.kind:
        case "time" | "rate":
            return over(value, unit.scale) if isinstance(value, int) else None
        case "tempo":
            return plain(Fraction(unit.scale) / value) if isinstance(value, int) and value > 0 else None
        case "parts":
            return _parts(value, unit, blade) if isinstance(value, ir.Length) and value.value > 0 else None
        case "weight":
            return times(value, unit.scale) if isinstance(value, (int, Fraction)) else None
        case "length":
            return _length(value, unit, blade) if isinstance(value, ir.Length) else None
        case "speed":
            return _length(value, unit, blade) if isinstance(value, ir.Speed) else None
        case "grain":
            return _grain_number(value, unit, blade) if isinstance(value, ir.Grain) else None
        case "packed_duty":
            if not isinstance(value, ir.Colour):
                return None
            red, green, blue = duty_codes(value)
            return red << 16 | green << 8 | blue
        case "css_name":
            return value if isinstance(value, str) else None
        case _:
            return plain(value) if isinstance(value, (int, Fraction)) else None


def _length(value: ir.Length | ir.Speed, unit: Unit, blade: Blade) -> Rational:
    if value.unit == unit.length or value.value == 0:
        return over(value.value, unit.scale)
    return plain(Fraction(value.value) / whole(value.unit, blade) * whole(unit.length, blade) / unit.scale)


def _parts(value: ir.Length, unit: Unit, blade: Blade) -> Rational:
    """How many of a length fit on the blade, in the unit's parts."""
    return plain(Fraction(unit.scale) / Fraction(_length(value, Unit("", "length", 1, unit.length), blade)))


def whole(unit: str, blade: Blade) -> Rational:
    """The blade's length in a unit; raises MissingFact."""
    found = full(unit, blade)
    if found is None:
        raise MissingFact("pixels" if blade.pixels is None else "pitch")
    return found


def _grain_number(value: ir.Grain, unit: Unit, blade: Blade) -> Rational | None:
    if value.kind == "each":
        return 0
    if value.kind == "whole":
        return 1000 if unit.length == "mil" else None
    assert value.length is not None
    return _length(value.length, unit, blade)


def rounded(number: Rational, decimals: int) -> tuple[Rational, Fraction]:
    """The number with so many decimals, half up, and the relative error that this makes."""
    if isinstance(number, int):
        return number, Fraction(0)
    scale = 10**decimals
    over_scale = (2 * number.numerator * scale + number.denominator) // (2 * number.denominator)
    near = over(over_scale, scale)
    off = abs(over_scale * number.denominator - scale * number.numerator)
    return near, Fraction(off, scale * abs(number.numerator))


def spelled(number: Rational, decimals: int = 3) -> str:
    """The number in digits; decimals only where needed."""
    if isinstance(number, int):
        return str(int(number))
    scaled = round(number * 10**decimals)
    sign, scaled = ("-" if scaled < 0 else ""), abs(scaled)
    return f"{sign}{scaled // 10**decimals}.{scaled % 10**decimals:0{decimals}d}".rstrip("0").rstrip(".")
