"""What became of each style: two texts compared by what they mean, and where that differs, by what they look like."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, get_args

from migrate.concrete.items import Alias, Define, StyleMacro
from migrate.diagnostics import Diagnostic
from migrate.ir import nodes as ir
from migrate.ir.dump import Dump, dump, rounding
from migrate.ir.facts import Blade
from migrate.ir.normal import Normaliser, spread_style
from migrate.ir.rounded import rounded
from migrate.ir.walk import opaque_parts
from migrate.lower.cost import Cover
from migrate.measuring import Drawn, measured
from migrate.reading import Lifted, Options, Reading, counterpart, line_of, told_names, unread_styles, whole_style
from migrate.recent import Recent
from migrate.shared import MOST
from migrate.source import Span

if TYPE_CHECKING:
    from migrate.compare.figures import Figures
    from migrate.render.scene import Scene

Grade = Literal["same", "close", "unmeasured", "changed", "kept", "refused"]
GRADES: tuple[Grade, ...] = get_args(Grade)


def worse(one: Grade, other: Grade) -> Grade:
    """The one of two grades that asks for more care."""
    return max(one, other, key=GRADES.index)


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


def meaning(raw: Any, blade: Blade, stepless: bool) -> Dump:
    """The canonical dump of a style; `stepless` where one side's own clock steps everything anyway."""
    return dump(Normaliser(stepless=stepless)(whole_style(raw)), blade)


def _formed(lifted: Lifted, stepless: bool) -> Any:
    """A definition in the form that is compared, from the normal form that it has already wherever that will do."""
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
        return lifted, Meaning(dump(_formed(lifted, stepless), blade), unknown)

    return _MEANINGS.get((id(lifted.raw), blade, stepless), found)[1] if lifted.shared else found()[1]


def _off(one: Meaning, two: Meaning) -> Fraction | None:
    """By how much numbers were rounded, as `rounding` says it; found once for all copies of a pair."""
    return _ROUNDINGS.get((id(one), id(two)), lambda: (one, two, rounding(one.dump, two.dump)))[2]


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
