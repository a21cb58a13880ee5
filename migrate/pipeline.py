"""The road: text to tree to IR to target text, re-read, rendered, compared and graded. Reads top to bottom."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, get_args

from migrate.concrete.edits import Edit, apply_edits
from migrate.concrete.parse import parse
from migrate.dating.dating import Dating
from migrate.diagnostics import Diagnostic
from migrate.ir import nodes as ir
from migrate.ir.dump import Dump, dump, rounding
from migrate.ir.facts import Blade
from migrate.ir.normal import Normaliser
from migrate.ir.walk import opaque_parts
from migrate.lower.beside import blocks, comment_for, find, note_line, stale_notes
from migrate.lower.cost import Cost, Cover
from migrate.lowering import Lowered, lower, write
from migrate.merging import branch_notes, merge, pinned_of
from migrate.packs.library import library
from migrate.packs.model import Generation
from migrate.reading import Lifted as Lifted
from migrate.reading import Options as Options
from migrate.reading import Reading as Reading
from migrate.reading import read as read
from migrate.reading import style_names as style_names
from migrate.reading import unread_styles
from migrate.reading import uses_compat as uses_compat
from migrate.source import SourceFile, Span

if TYPE_CHECKING:
    from migrate.compare.figures import Figures, Tolerance
    from migrate.render.scene import Scene

Grade = Literal["same", "close", "unmeasured", "changed", "kept", "refused"]
GRADES: tuple[Grade, ...] = get_args(Grade)


def worse(one: Grade, other: Grade) -> Grade:
    """The one of two grades that asks for more care."""
    return max(one, other, key=GRADES.index)


# Reading nests a handful of calls for each template level; the lifter itself stops at 200 levels.
sys.setrecursionlimit(max(sys.getrecursionlimit(), 10_000))

CLOSE_ROUNDING = Fraction(1, 100)


@dataclass(frozen=True)
class StyleMove:
    """What became of one style."""

    name: str
    line: int
    origin: str
    grade: Grade
    rounding: Fraction
    figures: Figures | None
    scene: str
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Moved:
    """A file's move: the new text, its styles with their grades, and what there is to say."""

    source: SourceFile
    text: bytes
    origin: str | None
    target: str
    styles: tuple[StyleMove, ...]
    diagnostics: tuple[Diagnostic, ...]
    edits: tuple[Edit, ...] = ()
    dating: Dating | None = None

    @property
    def exit(self) -> int:
        """0 all same or close, 1 something changed or kept, 2 something refused."""
        grades = {style.grade for style in self.styles}
        if "refused" in grades or any(d.severity == "error" for d in self.diagnostics):
            return 2
        return 1 if grades & {"changed", "kept", "unmeasured"} else 0


# ---- the road ------------------------------------------------------------------------------------


def move(source: SourceFile, options: Options) -> Moved:
    """Moves every style of a file to the target generation, and proves it on the new text.

    A file with branches is read once for each way to build it; its edits are merged.
    """
    generations = library(options.packs)
    target = generations[options.target]
    befores = readings(source, options)
    before = befores[0]
    if isinstance(before, Diagnostic):
        return Moved(source, source.data, None, target.name, (), (*parse(source).diagnostics, before))
    read_ones = [b for b in befores if isinstance(b, Reading)]
    moving = [b for b in read_ones if b.generation is not target or uses_compat(b) or b.spoken.readings]
    if not moving:
        return _merged(_untouched(b, target) for b in read_ones)
    halfway = _halfway(before, target, generations)
    if halfway is not None:
        return _in_two_steps(source, options, halfway)
    lowered = {id(b): lower(b, target) if b in moving else Lowered() for b in read_ones}
    edits, split = merge(
        before.joined, [b.build for b in read_ones],
        [write(b, target, lowered[id(b)]) if b in moving else [] for b in read_ones],
    )  # fmt: skip
    plan = put_beside(before, target, edits, generations)
    after_source = SourceFile(source.name, plan.text(()))
    moves = [
        _graded_build(b, target, lowered[id(b)], after_source, plan, options) if b in moving else _untouched(b, target)
        for b in read_ones
    ]
    whole = _merged(moves)
    failed = bool(whole.styles) or any(d.severity == "error" for d in whole.diagnostics)
    unmoved = failed and all(style.grade == "refused" for style in whole.styles)
    text = source.data if unmoved else plan.text(notes_for(read_ones, whole.styles))
    said = (*whole.diagnostics, *split, *plan.diagnostics, *branch_notes(read_ones, moving, generations))
    return replace(whole, source=source, text=text, diagnostics=tuple(dict.fromkeys(said)))


