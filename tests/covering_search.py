"""Does the covering miss anything? A search through all small target expressions, by sort, on short styles.

    python -m tests.covering_search [OLD NEW] [--styles A:B]

For each source style whose move is not within tolerance, every target style of up to four constructs is tried whose
numbers and colours are the source's own, converted: a ground, layers or wrappers, each nested as deep as the count
allows, and what brings power, which counts as one (colours count as none). What is within tolerance on the short
scene, and again on the probe scene, is something that the covering missed.

All of them are drawn, but most in a few cells only, thousands at a time (covering_batches). Nothing that can be
within tolerance is put aside, since

* a cell that is further off than the largest difference allowed, whatever alignment forgives, is one too many, so a
  few cells are enough to put a picture aside; and so are more cells beyond the p95 than the percentile leaves room for
  (covering_sight: boxes round the colours of a cell's neighbourhood; ends and half-covered cells are not judged);
* a power that is dark where the source is lit can put nothing right; one that is as another, or dark (rightly) where
  that one shows the picture, is right wherever that one is, so that one need not be tried;
* two that draw the same picture are out of tolerance together.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass
from itertools import product
from typing import Any, get_args

import numpy as np

from migrate.compare.figures import Figures, Tolerance, within
from migrate.ir import nodes as ir
from migrate.ir.colour import duty_codes
from migrate.packs.library import library
from migrate.packs.model import Generation
from migrate.pipeline import Options, move, scene_named
from migrate.render.draw import render
from migrate.source import SourceFile
from tests.covering_batches import Bundle, Flat, Heads, whole_of
from tests.covering_sight import SCENE, Drawer, Looker, edges_fit, figures_of
from tests.covering_sources import config, sources, styles_of
from tests.covering_terms import Pool, Shell, Term, Terms, add, shells
from tests.laws.small_scene import BLADE

MOST = 4  # constructs of a target style, colours not counted
LIMIT = 20_000  # pictures drawn whole for one source; a search that comes there is counted as not finished
STEPS = (6, 48)  # cells that are looked at, one step after the other
BLOCKS = ((1 / 3, 9), (2 / 3, 16))  # where, and how many whole frames, are looked at next; then all
ROWS = 60_000  # fillings at a time


@dataclass(frozen=True)
class Found:
    """A target style that looks right: its text and its figures on the short scene and on the probe."""

    text: str
    short: Figures
    probe: Figures


class TooManyError(Exception):
    """The limit of pictures is reached."""


_HEADS: dict[tuple[str, str], Heads] = {}


def constants(style: ir.Style, origin: Generation) -> Iterator[ir.Colour]:
    """What comes to one colour in a style, as duties: paints, and the ground under its first sheets."""
    drawer = Drawer(origin, SCENE, None)
    stacks = [(style.ground, style.sheets[:k]) for k in range(len(style.sheets) + 1)]
    for ground, sheets in [*((p, ()) for p in paints_of(style)), *stacks]:
        frames = drawer.draw(ground, sheets).reshape(-1, 3)
        if (frames == frames[0]).all():
            yield ir.Colour("duty", tuple(frames[0].tolist()))


def paints_of(node: Any) -> Iterator[Any]:
    """Every paint in a part of a style."""
    if isinstance(node, get_args(ir.Paint)):
        yield node
    for part in node if isinstance(node, tuple) else ():
        yield from paints_of(part)
    for one in fields(node) if is_dataclass(node) else ():
        yield from paints_of(getattr(node, one.name))


class Search:
    """Searches one source style's pictures in one target generation.

    `tried` counts the target styles that were looked at, `drawn` those that were drawn whole.
    """

    def __init__(self, style: ir.Style, origin: Generation, target: Generation) -> None:
        self.style, self.origin, self.target = style, origin, target
        self.pool = Pool().gather(ir.Style(style.ground, style.sheets))
        said = {duty_codes(c) for c in self.pool.colours}
        for colour in constants(style, origin):
            if colour.values not in said:
                add(self.pool.colours, colour)
        key = (target.name, repr(self.pool))
        if key not in _HEADS:
            _HEADS.clear()
            _HEADS[key] = Heads(target, self.pool)
        self.heads = _HEADS[key]
        self.frames = render(style, origin.arithmetic, SCENE, BLADE)
        self.looker = Looker(self.frames)
        self.tried = self.drawn = 0
        self.finished = True

    def run(self) -> Found | None:
        """The first target style found, or None; `finished` says whether all of them were looked at."""
        try:
            return next(self._search(), None)
        except TooManyError:
            self.finished = False
            return None

    def _search(self) -> Iterator[Found]:
        for shell in self._shells():
            yield from Trial(self, shell).found()

    def _shells(self) -> list[Shell]:
        """What may bring the power: none that is dark where the source is lit, none that another makes needless."""
        if self.style.power is None:
            return [Shell("{}", (), None, 0)]
        pool = Pool(whole=False).gather(self.style.power)
        pool.colours = self.pool.colours
        kept: list[tuple[Shell, Any, Any]] = []
        dark = np.zeros((3, 1, self.frames.shape[0] * self.frames.shape[1]), np.int16)
        every = np.arange(dark.shape[2])
        may_be_dark = ~self.looker.forth(dark, every, True).reshape(self.looker.shape) | ~self.looker.judged
        must_be = (self.looker.near[True][0] > 0) & self.looker.judged
        for shell in shells(Terms(self.target, pool)):
            drawer = Drawer(self.target, SCENE, shell.power)
            open_, shut = drawer.states()
            lightest = np.moveaxis(drawer.draw(ir.Colour("duty", (255, 255, 255)), ()), 2, 0)
            dim = (lightest < self.looker.near[True][0]) & must_be
            if may_be_dark[shut].all() and not dim.any():
                kept.append((shell, open_, shut))
        out: list[tuple[Shell, Any, Any]] = []
        for one in sorted(kept, key=lambda k: -int(k[2].sum())):
            if not any(o[0].sheets == one[0].sheets and _needless(one, o) for o in out):
                out.append(one)
        return [shell for shell, _, _ in out]


def _needless(one: tuple[Shell, Any, Any], other: tuple[Shell, Any, Any]) -> bool:
    """Whether `other` is, in each cell, shut or (open where `one` is)."""
    return bool((other[2] | (other[1] & one[1])).all())


class Trial:
    """All contents of one shell."""

    def __init__(self, search: Search, shell: Shell) -> None:
        self.search, self.shell, self.looker = search, shell, search.looker
        whole = whole_of(search.target, shell.power)
        self.drawer = Drawer(search.target, SCENE, shell.power)
        self.open = self.drawer.states()[0]
        every = np.arange(self.open.size)
        self.blocks = {}
        for share, frames in BLOCKS:
            first = min(self._lit(share), len(self.open) - frames)
            block = every.reshape(self.open.shape)[first : first + frames].reshape(-1)
            self.blocks[Flat(whole, block)] = first
        self.steps = [*(Flat(whole, cells) for cells in self._cells()), *self.blocks, Flat(whole, every)]
        self.wrong: set[bytes] = set()  # contents, pixel by pixel, whose picture is not within tolerance

    def _lit(self, share: float) -> int:
        """The frame at this share of those in which cells are judged."""
        lit = np.flatnonzero((self.open & self.looker.judged).any(axis=1))
        return int(lit[int(len(lit) * share)]) if len(lit) else 0

    def _cells(self) -> list[Any]:
        """The cells of each step but the last: in each stretch of time first those that leave least room."""
        low, high = (side.astype(np.float64) for side in self.looker.near[True])
        room = np.log2(np.clip(high - low + 1, 1, 256)).sum(axis=0)
        room += np.random.default_rng(0).random(room.shape)
        room[~(self.looker.judged & self.open)] = np.inf
        out, taken = [], np.zeros(room.size, bool)
        for count in STEPS:
            cells: list[int] = []
            lit = np.flatnonzero((room < np.inf).any(axis=1))
            for rows in np.array_split(lit, min(count, len(lit))):
                some = (rows[:, None] * room.shape[1] + np.arange(room.shape[1])).reshape(-1)
                some = some[~taken[some] & (room.reshape(-1)[some] < np.inf)]
                cells += some[np.argsort(room.reshape(-1)[some])][: -(-count // min(count, len(lit)))].tolist()
            taken[cells] = True
            out.append(np.array(sorted(cells), np.int64))
        return [cells for cells in out if len(cells)]

    def found(self) -> Iterator[Found]:
        """Every style found, the smallest first."""
        for size in range(MOST - self.shell.size + 1):
            for ground, layers in self._shapes(size):
                for bundles in product(
                    self.search.heads.paints("paint", ground), *map(self.search.heads.layers, layers)
                ):
                    yield from self._filled(bundles)

    def _shapes(self, size: int) -> Iterator[tuple[int, tuple[int, ...]]]:
        """Sizes of ground and layers that add up to this one."""
        for ground in range(size, -1, -1):
            for layers in _sums(size - ground):
                yield ground, layers

    def _filled(self, bundles: tuple[Bundle, ...]) -> Iterator[Found]:
        sizes = [b.count for b in bundles]
        total = int(np.prod(sizes, dtype=np.int64))
        self.search.tried += total
        for start in range(0, total, ROWS):
            indices = list(np.unravel_index(np.arange(start, min(total, start + ROWS)), sizes))
            for step in range(len(self.steps)):
                if len(indices[0]):
                    indices = self._sieved(bundles, indices, step)
            for one in zip(*(i.tolist() for i in indices), strict=True):
                found = self._confirmed(bundles, one)
                if found is not None:
                    yield found

    def _sieved(self, bundles: tuple[Bundle, ...], indices: list[Any], step: int) -> list[Any]:
        """The fillings that may be right by the cells of this step."""
        flat, parts = self.steps[step], []
        rows = max(1, 6 * ROWS // len(flat.cells))
        for at in range(0, len(indices[0]), rows):
            some = [i[at : at + rows] for i in indices]
            duties = flat.duties(bundles[0], bundles[1:], some, self.shell.sheets)
            duties = np.broadcast_to(duties, (3, len(some[0]), len(flat.cells)))
            if flat is self.steps[-1]:
                right = self._whole(duties)
            elif flat in self.blocks:
                right = self.looker.may_be(self._frames(duties), self.open, self.blocks[flat])
            else:
                right = ~self.looker.forth(duties, flat.cells, True).any(axis=1)
            parts.append([i[right] for i in some])
        return [np.concatenate(p) for p in zip(*parts, strict=True)]

    def _frames(self, duties: Any) -> Any:
        return np.moveaxis(duties.reshape(3, duties.shape[1], -1, self.open.shape[1]), 0, 3)

    def _whole(self, duties: Any) -> Any:
        """Which of whole contents (3, M, T * N) may be right and are not known to be wrong."""
        right = self.looker.may_be(self._frames(duties), self.open)
        for k in np.flatnonzero(right):
            right[k] = duties[:, k].tobytes() not in self.wrong
        return right

    def _confirmed(self, bundles: tuple[Bundle, ...], one: tuple[int, ...]) -> Found | None:
        """Draws one whole, and confirms it on the probe scene."""
        search = self.search
        row = [np.array([k]) for k in one]
        content = self.steps[-1].duties(bundles[0], bundles[1:], row, self.shell.sheets)
        key = np.broadcast_to(content, (3, 1, self.open.size)).tobytes()
        if key in self.wrong:
            return None
        search.drawn += 1
        if search.drawn > LIMIT:
            raise TooManyError
        ground, *layers = [b.term(search.heads, k) for b, k in zip(bundles, one, strict=True)]
        sheets = (*(s for layer in layers for s in layer.value), *self.shell.sheets)
        frames = self.drawer.draw(ground.value, sheets)
        everywhere = np.ones(self.open.shape, bool)
        if not (edges_fit(search.frames, frames, SCENE) and self.looker.may_be(frames[None], everywhere)[0]):
            self.wrong.add(key)
            return None
        short = figures_of(search.frames, frames, SCENE)
        if not within(short, Tolerance()):
            self.wrong.add(key)
            return None
        probe = scene_named("probe")
        style = ir.Style(ground.value, sheets, self.shell.power)
        pair = [
            render(s, g.arithmetic, probe, BLADE) for s, g in ((search.style, search.origin), (style, search.target))
        ]
        figures = figures_of(pair[0], pair[1], probe)
        if not within(figures, Tolerance()):
            return None
        return Found(_text(ground, layers, self.shell), short, figures)


def _sums(total: int) -> Iterator[tuple[int, ...]]:
    """Every run of numbers above 0 with this sum."""
    if not total:
        yield ()
    for first in range(1, total + 1):
        for rest in _sums(total - first):
            yield (first, *rest)


def _text(ground: Term, layers: list[Term], shell: Shell) -> str:
    text, listed = ground.text, []
    for layer in layers:
        if "{}" in layer.text:
            text = layer.text.replace("{}", text)
        else:
            listed.append(layer.text)
    return shell.text.replace("{}", ", ".join((text, *listed)))


@dataclass(frozen=True)
class Outcome:
    """What became of one source: how the move looks, and what the search found where that is out of tolerance."""

    text: str
    moved: str
    close: bool
    found: Found | None = None
    tried: int = 0
    drawn: int = 0
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
    return Outcome(text, shown, False, search.run(), search.tried, search.drawn, search.finished)


@dataclass
class Totals:
    """Of a run: styles searched, target styles looked at and drawn whole, not finished, missed."""

    searched: int = 0
    tried: int = 0
    drawn: int = 0
    cut: int = 0
    missed: int = 0

    def add(self, outcome: Outcome) -> None:
        """Counts one."""
        self.searched += 1
        self.tried += outcome.tried
        self.drawn += outcome.drawn
        self.cut += not outcome.finished
        self.missed += outcome.found is not None

    def __str__(self) -> str:
        looked = f"{self.tried} target styles looked at, {self.drawn} of them drawn whole"
        return f"{self.searched} styles searched, {looked}, {self.cut} not to the end, {self.missed} missed"


def _told(outcome: Outcome, old: str, new: str, took: float) -> str:
    end = "" if outcome.finished else ", NOT TO THE END"
    line = f"{old} to {new}: {outcome.text}: {outcome.tried} looked at, {outcome.drawn} drawn, {took:.1f} s{end}"
    if outcome.found is None:
        return line
    probe = outcome.found.probe
    figures = f"p95 {probe.p95:.2f}, largest {probe.largest:.2f}"
    return f"{line}\n  MISSED\n    moved to {outcome.moved}\n    found    {outcome.found.text}\n    {figures}"


def main(arguments: list[str]) -> int:
    """Prints a line for each style and what the search found; 1 where the covering missed something."""
    names = list(library())
    pairs = [(names[2], names[1]), (names[3], names[2]), (names[1], names[0])]
    some = slice(None)
    if "--styles" in arguments:
        at = arguments.index("--styles")
        some = slice(*(int(x) if x else None for x in arguments[at + 1].split(":")))
        arguments = arguments[:at] + arguments[at + 2 :]
    if len(arguments) == 2:
        pairs = [(arguments[0], arguments[1])]
    every, begun = Totals(), time.monotonic()
    for old, new in pairs:
        total, start = Totals(), time.monotonic()
        for text in sources(old)[some]:
            before = time.monotonic()
            outcome = examine(text, old, new)
            if outcome is not None and not outcome.close:
                total.add(outcome)
                every.add(outcome)
                print(_told(outcome, old, new, time.monotonic() - before), flush=True)
        print(f"{old} to {new}: {total}, {time.monotonic() - start:.0f} s", flush=True)
    print(f"in all: {every}, {time.monotonic() - begun:.0f} s", flush=True)
    return 1 if every.missed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
