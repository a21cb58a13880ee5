"""The road: text to tree to IR to target text, re-read, rendered, compared and graded. Reads top to bottom."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from migrate.collector import collector_rests
from migrate.concrete.edits import Edit, apply_edits
from migrate.concrete.parse import parse
from migrate.dating.dating import Dating
from migrate.diagnostics import Diagnostic
from migrate.dumps import Part, parts
from migrate.grading import CLOSE_ROUNDING as CLOSE_ROUNDING
from migrate.grading import GRADES as GRADES
from migrate.grading import StyleMove as StyleMove
from migrate.grading import digest_of, grade, worse
from migrate.grading import frames_of as frames_of
from migrate.grading import meaning as meaning
from migrate.grading import scene_named as scene_named
from migrate.keeping import Plan, ancestors, notes_for, put_beside
from migrate.lower.beside import find
from migrate.lower.cost import Cost, Cover
from migrate.lowering import Lowered, lower
from migrate.merging import branch_notes, merge, pinned_of
from migrate.packs.library import library
from migrate.packs.model import Generation
from migrate.reading import Lifted as Lifted
from migrate.reading import Options as Options
from migrate.reading import Reading as Reading
from migrate.reading import line_of, told_names
from migrate.reading import read as read
from migrate.reading import style_names as style_names
from migrate.reading import uses_compat as uses_compat
from migrate.source import SourceFile, Span
from migrate.writing import write

# Reading nests a handful of calls for each template level; the lifter itself stops at 200 levels.
sys.setrecursionlimit(max(sys.getrecursionlimit(), 10_000))


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


def compare_readings(before: Reading, after: Reading, options: Options) -> Moved:
    """Grades each style of one file against the style of the same name in another."""
    nothing = Cover(Cost(), (), ())
    covers = dict.fromkeys(before.lifted, nothing)
    styles = tuple(grade(before, after, covers, {}, (), options))
    return Moved(before.parsed.source, b"", before.generation.name, after.generation.name, styles, ())
