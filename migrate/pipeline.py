"""The road: text to tree to IR to target text, re-read, rendered, compared and graded. Reads top to bottom."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, get_args

from migrate.collector import collector_rests
from migrate.concrete.edits import Edit, apply_edits
from migrate.concrete.items import Alias, Define, StyleMacro
from migrate.concrete.parse import parse
from migrate.dating.dating import Dating
from migrate.diagnostics import Diagnostic
from migrate.dumps import Part, parts
from migrate.ir import nodes as ir
from migrate.ir.dump import Dump, dump, rounding
from migrate.ir.facts import Blade
from migrate.ir.normal import Normaliser, spread_style
from migrate.ir.rounded import rounded
from migrate.ir.walk import opaque_parts
from migrate.keeping import Plan, ancestors, notes_for, put_beside
from migrate.lower.beside import find
from migrate.lower.cost import Cost, Cover
from migrate.lowering import Lowered, lower
from migrate.measuring import Drawn, measured
from migrate.merging import branch_notes, merge, pinned_of
from migrate.packs.library import library
from migrate.packs.model import Generation
from migrate.reading import Lifted as Lifted
from migrate.reading import Options as Options
from migrate.reading import Reading as Reading
from migrate.reading import counterpart, line_of, told_names, unread_styles, whole_style
from migrate.reading import read as read
from migrate.reading import style_names as style_names
from migrate.reading import uses_compat as uses_compat
from migrate.recent import Recent
from migrate.shared import MOST
from migrate.source import SourceFile, Span
from migrate.writing import write

if TYPE_CHECKING:
    from migrate.compare.figures import Figures
    from migrate.render.scene import Scene

Grade = Literal["same", "close", "unmeasured", "changed", "kept", "refused"]
GRADES: tuple[Grade, ...] = get_args(Grade)


def worse(one: Grade, other: Grade) -> Grade:
    """The one of two grades that asks for more care."""
    return max(one, other, key=GRADES.index)


# Reading nests a handful of calls for each template level; the lifter itself stops at 200 levels.
sys.setrecursionlimit(max(sys.getrecursionlimit(), 10_000))

CLOSE_ROUNDING = Fraction(1, 100)
TELLING = Fraction(1, 1000)  # the least rounding of which it is told where it was


@dataclass(frozen=True)
class StyleMove:
    """What became of one style.

    `digest` names what it meant before the move, with the arithmetic that draws it: equal digests, equal normal forms.
    `rounded` says which numbers a close style owes its `rounding` to.
    """

    name: str
    line: int
    origin: str
    grade: Grade
    rounding: Fraction
    figures: Figures | None
    scene: str
    notes: tuple[str, ...] = ()
    digest: str = ""
    rounded: tuple[str, ...] = ()


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


@collector_rests()
def move(source: SourceFile, options: Options) -> Moved:
    """Moves every style of a file to the target generation, and proves it on the new text.

    A file with branches is read once for each way to build it; its edits are merged.
    """
    generations = library(options.packs)
    target = generations[options.target]
    befores = readings(source, options)
    before = befores[0]
    found = None if options.fragments else parts(source, before, options)
    if found:
        return _moved_dump(source, found, options)
    if isinstance(before, Diagnostic):
        return Moved(source, source.data, None, target.name, (), (*parse(source).diagnostics, before))
    read_ones = [b for b in befores if isinstance(b, Reading)]
    moving = [b for b in read_ones if b.generation is not target or uses_compat(b) or b.spoken.readings]
    if not moving:
        return _merged(_untouched(b, target) for b in read_ones)
    # What was moved along has its text of the target alone: there is none to prove a step halfway on.
    halfway = None if options.fragments or options.together else _halfway(before, target, generations)
    if halfway is not None:
        return _in_two_steps(source, options, halfway)
    lowered = {id(b): lower(b, target) if b in moving else Lowered() for b in read_ones}
    edits, split = merge(
        before.joined, [b.build for b in read_ones],
        [write(b, target, lowered[id(b)]) if b in moving else [] for b in read_ones],
    )  # fmt: skip
    plan = put_beside(before, target, edits, generations, options.beside)
    after_source = SourceFile(source.name, plan.text(()))
    moves = [
        _graded_build(b, target, lowered[id(b)], after_source, plan, options) if b in moving else _untouched(b, target)
        for b in read_ones
    ]
    whole = _merged(moves)
    failed = bool(whole.styles) or any(d.severity == "error" for d in whole.diagnostics)
    unmoved = failed and all(style.grade == "refused" for style in whole.styles)
    refused = [lowered[id(b)].refusals if b in moving else () for b in read_ones]
    made = () if unmoved else plan.with_notes(notes_for(read_ones, whole.styles, refused, target.name))
    said = (*whole.diagnostics, *split, *plan.diagnostics, *branch_notes(read_ones, moving, generations))
    text = apply_edits(source.data, made)
    return replace(whole, source=source, text=text, edits=made, diagnostics=tuple(dict.fromkeys(said)))


def _moved_dump(source: SourceFile, found: Sequence[Part], options: Options) -> Moved:
    """Every part moved by itself, as the generation that it is read as; what cannot be dated stays, with its reason."""
    edits: list[Edit] = []
    styles: list[StyleMove] = []
    said = list(parse(source).diagnostics)
    origins: set[str] = set()
    for part in found:
        if isinstance(part.reading, Diagnostic):
            said.append(part.reading)
            note = (part.reading.message,)
            styles += [StyleMove(n, at, "unknown", "refused", Fraction(0), None, "", note) for n, at in part.styles]
            continue
        moved = part.at_home(move(part.source, part.options(options)))
        origins |= {moved.origin} if moved.origin else set()
        said += moved.diagnostics
        if part.start < max((e.end for e in edits), default=0) and _overlap(edits, moved.edits):
            message = "it shares lines with another part whose edits reach into them; put it on lines of its own"
            said.append(Diagnostic("shared-lines", "error", Span(part.start, part.start), message))
            styles += [replace(s, grade="refused", notes=(message,)) for s in moved.styles]
            continue
        styles += moved.styles
        edits += moved.edits
    return Moved(
        source, apply_edits(source.data, edits), ", ".join(sorted(origins)) or None, options.target,
        tuple(sorted(styles, key=lambda s: s.line)),
        tuple(sorted(dict.fromkeys(said), key=lambda d: (d.span.start, d.code))), tuple(edits),
    )  # fmt: skip


def _overlap(edits: Iterable[Edit], others: Sequence[Edit]) -> bool:
    """Whether an edit changes what another one changes, or puts something into it."""
    return any(a.start < b.end and b.start < a.end for a in edits for b in others)


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
    again = options.of_new_text(before.blade)
    after = read(after_source, again, before.build, pinned_of(before, library(options.packs)))
    origin = before.generation.name
    if isinstance(after, Diagnostic):
        return Moved(before.parsed.source, b"", origin, target.name, (), (*before.diagnostics, after))
    styles = tuple(grade(before, after, lowered.covers, lowered.refusals, plan.restored, options))
    told = {d.code for d in before.parsed.diagnostics}  # what is missing in the old text is missing in the new one too
    new = (d for d in after.parsed.diagnostics if d.code not in told)
    said = (*before.diagnostics, *lowered.notes, *lowered.refusals.values(), *new)
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
        replace(
            s, origin=first.origin or s.origin, grade=worse(s.grade, grades[s.name].grade), digest=grades[s.name].digest
        )
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
        StyleMove(
            d.name, line_of(before, d.item), target.name, "same", Fraction(0), None, "", digest=digest_of(d, before)
        )
        for d in before.lifted.values()
        if d.name in told_names(before)
    )
    source = before.parsed.source
    return Moved(source, source.data, target.name, target.name, styles, before.diagnostics)


# ---- proof and grade -------------------------------------------------------------------------------


def grade(
    before: Reading, after: Reading, covers: Mapping[str, Cover], refusals: Mapping[str, Diagnostic],
    restored: Sequence[Span], options: Options,
) -> list[StyleMove]:  # fmt: skip
    """Compares what the two texts mean, and where that differs, what they look like."""
    origin = before.generation.name
    out = [
        StyleMove(item.name, line_of(before, item), origin, "refused", Fraction(0), None, "", (said.message,))
        for item, said in unread_styles(before)
    ]
    told = told_names(before)
    for name in before.lifted:
        if name not in told:
            continue
        old, line = before.lifted[name], line_of(before, before.lifted[name].item)
        origin = (old.reading or before.generation).name
        new, refused = counterpart(name, before, after), refusals.get(name)
        if new is None or refused is not None:
            errors = (d.message for d in (*filter(None, (refused,)), *after.diagnostics) if d.severity == "error")
            why = next(errors, f"no style `{name}` in the other text")
            digest = digest_of(old, before)
            out.append(StyleMove(name, line, origin, "refused", Fraction(0), None, "", (why,), digest))
            continue
        if any(r.start <= s.start and s.end <= r.end for r in restored for s in _told_by(old, before)):
            notes, digest = ("restored from the original beside it",), digest_of(old, before)
            out.append(StyleMove(name, line, origin, "same", Fraction(0), None, "", notes, digest))
            continue
        out.append(_graded(old, new, before, after, covers[name], line, options))
    return out


def _told_by(style: Lifted, reading: Reading) -> list[Span]:
    """The places that say a style: its declaration, those of the macro or the style that it is another name of."""
    names, spans = {style.name}, [style.item.span]
    item = style.item
    while isinstance(item, Alias) and item.value.kind == "name":
        name = reading.scope.text(item.value)
        if name in names or name not in reading.lifted:
            break
        names.add(name)
        item = reading.lifted[name].item
        spans.append(item.span)
    macro = item.macro if isinstance(item, StyleMacro) else ""
    return [*spans, *(i.span for i in reading.items if isinstance(i, Define) and i.name == macro)]


def _graded(
    old: Lifted, new: Lifted, before: Reading, after: Reading, cover: Cover, line: int, options: Options
) -> StyleMove:
    name, origin = old.name, (old.reading or before.generation).name
    stepless = "tick" in (before.generation.arithmetic.clock, after.generation.arithmetic.clock)
    one, two = _meaning_of(old, before.blade, stepless), _meaning_of(new, after.blade, stepless)
    digest = digest_of(old, before, one.dump if stepless == _steps(old, before) else None)

    def graded(
        grade: Grade, off: Fraction | None, notes: tuple[str, ...], figures: Figures | None = None, scene: str = ""
    ) -> StyleMove:
        return StyleMove(name, line, origin, grade, off or Fraction(0), figures, scene, notes, digest)

    unknown = one.unknown | two.unknown
    if unknown:
        note = f"moved by name alone: no pack says what {', '.join(f'`{n}`' for n in sorted(unknown))} means"
        return graded("unmeasured", None, (note, *cover.losses))
    off = _off(one, two) if old.shared and new.shared else rounding(one.dump, two.dump)
    if off is not None and off <= CLOSE_ROUNDING:
        told = _rounded(old, new, before, after, stepless, TELLING) if off else ()
        return replace(graded("close" if off else "same", off, cover.losses), rounded=told)
    if not options.prove:
        return graded("unmeasured", off, cover.losses)
    figures, scene, close = prove(old, new, before, after, options)
    alike = one.dump.skeleton == two.dump.skeleton
    told = _rounded(old, new, before, after, stepless, CLOSE_ROUNDING) if alike else ()
    return graded("close" if close else "changed", off, (*cover.losses, *told), figures, scene)


def _rounded(
    old: Lifted, new: Lifted, before: Reading, after: Reading, stepless: bool, above: Fraction
) -> tuple[str, ...]:
    """Which numbers were rounded by more than a share, in words."""
    return rounded(_formed(old, stepless), _formed(new, stepless), (before.blade, after.blade), above)


def compare_readings(before: Reading, after: Reading, options: Options) -> Moved:
    """Grades each style of one file against the style of the same name in another."""
    nothing = Cover(Cost(), (), ())
    covers = dict.fromkeys(before.lifted, nothing)
    styles = tuple(grade(before, after, covers, {}, (), options))
    return Moved(before.parsed.source, b"", before.generation.name, after.generation.name, styles, ())


def meaning(raw: Any, blade: Blade, stepless: bool) -> Dump:
    """The canonical dump of a style; `stepless` where one side's own clock steps everything anyway."""
    return dump(Normaliser(stepless=stepless)(whole_style(raw)), blade)


