"""Target expressions by the thousand: heads with holes, and what all their fillings look like in a few cells.

A head is a construct with every number chosen and every paint left open; a bundle is heads of one sort, one size and
one number of noises. The renderer's own functions draw a head once, on arrays (3, M, K) of its M fillings in K cells.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, fields, is_dataclass, replace
from functools import cached_property
from typing import Any, get_args

import numpy as np

from migrate.ir import nodes as ir
from migrate.packs.library import library
from migrate.packs.model import Construct, Generation, Parameter, Sum
from migrate.render.context import Context, Numbering
from migrate.render.dispatch import PAINTS
from migrate.render.mixing import chooses
from tests.covering_sight import FIRST, SCENE, Quick
from tests.covering_terms import HOLE, Chosen, Pool, Term, Terms, base_of, written
from tests.laws.small_scene import BLADE

KEPT = 2  # bundles up to this size are drawn whole and kept
Key = tuple[str, int, int]
"""Sort, size and number of noises."""


def _slot(node: Any) -> str:
    """The slot that a node leaves open, or an empty text."""
    return node.name if isinstance(node, ir.Colour) and node.name.startswith("\0") else ""


def _noises(node: Any, filled: dict[str, int]) -> int:
    """How many noise numbers drawing a node takes, holes by what fills them."""
    if isinstance(node, tuple):
        return sum(_noises(item, filled) for item in node)
    if not is_dataclass(node):
        return 0
    if _slot(node):
        return filled[_slot(node)]
    inner = sum(_noises(getattr(node, one.name), filled) for one in fields(node))
    return inner + isinstance(node, (ir.Noise, ir.Hearth, ir.Scatter))


@dataclass(frozen=True)
class Head:
    """A construct with open paints: `holes` are slots and the bundles that fill them, `value` a paint or sheets."""

    construct: Construct
    chosen: Chosen
    value: Any
    holes: tuple[tuple[str, Bundle], ...]
    noises: int
    base: Parameter | None = None

    @cached_property
    def sizes(self) -> tuple[int, ...]:
        return tuple(b.count for _, b in self.holes)

    @cached_property
    def count(self) -> int:
        return int(np.prod(self.sizes, dtype=np.int64)) if self.holes else 1


@dataclass(eq=False)
class Bundle:
    """Heads of one sort, size and number of noises; for layers, of one way to be laid."""

    size: int
    noises: int
    heads: list[Head] = field(default_factory=list)

    @cached_property
    def count(self) -> int:
        return sum(h.count for h in self.heads)

    def term(self, terms: Heads, number: int) -> Term:
        """One filling, written out; of a layer the value is its sheets, and `{}` stands in it if it wraps."""
        for head in self.heads:
            if number < head.count:
                return terms.filled(head, number, self.size)
            number -= head.count
        raise IndexError(number)


class Heads(Terms):
    """The expressions of a target with their paints left open, in bundles."""

    def __init__(self, generation: Generation, pool: Pool) -> None:
        super().__init__(generation, pool)
        self.plain = Terms(generation, pool)
        self._bundles: dict[Any, list[Bundle]] = {}
        self.holed = {c.sort for c in self.constructs if self._draws(c.sort)}

    def _draws(self, sort: str) -> bool:
        found = [t.value for size in (0, 1) for t in self.plain.of(sort, size)]
        return bool(found) and all(isinstance(v, get_args(ir.Paint)) for v in found)

    def of(self, sort: str, size: int) -> list[Term]:
        """As Terms.of(), but of paints one hole for each bundle."""
        if sort not in self.holed:
            return self.plain.of(sort, size)
        keys = [f"\0{sort}\0{size}\0{n}" for n in range(len(self.paints(sort, size)))]
        return [Term(key, ir.Colour("duty", (0, 0, 0), key), size) for key in keys]

    def choices(self, parameter: Parameter, size: int) -> Iterator[tuple[list[str] | None, Any]]:
        """As Terms.choices(), each hole marked with its place."""
        for texts, value in super().choices(parameter, size):
            items = value if isinstance(value, tuple) else (value,)
            marked = tuple(
                replace(v, name=f"{v.name}\0{parameter.name}\0{k}") if _slot(v) else v for k, v in enumerate(items)
            )
            new = None if texts is None else [_slot(v) or t for v, t in zip(marked, texts, strict=False)]
            yield new, marked if isinstance(value, tuple) else marked[0]

    def paints(self, sort: str, size: int) -> list[Bundle]:
        """The bundles of a sort of paint at one size."""
        key = (sort, size)
        if key not in self._bundles:
            self._bundles[key] = []
            heads = [Head(c, [], t.value, (), 0) for c, t in self._concrete(sort)] if size == 0 else []
            for construct in self.constructs if size else ():
                if construct.sort == sort:
                    heads += self._heads(construct, size, None)
            self._bundles[key] = _bundled(heads, size, lambda h: h.noises)
        return self._bundles[key]

    def _concrete(self, sort: str) -> Iterator[tuple[Any, Term]]:
        for term in self.plain.of(sort, 0):
            yield term.text, term

    def layers(self, size: int) -> list[Bundle]:
        """The bundles of layers, and of wrappers round what is below."""
        key = ("", size)
        if key not in self._bundles:
            heads = []
            for construct in self.constructs:
                wraps = isinstance(construct.equations[0].meaning, Sum) and construct.sort == "sleeve"
                if wraps or construct.sort == "layer":
                    heads += self._heads(construct, size, base_of(construct) if wraps else None)
            self._bundles[key] = _bundled([h for h in heads if h.value], size, lambda h: (h.noises, _laid(h.value)))
        return self._bundles[key]

    def _heads(self, construct: Construct, size: int, base: Parameter | None) -> list[Head]:
        out: dict[Any, Head] = {}
        if not construct.brackets:
            return []
        for chosen in self.arguments(tuple(p for p in construct.parameters if p is not base), size - 1):
            value = self._meant(construct, chosen, base)
            if value is None:
                continue
            slots = {_slot(v): v for v in _holes(value)}
            holes = tuple((s, self._bundle(s)) for s in slots)
            noises = _noises(value, {s: b.noises for s, b in holes})
            out.setdefault(value, Head(construct, chosen, value, holes, noises, base))
        return list(out.values())

    def _meant(self, construct: Construct, chosen: Chosen, base: Parameter | None) -> Any:
        """The paint, or the sheets, or None."""
        values = {p.name: v for p, _, v in chosen} | ({base.name: HOLE} if base is not None else {})
        value = self.meaning(construct, values)
        if isinstance(value, ir.Style):
            return value.sheets
        if isinstance(value, ir.Sheet):
            return (value,)
        return value if isinstance(value, get_args(ir.Paint)) else None

    def _bundle(self, slot: str) -> Bundle:
        _, sort, size, n, *_ = slot.split("\0")
        return self.paints(sort, int(size))[int(n)]

    def filled(self, head: Head, number: int, size: int) -> Term:
        """One filling of a head."""
        if isinstance(head.construct, str):
            return Term(head.construct, head.value, size)
        indices = np.unravel_index(number, head.sizes) if head.holes else ()
        inner = {s: b.term(self, int(i)) for (s, b), i in zip(head.holes, indices, strict=True)}
        chosen: Chosen = []
        for parameter, texts, value in head.chosen:
            new = None if texts is None else [inner[t].text if t in inner else t for t in texts]
            items = value if isinstance(value, tuple) else (value,)
            values = tuple(inner[_slot(v)].value if _slot(v) else v for v in items)
            chosen.append((parameter, new, values if isinstance(value, tuple) else values[0]))
        full = [(head.base, ["{}"], None), *chosen] if head.base is not None else chosen
        return Term(written(head.construct.name, full), self._meant(head.construct, chosen, head.base), size)


def _holes(node: Any) -> Iterator[ir.Colour]:
    if _slot(node):
        yield node
    elif isinstance(node, tuple):
        for item in node:
            yield from _holes(item)
    elif is_dataclass(node):
        for one in fields(node):
            yield from _holes(getattr(node, one.name))


def _laid(sheets: tuple[ir.Sheet, ...]) -> Any:
    """What decides how sheets are mixed in: their operators, and whether a weight chooses or is a held noise."""
    held = [isinstance(s.weight, ir.Noise) and s.weight.kind == "hold" for s in sheets]
    return tuple((s.operator, chooses(s.weight), h) for s, h in zip(sheets, held, strict=True))


def _bundled(heads: list[Head], size: int, key: Any) -> list[Bundle]:
    """Heads by key; what is larger than is kept stands alone, so that nothing large is drawn whole."""
    out: dict[Any, Bundle] = {}
    for number, head in enumerate(heads):
        name = key(head) if size <= KEPT else number
        out.setdefault(name, Bundle(size, head.noises)).heads.append(head)
    return list(out.values())


# ---- drawing ----------------------------------------------------------------------------------------


class Flat(Context):
    """A context of K cells (frame and pixel together) in which a paint's light is (3, M, K): M fillings at once."""

    def __init__(self, whole: Quick, cells: Any, shared: dict[str, Any] | None = None) -> None:
        arithmetic = whole_arithmetic(whole)
        super().__init__(SCENE, BLADE, arithmetic, whole.style_power, whole.numbers)
        self.whole, self.cells = whole, cells
        frame, pixel = cells // whole.pixels, cells % whole.pixels
        self.t, self.s = whole.t[frame, 0].reshape(1, -1), whole.s[frame, 0].reshape(1, -1)
        self.index = pixel.reshape(1, -1)
        self.centre, self.x = whole.centre[0, pixel].reshape(1, -1), whole.x[0, pixel].reshape(1, -1)
        self.filling: dict[str, Any] = {} if shared is None else shared
        self._levels: dict[tuple[ir.Signal, int], tuple[Any, int]] = {}
        self._kept: dict[tuple[int, int], Any] = {}
        if "stepped" in whole.__dict__:
            self.__dict__["stepped"] = Flat(whole.stepped, cells, self.filling)  # type: ignore[arg-type]

    def paint(self, node: ir.Paint) -> Any:
        """As Context.paint(); a hole is what fills it."""
        if isinstance(node, ir.Mirror):
            raise NotImplementedError("a mirrored paint asks for cells that are not drawn")
        slot = _slot(node)
        if not slot:
            return PAINTS[type(node)](self, node)
        bundle, indices = self.filling[slot]
        start = self.numbers.next
        light = self.lights(bundle, start, indices)
        self.numbers.next = start + bundle.noises
        return light

    def signal(self, node: ir.Signal) -> Any:
        """As Context.signal(), in the cells."""
        key = (node, self.numbers.next)
        if key not in self._levels:
            level = np.broadcast_to(self.whole.signal(node), (len(self.whole.t), self.pixels))
            self._levels[key] = level.reshape(-1)[self.cells].reshape(1, -1), self.numbers.next
        level, self.numbers.next = self._levels[key]
        return level

    def lights(self, bundle: Bundle, start: int, indices: Any) -> Any:
        """The light (3, M, K) of a bundle's fillings (M,)."""
        if bundle.size > KEPT:
            return self._one(bundle.heads[0], start, indices)[0][0]
        key = (id(bundle), start)
        if key not in self._kept:
            every = [self._one(h, start, np.arange(h.count))[0][0] for h in bundle.heads]
            self._kept[key] = np.concatenate(every, axis=1)
        return self._kept[key][:, indices]

    def laid(self, bundle: Bundle, start: int, indices: Any) -> list[tuple[Any, Any, ir.Sheet]]:
        """For each sheet of a layer its light (3, M, K), weight (M, K), and a sheet that is laid the same way."""
        sheets = bundle.heads[0].value
        if bundle.size > KEPT:
            return [(p, w, s) for (p, w), s in zip(self._one(bundle.heads[0], start, indices), sheets, strict=True)]
        key = (id(bundle), start)
        if key not in self._kept:
            every = [self._one(h, start, np.arange(h.count)) for h in bundle.heads]
            self._kept[key] = [
                (np.concatenate([e[k][0] for e in every], axis=1), np.concatenate([e[k][1] for e in every]))
                for k in range(len(sheets))
            ]
        return [(p[:, indices], w[indices], s) for (p, w), s in zip(self._kept[key], sheets, strict=True)]

    def _one(self, head: Head, start: int, indices: Any) -> list[tuple[Any, Any]]:
        """A head's light, or each sheet's light and weight, for some fillings."""
        before, number = dict(self.filling), self.numbers.next
        of_holes = np.unravel_index(indices, head.sizes) if head.holes else ()
        self.filling.clear()
        self.filling.update({s: (b, i) for (s, b), i in zip(head.holes, of_holes, strict=True)})
        self.numbers.next = start
        shape = (len(indices), len(self.cells))
        out: list[tuple[Any, Any]] = []
        for part in head.value if isinstance(head.value, tuple) else (head.value,):
            if isinstance(part, ir.Sheet):
                light, level = self.paint(part.paint), self.signal(part.weight)
                out.append((np.broadcast_to(light, (3, *shape)), np.broadcast_to(level, shape)))
            else:
                out.append((np.broadcast_to(self.paint(part), (3, *shape)), None))
        assert self.numbers.next == start + head.noises, head
        self.filling.clear()
        self.filling.update(before)
        self.numbers.next = number
        return out

    def duties(self, ground: Bundle, layers: Sequence[Bundle], indices: Sequence[Any], sheets: Any) -> Any:
        """Duties (3, M, K) of a ground under layers under `sheets`, for fillings (M,) of each."""
        picture, start = self.lights(ground, 0, indices[0]), ground.noises
        for layer, some in zip(layers, indices[1:], strict=True):
            for light, weight, sheet in self.laid(layer, start, some):
                picture = self._on(picture, light, weight, sheet)
            start += layer.noises
        self.numbers.next = start
        for sheet in sheets:
            light = self.paint(sheet.paint)
            picture = self._on(picture, light, self.signal(sheet.weight), sheet)
        return self.mixing.duties(picture)

    def _on(self, below: Any, light: Any, weight: Any, sheet: ir.Sheet) -> Any:
        mix = self.mixing.mix if sheet.operator == "over" else self.mixing.plus
        return mix(below, light, weight, sheet.weight)


def whole_arithmetic(whole: Quick) -> Any:
    """The arithmetic that a context was made with."""
    return whole.made_with  # type: ignore[attr-defined]


def whole_of(generation: Generation, power: ir.Power | None) -> Quick:
    """A context over all of the scene, for signals."""
    numbers = Numbering()
    out = Quick(SCENE, BLADE, generation.arithmetic, power, numbers)
    stepped = Quick(SCENE, BLADE, library()[FIRST].arithmetic, power, numbers)
    out.__dict__["stepped"] = stepped
    out.__dict__["made_with"], stepped.__dict__["made_with"] = generation.arithmetic, library()[FIRST].arithmetic
    return out
