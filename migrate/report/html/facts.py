"""What the page says of each style, gathered: texts, grade, pictures as PNG, flashes, false friends, work by hand."""

from __future__ import annotations

import base64
import io
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from migrate.compare.flash import Flashes, flashes
from migrate.concrete.items import Slots
from migrate.host import said
from migrate.packs.library import library
from migrate.packs.model import Generation
from migrate.pipeline import Moved, Options, Reading, StyleMove, scene_named
from migrate.report.gallery import EYE_RATE, Pair, Place, Shelf, playable, seen, shelf_of_move
from migrate.report.pictures import Mark, delta_inks, light_image

SHOWING = "evening"  # the scene that ships for watching; the proof's own scenes come before it
MOST_BYTES = 4_000_000  # of pictures on a page; base64 adds a third


@dataclass(frozen=True)
class Plot:
    """One picture as PNG bytes, one picture pixel a cell, 50 rows a second."""

    side: str
    png: bytes

    @property
    def url(self) -> str:
        """As a data URL."""
        return "data:image/png;base64," + base64.b64encode(self.png).decode("ascii")


@dataclass(frozen=True)
class Played:
    """A style's pictures over one scene: `seconds` long, `pixels` wide."""

    scene: str
    seconds: float
    pixels: int
    marks: tuple[Mark, ...]
    plots: tuple[Plot, ...]
    flashing: Flashes


@dataclass(frozen=True)
class Shown:
    """One style: its move, its label in the slot table, both texts with their first lines, and its pictures."""

    style: StyleMove
    label: str
    before: tuple[str, int]
    after: tuple[str, int] | None
    drawn: Pair | None
    played: tuple[Played, ...]
    left_out: bool


@dataclass(frozen=True)
class Friend:
    """A name that the file uses and that means something else in the target: how often, first on which line."""

    name: str
    difference: str
    count: int
    line: int


@dataclass(frozen=True)
class Facts:
    """All that the page says."""

    moved: Moved
    styles: tuple[Shown, ...]
    friends: tuple[Friend, ...]
    scenes: tuple[str, ...]


def gather(moved: Moved, options: Options) -> Facts:
    """Draws and collects. Of `same` styles one side stands for both; past the page's size, pictures are left out."""
    shelf = shelf_of_move(moved, options)
    scenes = tuple(dict.fromkeys((*options.scenes, SHOWING)))
    if shelf is None:
        return Facts(moved, tuple(_bare(s) for s in moved.styles), (), scenes)
    labels = {id(gallery): labels_of(gallery.before) for _, gallery in shelf.galleries}
    room, shown = MOST_BYTES, []
    # Those that ask for an eye take their room first.
    order = sorted(enumerate(moved.styles), key=lambda numbered: numbered[1].grade in ("same", "close"))
    for number, style in order:
        place = shelf.place(style.name, style.line)
        if place is None and len(shelf.galleries) == 1:  # another build of the file has it on another line
            place = shelf.place(style.name)
        if place is None or style.grade == "refused":
            shown.append((number, _bare(style)))
            continue
        one = _shown(style, place, labels[id(place.gallery)].get(place.own, ""), moved, scenes, room)
        room -= sum(len(plot.png) for played in one.played for plot in played.plots)
        shown.append((number, one))
    styles = tuple(one for _, one in sorted(shown, key=lambda numbered: numbered[0]))
    return Facts(moved, styles, _friends(shelf, moved.target, options), scenes)


def _friends(shelf: Shelf, target: str, options: Options) -> tuple[Friend, ...]:
    """The false friends of all parts, each told once, in the order of their first lines."""
    out: dict[tuple[str, str], Friend] = {}
    for part, gallery in shelf.galleries:
        for one in false_friends(gallery.before, target, options):
            key, line = (one.name, one.difference), one.line + (part.lines if part else 0)
            known = out.get(key, Friend(one.name, one.difference, 0, line))
            out[key] = Friend(one.name, one.difference, known.count + one.count, min(known.line, line))
    return tuple(sorted(out.values(), key=lambda friend: friend.line) if len(shelf.galleries) > 1 else out.values())


def _bare(style: StyleMove) -> Shown:
    return Shown(style, "", ("", style.line), None, None, (), False)


def _texts(place: Place, moved: Moved) -> tuple[tuple[str, int] | None, tuple[str, int] | None]:
    """The text of a style before and after, each with its first line in the whole file."""
    before, after = place.gallery.before, place.gallery.after
    old = text_of(before, place.own)
    new = None if after is None else text_of(after, place.own)
    part = place.part
    if part is None or old is None:
        return old, new
    # A whole config is one edit: its new text has lines of its own. A piece stays where it is among the others.
    start = part.start + (0 if part.config else before.lifted[place.own].item.span.start)
    # What stands before it in the dump may have become longer or shorter.
    shift = sum(len(e.text) - (e.end - e.start) for e in moved.edits if e.end <= start)
    line = moved.text.count(b"\n", 0, start + shift) + 1
    if new is not None:
        new = (new[0], line + new[1] - 1 if part.config else line)
    return (old[0], old[1] + part.lines), new


