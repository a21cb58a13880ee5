"""What the desk does with a request: move, date, play and compare, explain. Nothing is kept but caches."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import replace
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from migrate.compare.colour import ciede2000, lab_of_light
from migrate.compare.figures import Figures, Tolerance, compare, delta_e_map, within
from migrate.compare.flash import Flashes, flashes
from migrate.desk.requests import Asked, BadRequestError
from migrate.diagnostics import Diagnostic
from migrate.ir.dump import rounding
from migrate.pipeline import CLOSE_ROUNDING, Lifted, Moved, Options, Reading, frames_of, meaning, move, read
from migrate.reading import counterpart
from migrate.render.scene import Scene
from migrate.report.data import diagnostic_entry
from migrate.report.gallery import EYE_RATE, marks_of, playable, seen
from migrate.report.html.controls import flash_words, grade, plots
from migrate.report.html.facts import Played, Plot, difference_png, labels_of, png
from migrate.report.pictures import light_image
from migrate.report.terminal import figures_in_words, summary
from migrate.source import SourceFile

T = TypeVar("T")
Frames = NDArray[np.uint8]


class Cache:
    """The last results by key; safe between threads."""

    def __init__(self, most: int) -> None:
        self._most, self._held, self._lock = most, OrderedDict[Hashable, Any](), threading.Lock()

    def get(self, key: Hashable, make: Callable[[], T]) -> T:
        """What is kept for a key, made where it is not."""
        with self._lock:
            if key in self._held:
                self._held.move_to_end(key)
                found: T = self._held[key]
                return found
        made = make()
        with self._lock:
            self._held[key] = made
            while len(self._held) > self._most:
                self._held.popitem(last=False)
        return made


class Units:
    """Byte offsets of a text and the offsets that a browser counts in: UTF-16 code units."""

    def __init__(self, source: SourceFile) -> None:
        self._data, self._plain = source.data, source.data.isascii()

    def out(self, offset: int) -> int:
        """A byte offset as the browser counts."""
        if self._plain:
            return offset
        return len(self._data[:offset].decode("utf-8", "replace").encode("utf-16-le")) // 2

    def into(self, offset: int) -> int:
        """The browser's offset in bytes."""
        if self._plain:
            return offset
        return len(self._data.decode("utf-8").encode("utf-16-le")[: 2 * offset].decode("utf-16-le", "ignore").encode())