def readings(source: SourceFile, options: Options) -> list[Reading | Diagnostic]:
    """The file as each of its builds reads it, that with the fewest macros defined first."""
    first = read(source, options)
    if isinstance(first, Diagnostic):
        return [first]
    return [first, *(read(source, options, build) for build in first.builds[1:])]


def _graded_build(
    before: Reading, target: Generation, lowered: Lowered, after_source: SourceFile, plan: Plan, options: Options
) -> Moved:
    """One build's move: its styles graded on the new text, which is read in the same branches."""
    again = replace(options, reading=target.name, blade=before.blade)
    after = read(after_source, again, before.build, pinned_of(before, library(options.packs)))
    origin = before.generation.name
    if isinstance(after, Diagnostic):
        return Moved(before.parsed.source, b"", origin, target.name, (), (*before.diagnostics, after))
    styles = tuple(grade(before, after, lowered.covers, lowered.refusals, plan.restored, options))
    refused = [lowered.refusals[s.name] for s in styles if s.name in lowered.refusals]
    said = (*before.diagnostics, *lowered.notes, *refused, *after.parsed.diagnostics)
    return Moved(before.parsed.source, b"", origin, target.name, styles, said)


def _merged(moves: Iterable[Moved]) -> Moved:
    """The moves of a file's builds as one: each style once for each place where it is defined."""
    every = list(moves)
    styles: dict[tuple[str, int], StyleMove] = {}
    for style in (s for one in every for s in one.styles):
        key = (style.name, style.line)
        known = styles.setdefault(key, style)
        if worse(known.grade, style.grade) != known.grade:
            styles[key] = style
    # What two builds say of one place in the words of two generations is one thing to say.
    said = {(d.code, d.span): d for one in reversed(every) for d in reversed(one.diagnostics)}
    diagnostics = tuple(sorted(said.values(), key=lambda d: (d.span.start, d.code)))
    return replace(every[0], styles=tuple(sorted(styles.values(), key=lambda s: s.line)), diagnostics=diagnostics)


def _halfway(before: Reading, target: Generation, generations: Mapping[str, Generation]) -> str | None:
    """A generation on the way up whose originals stand beside the code: they come back first."""
    kept = {b.generation for b in find(before.parsed.source.data)}
    upward = ancestors(target, generations)
    if before.generation.name not in upward:
        return None
    between = upward[1 : upward.index(before.generation.name)]
    return next((name for name in reversed(between) if name in kept), None)


def _in_two_steps(source: SourceFile, options: Options, halfway: str) -> Moved:
    first = move(source, replace(options, target=halfway))
    rest = replace(options, reading=None if options.reading is None else halfway)
    second = move(SourceFile(source.name, first.text), rest)
    grades = {style.name: style for style in first.styles}
    styles = tuple(
        replace(s, origin=first.origin or s.origin, grade=worse(s.grade, grades[s.name].grade))
        if s.name in grades
        else s
        for s in second.styles
    )
    return replace(
        second, source=source, origin=first.origin, styles=styles,
        diagnostics=(*first.diagnostics, *second.diagnostics),
    )  # fmt: skip


def _untouched(before: Reading, target: Generation) -> Moved:
    styles = tuple(
        StyleMove(d.name, _line(before, d), target.name, "same", Fraction(0), None, "")
        for d in before.lifted.values()
        if d.name in style_names(before)
    )
    source = before.parsed.source
    return Moved(source, source.data, target.name, target.name, styles, before.diagnostics)


def _line(reading: Reading, lifted: Lifted) -> int:
    return _line_of(reading, lifted.item)


def _line_of(reading: Reading, item: Any) -> int:
    span = getattr(item, "name_span", item.span)
    return reading.parsed.source.place(span.start)[0]


# ---- beside the code -------------------------------------------------------------------------------


@dataclass(frozen=True)
class Plan:
    """A file's edits, with the originals that are kept beside them or come back."""

    source: SourceFile
    edits: tuple[Edit, ...]
    kept: tuple[tuple[Span, bytes], ...]
    restored: tuple[Span, ...]
    diagnostics: tuple[Diagnostic, ...]

    def text(self, notes: Sequence[tuple[int, bytes]]) -> bytes:
        """The new text, with notes put in above the lines that hold these offsets."""
        above: dict[int, bytes] = {}
        for offset, note in notes:
            block = next((s for s, _ in self.kept if s.start <= offset < s.end), None)
            start = block.start if block else self.source.data.rfind(b"\n", 0, offset) + 1
            above[start] = above.get(start, b"") + note
        for span, comment in self.kept:
            above[span.start] = above.get(span.start, b"") + comment
        edits = (*(Edit(at, at, new) for at, new in sorted(above.items())), *self.edits)
        first = 3 if self.source.has_bom else 0  # what comes above the first line comes after its byte order mark
        edits = tuple(Edit(max(e.start, first), max(e.end, first), e.text) for e in edits)
        return apply_edits(self.source.data, edits)


