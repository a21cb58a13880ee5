"""The two blades of a move, drawn: frames before and after over a scene, what an eye sees of them, their pictures."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from migrate.compare.figures import Figures, compare, delta_e_map
from migrate.diagnostics import Diagnostic
from migrate.dumps import Part, parts
from migrate.pipeline import Moved, Options, Reading, frames_of, move, read, scene_named
from migrate.reading import counterpart, line_of
from migrate.render.scene import Scene
from migrate.report.moving import animate
from migrate.report.pictures import Mark, before_after, timeline
from migrate.resources import grammar_path
from migrate.source import SourceFile

EYE_RATE = 50  # frames a second of what is played back: an eye stops following flicker at about 50 to 60 Hz
NEED_AN_EYE = frozenset(("changed", "kept", "unmeasured"))


@dataclass(frozen=True)
class Pair:
    """One style over one scene, before and, where there is a moved text that holds it, after; frames (T, N, 3)."""

    name: str
    scene: Scene
    before: NDArray[np.uint8]
    after: NDArray[np.uint8] | None

    @property
    def marks(self) -> list[Mark]:
        """The scene's events, for a time axis."""
        return marks_of(self.scene)

    @cached_property
    def figures(self) -> Figures | None:
        """How far the two are apart; None where one is missing."""
        events = [(e.event, e.start) for e in self.scene.events]
        return None if self.after is None else compare(self.before, self.after, self.scene.rate, events)

    @cached_property
    def delta(self) -> NDArray[np.float64] | None:
        """CIEDE2000 of each cell (T, N), edges aligned; None where one side is missing."""
        return None if self.after is None else delta_e_map(self.before, self.after, self.scene.rate)

    def picture(self, names: tuple[str, str] = ("before", "after"), exposure: float = 1.0) -> Image.Image:
        """Before, after and difference side by side; of the one blade alone where there is no other."""
        title = f"{self.name}, scene {self.scene.name}"
        if self.after is None or self.delta is None or self.figures is None:
            return timeline(self.before, self.scene.rate, self.marks, exposure, f"{title}, {names[0]} alone")
        first = self.figures.first
        ring = None if first is None else (first.frame, first.pixel)
        return before_after(
            self.before, self.after, self.delta, self.scene.rate, self.marks, exposure, title, names, ring
        )  # fmt: skip


@dataclass(frozen=True)
class Gallery:
    """A move's two readings, from which any style can be drawn over any scene."""

    before: Reading
    after: Reading | None

    def pair(self, name: str, scene: Scene) -> Pair | None:
        """A style before and after; None where the text before does not hold it."""
        old = self.before.lifted.get(name)
        if old is None:
            return None
        new = None if self.after is None else counterpart(name, self.before, self.after)
        after = None if new is None or self.after is None else frames_of(new, self.after, scene)
        return Pair(name, scene, frames_of(old, self.before, scene), after)


def gallery_of(moved: Moved, options: Options) -> Gallery | None:
    """Reads both texts of a move again, for drawing; None where the text before could not be read."""
    before = read(moved.source, options)
    return None if isinstance(before, Diagnostic) else _both(moved, before, options)


def _both(moved: Moved, before: Reading, options: Options) -> Gallery:
    again = replace(options, reading=moved.target, blade=before.blade)
    after = read(SourceFile(moved.source.name, moved.text), again)
    return Gallery(before, None if isinstance(after, Diagnostic) else after)


@dataclass(frozen=True)
class Place:
    """Where a style is drawn from: the gallery, its name there, and the part of a dump that the gallery is of."""

    gallery: Gallery
    own: str
    part: Part | None

    def pair(self, scene: Scene) -> Pair | None:
        """The style before and after, by the name that it has there."""
        return self.gallery.pair(self.own, scene)


@dataclass(frozen=True)
class Shelf:
    """What a text's styles are drawn from: one gallery, or of a dump one for each part that can be read."""

    galleries: tuple[tuple[Part | None, Gallery], ...]

    def pair(self, name: str, scene: Scene, line: int | None = None) -> Pair | None:
        """The first style of that name, or the one on that line; None where there is none."""
        place = self.place(name, line)
        return None if place is None else place.pair(scene)

    def place(self, name: str, line: int | None = None) -> Place | None:
        """Where the first style of that name is drawn from, or the one on that line; None where there is none."""
        for part, gallery in self.galleries:
            for own, lifted in gallery.before.lifted.items():
                at = line_of(gallery.before, lifted.item) + (part.lines if part else 0)
                if name == (part.name_at_home(own) if part else own) and line in (None, at):
                    return Place(gallery, own, part)
        return None

    @property
    def names(self) -> list[str]:
        """What it holds, each name once."""
        named = (p.name_at_home(own) if p else own for p, g in self.galleries for own in g.before.lifted)
        return list(dict.fromkeys(named))