class Desk:
    """The work behind the page."""

    def __init__(self) -> None:
        self._readings, self._frames, self._pngs = Cache(24), Cache(48), Cache(96)

    # ---- reading -----------------------------------------------------------------------------------

    def before(self, one: Asked) -> Reading | Diagnostic:
        """The text before, read as its own generation."""
        return self._read(one.name, one.text, replace(one.options, target=""))

    def after(self, one: Asked, before: Reading) -> Reading | Diagnostic:
        """The moved text, read as the target."""
        return self._read(
            one.name, one.moved, replace(one.options, target="", reading=one.options.target, blade=before.blade)
        )

    def _read(self, name: str, text: str, options: Options) -> Reading | Diagnostic:
        key = (name, text, options.reading, options.blade)
        return self._readings.get(key, lambda: read(SourceFile(name, text.encode("utf-8")), options))

    # ---- moving --------------------------------------------------------------------------------------

    def move(self, one: Asked) -> dict[str, Any]:
        """Moves the text; the answer holds the new text, each style with its grade, and what there is to say."""
        if not one.options.target:
            raise BadRequestError("say which generation to move to")
        source = SourceFile(one.name, one.text.encode("utf-8"))
        moved = move(source, one.options)
        before = self.before(one)
        labels = {} if isinstance(before, Diagnostic) else labels_of(before)
        return {
            "text": moved.text.decode("utf-8", "replace"),
            "origin": moved.origin,
            "target": moved.target,
            "summary": summary(moved.styles, moved.origin, moved.target),
            "styles": [_style(s, labels) for s in moved.styles],
            "diagnostics": _diagnostics(moved),
        }

    # ---- playing and comparing -------------------------------------------------------------------------

    def play(self, one: Asked) -> dict[str, Any]:
        """Both blades of a style over a scene, how far they are apart and the grade of that.

        The first answer comes within a tenth of a second: it compares cell against cell what an eye sees, 50 pictures
        a second, which can only be too strict. With `full`, edges are aligned over every frame, as a move does it.
        """
        before = self.before(one)
        if isinstance(before, Diagnostic):
            raise BadRequestError(before.message)
        old = before.lifted.get(one.style)
        if old is None:
            raise BadRequestError(f"the text has no style {one.style!r}")
        after = self.after(one, before) if one.moved else None
        new = counterpart(one.style, before, after) if isinstance(after, Reading) else None
        scene = playable(one.scene)
        first = self._drawn(old, before, scene)
        second = self._drawn(new, after, scene) if new is not None and isinstance(after, Reading) else None
        if second is not None and second.shape != first.shape:
            second = None
        slow = [seen(frames, scene.rate) for frames in (first, second) if frames is not None]
        delta = self._delta(slow, one.full) if len(slow) == 2 else None
        said = self._said(one, old, new, before, after, first, second, scene, delta)
        played = self._played(scene, slow, delta)
        captions = {"before": before.generation.name, "after": one.options.target, "difference": "difference"}
        return {**said, "style": one.style, "plots": plots(one.style, played, captions, False),
                "flashes": flash_words(played.flashing),
                "over": not played.flashing.passes, "seconds": played.seconds}  # fmt: skip

    def _drawn(self, lifted: Lifted, reading: Reading, scene: Scene) -> Frames:
        key = (*self._meant(lifted, reading), scene.name, scene.rate, scene.events)
        return self._frames.get(key, lambda: frames_of(lifted, reading, scene))

    def _meant(self, lifted: Lifted, reading: Reading) -> tuple[Hashable, ...]:
        """What a drawing hangs on besides its scene: the meaning, the arithmetic and the blade."""
        return meaning(lifted.raw, reading.blade, False).key(), reading.generation.arithmetic, reading.blade

    def _said(
        self, one: Asked, old: Lifted, new: Lifted | None, before: Reading, after: Reading | Diagnostic | None,
        first: Frames, second: Frames | None, scene: Scene, delta: NDArray[np.float64] | None,
    ) -> dict[str, Any]:  # fmt: skip
        if new is None or not isinstance(after, Reading):
            why = after.message if isinstance(after, Diagnostic) else _why_missing(one, after)
            return {"grade": grade("refused") if one.moved else "", "figures": why, "exact": True}
        if second is None or delta is None:
            return {"grade": grade("unmeasured"), "figures": "the two blades differ in their pixels", "exact": True}
        stepless = "tick" in (before.generation.arithmetic.clock, after.generation.arithmetic.clock)
        off = rounding(meaning(old.raw, before.blade, stepless), meaning(new.raw, after.blade, stepless))
        if off == 0:
            return {"grade": grade("same"), "figures": "equal meaning", "exact": True}
        if off is not None and off <= CLOSE_ROUNDING:
            words = f"numbers rounded by at most {float(off):.2%}"
            return {"grade": grade("close"), "figures": words, "exact": True}
        if one.full:
            frames = [self._drawn(d, r, one.scene) for d, r in ((old, before), (new, after))]
            return _verdict(compare(frames[0], frames[1], one.scene.rate, _events(one.scene)), one.scene)
        words = f"cell against cell ΔE 95 % {np.percentile(delta, 95):.2f}, largest {delta.max():.2f}; measuring …"
        return {"grade": "", "figures": words, "exact": False}

    def _played(self, scene: Scene, slow: list[Frames], delta: NDArray[np.float64] | None) -> Played:
        drawings = [Plot(side, self._png(frames)) for side, frames in zip(("before", "after"), slow, strict=False)]
        if delta is not None:
            drawings.append(Plot("difference", difference_png(delta, EYE_RATE, 1)))
        worst = max((self._flashes(frames) for frames in slow), key=lambda f: max(f.general, f.red))
        pixels = slow[0].shape[1]
        return Played(scene.name, scene.duration / 1e6, pixels, tuple(marks_of(scene)), tuple(drawings), worst)

    def _delta(self, slow: list[Frames], aligned: bool) -> NDArray[np.float64]:
        return delta_e_map(slow[0], slow[1], EYE_RATE) if aligned else plain_map(slow[0], slow[1])

    def _png(self, frames: Frames) -> bytes:
        return self._pngs.get((frames.shape, frames.tobytes()), lambda: png(light_image(frames), 1))

    def _flashes(self, frames: Frames) -> Flashes:
        return self._pngs.get(("flashes", frames.shape, frames.tobytes()), lambda: flashes(frames, EYE_RATE))


def plain_map(one: Frames, two: Frames) -> NDArray[np.float64]:
    """CIEDE2000 (T, N) of two renders cell against cell; a duty step in each channel counts as none.

    Each pair of colours is worked out once: a blade shows far fewer of them than it has cells.
    """
    apart = (np.maximum(one, two) - np.minimum(one, two) > 1).any(axis=2)
    pairs = np.concatenate([one[apart], two[apart]], axis=1).astype(np.int64) @ (256 ** np.arange(6))
    found, which = np.unique(pairs, return_inverse=True)
    codes = (found[:, None] // 256 ** np.arange(6)) % 256 / 255.0
    out = np.zeros(one.shape[:2])
    out[apart] = ciede2000(lab_of_light(codes[:, :3]), lab_of_light(codes[:, 3:]))[which]
    return out


def _events(scene: Scene) -> list[tuple[str, int]]:
    return [(e.event, e.start) for e in scene.events]


def _verdict(figures: Figures, scene: Scene) -> dict[str, Any]:
    place = figures.where
    words = (
        f"ΔE 95 % {figures.p95:.2f}, largest {figures.largest:.2f} at {place.time_ms / 1000:.2f} s, "
        f"pixel {place.pixel}; event edges {figures.edge_ms:.0f} ms; scene {scene.name}"
    )
    name = "close" if within(figures, Tolerance()) else "changed"
    return {"grade": grade(name), "figures": words, "exact": True}


def _why_missing(one: Asked, after: Reading | None) -> str:
    if after is None:
        return "not moved yet"
    errors = [d.message for d in after.diagnostics if d.severity == "error"]
    return f"the moved text has no style {one.style!r} that can be read" + (f": {errors[0]}" if errors else "")


def _style(style: Any, labels: dict[str, str]) -> dict[str, Any]:
    return {
        "name": style.name, "label": labels.get(style.name, ""), "line": style.line, "from": style.origin,
        "grade": style.grade, "chip": grade(style.grade), "words": figures_in_words(style), "notes": list(style.notes),
    }  # fmt: skip


def _diagnostics(moved: Moved) -> list[dict[str, Any]]:
    units = Units(moved.source)
    return [
        {**diagnostic_entry(moved.source, d), "start": units.out(d.span.start), "end": units.out(d.span.end)}
        for d in moved.diagnostics
    ]
