"""Texts of any generation, drawn from its pack alone: signatures, units, ranges, defaults. No construct is named here.

A pack that is added later is tested by the same laws without a line of code.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import Any

from hypothesis import strategies as st

from migrate.ir.css_colours import CSS_COLOURS
from migrate.packs.equations import variables
from migrate.packs.library import library
from migrate.packs.model import Call, Construct, Equation, Generation, Parameter, Sum, Unit
from migrate.packs.units import spelled

PIXELS, PER_METRE = 24, 60
STYLE_SORTS = ("style", "sleeve")
Draw = Any
_SENSIBLE = {"time": 900, "length": 300, "speed": 400, "rate": 60, "grain": 300}
_ORDERED = ("stop", "key")  # forms whose items stand in the order of their first number


@dataclass(frozen=True)
class Written:
    """A drawn argument: its text, and the number that a run of such arguments is ordered by."""

    text: str
    rank: Fraction = Fraction(0)


@cache
def constructs_of(name: str, compat: bool) -> dict[str, tuple[Construct, ...]]:
    """The constructs of a generation by sort, those of compat headers too where asked."""
    generation = library()[name]
    by_sort: dict[str, list[Construct]] = {}
    for group in generation.constructs.values():
        for construct in group:
            if compat or not construct.compat:
                by_sort.setdefault(construct.sort, []).append(construct)
    return {sort: tuple(found) for sort, found in by_sort.items()}


@cache
def heights(name: str, compat: bool) -> dict[tuple[str, str], int]:
    """The least nesting that each construct needs, by sort and name; what can never be written is missing."""
    generation, known = library()[name], {}
    by_sort = constructs_of(name, compat)
    for _ in range(8):
        for sort, group in by_sort.items():
            for construct in group:
                needs = [
                    min([99, *(known.get((s, c.name), 99) for s in _sorts(generation, p) for c in by_sort.get(s, ()))])
                    for p in construct.parameters
                    if not _unit(generation, p) and p.default is None and not p.optional
                ]
                height = 1 + max(needs, default=0)
                if height < 99:
                    known[sort, construct.name] = min(height, known.get((sort, construct.name), 99))
    return known


def _unit(generation: Generation, parameter: Parameter) -> Unit | None:
    return next((generation.units[s] for s in parameter.sorts if s in generation.units), None)


def _sorts(generation: Generation, parameter: Parameter) -> tuple[str, ...]:
    return generation.spread(tuple(s for s in parameter.sorts if s not in generation.units))


def _forms(equation: Equation) -> frozenset[str]:
    """The outermost forms of a meaning: of a run of layers, those of the layers."""
    meaning = equation.meaning
    parts = meaning.parts if isinstance(meaning, Sum) else (meaning,)
    return frozenset(p.form for p in parts if isinstance(p, Call))


class Texts:
    """Draws expressions of one generation."""

    def __init__(self, draw: Draw, generation: Generation, compat: bool = False) -> None:
        self.draw, self.generation = draw, generation
        self.by_sort = constructs_of(generation.name, compat)
        self.heights = heights(generation.name, compat)

    def expression(self, sorts: Iterable[str], depth: int) -> Written:
        """An expression of one of the sorts, at most `depth` constructs deep where that is possible."""
        spread = self.generation.spread(tuple(sorts))
        found = [c for s in spread for c in self.by_sort.get(s, ()) if (s, c.name) in self.heights]
        least = min(self.heights[c.sort, c.name] for c in found)
        found = [c for c in found if self.heights[c.sort, c.name] <= max(depth, least)]
        return self.construct(self.draw(st.sampled_from(found)), depth)

    def construct(self, construct: Construct, depth: int) -> Written:
        """One construct with drawn arguments; what has a default may be left out."""
        if not construct.brackets:
            return Written(construct.name.replace("*", self._colour()) if "*" in construct.name else construct.name)
        equation = self.draw(st.sampled_from(construct.equations))
        chosen, rank = self._chosen(construct, equation, depth)
        parts: list[str] = []
        nested: dict[str, list[str]] = {}
        for parameter, arguments in chosen:
            texts = [a.text for a in arguments]
            if len(parameter.tag) > 1:
                inner = self._wrapped(parameter.tag[1], texts)
                nested.setdefault(parameter.tag[0], []).append(inner)
            elif parameter.tag:
                parts.append(self._wrapped(parameter.tag[0], texts))
            else:
                parts.extend(texts)
        parts.extend(self._wrapped(tag, inner) for tag, inner in nested.items())
        return Written(self._wrapped(construct.name, parts), rank)

    def _chosen(
        self, construct: Construct, equation: Equation, depth: int
    ) -> tuple[list[tuple[Parameter, list[Written]]], Fraction]:
        mentioned = variables(equation.meaning)
        chosen: list[tuple[Parameter, list[Written]]] = []
        last = False  # positional parameters may only be left out from the end
        for parameter in construct.parameters:
            if parameter.optional and not parameter.variadic and parameter.name not in mentioned:
                continue
            positional = not parameter.tag and not parameter.floating
            guarded = equation.guard is not None and equation.guard[0] == parameter.name
            if parameter.default is not None and (guarded or (last and positional) or self.draw(st.booleans())):
                last = last or positional
                continue
            if last and positional:
                break
            chosen.append((parameter, self._arguments(equation, parameter, depth)))
        rank = next((a.rank for p, found in chosen for a in found[:1] if _unit(self.generation, p)), Fraction(0))
        return chosen, rank

    def _arguments(self, equation: Equation, parameter: Parameter, depth: int) -> list[Written]:
        if not parameter.variadic:
            return [self._argument(parameter, depth)]
        if "chain" in _forms(equation):
            return self._links(parameter, depth)
        least = 0 if parameter.optional else 1
        count = self.draw(st.integers(least, 3))
        found = [self._argument(parameter, depth) for _ in range(count)]
        if self._meant_by(parameter) & set(_ORDERED):
            return sorted(found, key=lambda w: w.rank)
        return self._last_once(parameter, found, depth)

    def _meant_by(self, parameter: Parameter) -> set[str]:
        sorts = _sorts(self.generation, parameter)
        return {f for s in sorts for c in self.by_sort.get(s, ()) for e in c.equations for f in _forms(e)}

    def _last_once(self, parameter: Parameter, found: list[Written], depth: int) -> list[Written]:
        """In a run of layers, power stands last and once."""
        sorts = _sorts(self.generation, parameter)
        power = [c for s in sorts for c in self.by_sort.get(s, ()) for e in c.equations if "power" in _forms(e)]
        names = {c.name for c in power}
        kept = [w for w in found if w.text.split("<", 1)[0] not in names]
        return [*kept, self.construct(power[0], depth - 1)] if power and self.draw(st.booleans()) else kept

    def _links(self, parameter: Parameter, depth: int) -> list[Written]:
        """A run that alternates between the two sorts of a union, and begins and ends with the first."""
        first, *second = _sorts(self.generation, parameter)
        out = [self.expression((first,), depth - 1)]
        for _ in range(self.draw(st.integers(1, 2))):
            out += [self.expression(second, depth - 1), self.expression((first,), depth - 1)]
        return out

    def _argument(self, parameter: Parameter, depth: int) -> Written:
        unit, sorts = _unit(self.generation, parameter), _sorts(self.generation, parameter)
        if unit is not None and (not sorts or self.draw(st.booleans())):
            return self._number(parameter, unit)
        return self.expression(sorts, depth - 1)

    def _number(self, parameter: Parameter, unit: Unit) -> Written:
        if unit.kind == "css_name":
            return Written(f'"{self._colour()}"')
        low = Fraction(parameter.low if parameter.low is not None else unit.low if unit.low is not None else 0)
        high = Fraction(parameter.high if parameter.high is not None else unit.high if unit.high is not None else 1000)
        cap = Fraction(_SENSIBLE.get(unit.kind, high))
        if unit.kind == "time" and unit.scale != 1000:
            cap = cap * 1000 / Fraction(unit.scale)
        value = self.draw(self._values(max(low, -cap), max(low, min(high, cap)), unit))
        text = spelled(value if value.denominator != 1 else value.numerator, max(1, self.generation.decimals))
        return Written(self._wrapped(unit.spelled, [text]) if unit.spelled else text, value)

    def _values(self, low: Fraction, high: Fraction, unit: Unit) -> st.SearchStrategy[Fraction]:
        """Whole numbers; where the unit takes decimals and is measured, those too."""
        ten = 10**self.generation.decimals
        fine = st.integers(-int(-low * ten // 1), int(high * ten)).map(lambda n: Fraction(n, ten))
        first, last = -int(-low // 1), int(high)
        if unit.whole or not (unit.spelled or high - low <= 1):
            return st.integers(first, last).map(Fraction)
        return fine if first > last or high - low <= 1 else st.one_of(st.integers(first, last).map(Fraction), fine)

    def _colour(self) -> str:
        return str(self.draw(st.sampled_from(sorted(CSS_COLOURS))))

    def _wrapped(self, name: str, parts: list[str]) -> str:
        inner = ", ".join(parts)
        space = " " if self.generation.standard == "c++98" and inner.endswith(">") else ""
        return f"{name}<{inner}{space}>"


def file_of(generation: Generation, styles: Iterable[str], through: Iterable[str] = ()) -> bytes:
    """A config that declares styles `style_0`, `style_1` … on a blade of 24 pixels."""
    lines = [f"#define {generation.marker[0]} {generation.marker[1]}"] if generation.marker else []
    lines += [f"#include {header}" for header in (generation.header, *through)]
    if generation.namespace:
        lines.append(f"using namespace {generation.namespace};")
    lines += [f"{generation.facts} int {generation.pixels} = {PIXELS};"]
    lines += [f"{generation.facts} int {generation.pitch} = {PER_METRE};", ""]
    for number, style in enumerate(styles):
        typedef = generation.declares == "typedef"
        lines.append(f"typedef {style} style_{number};" if typedef else f"using style_{number} = {style};")
    return ("\n".join(lines) + "\n").encode()


@st.composite
def styles(draw: Draw, name: str, compat: bool = False, depth: int = 4) -> str:
    """The text of a whole style of the generation."""
    generation = library()[name]
    texts = Texts(draw, generation, compat)
    native = [s for s in STYLE_SORTS if s in constructs_of(name, False)]
    return texts.expression(native, depth).text