def shelf_of(source: SourceFile, options: Options) -> Shelf | Diagnostic:
    """A text and, where `options` have a target, its move, for drawing; why not, where nothing can be read."""
    parted = _parted(source, read(source, options), options)
    if parted:
        return Shelf(parted)
    gallery = _gallery(source, options)
    return gallery if isinstance(gallery, Diagnostic) else Shelf(((None, gallery),))


def shelf_of_move(moved: Moved, options: Options) -> Shelf | None:
    """What a move that was made is drawn from; of a dump each part is moved again, which comes to the same."""
    before = read(moved.source, options)
    parted = _parted(moved.source, before, options)
    if parted:
        return Shelf(parted)
    return None if isinstance(before, Diagnostic) else Shelf(((None, _both(moved, before, options)),))


def _parted(
    source: SourceFile, whole: Reading | Diagnostic, options: Options
) -> tuple[tuple[Part | None, Gallery], ...]:
    """The galleries of the parts of a dump that can be read; none where the text is no dump."""
    found: list[tuple[Part | None, Gallery]] = []
    for part in parts(source, whole, options):
        gallery = _gallery(part.source, part.options(options)) if isinstance(part.reading, str) else None
        if isinstance(gallery, Gallery):
            found.append((part, gallery))
    return tuple(found)


def _gallery(source: SourceFile, options: Options) -> Gallery | Diagnostic:
    before = read(source, options)
    if isinstance(before, Diagnostic):
        return before
    if not options.target:
        return Gallery(before, None)
    moved = SourceFile(source.name, move(source, replace(options, prove=False)).text)
    after = read(moved, replace(options, reading=options.target, blade=before.blade))
    return Gallery(before, None if isinstance(after, Diagnostic) else after)


def marks_of(scene: Scene) -> list[Mark]:
    """The scene's events as marks: name, start and end in microseconds."""
    return [(e.event, e.start, e.end) for e in scene.events]


def scene_names() -> tuple[str, ...]:
    """The scenes that ship, by name."""
    return tuple(sorted(path.stem for path in grammar_path("scenes").glob("*.scene")))


def playable(scene: Scene) -> Scene:
    """The scene at a rate that divides into pictures of 20 ms: its own where that does, else one frame for each."""
    return scene if scene.rate % EYE_RATE == 0 else replace(scene, rate=EYE_RATE)


def seen(frames: NDArray[np.uint8], rate: int) -> NDArray[np.uint8]:
    """Frames (T, N, 3) as an eye takes them in: the mean light of each 20 ms, 50 a second, rounded to a duty step.

    Raises ValueError where `rate` is no multiple of 50.
    """
    each, over = divmod(rate, EYE_RATE)
    if over or each < 1:
        raise ValueError(f"{rate} frames a second do not divide into pictures of 20 ms")
    if each == 1:
        return frames
    starts = np.arange(0, len(frames), each)
    counts = np.diff(np.append(starts, len(frames)))[:, None, None]
    return np.asarray((np.add.reduceat(frames, starts, axis=0, dtype=np.int64) * 2 + counts) // (2 * counts), np.uint8)


def file_stem(name: str) -> str:
    """A file name for a style: letters, digits, `_`, `-`; anything else becomes `_`."""
    return re.sub(r"[^A-Za-z0-9_-]+", "_", name).strip("_") or "style"


def save_pictures(moved: Moved, options: Options, folder: Path) -> Iterator[Path]:
    """Writes a picture of each style, before, after and their difference; gives each path.

    Of styles that ask for an eye (`changed`, `kept`, `unmeasured`) a moving one too, both blades in step. The scene is
    the one that the style's figures come from, else the first that was asked for.
    """
    shelf = shelf_of(moved.source, options)
    if isinstance(shelf, Diagnostic):
        return
    folder.mkdir(parents=True, exist_ok=True)
    taken: set[str] = set()
    for style in moved.styles:
        pair = shelf.pair(style.name, scene_named(style.scene or options.scenes[0]), style.line)
        if pair is None:
            continue
        stem = _free(file_stem(style.name), taken)
        still, moving = folder / f"{stem}.png", folder / f"{stem}.webp"
        pair.picture((style.origin, moved.target)).save(still)
        yield still
        if style.grade in NEED_AN_EYE:
            animate(pair.before, pair.scene.rate, moving, after=pair.after)
            yield moving


def _free(stem: str, taken: set[str]) -> str:
    """The stem, with a number where another style has it already (case counts for nothing on some disks)."""
    found, count = stem, 1
    while found.lower() in taken:
        count += 1
        found = f"{stem}-{count}"
    taken.add(found.lower())
    return found
