"""`spot`: what a text is, says who, and does it matter. Repair, dating, measurement, and what there is to say."""

from __future__ import annotations

import sys
from bisect import bisect_right
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, get_args

from migrate.collector import collector_rests
from migrate.concrete.nodes import Node
from migrate.concrete.parse import parse
from migrate.dating.ambiguity import Doubtful, as_if, doubtful
from migrate.dating.dating import Dating, survey
from migrate.dating.declared import declared_of
from migrate.dating.leave import Mark, marks
from migrate.dating.remarks import Pick, remarks
from migrate.dating.repair import Offer, offer
from migrate.diagnostics import Diagnostic
from migrate.host import host_of
from migrate.includes import join
from migrate.ir import nodes as ir
from migrate.ir.dump import Dump, dump
from migrate.ir.facts import Blade
from migrate.ir.normal import Normaliser
from migrate.ir.walk import opaque_parts
from migrate.lift import Lifter
from migrate.packs.library import library
from migrate.packs.model import Generation
from migrate.reading import any_sort, unknown_styles
from migrate.resources import grammar_path
from migrate.scope import Scope, scope_of
from migrate.source import SourceFile

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from migrate.compare.figures import Figures
    from migrate.render.scene import Scene

NO_BLADE, EVERYTHING = Blade(), Pick()
Verdict = Literal["harmless", "false friend", "other reading", "unmeasured"]
sys.setrecursionlimit(max(sys.getrecursionlimit(), 10_000))


@dataclass(frozen=True)
class SpotOptions:
    """What the user asked for. `blade` fills what the file leaves out; `measure` renders the ambiguous."""

    read_as: str | None = None
    blade: Blade = NO_BLADE
    measure: bool = True
    every: bool = False
    pick: Pick = EVERYTHING
    packs: tuple[Path, ...] = ()


@dataclass(frozen=True)
class Against:
    """One reading measured against the first. `figures` is None where the meanings are equal, or no frame shows it."""

    generation: str
    equal: bool
    close: bool
    figures: Figures | None


@dataclass(frozen=True)
class Doubt:
    """A piece that can be read in several ways: the reading that others are held against, and the verdict."""

    found: Doubtful
    first: str
    against: tuple[Against, ...]
    verdict: Verdict
    blade: Blade


@dataclass(frozen=True)
class Spotted:
    """The report on one file. Spans are those of `source`, the text as it is; the pieces' are of the repaired text."""

    source: SourceFile
    offer: Offer
    dating: Dating
    doubts: tuple[Doubt, ...]
    marks: tuple[Mark, ...]
    diagnostics: tuple[Diagnostic, ...]
    skipped: str = ""
    left: frozenset[int] = frozenset()
    lost: bool = False  # whether the file itself could not be read

    @property
    def mixed(self) -> bool:
        """Whether its constructs are of several generations, or no one generation accepts it all."""
        told = {d.code for d in self.diagnostics}
        return bool(told & {"mixed-generations", "generations-conflict", "declared-contradicted"})

    @property
    def exit(self) -> int:
        """2 where something could not be read, else 1 where generations mix or a false friend is there, else 0."""
        if self.lost or any(d.severity == "error" for d in self.diagnostics):
            return 2
        doubtful_codes = ("false-friend", "ambiguous-generation")
        return 1 if self.mixed or any(d.code in doubtful_codes for d in self.diagnostics) else 0


def skip_reason(data: bytes) -> str:
    """Why a file is not read at all, or an empty string."""
    if not data.strip():
        return "empty"
    return "not a text" if b"\0" in data[:65536] else ""


