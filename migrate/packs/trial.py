"""Tries meanings against the firmware: frames that its own headers draw, or that were recorded, beside the render's.

What is compiled is never raw input: each text is parsed and lifted first, and only the expression itself goes on.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from migrate.concrete.items import Alias
from migrate.concrete.parse import parse
from migrate.diagnostics import Diagnostic, explain
from migrate.ir import nodes as ir
from migrate.ir.facts import Blade
from migrate.ir.walk import opaque_parts
from migrate.lift import Applied, Lifter
from migrate.packs.library import library, pack_folder
from migrate.packs.model import Construct, Generation, PackError
from migrate.scope import scope_of
from migrate.source import SourceFile

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from migrate.render.scene import Scene

    Frames = NDArray[np.uint8]

TOP_SORTS = ("style", "sleeve", "paint")
HOLE = "\0"
MOST_STEPS = 1  # duty steps that count as none: the device's own resolution
_HEAD = "using tried = "


class TrialError(Exception):
    """A trial that cannot be made; says why."""


@dataclass(frozen=True)
class Tried:
    """One style to be tried: what it shows, its text and what it means."""

    name: str
    text: str
    meaning: ir.Style


def run(
    generation: str, constructs: tuple[str, ...], include_dirs: tuple[Path, ...], adapter: Path | None,
    frames: Path | None, style: str | None, scene: str, pixels: int, pitch: int, rate: int | None,
    packs: tuple[Path, ...] = (),
) -> Iterator[tuple[str, int]]:  # fmt: skip
    """Lines that say how each style agrees, each with 0 where it does and 1 where not; raises TrialError."""
    from migrate.pipeline import scene_named

    try:
        known = library(packs)
    except PackError as error:
        raise TrialError(str(error)) from None
    if generation not in known:
        raise TrialError(f"no generation `{generation}`; known: {', '.join(known)}")
    try:
        played = scene_named(scene)
    except (OSError, ValueError) as error:
        raise TrialError(f"the scene {scene} cannot be read: {error}") from None
    trial = Trial(known[generation], played if rate is None else replace(played, rate=rate), Blade(pixels, pitch))
    if frames is not None:
        if style is None:
            raise TrialError("--frames needs --style: what was it that was recorded?")
        yield trial.recorded(style, frames)
        return
    yield from trial.compiled(constructs, style, include_dirs, adapter, packs)


class Trial:
    """Compares the meanings of one generation over one scene."""

    def __init__(self, generation: Generation, scene: Scene, blade: Blade) -> None:
        self.generation, self.scene, self.blade = generation, scene, blade

    # ---- what is tried ----------------------------------------------------------------------------

    def lifted(self, name: str, text: str) -> Tried:
        """One text as a style; raises TrialError with the printed diagnostic."""
        source, value, _ = self._lift(text)
        node = source.data[value[0] : value[1]].decode()
        meaning = value[2] if isinstance(value[2], ir.Style) else ir.Style(value[2])
        return Tried(name, node, meaning)

    def _lift(self, text: str) -> tuple[SourceFile, tuple[int, int, Any], Lifter]:
        source = SourceFile("style", f"{_HEAD}{text};".encode())
        parsed = parse(source)
        wrong = [d for d in parsed.diagnostics if d.severity == "error"]
        item = parsed.items[0] if len(parsed.items) == 1 else None
        if wrong or not isinstance(item, Alias):
            raise TrialError(explain(source, wrong[0]) if wrong else f"`{text}` is no single style expression")
        lifter = Lifter(scope_of(source, parsed.items), self.generation, self.blade)
        sorts = tuple(dict.fromkeys((*TOP_SORTS, *(c.sort for g in self.generation.constructs.values() for c in g))))
        found = lifter.lift(item.value, sorts)
        if isinstance(found, Diagnostic):
            raise TrialError(explain(source, found))
        return source, (item.value.start, item.value.end, found[0]), lifter

    def examples(self, wanted: tuple[str, ...]) -> Iterator[Tried | str]:
        """Each construct's first example inside the smallest style that holds it; or a line on why there is none."""
        own = [c for group in self.generation.constructs.values() for c in group if not c.compat]
        unknown = [w for w in wanted if w not in self.generation.constructs]
        if unknown:
            raise TrialError(f"{self.generation.name} has no construct `{unknown[0]}`")
        holes = self._contexts(own)
        for construct in own:
            if (wanted and construct.name not in wanted) or (construct.brackets and not construct.examples):
                continue
            if construct.name.endswith("*"):
                continue  # a family of words, each of its own
            if construct.sort not in holes:
                yield f"{construct.name}: no style that holds a {construct.sort} can be made from the examples"
                continue
            text = construct.examples[0] if construct.examples else construct.name
            yield self.lifted(construct.name, holes[construct.sort].replace(HOLE, text))

    def _contexts(self, constructs: list[Construct]) -> dict[str, str]:
        found = dict.fromkeys(TOP_SORTS, HOLE)
        queue = deque(found)
        while queue:
            outer = queue.popleft()
            for construct in (c for c in constructs if c.sort == outer and c.brackets and c.examples):
                for sort, text in self._holes(construct):
                    if sort not in found:
                        found[sort] = found[outer].replace(HOLE, text)
                        queue.append(sort)
        return found

    def _holes(self, construct: Construct) -> Iterator[tuple[str, str]]:
        """The construct's example with a hole for each of its arguments, and the sorts that fit there."""
        source, _, lifter = self._lift(construct.examples[0])
        applied = next((a for made in lifter.applied.values() for a in made if a.construct == construct), None)
        for parameter in construct.parameters if applied is not None else ():
            text = _with_hole(source, applied, parameter.name, construct.examples[0], parameter.variadic)
            for sort in self.generation.spread(parameter.sorts):
                if text is not None and sort not in self.generation.units:
                    yield sort, text

    # ---- frames -----------------------------------------------------------------------------------

    def drawn(self, tried: Tried) -> Frames:
        """The meaning's frames, (T, N, 3), pixel 0 at the hilt."""
        from migrate.render.draw import render

        return render(tried.meaning, self.generation.arithmetic, self.scene, self.blade)

    def turned(self, frames: Frames) -> Frames:
        """A firmware's frames with pixel 0 at the hilt."""
        return frames[:, ::-1] if self.generation.first_pixel == "tip" else frames

    def compiled(
        self, constructs: tuple[str, ...], style: str | None, include_dirs: tuple[Path, ...], adapter: Path | None,
        packs: tuple[Path, ...],
    ) -> Iterator[tuple[str, int]]:  # fmt: skip
        """What the firmware's own headers draw, in one translation unit, beside the meanings."""
        from migrate.native import NativeError, compile_and_play

        listed = [self.lifted("the style", style)] if style is not None else list(self.examples(constructs))
        tried: list[Tried] = []
        for one in listed:
            if isinstance(one, str):
                yield one, 1
            elif any(opaque_parts(one.meaning)):
                yield f"{one.name}: unmeasured, since {_without(one)} has no meaning", 0
            else:
                tried.append(one)
        names = {f"tried_{n}": one for n, one in enumerate(tried)}
        text = self._config(names, adapter)
        try:
            played = compile_and_play(
                text, list(names), self._build(include_dirs, adapter, packs), self.scene, self.blade
            )
        except NativeError as error:
            source = SourceFile("tried.h", text)
            raise TrialError("\n".join(explain(source, d) for d in error.diagnostics)) from None
        for name, one in names.items():
            yield self.judged(one, self.turned(played[name]))

    def _config(self, names: dict[str, Tried], adapter: Path | None) -> bytes:
        g = self.generation
        lines = [f"#define {g.marker[0]} {g.marker[1]}"] if g.marker is not None else []
        lines += [f"#include {g.header}"]
        lines += [f"#include {t}" for t in dict.fromkeys(t.through for t in g.takes if t.through)]
        facts = ((g.pixels, self.blade.pixels), (g.pitch, self.blade.per_metre))
        lines += [f"{g.facts} int {name} = {value};" for name, value in facts if name]
        lines += [f'#include "{adapter.resolve()}"'] if adapter is not None else []
        lines += [f"using namespace {g.namespace};"] if g.namespace else []
        for name, one in names.items():
            old = g.declares == "typedef"
            text = one.text.replace(">>", "> >").replace(">>", "> >") if old else one.text
            lines.append(f"typedef {text} {name};" if old else f"using {name} = {text};")
        return ("\n".join(lines) + "\n").encode()

    def _build(self, include_dirs: tuple[Path, ...], adapter: Path | None, packs: tuple[Path, ...]) -> Any:
        from migrate.native import GenerationBuild
        from migrate.resources import grammar_path

        own = pack_folder(self.generation.name, packs) / "include"
        folders = (*include_dirs, *((own,) if own.is_dir() else ()), grammar_path("stage"))
        return GenerationBuild(folders, self.generation.standard)

    def recorded(self, text: str, path: Path) -> tuple[str, int]:
        """What a blade was recorded to show, beside the meaning of the style that it played."""
        tried = self.lifted(path.name, text)
        if any(opaque_parts(tried.meaning)):
            return f"{tried.name}: unmeasured, since {_without(tried)} has no meaning", 0
        frames = read_frames(path)
        self.blade = Blade(frames.shape[1], self.blade.per_metre)
        return self.judged(tried, self.turned(frames))

    def judged(self, tried: Tried, theirs: Frames) -> tuple[str, int]:
        """A line on how two runs of frames agree: within a duty step, within the tolerance of a move, or not."""
        import numpy as np

        from migrate.compare.figures import Tolerance, compare, within

        ours = self.drawn(tried)
        count = min(len(ours), len(theirs))
        ours, theirs = ours[:count], theirs[:count]
        apart = np.abs(ours.astype(np.int16) - theirs.astype(np.int16)).max(axis=2)
        largest = int(apart.max()) if apart.size else 0
        if largest <= MOST_STEPS:
            colours = len(np.unique(ours.reshape(-1, 3), axis=0))
            # Few colours are little evidence: an example that shows one colour agrees with any meaning of that colour.
            shown = f"{count} frames of {colours} colour{'s' if colours != 1 else ''}"
            return f"{tried.name}: agrees, at most {largest} duty step{'s' if largest != 1 else ''} in {shown}", 0
        figures = compare(ours, theirs, self.scene.rate, [(e.event, e.start) for e in self.scene.events])
        said = f"dE 95 % {figures.p95:.2f} largest {figures.largest:.2f}, edges {figures.edge_ms:.0f} ms"
        if within(figures, Tolerance()):
            return f"{tried.name}: close, {said}", 0
        frame, pixel = (int(n) for n in np.argwhere(apart > MOST_STEPS)[0])
        time = frame * 1000 / self.scene.rate
        both = f"the meaning {ours[frame, pixel].tolist()}, the firmware {theirs[frame, pixel].tolist()}"
        return f"{tried.name}: differs, {said}; first at {time:g} ms, pixel {pixel} from the hilt: {both}", 1


