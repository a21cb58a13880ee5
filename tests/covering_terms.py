"""Small target expressions, by sort, whose numbers and colours are a source style's own: what the search is made of."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, fields, is_dataclass
from fractions import Fraction
from itertools import product
from typing import Any

from migrate.ir import nodes as ir
from migrate.ir.colour import duty_codes
from migrate.packs.equations import Meaningless, evaluate, variables
from migrate.packs.model import Call, Construct, Generation, Parameter, Sum, Unit, Var
from migrate.packs.units import MissingFact, from_ir, rounded, spelled, to_ir
from tests.laws.small_scene import BLADE

NUMBERS = 2  # of one kind that are tried


@dataclass(frozen=True)
class Term:
    """A target expression: its text, its IR, and how many constructs it has."""

    text: str
    value: Any
    size: int


Chosen = list[tuple[Parameter, list[str], Any]]
"""Arguments by parameter: their texts and what they mean."""


# ---- the source's own numbers ---------------------------------------------------------------------


@dataclass
class Pool:
    """What stands in a source style: colours, times in µs, rates in mHz, lengths, speeds and shares."""

    colours: list[ir.Colour] = field(default_factory=list)
    times: list[int] = field(default_factory=list)
    rates: list[int] = field(default_factory=list)
    lengths: list[ir.Length] = field(default_factory=list)
    speeds: list[ir.Speed] = field(default_factory=list)
    shares: list[Any] = field(default_factory=list)
    plain: list[Any] = field(default_factory=list)
    whole: bool = True  # whether a length of the whole blade is tried too

    def gather(self, node: Any) -> Pool:
        """Adds every number of a part."""
        kind = {ir.Colour: "colours", ir.Length: "lengths", ir.Speed: "speeds"}.get(type(node))
        if kind is not None:
            add(getattr(self, kind), node)
            return self
        for one in fields(node):
            value = getattr(node, one.name)
            for item in value if isinstance(value, tuple) else (value,):
                if is_dataclass(item):
                    self.gather(item)
                elif isinstance(item, int) and one.name not in ("value", "level", "position", "phase", "full", "count"):
                    add(self.rates if one.name == "rate" else self.times, item)
                elif isinstance(item, (int, Fraction)):
                    add(self.plain if one.name == "full" else self.shares, item)
        return self


def add(items: list[Any], item: Any) -> None:
    """Appends what is not there yet."""
    if item not in items:
        items.append(item)


def numbers(pool: Pool, parameter: Parameter, unit: Unit, generation: Generation) -> list[tuple[str, Any]]:
    """Texts and IR values to try for an argument: the pool's, in this unit, within its range."""
    whole = [ir.Length(1000, "mil")] if pool.whole else []
    lengths = [*pool.lengths, *(ir.Length(1000 * (1 - Fraction(s)), "mil") for s in pool.shares if 0 < s < 1)]
    rest = [ir.Length(1000 - _mil(v), "mil") for v in lengths if 0 < _mil(v) < 1000]
    found: list[Any] = {
        "time": [t for t in pool.times if t], "rate": [*pool.rates, 50_000],
        "length": [*lengths, *rest, *whole], "speed": [*pool.speeds, ir.Speed(0, "mil")],
        "weight": [*pool.shares, *(1 - Fraction(s) for s in pool.shares if 0 <= s <= 1)],
        "grain": [ir.Grain("length", v) for v in lengths], "plain": pool.plain,
    }.get(unit.kind, [])  # fmt: skip
    out: dict[str, Any] = {}
    for value in found:
        try:
            exact = from_ir(value, unit, BLADE)
        except MissingFact:
            continue
        if exact is None or isinstance(exact, str):
            continue
        near, _ = rounded(exact, generation.decimals)
        low = parameter.low if parameter.low is not None else unit.low
        high = parameter.high if parameter.high is not None else unit.high
        if (low is None or near >= low) and (high is None or near <= high):
            out.setdefault(spelled(near, max(1, generation.decimals)), to_ir(near, unit))
    return [(f"{unit.spelled}<{t}>" if unit.spelled else t, v) for t, v in list(out.items())[:NUMBERS]]


def _mil(length: ir.Length) -> Fraction:
    full = {"mil": Fraction(1000), "px": Fraction(BLADE.pixels or 1), "mm": Fraction(1000 * (BLADE.pixels or 1)) / 60}
    return Fraction(length.value) * 1000 / full[length.unit]


# ---- terms by sort --------------------------------------------------------------------------------