def _formed(lifted: Lifted, stepless: bool) -> Any:
    """A definition in the form that is compared."""
    if isinstance(lifted.normal, ir.Style) and not stepless:
        return spread_style(lifted.normal)
    return Normaliser(stepless=stepless)(whole_style(lifted.raw))


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a definition means: its canonical dump, and the names of the parts whose meaning no pack states."""

    dump: Dump
    unknown: frozenset[str]


def _meaning_of(lifted: Lifted, blade: Blade, stepless: bool) -> Meaning:
    """The meaning of a definition, found once for all the files that hold it."""

    def found() -> tuple[Lifted, Meaning]:
        unknown = frozenset(part.identity.partition(":")[2] for part in opaque_parts(lifted.raw))
        return lifted, Meaning(_dumped(lifted, blade, stepless), unknown)

    return _MEANINGS.get((id(lifted.raw), blade, stepless), found)[1] if lifted.shared else found()[1]


def _off(one: Meaning, two: Meaning) -> Fraction | None:
    """By how much numbers were rounded, as `rounding` says it; found once for all copies of a pair."""
    return _ROUNDINGS.get((id(one), id(two)), lambda: (one, two, rounding(one.dump, two.dump)))[2]


def _dumped(lifted: Lifted, blade: Blade, stepless: bool) -> Dump:
    """From the normal form that it has already, wherever that will do."""
    if isinstance(lifted.normal, ir.Style) and not stepless:
        return dump(spread_style(lifted.normal), blade)
    return meaning(lifted.raw, blade, stepless)


def digest_of(lifted: Lifted, reading: Reading, known: Dump | None = None) -> str:
    """A hash of what a definition means and of the arithmetic that draws it; `known` is its dump where that is made."""
    arithmetic = (lifted.reading or reading.generation).arithmetic
    dumped = known or _meaning_of(lifted, reading.blade, _steps(lifted, reading)).dump
    return sha256(f"{arithmetic.clock} {arithmetic.mixing}|{dumped.key()}".encode()).hexdigest()


def _steps(lifted: Lifted, reading: Reading) -> bool:
    """Whether the clock that draws a definition steps everything anyway."""
    return (lifted.reading or reading.generation).arithmetic.clock == "tick"


def prove(old: Lifted, new: Lifted, before: Reading, after: Reading, options: Options) -> tuple[Figures, str, bool]:
    """Measures both texts over each probe scene: the worst figures, their scene, and whether all is close."""
    one, two = _drawn(old, before), _drawn(new, after)
    proofs = [(scene, measured(one, two, scene_named(scene))) for scene in options.scenes]
    scene, worst = max(proofs, key=lambda proof: (proof[1].figures.p95, proof[1].figures.largest))
    return worst.figures, scene, all(proof.close for _, proof in proofs)


# By the ids of what stands beside each, so that an id stays its own.
_MEANINGS: Recent[tuple[int, Blade, bool], tuple[Lifted, Meaning]] = Recent(2 * MOST)
_ROUNDINGS: Recent[tuple[int, int], tuple[Meaning, Meaning, Fraction | None]] = Recent(MOST)


def _drawn(lifted: Lifted, reading: Reading) -> Drawn:
    return Drawn(whole_style(lifted.raw), (lifted.reading or reading.generation).arithmetic, reading.blade)


def frames_of(lifted: Lifted, reading: Reading, scene: Scene) -> Any:
    """The frames of one definition as its own generation draws them, (T, N, 3) duties.

    Dark where no pack says what a part of it means; such a style is never graded by its frames.
    """
    from migrate.render.draw import render

    drawn = _drawn(lifted, reading)
    unknown = any(opaque_parts(lifted.raw))
    style = ir.Style(ir.Colour("duty", (0, 0, 0))) if unknown else drawn.style
    return render(style, drawn.arithmetic, scene, drawn.blade)


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
