"""The road: text to tree to IR to target text, re-read, rendered, compared and graded. Reads top to bottom."""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, get_args

from migrate.concrete.edits import Edit, apply_edits
from migrate.concrete.items import Alias, Define, StyleMacro
from migrate.concrete.parse import Parsed, parse
from migrate.dating.dating import Dating, date
from migrate.diagnostics import Diagnostic
from migrate.host import Host, host_of, named_values
from migrate.ir import nodes as ir
from migrate.ir.dump import Dump, dump, rounding
from migrate.ir.facts import Blade
from migrate.ir.normal import Normaliser
from migrate.lift import Applied, Lifter
from migrate.lower.beside import blocks, comment_for, find, note_line, stale_notes
from migrate.lower.cost import Cost, Cover
from migrate.lower.cover import Coverer
from migrate.lower.vocabulary import Vocabulary
from migrate.lower.host_edits import HostMove, definition_edit
from migrate.lower.target import Reference, Target, Use, nodes
from migrate.lower.write import Layout, Origins, Writer
from migrate.packs.library import library
from migrate.packs.model import Generation
from migrate.scope import Scope, scope_of
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

STYLES = ("style", "sleeve")
ANY_SORT = ("style", "sleeve", "paint", "tape", "signal", "layer", "shape", "held_shape", "transition", "stop")
CLOSE_ROUNDING = Fraction(1, 100)


@dataclass(frozen=True)
class Options:
    """What the user asked for. `reading` overrides the dating; `blade` fills what the config leaves out."""

    target: str
    reading: str | None = None
    blade: Blade = Blade()
    scenes: tuple[str, ...] = ("probe",)
    prove: bool = True
    packs: tuple[Path, ...] = ()


@dataclass(frozen=True)
class Reading:
    """A file read as one generation: its definitions lifted, each in normal form."""

    parsed: Parsed
    scope: Scope
    host: Host
    generation: Generation
    blade: Blade
    lifter: Lifter
    normal: Normaliser
    lifted: Mapping[str, Lifted]
    diagnostics: tuple[Diagnostic, ...]


@dataclass(frozen=True)
class Lifted:
    """One definition: the IR as written, its normal form, and the sort that it is."""

    name: str
    item: Alias | Define | StyleMacro
    raw: Any
    normal: Any
    sort: str

    @property
    def is_style(self) -> bool:
        """Whether it is a whole style by its sort."""
        return self.sort in STYLES


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
    """Moves every style of a file to the target generation, and proves it on the new text."""
    generations = library(options.packs)
    target = generations[options.target]
    before = read(source, options)
    if isinstance(before, Diagnostic):
        return Moved(source, source.data, None, target.name, (), (*parse(source).diagnostics, before))
    if before.generation is target and not uses_compat(before):
        return _untouched(before, target)
    halfway = _halfway(before, target, generations)
    if halfway is not None:
        return _in_two_steps(source, options, halfway)
    covers, refusals = lower(before, target)
    plan = put_beside(before, target, write(before, target, covers), generations)
    after = read(SourceFile(source.name, plan.text(())), replace(options, reading=target.name, blade=before.blade))
    if isinstance(after, Diagnostic):
        return Moved(source, source.data, before.generation.name, target.name, (), (after,))
    styles = tuple(grade(before, after, covers, refusals, plan.restored, options))
    text = plan.text(notes_for(before, styles))
    diagnostics = (*before.diagnostics, *plan.diagnostics, *after.parsed.diagnostics)
    return Moved(source, text, before.generation.name, target.name, styles, diagnostics)


def _halfway(before: Reading, target: Generation, generations: Mapping[str, Generation]) -> str | None:
    """A generation on the way up whose originals stand beside the code: they come back first."""
    kept = {b.generation for b in find(before.parsed.source.data)}
    upward = ancestors(target, generations)
    if before.generation.name not in upward:
        return None
    between = upward[: upward.index(before.generation.name)]
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


def read(source: SourceFile, options: Options) -> Reading | Diagnostic:
    """Text to tree to IR: parses, dates, lifts every definition and brings it into normal form."""
    generations = library(options.packs)
    parsed = parse(source)
    scope = scope_of(source, parsed.items)
    host = host_of(parsed.items, scope, generations)
    blade = Blade(host.blade.pixels or options.blade.pixels, host.blade.per_metre or options.blade.per_metre)
    name = options.reading or host.declared
    if name is None:
        dated = date(parsed, scope, generations)
        if isinstance(dated, Diagnostic):
            return dated
        name = dated.generation
    generation = generations[name]
    lifter, normaliser = Lifter(scope, generation, blade), Normaliser(spread=False)
    lifted, diagnostics = _lift_all(parsed, scope, host, lifter, normaliser)
    return Reading(
        parsed, scope, host, generation, blade, lifter, normaliser, lifted, (*parsed.diagnostics, *diagnostics)
    )


