"""Proofs by a generation's own C++: that the renderer draws what it draws, and that a move keeps what it draws."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from migrate.compare.figures import Figures, Tolerance, compare, within
from migrate.ir import nodes as ir
from migrate.ir.facts import Blade
from migrate.native import GenerationBuild, Toolchain, compile_and_play
from migrate.packs.library import library, pack_folder
from migrate.packs.model import Generation
from migrate.render.draw import render
from migrate.render.scene import blade_for
from migrate.source import SourceFile

if TYPE_CHECKING:
    from migrate.pipeline import Moved, Options
    from migrate.reading import Lifted, Reading
    from migrate.render.scene import Scene

MOST_STEPS = 1  # duty steps by which a drawn and a compiled pixel may differ


@dataclass(frozen=True)
class Agreement:
    """How one style as drawn differs from it as compiled: the largest difference in duty steps, and where it is first.

    `time` is in microseconds, `pixel` counts from the hilt, `drawn` and `compiled` are that pixel's duties.
    """

    style: str
    largest: int
    time: int
    pixel: int
    drawn: tuple[int, ...]
    compiled: tuple[int, ...]

    @property
    def agrees(self) -> bool:
        """Whether no pixel of any frame is off by more than a duty step."""
        return self.largest <= MOST_STEPS

    def __str__(self) -> str:
        place = f"at {self.time / 1000:g} ms, pixel {self.pixel}: drawn {self.drawn}, compiled {self.compiled}"
        return f"{self.style}: {self.largest} duty steps" + (f" {place}" if self.largest else "")


def build_of(generation: Generation, packs: tuple[Path, ...] = ()) -> GenerationBuild:
    """How the generation's texts compile: the standard that its pack names, the headers in include/ beside it."""
    return GenerationBuild((pack_folder(generation.name, packs) / "include",), generation.standard)


def agreement(
    text: bytes,
    styles: Mapping[str, Any],
    generation: Generation,
    scene: Scene,
    blade: Blade,
    *,
    build: GenerationBuild | None = None,
    toolchain: Toolchain | None = None,
) -> list[Agreement]:
    """Plays the styles of a text (name -> lifted IR, as written) both ways over a scene, in one translation unit.

    Raises NativeError where there is no compiler or the text does not compile.
    """
    whole = blade_for(scene, blade)
    compiled = compile_and_play(text, list(styles), build or build_of(generation), scene, whole, toolchain=toolchain)
    times = scene.times
    out = []
    for name, value in styles.items():
        style = value if isinstance(value, ir.Style) else ir.Style(value)
        drawn = render(style, generation.arithmetic, scene, whole)
        apart = np.abs(drawn.astype(np.int16) - compiled[name]).max(axis=2)
        frame, pixel = (int(n) for n in np.unravel_index(int(apart.argmax()), apart.shape))
        here = (tuple(int(duty) for duty in frames[frame, pixel]) for frames in (drawn, compiled[name]))
        out.append(Agreement(name, int(apart[frame, pixel]), int(times[frame]), pixel, *here))
    return out


def compiled_figures(
    before: tuple[bytes, GenerationBuild],
    after: tuple[bytes, GenerationBuild],
    styles: Sequence[str],
    scene: Scene,
    blade: Blade,
    *,
    toolchain: Toolchain | None = None,
) -> Mapping[str, Figures]:
    """How far styles of two texts are apart as both controllers show them: each compiled with its own headers, played.

    No pack and no renderer takes part, so an error in those cannot hide behind itself. Both texts must be such as
    `native` may run. Raises NativeError.
    """
    whole = blade_for(scene, blade)
    old, new = (compile_and_play(t, styles, build, scene, whole, toolchain=toolchain) for t, build in (before, after))
    events = [(one.event, one.start) for one in scene.events]
    return {name: compare(old[name], new[name], scene.rate, events) for name in styles}


def check_compiled(moved: Moved, options: Options, *, toolchain: Toolchain | None = None) -> Moved:
    """The move with its grades held against both controllers: styles that differ as compiled come out changed.

    A wrong equation cancels where one pack reads both texts; compiled with headers that know no pack, it shows.
    Raises NativeError where there is no compiler or a text does not compile.
    """
    from migrate.pipeline import scene_named
    from migrate.reading import Reading, counterpart, read

    before = read(moved.source, options)
    graded = [s.name for s in moved.styles if s.grade in ("same", "close")]
    if not isinstance(before, Reading) or not graded:
        return moved
    target = library(options.packs)[moved.target]
    after = read(SourceFile(moved.source.name, moved.text), options.of_new_text(before.blade))
    if not isinstance(after, Reading):
        return moved
    pairs = {n: (before.lifted.get(n), counterpart(n, before, after)) for n in graded}
    called = {n: n if n.isidentifier() else f"rehilt_slot_{i}" for i, n in enumerate(graded)}
    texts = (
        (_named(before, called, {n: p[0] for n, p in pairs.items()}), build_of(before.generation, options.packs)),
        (_named(after, called, {n: p[1] for n, p in pairs.items()}), build_of(target, options.packs)),
    )
    worst: dict[str, tuple[Figures, str]] = {}
    for scene in options.scenes:
        found = compiled_figures(*texts, list(called.values()), scene_named(scene), before.blade, toolchain=toolchain)
        for name, figures in ((n, found[c]) for n, c in called.items()):
            if not within(figures, Tolerance()) and name not in worst:
                worst[name] = figures, scene
    styles = tuple(
        replace(s, grade="changed", figures=worst[s.name][0], scene=worst[s.name][1], notes=(*s.notes, _DIFFER))
        if s.name in worst
        else s
        for s in moved.styles
    )
    return replace(moved, styles=styles)


def _named(reading: Reading, called: Mapping[str, str], lifted: Mapping[str, Lifted | None]) -> bytes:
    """The text with a declaration behind it for every style that goes by another name here, as those in slots do."""
    source, lines = reading.parsed.source, [""]
    for name, given in called.items():
        one = lifted[name]
        if one is not None and one.name != given:
            value = one.name if one.name.isidentifier() else reading.scope.text(one.value)
            lines.append(f"typedef {value} {given};")
    return source.data + source.newline.join((*lines, "")).encode(source.encoding, "replace")


_DIFFER = "as compiled by the two generations the styles differ, though the packs say they do not: a pack is wrong"