class Terms:
    """Every expression of the target up to a size, by sort, with the pool's numbers."""

    def __init__(self, generation: Generation, pool: Pool) -> None:
        self.generation, self.pool = generation, pool
        self.constructs = own_or_taken(generation)
        self._made: dict[tuple[str, int], list[Term]] = {}

    def of(self, sort: str, size: int) -> list[Term]:
        """The terms of exactly this size; colours have none."""
        key = (sort, size)
        if key not in self._made:
            self._made[key] = []
            found: dict[Any, Term] = {}
            for construct in self.constructs:
                if construct.sort == sort:
                    for term in self.built(construct, size):
                        found.setdefault(term.value, term)
            self._made[key] = list(found.values())
        return self._made[key]

    def built(self, construct: Construct, size: int) -> Iterator[Term]:
        """One construct with every choice of arguments that makes this size."""
        if is_colour(construct):
            if size == 0:
                yield from self._colours(construct)
            return
        if not construct.brackets:
            if size == 0 and "*" not in construct.name:
                yield Term(construct.name, evaluate(construct.equations[0].meaning, {}), 0)
            return
        for chosen in self.arguments(construct.parameters, size - 1):
            values = {p.name: v for p, _, v in chosen}
            value = self.meaning(construct, values)
            if value is not None:
                yield Term(written(construct.name, chosen), value, size)

    def _colours(self, construct: Construct) -> Iterator[Term]:
        form = construct.equations[0].meaning
        if not isinstance(form, Call) or (form.form != "duty" and self.generation.arithmetic.mixing != "eight_round"):
            return
        for colour in self.pool.colours:
            codes = duty_codes(colour)
            yield Term(f"{construct.name}<{', '.join(map(str, codes))}>", ir.Colour("duty", codes), 0)

    def arguments(self, parameters: tuple[Parameter, ...], size: int) -> Iterator[Chosen]:
        if not parameters:
            if size == 0:
                yield []
            return
        first, rest = parameters[0], parameters[1:]
        for spent in range(size + 1):
            for texts, value in self.choices(first, spent):
                for others in self.arguments(rest, size - spent):
                    yield [*([] if texts is None else [(first, texts, value)]), *others]

    def choices(self, parameter: Parameter, size: int) -> Iterator[tuple[list[str] | None, Any]]:
        """Texts and values of one argument of exactly this size."""
        unit = next((self.generation.units[s] for s in parameter.sorts if s in self.generation.units), None)
        sorts = self.generation.spread(tuple(s for s in parameter.sorts if s not in self.generation.units))
        if size == 0 and (parameter.optional or parameter.default is not None):
            yield None, None
        if unit is not None and unit.kind == "packed_duty":
            for colour in self.pool.colours if size == 0 else ():
                red, green, blue = duty_codes(colour)
                yield [f"0x{red:02X}{green:02X}{blue:02X}"], ir.Colour("duty", (red, green, blue))
        elif unit is not None and size == 0:
            for text, value in numbers(self.pool, parameter, unit, self.generation):
                yield [text], value
        for sort in sorts:
            if not parameter.variadic:
                for term in self.of(sort, size):
                    yield [term.text], term.value
                continue
            for count in (2, 3):
                for sizes in product(range(size + 1), repeat=count):
                    if sum(sizes) == size:
                        for terms in product(*(self.of(sort, s) for s in sizes)):
                            yield [t.text for t in terms], tuple(t.value for t in terms)

    def meaning(self, construct: Construct, values: dict[str, Any]) -> Any:
        """What the construct means with these arguments, or None."""
        for parameter in construct.parameters:
            if parameter.variadic and parameter.optional:
                values.setdefault(parameter.name, ())
            if parameter.default is not None and parameter.name not in values:
                unit = next((self.generation.units[s] for s in parameter.sorts if s in self.generation.units), None)
                bare = unit is not None and not getattr(parameter.default, "unit", "")
                default = parameter.default
                values[parameter.name] = to_ir(default.value, unit) if bare else evaluate(default, values)  # type: ignore
        for equation in construct.equations:
            optional = {p.name for p in construct.parameters if p.optional and not p.variadic}
            if optional & set(values) != optional & variables(equation.meaning):
                continue
            if equation.guard is None or values.get(equation.guard[0]) == evaluate(equation.guard[1], values):
                try:
                    return evaluate(equation.meaning, values)
                except Meaningless:
                    return None
        return None


def own_or_taken(generation: Generation) -> list[Construct]:
    """Every construct at hand without a compat header."""
    return [c for group in generation.constructs.values() for c in group if not c.compat]


def is_colour(construct: Construct) -> bool:
    meaning = construct.equations[0].meaning
    return isinstance(meaning, Call) and meaning.form in ("duty", "srgb", "oklch", "css")


def written(name: str, chosen: Chosen) -> str:
    """The construct's text."""
    parts = []
    for parameter, texts, _ in chosen:
        text = ", ".join(texts)
        for tag in reversed(parameter.tag):
            text = f"{tag}<{text}>"
        parts.append(text)
    return f"{name}<{', '.join(parts)}>"


# ---- shells -----------------------------------------------------------------------------------------

HOLE = ir.Colour("duty", (0, 0, 0), "\0")


@dataclass(frozen=True)
class Shell:
    """What a content is put into: text with `{}` where it stands, sheets over it, power, and how many constructs."""

    text: str
    sheets: tuple[ir.Sheet, ...]
    power: ir.Power | None
    size: int


def shells(terms: Terms) -> list[Shell]:
    """Every power, or style that brings its power (and sheets) with it, with the pool's numbers; each counts as one."""
    out: dict[Any, Shell] = {}
    for construct in terms.constructs:
        parts = [p for e in construct.equations for p in parts_of(e.meaning) if isinstance(p, Call)]
        if not any(p.form == "power" for p in parts):
            continue
        base = base_of(construct)
        for size in range(3):
            for chosen in terms.arguments(tuple(p for p in construct.parameters if p is not base), size):
                values = {p.name: v for p, _, v in chosen} | ({base.name: HOLE} if base is not None else {})
                value = terms.meaning(construct, values)
                style = ir.Style(HOLE, (), value) if isinstance(value, ir.Power) else value
                if isinstance(style, ir.Style) and style.power is not None:
                    given = [*([(base, ["{}"], None)] if base is not None else []), *chosen]
                    text = (
                        written(construct.name, given) if base is not None else "{}, " + written(construct.name, given)
                    )
                    out.setdefault((style.sheets, style.power), Shell(text, style.sheets, style.power, 1))
    return list(out.values())


def base_of(construct: Construct) -> Parameter | None:
    """The parameter that a construct puts its sheets or its power on."""
    meaning = construct.equations[0].meaning
    below = meaning.parts[0] if isinstance(meaning, Sum) else None
    return next((p for p in construct.parameters if isinstance(below, Var) and p.name == below.name), None)


def parts_of(meaning: Any) -> tuple[Any, ...]:
    """The summands of a meaning, or itself."""
    return meaning.parts if isinstance(meaning, Sum) else (meaning,)