@collector_rests()
def spot(source: SourceFile, options: SpotOptions) -> Spotted:
    """Dates a file construct by construct, offers repairs, and measures what is ambiguous."""
    generations = library(options.packs)
    why = skip_reason(source.data)
    if why:
        return Spotted(source, Offer(source, source), Dating(""), (), (), (), why)
    made = offer(source, generations, _stated(source, generations))
    parsed = parse(made.after)
    joined = join(made.after, parsed.items, known_headers(generations))
    scope = scope_of(joined.source, joined.items)
    found = tuple(marks(parsed))
    as_marked = {m.target.start: m.read_as for m in found if m.read_as in generations and m.target and not m.inside}
    own = {item.span for item in parsed.items}
    included = tuple(item for item in joined.items if item.span not in own)
    dating = survey(parsed, scope, generations, options.read_as, as_marked, included)
    if not dating.pieces and not dating.declared.all and not made.changed and not parsed.diagnostics:
        return Spotted(source, made, dating, (), found, (), "no style code in it")
    host = host_of(joined.items, scope, generations)
    blade = Blade(host.blade.pixels or options.blade.pixels, host.blade.per_metre or options.blade.per_metre)
    bench = Bench(scope, generations, blade, options.measure)
    damaged = _damaged(parsed.diagnostics, dating)
    told, left = remarks(parsed, dating, found, generations, options.pick, damaged)
    doubts = tuple(
        bench.doubt(d)
        for p in dating.pieces
        if p.piece.span.start not in left and options.pick.piece(p.piece) and p.piece.span.start not in damaged
        for d in doubtful(p, generations, options.every)
        if p.basis not in ("comment", "option")
    )
    kept = tuple(d for d in doubts if d.against and not (d.found.reading is not None and d.verdict == "harmless"))
    complete = bool(dating.pieces) and not any(d.code == "missing-include" for d in joined.diagnostics)
    unheld = unknown_styles(joined.items, scope) if complete else ()  # a table alone may be pasted without its styles
    unlifted = [joined.at_home(d) for d in (*bench.unlifted(dating, damaged, generations), *unheld)]
    heard = [d for d in parsed.diagnostics if not any(s.start <= d.span.start <= s.end for s in made.silenced)]
    whole = [*heard, *joined.diagnostics, *told, *unlifted, *map(_doubt_told, kept)]
    moved = [replace(d, span=made.origin_span(d.span)) for d in whole]
    ordered = sorted((*made.diagnostics, *moved), key=lambda d: (d.span.start, d.span.end, d.code))
    return Spotted(source, made, dating, kept, found, tuple(dict.fromkeys(ordered)), "", left)


def known_headers(generations: Mapping[str, Generation]) -> frozenset[str]:
    """The paths of the headers that the generations bring: nobody has to have them beside a config."""
    headers = {g.header for g in generations.values()} | {t.through for g in generations.values() for t in g.takes}
    return frozenset(path.strip('<>"') for path in headers)


def _stated(source: SourceFile, generations: Mapping[str, Generation]) -> str | None:
    parsed = parse(source)
    return declared_of(parsed, scope_of(source, parsed.items), generations).today


def _damaged(diagnostics: Iterable[Diagnostic], dating: Dating) -> frozenset[int]:
    """The pieces, by their start, in which something cannot be read."""
    starts = sorted(p.piece.span.start for p in dating.pieces)
    errors = [d.span.start for d in diagnostics if d.severity == "error"]
    # What goes wrong behind a piece and before the next is that piece's too: a bracket or a comment without an end.
    return frozenset(starts[at - 1] for at in (bisect_right(starts, error) for error in errors) if at > 0)


# ---- measurement ---------------------------------------------------------------------------------