def _lift_all(
    parsed: Parsed, scope: Scope, host: Host, lifter: Lifter, normaliser: Normaliser
) -> tuple[dict[str, Lifted], list[Diagnostic]]:
    lifted: dict[str, Lifted] = {}
    diagnostics: list[Diagnostic] = []
    for item in named_values(parsed.items):
        assert item.value is not None
        if (isinstance(item, Alias) and item.params) or (isinstance(item, Define) and item.params is not None):
            continue
        if isinstance(item, Define) and item.value.kind not in ("application", "name"):
            continue
        found = lifter.lift(item.value, ANY_SORT)
        if not isinstance(found, Diagnostic):
            raw, sort = found
            lifted[item.name] = Lifted(item.name, item, raw, normaliser(raw), sort)
        elif not isinstance(item, Define) or item.value.kind == "application":
            diagnostics.append(found)
    return lifted, diagnostics


def uses_compat(reading: Reading) -> bool:
    """Whether anything in the file is accepted only through an older generation's compat header."""
    return any(a.construct.compat for found in reading.lifter.applied.values() for a in found)


def _untouched(before: Reading, target: Generation) -> Moved:
    styles = tuple(
        StyleMove(d.name, _line(before, d), target.name, "same", Fraction(0), None, "")
        for d in before.lifted.values()
        if d.name in style_names(before)
    )
    source = before.parsed.source
    return Moved(source, source.data, target.name, target.name, styles, before.diagnostics)


def style_names(reading: Reading) -> frozenset[str]:
    """The definitions that are styles: by their sort, or because a slot names them."""
    return frozenset(
        name for name, d in reading.lifted.items() if d.sort == "style" or name in reading.host.in_slots
    ) | frozenset(
        name for name, d in reading.lifted.items() if d.sort == "sleeve" and not _used_inside(reading, name)
    )


def _used_inside(reading: Reading, name: str) -> bool:
    """Whether another definition is built on this one."""
    return any(n.name == name for n in reading.lifter.named.values())


def _line(reading: Reading, lifted: Lifted) -> int:
    return reading.parsed.source.place(lifted.item.name_span.start)[0]


# ---- lower ---------------------------------------------------------------------------------------


@cache
def _vocabulary(name: str, packs: tuple[Path, ...]) -> Vocabulary:
    return Vocabulary(library(packs)[name])


def lower(before: Reading, target: Generation) -> tuple[dict[str, Cover], dict[str, Diagnostic]]:
    """IR to target trees, definition by definition in the file's order; what cannot be covered exactly, nearly."""
    covers: dict[str, Cover] = {}
    refusals: dict[str, Diagnostic] = {}
    named: dict[int, Use] = {}
    normal_of = {name: id(d.normal) for name, d in before.lifted.items()}
    uses: dict[str, list[int]] = {}
    for raw_id, use in before.lifter.named.items():
        found = before.normal._done.get(raw_id)
        if found is not None:
            uses.setdefault(use.name, []).append(id(found[1]))
    vocabulary = _vocabulary(target.name, ())
    exact = Coverer(vocabulary, before.blade, named)
    near = Coverer(vocabulary, before.blade, named, lossy=True, describe=lambda v: _described(before, v))
    for name, definition in before.lifted.items():
        sorts = target_sorts(definition, before, target)
        value = definition.normal
        if sorts == STYLES and not isinstance(value, ir.Style):
            value = ir.Style(value)
        cover = exact.cover(value, sorts) or near.cover(value, sorts)
        if cover is None:
            refusals[name] = _refusal(definition, exact.missing | near.missing, target)
            continue
        covers[name] = cover
        sort = cover.tree.construct.sort if isinstance(cover.tree, Target) else definition.sort
        for value in uses.get(name, ()):
            if value != normal_of[name] and sort not in STYLES:
                named[value] = Use(name, sort)
    return covers, refusals


def target_sorts(definition: Lifted, before: Reading, target: Generation) -> tuple[str, ...]:
    """The sorts that a definition may have in the target."""
    if definition.name in style_names(before) or definition.sort in STYLES:
        return STYLES
    native = {c.sort for group in target.constructs.values() for c in group if not c.compat}
    return (definition.sort,) if definition.sort in native else tuple(sorted(native - set(STYLES)))


def _described(before: Reading, value: Any) -> str:
    """A part of the source in its own words."""
    for raw, normal in before.normal._done.values():
        if normal is value and id(raw) in before.lifter.applied:
            text = " ".join(before.scope.text(before.lifter.applied[id(raw)][0].node).split())
            return f"`{text if len(text) <= 70 else text[:67] + '…'}`"
    return type(value).__name__.lower()