def ancestors(generation: Generation, generations: Mapping[str, Generation]) -> list[str]:
    """The generation and those it follows, newest first."""
    out = [generation.name]
    while generations[out[-1]].follows:
        out.append(generations[out[-1]].follows)
    return out


def put_beside(
    before: Reading, target: Generation, edits: Sequence[Edit], generations: Mapping[str, Generation]
) -> Plan:
    """Going down, keeps the originals beside what replaces them; going up, brings them back where nothing was edited."""
    source = before.parsed.source
    edits = [*edits, *stale_notes(source.data)]
    units = [item.span for item in before.parsed.items]
    downward = before.generation.name != target.name and target.name in ancestors(before.generation, generations)
    if downward:
        units += [Span(b.comment.start, b.block.end) for b in find(source.data)]
        found = blocks(source, edits, units)
        name, newline = before.generation.name, source.newline
        kept = [(b.span, comment_for(name, source.data[b.span.start : b.span.end], b.text, newline)) for b in found]
        return Plan(source, tuple(edits), tuple(kept), (), ())
    restored: list[Span] = []
    diagnostics: list[Diagnostic] = []
    for original in find(source.data):
        whole = Span(original.comment.start, original.block.end)
        if original.generation == target.name and original.intact:
            edits = [e for e in edits if not (whole.start <= e.start and e.end <= whole.end)]
            edits.append(Edit(whole.start, whole.end, original.original))
            restored.append(whole)
        elif original.generation == target.name:
            edits.append(Edit(original.comment.start, original.comment.end, b""))
            message = f"this was edited since it came from {target.name}; the edit stands, the kept original goes"
            diagnostics.append(Diagnostic("edited-since", "note", original.block, message))
        else:
            inside = [e for e in edits if original.block.start <= e.start and e.end <= original.block.end]
            moved = [Edit(e.start - original.block.start, e.end - original.block.start, e.text) for e in inside]
            block = apply_edits(source.data[original.block.start : original.block.end], moved)
            comment = comment_for(original.generation, original.original, block, source.newline)
            if original.intact:
                edits.append(Edit(original.comment.start, original.comment.end, comment))
    return Plan(source, tuple(edits), (), tuple(restored), tuple(diagnostics))


def notes_for(befores: Sequence[Reading], styles: Sequence[StyleMove]) -> list[tuple[int, bytes]]:
    """A note above each style that needs a human eye: what, why, how much, in which scene, from which frame.

    A refused style stays as it was, in a file that moves on: a comment says which generation it is to be read as.
    """
    source, out = befores[0].parsed.source, []
    starts = {(d.name, _line(b, d)): d.item.span.start for b in befores for d in b.lifted.values()}
    starts |= {(i.name, _line_of(b, i)): i.span.start for b in befores for i, _ in b.unread}
    marked = {start for b in befores for start in b.spoken.readings}
    for style in styles:
        start = starts.get((style.name, style.line))
        if style.grade in ("same", "close") or start is None:
            continue
        line = source.data[source.data.rfind(b"\n", 0, start) + 1 : start]
        margin = line.decode(source.encoding, "replace") if not line.strip() else ""
        if style.grade != "refused":
            note = note_line(style.grade, (*style.notes, *_measured(style)), margin, source.newline, source.encoding)
            out.append((start, note))
        elif start not in marked:
            note = note_line(f"read as {style.origin}", (), margin, source.newline, source.encoding)
            out.append((start, note))
    return out


def _measured(style: StyleMove) -> list[str]:
    figures = style.figures
    if figures is None:
        return []
    said = [f"dE 95 % {figures.p95:.2f} largest {figures.largest:.2f}, edges {figures.edge_ms:.0f} ms"]
    if figures.first is not None:
        first = figures.first
        said.append(f"scene {style.scene} from frame {first.frame} ({first.time_ms / 1000:.3f} s)")
    return said


# ---- proof and grade -------------------------------------------------------------------------------