def _shown(style: StyleMove, place: Place, label: str, moved: Moved, scenes: Iterable[str], room: int) -> Shown:
    old, after = _texts(place, moved)
    before = old or ("", style.line)
    if room <= 0:
        return Shown(style, label, before, after, None, (), True)
    alone = style.grade == "same"
    drawn: Pair | None = None
    played = []
    for name in scenes:
        pair = place.pair(playable(scene_named(name)))
        if pair is None:
            continue
        drawn = drawn or pair
        played.append(_played(Pair(pair.name, pair.scene, pair.before, None) if alone else pair))
    return Shown(style, label, before, after, None if alone else drawn, tuple(played), False)


def _played(pair: Pair) -> Played:
    rate = pair.scene.rate
    sides = [("before", pair.before)]
    if pair.after is not None and pair.after.shape == pair.before.shape:
        sides.append(("after", pair.after))
    plots = [Plot(side, png(light_image(seen(frames, rate)))) for side, frames in sides]
    if len(sides) == 2 and pair.delta is not None:
        plots.append(Plot("difference", difference_png(pair.delta, rate)))
    worst = max((flashes(frames, rate) for _, frames in sides), key=lambda f: max(f.general, f.red))
    pixels = pair.before.shape[1]
    return Played(pair.scene.name, pair.scene.duration / 1e6, pixels, tuple(pair.marks), tuple(plots), worst)


def difference_png(delta: NDArray[np.float64], rate: int, level: int = 9) -> bytes:
    """ΔE (T, N) as a PNG of 50 rows a second, each the largest of its 20 ms."""
    rows = np.maximum.reduceat(delta, np.arange(0, len(delta), rate // EYE_RATE), axis=0)
    return png(Image.fromarray(delta_inks(rows)), level)


def png(image: Image.Image, level: int = 9) -> bytes:
    """An image as PNG, with a palette where its colours fit one: nothing is lost by that."""
    colours = image.getcolors(256)
    if colours is not None:
        image = _indexed(image, [colour for _, colour in colours])  # type: ignore[misc]  # RGB gives tuples
    out = io.BytesIO()
    image.save(out, "PNG", compress_level=level)
    return out.getvalue()


def _indexed(image: Image.Image, colours: list[tuple[int, int, int]]) -> Image.Image:
    cells = np.asarray(image).astype(np.int64) @ np.array([65536, 256, 1])
    keys = np.array(sorted(r * 65536 + g * 256 + b for r, g, b in colours))
    indexed = Image.fromarray(np.searchsorted(keys, cells).astype(np.uint8), "P")
    indexed.putpalette([int(c) for key in keys for c in (key >> 16, key >> 8 & 255, key & 255)])
    return indexed


def text_of(reading: Reading, name: str) -> tuple[str, int] | None:
    """The text of a definition, whole lines, and the number of its first."""
    found = reading.lifted.get(name)
    if found is None:
        return None
    source, span = reading.parsed.source, found.item.span
    first, last = source.place(span.start)[0], source.place(max(span.start, span.end - 1))[0]
    return "\n".join(source.line_text(line) for line in range(first, last + 1)), first


def labels_of(reading: Reading) -> dict[str, str]:
    """The last string of each style's entry in the slot table: its label, where the generation has labels."""
    out: dict[str, str] = {}
    for item in reading.parsed.items:
        for slot in item.slots if isinstance(item, Slots) else ():
            words = [_plain(reading.scope.text(a)) for a in slot.arguments]
            if len(words) > 1:
                out.setdefault(reading.scope.text(slot.style), words[-1])
    return out


def _plain(text: str) -> str:
    """What a string literal says; any other text as it is."""
    inside = said(text)
    return text if inside == text else re.sub(r"\\(.)", r"\1", inside)


def false_friends(reading: Reading, target: str, options: Options) -> Iterator[Friend]:
    """Names used in the text that the target has too, where a pack says that their meaning differs."""
    generations = library(options.packs)
    places: dict[tuple[str, str], set[int]] = {}
    for found in reading.lifter.applied.values():
        for applied in found:
            construct = applied.construct
            for text in _differences(construct.name, construct.origin, target, generations):
                places.setdefault((construct.name, text), set()).add(applied.node.start)
    for (name, text), starts in sorted(places.items(), key=lambda item: min(item[1])):
        yield Friend(name, text, len(starts), reading.parsed.source.place(min(starts))[0])


def _differences(name: str, origin: str, target: str, generations: Mapping[str, Generation]) -> list[str]:
    """What the packs say of one name of two generations: the older's own pack, else the other's."""
    for here, there in ((origin, target), (target, origin)):
        known = [c for c in generations[here].constructs.get(name, ()) if c.origin == here != there]
        said = [f"in {here}, against {there}: {text}" for c in known for other, text in c.differs if other == there]
        if said:
            return list(dict.fromkeys(said))
    return []