class Bench:
    """Lifts and renders the readings of one file's expressions."""

    def __init__(self, scope: Scope, generations: Mapping[str, Generation], blade: Blade, measure: bool) -> None:
        self.scope, self.generations, self.measure = scope, generations, measure
        # The probe needs some blade; where nothing says which, 132 pixels at 144 to the metre: one of 36 inches.
        self.blade = Blade(blade.pixels or 132, blade.per_metre or 144)
        self._lifters = {name: Lifter(scope, g, self.blade) for name, g in generations.items()}
        self._figures: dict[tuple[Any, ...], tuple[Figures, bool]] = {}

    def doubt(self, found: Doubtful) -> Doubt:
        """The readings of an expression held against each other."""
        names = (found.reading, *found.others) if found.reading is not None else found.others
        lifted: dict[str, ir.Style] = {}
        for name in names:
            style = self._style(found, name)
            if style is not None:
                lifted[name] = style
        if len(lifted) < 2 or names[0] not in lifted:
            return Doubt(found, names[0], (), "harmless", self.blade)
        first, *rest = lifted
        against = tuple(self._against(first, lifted[first], name, lifted[name]) for name in rest)
        if found.reading is not None:
            against = tuple(a for a in against if not a.equal)
        return Doubt(found, first, against, self._verdict(found, against), self.blade)

    def _verdict(self, found: Doubtful, against: tuple[Against, ...]) -> Verdict:
        if all(a.equal or (a.figures is not None and a.close) for a in against):
            return "harmless"
        if found.reading is not None and found.supports in (None, found.reading):
            return "other reading"
        return "false friend" if self.measure else "unmeasured"

    def _style(self, found: Doubtful, name: str) -> ir.Style | None:
        """The piece as one generation reads it; a reading other than today's leaves today's what it cannot say."""
        key = name if found.reading in (None, name) else f"{name} in {found.reading}"
        if key not in self._lifters:
            merged = as_if(self.generations[name], self.generations[str(found.reading)])
            self._lifters[key] = Lifter(self.scope, merged, self.blade)
        lifter = self._lifters[key]
        lifted = lifter.lift(found.piece.piece.value, any_sort(lifter.generation))
        return None if isinstance(lifted, Diagnostic) else as_style(*lifted)

    def _against(self, first: str, one: ir.Style, name: str, two: ir.Style) -> Against:
        stepless = "tick" in (self.generations[first].arithmetic.clock, self.generations[name].arithmetic.clock)
        texts = (meaning(one, self.blade, stepless), meaning(two, self.blade, stepless))
        if texts[0] == texts[1]:
            return Against(name, True, True, None)
        if not self.measure:
            return Against(name, False, False, None)
        key = (first, name, repr(one), repr(two))
        if key not in self._figures:
            self._figures[key] = self._compare(first, one, name, two)
        figures, close = self._figures[key]
        return Against(name, False, close, figures)

    def _compare(self, first: str, one: ir.Style, name: str, two: ir.Style) -> tuple[Figures, bool]:
        from migrate.compare.figures import Tolerance, compare, within  # numpy loads only where a proof needs it
        from migrate.render.draw import render

        scene = probe()
        frames = [
            render(style, self.generations[g].arithmetic, scene, self.blade) for g, style in ((first, one), (name, two))
        ]
        events = [(e.event, e.start) for e in scene.events]
        start = first_apart(frames[0], frames[1])
        if start is not None:
            # A plain difference is plain after a second of it; only a slight one needs the whole scene.
            part = [f[start : start + WINDOW] for f in frames]
            shifted = [(event, at - start * 1_000_000 // scene.rate) for event, at in events]
            inside = [(event, at) for event, at in shifted if 0 <= at < WINDOW * 1_000_000 // scene.rate]
            figures = compare(part[0], part[1], scene.rate, inside)
            if not within(figures, Tolerance()):
                return later(figures, start, scene.rate), False
        figures = compare(frames[0], frames[1], scene.rate, events)
        return figures, within(figures, Tolerance())

    def _declares(self, value: Node) -> bool:
        return value.kind == "macro_call" and self.scope.text(value.children[0]) in self.scope.declaring

    def unlifted(
        self, dating: Dating, damaged: frozenset[int], generations: Mapping[str, Generation]
    ) -> list[Diagnostic]:
        """What only reading the whole shows: circles, depths, meanings that do not exist."""
        out = []
        for piece in dating.pieces:
            reading = piece.reading
            clean = all(r.certainty not in ("unknown", "accepted by none") for r in piece.rulings)
            if not clean or piece.piece.parameters or piece.piece.span.start in damaged or len(piece.conflict) > 1:
                continue
            if self._declares(piece.piece.value):
                continue  # it stands for a declaration, and for no value
            if reading is None and not piece.whole:
                reading = dating.generation
            if reading is not None and reading in generations:
                lifted = self._lifters[reading].lift(piece.piece.value, any_sort(generations[reading]))
                if isinstance(lifted, Diagnostic):
                    out.append(lifted)
        return out


def meaning(style: ir.Style, blade: Blade, stepless: bool) -> Dump:
    """The canonical dump of a style; `stepless` where one side's own clock steps everything anyway."""
    return dump(Normaliser(stepless=stepless)(style), blade)


@cache
def probe() -> Scene:
    """The standard probe scene; raises ValueError where the shipped file is broken."""
    from migrate.render.scene_reader import read_scene

    found = read_scene(grammar_path("scenes", "probe.scene").read_text("utf-8"), "probe")
    if isinstance(found, Diagnostic):
        raise ValueError(found.message)
    return found


WINDOW = 200  # frames: 0.8 s at the probe's 250 a second
_PLAIN = 12  # duty steps that no rounding makes


def first_apart(one: NDArray[np.uint8], two: NDArray[np.uint8]) -> int | None:
    """The frame from which two renders (T, N, 3) are plainly apart, a few frames early; None where they never are."""
    import numpy as np

    apart = np.flatnonzero((np.maximum(one, two) - np.minimum(one, two)).max(axis=(1, 2)) > _PLAIN)
    return max(0, int(apart[0]) - 6) if apart.size else None


def later(figures: Figures, frames: int, rate: int) -> Figures:
    """Figures of a part of a scene with their places in the whole of it."""
    from migrate.compare.figures import Place

    def moved(place: Place | None) -> Place | None:
        return place and Place(place.frame + frames, place.time_ms + frames * 1000 / rate, place.pixel)

    where = moved(figures.where)
    assert where is not None
    return replace(figures, where=where, first=moved(figures.first))


def as_style(value: Any, sort: str) -> ir.Style | None:
    """A style that shows a value: a paint as ground, a layer over black, a signal as the way from black to white."""
    black, white = ir.Colour("duty", (0, 0, 0)), ir.Colour("duty", (255, 255, 255))
    if any(opaque_parts(value)):
        return None  # no pack says what a part of it means, so nothing can be measured
    if isinstance(value, ir.Style):
        return value
    if isinstance(value, get_args(ir.Paint)):
        return ir.Style(value)
    if sort == "signal":
        return ir.Style(ir.Blend(black, white, value))
    if sort == "layer" and isinstance(value, ir.Sheet):
        return ir.Style(black, (value,))
    return None


# ---- what is said of a doubt -----------------------------------------------------------------------


def _doubt_told(doubt: Doubt) -> Diagnostic:
    found = doubt.found
    names = ", ".join((doubt.first, *(a.generation for a in doubt.against)))
    if doubt.verdict == "harmless":
        message = f"it can be read as {names}: all look the same, so it does not matter"
        return Diagnostic("harmless-ambiguity", "note", found.span, message)
    worst = max(doubt.against, key=lambda a: a.figures.largest if a.figures else 0.0)
    shown = f"read as {worst.generation} it differs from {doubt.first} by {figures_told(worst.figures)}"
    hint = _doubt_hint(doubt)
    if doubt.verdict == "other reading":
        return Diagnostic("other-reading", "note", found.span, shown, hint)
    if doubt.verdict == "unmeasured":
        return Diagnostic("ambiguous-generation", "warning", found.span, f"it can be read as {names}", hint)
    return Diagnostic("false-friend", "warning", found.span, shown, hint)


def _doubt_hint(doubt: Doubt) -> str:
    found = doubt.found
    supports = f"the code in and around it is {found.supports}'s" if found.supports else "nothing around it says which"
    if found.reading is not None:
        other = found.supports if found.supports not in (None, found.reading) else doubt.against[0].generation
        how = f"`// rehilt: read as {other}` above it keeps that look"
        return f"today it is read as {found.reading}; {supports}; {how}"
    return f"{supports}; say which with --read-as or a comment `// rehilt: read as {found.supports or doubt.first}`"


def figures_told(figures: Figures | None) -> str:
    """A measured difference in words: the figures, and the first frame that differs."""
    if figures is None:
        return "its meaning"
    said = f"ΔE 95 % {figures.p95:.1f}, largest {figures.largest:.1f}, event edges {figures.edge_ms:.0f} ms"
    if figures.first is not None:
        at = figures.first
        said += f", first at frame {at.frame} ({at.time_ms / 1000:.3f} s), pixel {at.pixel}"
    return said