def grade(
    before: Reading, after: Reading, covers: Mapping[str, Cover], refusals: Mapping[str, Diagnostic],
    restored: Sequence[Span], options: Options,
) -> list[StyleMove]:  # fmt: skip
    """Compares what the two texts mean, and where that differs, what they look like."""
    origin = before.generation.name
    out = [
        StyleMove(item.name, _line_of(before, item), origin, "refused", Fraction(0), None, "", (said.message,))
        for item, said in unread_styles(before)
    ]
    for name in before.lifted:
        if name not in style_names(before):
            continue
        old, line = before.lifted[name], _line(before, before.lifted[name])
        origin = (old.reading or before.generation).name
        if name in refusals:
            out.append(StyleMove(name, line, origin, "refused", Fraction(0), None, "", (refusals[name].message,)))
            continue
        new = after.lifted.get(name)
        if new is None:
            errors = (d.message for d in after.diagnostics if d.severity == "error")
            why = next(errors, f"no style `{name}` in the other text")
            out.append(StyleMove(name, line, origin, "refused", Fraction(0), None, "", (why,)))
            continue
        span = old.item.span
        if any(r.start <= span.start and span.end <= r.end for r in restored):
            notes = ("restored from the original beside it",)
            out.append(StyleMove(name, line, origin, "same", Fraction(0), None, "", notes))
            continue
        out.append(_graded(old, new, before, after, covers[name], line, options))
    return out


def _graded(
    old: Lifted, new: Lifted, before: Reading, after: Reading, cover: Cover, line: int, options: Options
) -> StyleMove:
    name, origin = old.name, (old.reading or before.generation).name
    stepless = "tick" in (before.generation.arithmetic.clock, after.generation.arithmetic.clock)
    unknown = sorted({part.identity.partition(":")[2] for raw in (old.raw, new.raw) for part in opaque_parts(raw)})
    if unknown:
        note = f"moved by name alone: no pack says what {', '.join(f'`{n}`' for n in unknown)} means"
        return StyleMove(name, line, origin, "unmeasured", Fraction(0), None, "", (note, *cover.losses))
    off = rounding(meaning(old.raw, before.blade, stepless), meaning(new.raw, after.blade, stepless))
    if off == 0 or (off is not None and off <= CLOSE_ROUNDING):
        return StyleMove(name, line, origin, "same" if off == 0 else "close", off, None, "", cover.losses)
    if not options.prove:
        return StyleMove(name, line, origin, "unmeasured", off or Fraction(0), None, "", cover.losses)
    figures, scene, close = prove(old, new, before, after, options)
    return StyleMove(name, line, origin, "close" if close else "changed", off or Fraction(0), figures, scene, cover.losses)


def compare_readings(before: Reading, after: Reading, options: Options) -> Moved:
    """Grades each style of one file against the style of the same name in another."""
    nothing = Cover(Cost(), (), ())
    covers = {name: nothing for name in before.lifted}
    styles = tuple(grade(before, after, covers, {}, (), options))
    return Moved(before.parsed.source, b"", before.generation.name, after.generation.name, styles, ())


def meaning(raw: Any, blade: Blade, stepless: bool) -> Dump:
    """The canonical dump of a style; `stepless` where one side's own clock steps everything anyway."""
    style = raw if isinstance(raw, ir.Style) else ir.Style(raw)
    return dump(Normaliser(stepless=stepless)(style), blade)


def prove(old: Lifted, new: Lifted, before: Reading, after: Reading, options: Options) -> tuple[Figures, str, bool]:
    """Renders both texts over each probe scene and returns the worst figures, their scene, and whether all is close."""
    from migrate.compare.figures import Tolerance, compare, within  # numpy loads only where a proof needs it

    worst: tuple[Figures, str] | None = None
    close = True
    for scene_name in options.scenes:
        scene = scene_named(scene_name)
        frames = [frames_of(d, r, scene) for d, r in ((old, before), (new, after))]
        events = [(e.event, e.start) for e in scene.events]
        figures = compare(frames[0], frames[1], scene.rate, events)
        close = close and within(figures, Tolerance())
        if worst is None or (figures.p95, figures.largest) > (worst[0].p95, worst[0].largest):
            worst = (figures, scene_name)
    assert worst is not None
    return *worst, close


def frames_of(lifted: Lifted, reading: Reading, scene: Scene) -> Any:
    """The frames of one definition as its own generation draws them, (T, N, 3) duties."""
    from migrate.render.draw import render

    style = lifted.raw if isinstance(lifted.raw, ir.Style) else ir.Style(lifted.raw)
    return render(style, (lifted.reading or reading.generation).arithmetic, scene, reading.blade)


@cache
def scene_named(name: str) -> Scene:
    """A scene that ships, by name, or one from a path; raises ValueError with the printed diagnostics."""
    from migrate.render.scene_reader import read_scene
    from migrate.resources import grammar_path

    path = Path(name) if name.endswith(".scene") else grammar_path("scenes", f"{name}.scene")
    found = read_scene(path.read_text("utf-8"), path.stem)
    if isinstance(found, Diagnostic):
        raise ValueError(found.message)
    return found