def _without(tried: Tried) -> str:
    names = sorted({part.identity.partition(":")[2] for part in opaque_parts(tried.meaning)})
    return ", ".join(f"`{n}`" for n in names)


def _with_hole(source: SourceFile, applied: Applied | None, name: str, example: str, variadic: bool) -> str | None:
    assert applied is not None
    if name not in applied.nodes:
        end = example.rstrip().rfind(">")
        return f"{example[:end]}, {HOLE}{example[end:]}" if variadic and end > 0 else None
    node = applied.nodes[name][0]
    data = source.data[: node.start] + HOLE.encode() + source.data[node.end :]
    return data.decode()[len(_HEAD) : -1]


def read_frames(path: Path) -> Frames:
    """Recorded duties, (T, N, 3): .npy of that shape or (T, 3 N), or .csv with a frame a line; raises TrialError."""
    import numpy as np

    try:
        if path.suffix == ".npy":
            found = np.load(path, allow_pickle=False)
        else:
            text = path.read_text("utf-8").strip().split("\n")
            rows = text[1:] if any(c.isalpha() for c in text[0]) else text
            found = np.array([[float(x) for x in row.replace(";", ",").split(",")] for row in rows])
    except (OSError, ValueError) as error:
        raise TrialError(f"{path} holds no frames: {error}") from None
    if found.ndim == 2 and found.shape[1] % 3 == 0 and found.size:
        found = found.reshape(len(found), -1, 3)
    if found.ndim != 3 or found.shape[2] != 3 or not found.size:
        raise TrialError(f"{path} holds no frames of three duties a pixel: its shape is {found.shape}")
    if found.min() < 0 or found.max() > 255:
        raise TrialError(f"{path} holds numbers that are no duties: they go from {found.min():g} to {found.max():g}")
    duties: Frames = np.round(found).astype(np.uint8)
    return duties
