"""Does the covering miss anything? A brute-force search over small target expressions, by sort, on short styles.

    python -m tests.covering_search [OLD NEW]

For each source style whose move is not within tolerance, every target style of up to four constructs (colours not
counted) is tried whose numbers and colours are the source's own, converted: grounds of up to two nested paints, sheets
of up to two constructs, and power. What is within tolerance on the short scene, and again on the probe scene, is
something that the covering missed.

Pruning keeps what can still become right: a ground must look right at rest, before any event; a sheet must put right
the first cell that is wrong below it, and more cells than it puts wrong; the last must act on every wrong one; power
must be dark where the source is. Two grounds that draw the same are one.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass, field, fields, is_dataclass
from fractions import Fraction
from itertools import product
from typing import Any

import numpy as np

from migrate.compare.figures import Figures, Tolerance, compare, within
from migrate.diagnostics import Diagnostic
from migrate.ir import nodes as ir
from migrate.ir.colour import duty_codes
from migrate.ir.facts import Blade
from migrate.packs.equations import Meaningless, evaluate, variables
from migrate.packs.library import library
from migrate.packs.model import Call, Construct, Generation, Parameter, Sum, Unit, Var
from migrate.packs.units import MissingFact, from_ir, rounded, spelled, to_ir
from migrate.pipeline import Options, move, read, scene_named
from migrate.render.context import Context, Numbering
from migrate.render.draw import render
from migrate.render.power import play
from migrate.render.scene import Scene
from migrate.report.pictures import srgb_codes
from migrate.report.reference_examples import Stage, own
from migrate.source import SourceFile
from tests.laws.small_scene import small_scene

BLADE = Blade(24, 60)
SCENE = small_scene()
FIRST = next(iter(library()))  # the generation whose clock steps
LIMIT = 8_000  # pictures drawn for one source; a search that comes there is counted as not finished
MOST = 4  # constructs of a target style, colours not counted
REST = (6, 9, 12)  # frames before the first event, the blade lit further and further
NUMBERS = 2  # of one kind that are tried
LENIENT = 32  # sRGB codes: more than any difference that is within tolerance
_CODED = srgb_codes(np.arange(256) / 255.0).astype(np.int16)


@dataclass(frozen=True)
class Term:
    """A target expression: its text, its IR, and how many constructs it has."""

    text: str
    value: Any
    size: int


@dataclass(frozen=True)
class Layer:
    """A sheet or a sleeve that can be put on: text with `{}` where what is below stands, if it wraps."""

    text: str
    sheets: tuple[ir.Sheet, ...]
    size: int
    wraps: bool


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

    def gather(self, node: Any) -> Pool:
        """Adds every number of a part."""
        kind = {ir.Colour: "colours", ir.Length: "lengths", ir.Speed: "speeds"}.get(type(node))
        if kind is not None:
            _add(getattr(self, kind), node)
            return self
        for one in fields(node):
            value = getattr(node, one.name)
            for item in value if isinstance(value, tuple) else (value,):
                if is_dataclass(item):
                    self.gather(item)
                elif isinstance(item, int) and one.name not in ("value", "level", "position", "phase", "full", "count"):
                    _add(self.rates if one.name == "rate" else self.times, item)
                elif isinstance(item, (int, Fraction)):
                    _add(self.plain if one.name == "full" else self.shares, item)
        return self


def _add(items: list[Any], item: Any) -> None:
    if item not in items:
        items.append(item)


def numbers(pool: Pool, parameter: Parameter, unit: Unit, generation: Generation) -> list[tuple[str, Any]]:
    """Texts and IR values to try for an argument: the pool's, in this unit, within its range."""
    whole = ir.Length(1000, "mil")
    lengths = [*pool.lengths, *(ir.Length(1000 * (1 - Fraction(s)), "mil") for s in pool.shares if 0 < s < 1)]
    rest = [ir.Length(1000 - _mil(v), "mil") for v in lengths if 0 < _mil(v) < 1000]
    found: list[Any] = {
        "time": [t for t in pool.times if t], "rate": [*pool.rates, 50_000],
        "length": [*lengths, *rest, whole], "speed": [*pool.speeds, ir.Speed(0, "mil")],
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
        self.constructs = [c for c in own_or_taken(generation) if not c.compat]
        self._made: dict[tuple[str, int], list[Term]] = {}
        self.layers: list[Layer] = []

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
        if _is_colour(construct):
            if size == 0:
                yield from self._colours(construct)
            return
        if not construct.brackets:
            if size == 0 and "*" not in construct.name:
                yield Term(construct.name, evaluate(construct.equations[0].meaning, {}), 0)
            return
        for chosen in self._arguments(construct.parameters, size - 1):
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

    def _arguments(self, parameters: tuple[Parameter, ...], size: int) -> Iterator[Chosen]:
        if not parameters:
            if size == 0:
                yield []
            return
        first, rest = parameters[0], parameters[1:]
        for spent in range(size + 1):
            for texts, value in self.choices(first, spent):
                for others in self._arguments(rest, size - spent):
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


_TERMS: dict[tuple[str, str], Terms] = {}


def terms_of(generation: Generation, pool: Pool) -> Terms:
    """The terms of a pool, made once."""
    return _TERMS.setdefault((generation.name, repr(pool)), Terms(generation, pool))


def own_or_taken(generation: Generation) -> list[Construct]:
    """Every construct at hand without a compat header."""
    return [c for group in generation.constructs.values() for c in group if not c.compat]


def _is_colour(construct: Construct) -> bool:
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


# ---- layers and power -------------------------------------------------------------------------------


def layers(terms: Terms, most: int) -> list[Layer]:
    """Every layer, or wrapper round what is below, of up to `most` constructs."""
    out: dict[tuple[ir.Sheet, ...], Layer] = {}
    for construct in terms.constructs:
        meaning = construct.equations[0].meaning
        wraps = isinstance(meaning, Sum) and construct.sort == "sleeve"
        if not wraps and construct.sort != "layer":
            continue
        below = meaning.parts[0] if isinstance(meaning, Sum) else None
        base = next((p for p in construct.parameters if isinstance(below, Var) and p.name == below.name), None)
        for size in range(most):
            for chosen in terms._arguments(tuple(p for p in construct.parameters if p is not base), size):
                values = {p.name: v for p, _, v in chosen}
                if base is not None:
                    values[base.name] = _HOLE
                value = terms.meaning(construct, values)
                sheets = value.sheets if isinstance(value, ir.Style) else (value,)
                if value is None or not all(isinstance(s, ir.Sheet) for s in sheets):
                    continue
                full = [(base, ["{}"], None), *chosen] if base is not None else chosen
                out.setdefault(sheets, Layer(written(construct.name, full), sheets, size + 1, wraps))
    return list(out.values())


_HOLE = ir.Colour("duty", (0, 0, 0))


def powers(terms: Terms) -> list[tuple[str, ir.Power]]:
    """Every power with the pool's times: text with `{}` for the style where it wraps."""
    out: dict[ir.Power, str] = {}
    for construct in terms.constructs:
        forms = [p.form for e in construct.equations for p in _parts(e.meaning) if isinstance(p, Call)]
        if "power" not in forms or len(construct.parameters) > 3:
            continue
        below = construct.equations[0].meaning
        base = below.parts[0].name if isinstance(below, Sum) and isinstance(below.parts[0], Var) else ""
        for size in range(3):
            for chosen in terms._arguments(tuple(p for p in construct.parameters if p.name != base), size):
                value = terms.meaning(construct, {p.name: v for p, _, v in chosen} | ({base: _HOLE} if base else {}))
                power = value.power if isinstance(value, ir.Style) else value
                if isinstance(power, ir.Power):
                    given = [(p, ["{}"], None) for p in construct.parameters if p.name == base] + chosen
                    out.setdefault(power, written(construct.name, given))
    return [(text, power) for power, text in out.items()]


def _parts(meaning: Any) -> tuple[Any, ...]:
    return meaning.parts if isinstance(meaning, Sum) else (meaning,)


# ---- looking ----------------------------------------------------------------------------------------


class Looker:
    """The source's picture, and a quick check of others against it: each cell may differ by what alignment forgives."""

    def __init__(self, frames: Any) -> None:
        self.frames = frames
        coded = _CODED[frames]
        padded = np.pad(coded, ((1, 1), (1, 1), (0, 0)), mode="edge")
        t, n = coded.shape[:2]
        near = np.stack([padded[i : i + t, j : j + n] for i in range(3) for j in range(3)])
        self.low, self.high = near.min(0) - LENIENT, near.max(0) + LENIENT

    def right(self, frames: Any, rows: Any = slice(None)) -> Any:
        """Which cells (T, N) look right."""
        coded = _CODED[frames]
        return ((coded >= self.low[rows]) & (coded <= self.high[rows])).all(axis=2)


class Quick(Context):
    """A context that remembers noise too, by its number: drawing it is most of the work otherwise."""

    def __init__(self, *given: Any) -> None:
        super().__init__(*given)
        self._noises: dict[tuple[ir.Noise, int], Any] = {}

    def signal(self, node: ir.Signal) -> Any:
        """As Context.signal()."""
        if not isinstance(node, ir.Noise):
            return super().signal(node)
        key = (node, self.numbers.next)
        if key not in self._noises:
            self._noises[key] = super().signal(node)
        self.numbers.next = key[1] + 1
        return self._noises[key]


class Drawer:
    """Draws target styles of one power over a scene, keeping what has no noise."""

    def __init__(
        self, generation: Generation, scene: Scene, power: ir.Power | None, rows: tuple[int, ...] = ()
    ) -> None:
        """`rows` are the frames that are drawn; none is all."""
        numbers = Numbering()
        self.ctx = Quick(scene, BLADE, generation.arithmetic, power, numbers)
        self.ctx.__dict__["stepped"] = Quick(scene, BLADE, library()[FIRST].arithmetic, power, numbers)
        if rows:
            for ctx in (self.ctx, self.ctx.stepped):
                ctx.t, ctx.s = ctx.t[list(rows)], ctx.s[list(rows)]
        self.power, self.kept = power, 0

    def draw(self, ground: Any, sheets: tuple[ir.Sheet, ...]) -> Any:
        """Frames (T, N, 3) as render() makes them."""
        ctx = self.ctx
        self.kept += 1
        if self.kept % 4000 == 0:
            ctx._known_paints.clear()
        ctx.numbers.next = 0
        picture = ctx.paint(ground)
        for sheet in sheets:
            light, weight = ctx.paint(sheet.paint), ctx.signal(sheet.weight)
            mix = ctx.mixing.mix if sheet.operator == "over" else ctx.mixing.plus
            picture = mix(picture, light, weight, sheet.weight)
        if self.power is not None:
            picture = play(ctx, self.power, picture)
        duties = np.broadcast_to(ctx.mixing.duties(picture), (3, len(ctx.t), ctx.pixels))
        return np.moveaxis(duties, 0, 2)


def figures_of(one: Any, other: Any, scene: Scene) -> Figures:
    events = [(e.event, e.start) for e in scene.events]
    return compare(np.ascontiguousarray(one), np.ascontiguousarray(other), scene.rate, events)


# ---- the search -------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Found:
    """A target style that looks right: its text and its figures on the short scene and on the probe."""

    text: str
    short: Figures
    probe: Figures


class TooManyError(Exception):
    """The limit of pictures is reached."""


class Search:
    """Searches one source style's pictures in one target generation."""

    def __init__(self, style: ir.Style, origin: Generation, target: Generation) -> None:
        self.style, self.origin, self.target = style, origin, target
        self.terms = terms_of(target, Pool().gather(ir.Style(style.ground, style.sheets)))
        self.frames = render(style, origin.arithmetic, SCENE, BLADE)
        self.looker = Looker(self.frames)
        self.tried = 0
        self.finished = True

    def _count(self) -> None:
        self.tried += 1
        if self.tried > LIMIT:
            self.finished = False
            raise TooManyError

    def run(self) -> Found | None:
        """The first target style found, or None; `finished` says whether all of them were looked at."""
        try:
            return self._search()
        except TooManyError:
            return None

    def _search(self) -> Found | None:
        options: list[tuple[str, ir.Power | None]] = [("{}", None)]
        if self.style.power is not None:
            options = self._fitting_powers() or options
        every = self.terms.layers = self.terms.layers or layers(self.terms, 2)
        for text, power in options[:1]:
            found = self._with_power(text, power, every)
            if found is not None:
                return found
        return None

    def _fitting_powers(self) -> list[tuple[str, ir.Power | None]]:
        """Powers that are dark where the source is, best first; drawn on white."""
        lit = self.frames.any(axis=2)
        white = ir.Colour("duty", (255, 255, 255))
        scored = []
        assert self.style.power is not None
        for text, power in powers(Terms(self.target, Pool().gather(self.style.power))):
            mask = Drawer(self.target, SCENE, power).draw(white, ()).any(axis=2)
            scored.append((int((mask != lit).sum()), text, power))
        scored.sort(key=lambda s: s[:2])
        return [(text, power) for _, text, power in scored]

    def _with_power(self, text: str, power: ir.Power | None, every: list[Layer]) -> Found | None:
        drawer = Drawer(self.target, SCENE, power)
        spent = 1 if power is not None else 0
        self.acting = self._acting(drawer, every)
        for ground, frames in self._grounds(drawer, MOST - spent):
            right = self.looker.right(frames)
            found = self._stack(drawer, ground, (), right, every, MOST - spent - ground.size, text)
            if found is not None:
                return found
        return None

    def _grounds(self, drawer: Drawer, most: int) -> Iterator[tuple[Term, Any]]:
        """Grounds that look right at rest, by size, each picture once."""
        seen: set[bytes] = set()
        white = drawer.draw(ir.Colour("duty", (255, 255, 255)), ()).any(axis=2)
        rest = Drawer(self.target, SCENE, None, REST)
        lit = white[list(REST)]
        for size in range(min(2, most) + 1):
            for term in self.terms.of("paint", size):
                self._count()
                right = self.looker.right(rest.draw(term.value, ()), list(REST))
                # At rest only what flares at the hilt or rides an edge may cover the ground.
                if right[lit].mean() < 0.4:
                    continue
                frames = drawer.draw(term.value, ())
                key = frames.tobytes()
                if key not in seen:
                    seen.add(key)
                    yield term, frames

    def _acting(self, drawer: Drawer, every: list[Layer]) -> Any:
        """Where each layer shows at all, (layers, T·N)."""
        shape = (SCENE.frames, BLADE.pixels)
        out = np.zeros((len(every), shape[0] * shape[1]), bool)
        for row, layer in zip(out, every, strict=True):
            drawer.ctx.numbers.next = 0
            acts = np.zeros(shape, bool)
            for sheet in layer.sheets:
                acts |= drawer.ctx.signal(sheet.weight) > 0
            row[:] = acts.reshape(-1)
        return out

    def _stack(
        self, drawer: Drawer, ground: Term, on: tuple[Layer, ...], right: Any, every: list[Layer], most: int, text: str
    ) -> Found | None:
        if right.all():
            found = self._confirmed(drawer, ground, on, text)
            if found is not None:
                return found
        sheets = tuple(s for layer in on for s in layer.sheets)
        wrong = np.flatnonzero(~right.reshape(-1))
        if not most or not wrong.size:
            return None
        # One of the layers to come must put the first wrong cell right; the last must act on every wrong one.
        first = wrong[0]
        useful = self.acting[:, wrong].all(axis=1) if most == 1 else self.acting[:, first]
        for k in np.flatnonzero(useful):
            layer = every[k]
            if layer.size > most or (layer.size == most and not self.acting[k, wrong].all()):
                continue
            self._count()
            after = self.looker.right(drawer.draw(ground.value, (*sheets, *layer.sheets)))
            if after.reshape(-1)[first] and int(after.sum()) > int(right.sum()):
                found = self._stack(drawer, ground, (*on, layer), after, every, most - layer.size, text)
                if found is not None:
                    return found
        return None

    def _confirmed(self, drawer: Drawer, ground: Term, on: tuple[Layer, ...], power: str) -> Found | None:
        sheets = tuple(s for layer in on for s in layer.sheets)
        short = figures_of(self.frames, drawer.draw(ground.value, sheets), SCENE)
        if not within(short, Tolerance()):
            return None
        probe = scene_named("probe")
        style = ir.Style(ground.value, sheets, drawer.power)
        pair = [render(s, g.arithmetic, probe, BLADE) for s, g in ((self.style, self.origin), (style, self.target))]
        figures = figures_of(pair[0], pair[1], probe)
        if not within(figures, Tolerance()):
            return None
        return Found(_text(ground, on, power), short, figures)


def _text(ground: Term, on: tuple[Layer, ...], power: str) -> str:
    text, listed = ground.text, []
    for layer in on:
        if layer.wraps:
            text = layer.text.replace("{}", text)
        else:
            listed.append(layer.text)
    body = ", ".join((text, *listed))
    return power.replace("{}", body) if "{}" in power else f"{body}, {power}"


# ---- sources ------------------------------------------------------------------------------------------


def sources(name: str) -> list[str]:
    """Short styles of a generation: each example of its pack in the least style that shows it."""
    generation = library()[name]
    stage, out = Stage(generation), []
    layer_of = [c for c in own(generation) if c.sort == "layer" and _is_plain_layer(c)]
    for construct in own(generation):
        for example in construct.examples:
            staged = stage.staged(example, construct)
            if staged is None:
                continue
            if not layer_of or construct.sort in ("style", "transition"):
                _add(out, stage.staged(example, construct, ("style",)))
            elif construct.sort == "layer":
                _add(out, _least_style(generation, _red(generation), [example]))
            elif "power" not in staged:
                _add(out, _least_style(generation, staged, []))
            for layer in layer_of if construct.sort == "signal" else ():
                _add(out, _least_style(generation, _red(generation), [_with_signal(layer, example, generation)]))
    return [text for text in out if text is not None]


def _red(generation: Generation) -> str:
    paint = next(c for c in own(generation) if c.sort == "paint" and len(c.parameters) == 3 and _is_colour(c))
    return f"{paint.name}<255, 0, 0>"


def _least_style(generation: Generation, ground: str, sheets: list[str]) -> str:
    """A style of a ground and layers, and the example of power as its last."""
    style = next(c for c in own(generation) if c.sort == "style")
    power = next(c for c in own(generation) if c.sort == "layer" and "power" in _forms(c)).examples[0]
    base, rest = style.parameters
    layered = sheets if any(power.split("<", 1)[0] == s.split("<", 1)[0] for s in sheets) else [*sheets, power]
    return written(style.name, [(base, [ground], None), (rest, layered, None)])


def _forms(construct: Construct) -> list[str]:
    return [e.meaning.form for e in construct.equations if isinstance(e.meaning, Call)]


def _is_plain_layer(construct: Construct) -> bool:
    """Whether a layer takes a paint and any signal, and beyond these only what may be left out."""
    meaning = construct.equations[0].meaning
    plain = isinstance(meaning, Call) and all(isinstance(a, Var) for a in meaning.arguments)
    two, rest = construct.parameters[:2], construct.parameters[2:]
    sorts = [p.sorts for p in two]
    return plain and sorts == [("paint",), ("signal",)] and all(p.default is not None for p in rest)


def _with_signal(layer: Construct, signal: str, generation: Generation) -> str:
    paint = next(c for c in own(generation) if c.sort == "paint" and len(c.parameters) == 3 and _is_colour(c))
    chosen = [(layer.parameters[0], [f"{paint.name}<0, 0, 255>"], None), (layer.parameters[1], [signal], None)]
    return written(layer.name, chosen)


def config(text: str, name: str) -> SourceFile:
    """A config that declares and shows one style on a blade of 24 pixels."""
    generation = library()[name]
    line = f"typedef {text} one;" if generation.declares == "typedef" else f"using one = {text};"
    facts = f"const int {generation.pixels} = 24;\nconst int {generation.pitch} = 60;\n"
    space = f"using namespace {generation.namespace};\n" if generation.namespace else ""
    entry = generation.entry.replace("{style}", "one").replace("{sounds}", "one").replace("{label}", "One")
    table = generation.table.replace("{name}", "shown").replace("{entries}", entry)
    return SourceFile("one.h", f"{space}{facts}{line}\n{table}\n".encode())


def styles_of(source: SourceFile, name: str) -> ir.Style | None:
    found = read(source, Options(name, reading=name))
    if isinstance(found, Diagnostic) or "one" not in found.lifted:
        return None
    raw = found.lifted["one"].raw
    return raw if isinstance(raw, ir.Style) else ir.Style(raw)


@dataclass(frozen=True)
class Outcome:
    """What became of one source: how the move looks, and what the search found where that is out of tolerance."""

    text: str
    moved: str
    close: bool
    found: Found | None = None
    tried: int = 0
    finished: bool = True


def examine(text: str, old: str, new: str) -> Outcome | None:
    """Moves one style, looks, and searches where the move is out of tolerance."""
    source = config(text, old)
    style = styles_of(source, old)
    if style is None:
        return None
    moved = move(source, Options(new, reading=old, prove=False))
    after = styles_of(SourceFile("one.h", moved.text), new)
    shown = next((x for x in moved.text.decode().splitlines() if " one" in x and not x.startswith("//")), "")
    if after is not None:
        target = library()[new]
        pair = [render(s, g.arithmetic, SCENE, BLADE) for s, g in ((style, library()[old]), (after, target))]
        if within(figures_of(pair[0], pair[1], SCENE), Tolerance()):
            return Outcome(text, shown, True)
    search = Search(style, library()[old], library()[new])
    return Outcome(text, shown, False, search.run(), search.tried, search.finished)


def main(arguments: list[str]) -> int:
    """Prints what the search found; 1 where the covering missed something."""
    names = list(library())
    pairs = [(names[2], names[1]), (names[3], names[2]), (names[1], names[0])]
    if len(arguments) == 2:
        pairs = [(arguments[0], arguments[1])]
    missed = 0
    for old, new in pairs:
        start, searched, tried, cut = time.monotonic(), 0, 0, 0
        for text in sources(old):
            outcome = examine(text, old, new)
            if outcome is None or outcome.close:
                continue
            searched, tried, cut = searched + 1, tried + outcome.tried, cut + (not outcome.finished)
            print(f"  {time.monotonic() - start:.0f} s, {outcome.tried} drawn: {text}", file=sys.stderr, flush=True)
            if outcome.found is not None:
                missed += 1
                print(f"MISSED {old} to {new}: {text}\n    moved to {outcome.moved}\n    found    {outcome.found.text}")
                print(f"    p95 {outcome.found.probe.p95:.2f}, largest {outcome.found.probe.largest:.2f}", flush=True)
        took = time.monotonic() - start
        said = f"{searched} styles searched, {cut} of them not to the end, {tried} pictures, {took:.0f} s"
        print(f"{old} to {new}: {said}", flush=True)
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