def _refusal(definition: Lifted, missing: set[str], target: Generation) -> Diagnostic:
    assert definition.item.value is not None
    span = Span(definition.item.value.start, definition.item.value.end)
    if "pixels" in missing:
        hint = f"add `constexpr int {target.pixels} = …;` to the config, or give --pixels"
        return Diagnostic("missing-pixel-count", "error", span, "a length converts only with the pixel count", hint)
    if "pitch" in missing:
        hint = f"add `constexpr int {target.pitch} = …;` to the config, or give --pitch"
        return Diagnostic("missing-pitch", "error", span, "a length in mm converts only with the pitch", hint)
    return Diagnostic("no-cover", "error", span, f"{target.name} has no way to say `{definition.name}`", "")


# ---- write ---------------------------------------------------------------------------------------


def write(before: Reading, target: Generation, covers: Mapping[str, Cover]) -> list[Edit]:
    """Target trees to edits: each definition at its place, then what stands round them."""
    source, scope = before.parsed.source, before.scope
    edits: list[Edit] = []
    applied: dict[int, list[Applied]] = {}
    for raw_id, found in before.lifter.applied.items():
        done = before.normal._done.get(raw_id)
        key = id(done[1]) if done is not None else raw_id
        applied.setdefault(key, []).extend(found)
    origins = Origins(applied, scope.text)
    layout = layout_of(before, target)
    for name, cover in covers.items():
        item = before.lifted[name].item
        assert item.value is not None and isinstance(cover.tree, (Target, Reference))
        start = source.data.rfind(b"\n", 0, item.value.start) + 1
        head = source.data[start : item.value.start].decode(source.encoding, "replace")
        margin = head[: len(head) - len(head.lstrip())]
        writer = Writer(target, layout, origins)
        text = writer.write(cover.tree, item.value, len(head), margin)
        if isinstance(item, Define) and "\n" in text:
            text = text.replace(layout.newline, " \\" + layout.newline)
        if text != scope.text(item.value) or isinstance(item, Alias) and target.declares != before.generation.declares:
            edits.append(
                definition_edit(item, target, text, scope)
                if isinstance(item, Alias)
                else Edit(item.value.start, item.value.end, text.encode(source.encoding, "replace"))
            )
    through = frozenset(
        t.construct.through for c in covers.values() for t in nodes(c.tree) if isinstance(t, Target) and t.construct.compat
    )
    host = HostMove(before.parsed.items, scope, library(), before.generation, target, through)
    return sorted((*edits, *host.edits()))


def layout_of(before: Reading, target: Generation) -> Layout:
    """How this file is written: its indentation, its newline, whether names are qualified."""
    source = before.parsed.source
    qualified = bool(target.namespace) and target.namespace == before.generation.namespace
    qualify = f"{target.namespace}::" if qualified and target.namespace not in before.host.namespaces else ""
    lines = source.data.split(b"\n")
    tabs = sum(line.startswith(b"\t") for line in lines)
    spaces = sum(line.startswith(b"  ") for line in lines)
    fours = sum(line.startswith(b"    ") and not line.startswith(b"     ") for line in lines)
    twos = sum(line.startswith(b"  ") and not line.startswith(b"   ") for line in lines)
    indent = "\t" if tabs > spaces else "  " if twos >= fours else "    "
    return Layout(indent, source.newline, qualify, target.standard == "c++98")


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
        return apply_edits(self.source.data, (*(Edit(at, at, new) for at, new in sorted(above.items())), *self.edits))


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


def notes_for(before: Reading, styles: Sequence[StyleMove]) -> list[tuple[int, bytes]]:
    """A note above each style that needs a human eye: what, why, how much, in which scene, from which frame."""
    source, out = before.parsed.source, []
    for style in styles:
        if style.grade not in ("changed", "kept", "unmeasured"):
            continue
        start = next(d.item.span.start for d in before.lifted.values() if d.name == style.name)
        line = source.data[source.data.rfind(b"\n", 0, start) + 1 : start]
        margin = line.decode(source.encoding, "replace") if not line.strip() else ""
        note = note_line(style.grade, (*style.notes, *_measured(style)), margin, source.newline, source.encoding)
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
    out = []
    for name in before.lifted:
        if name not in style_names(before):
            continue
        old, line = before.lifted[name], _line(before, before.lifted[name])
        origin = before.generation.name
        if name in refusals:
            out.append(StyleMove(name, line, origin, "refused", Fraction(0), None, "", (refusals[name].message,)))
            continue
        new = after.lifted.get(name)
        if new is None:
            why = next((d.message for d in after.diagnostics), "the new text cannot be read")
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
    name, origin = old.name, before.generation.name
    stepless = "tick" in (before.generation.arithmetic.clock, after.generation.arithmetic.clock)
    off = rounding(meaning(old.raw, before.blade, stepless), meaning(new.raw, after.blade, stepless))
    if off == 0 or (off is not None and off <= CLOSE_ROUNDING):
        return StyleMove(name, line, origin, "same" if off == 0 else "close", off, None, "", cover.losses)
    if not options.prove:
        return StyleMove(name, line, origin, "changed", off or Fraction(0), None, "", cover.losses)
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
    return render(style, reading.generation.arithmetic, scene, reading.blade)


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
