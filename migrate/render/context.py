"""What a node sees while it is evaluated: clock, blade, events, mixing, noise numbers, and what is already known."""

from __future__ import annotations

from copy import copy
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from migrate.ir import nodes as ir
from migrate.ir.facts import Arithmetic, Blade
from migrate.ir.walk import children
from migrate.render.dispatch import PAINTS, SIGNALS, Level, Light
from migrate.render.mixing import MIXINGS
from migrate.render.progress import Progress, progress
from migrate.render.scene import Occurrence, Scene, blade_for

if TYPE_CHECKING:
    from migrate.render.shapes import Moment

TICK = 20_000  # microseconds


class Numbering:
    """Hands out the noise numbers of one style, from 0, in the order of the walk."""

    def __init__(self) -> None:
        self.next = 0

    def take(self) -> int:
        """The next number."""
        self.next += 1
        return self.next - 1


_NUMBERED = (ir.Noise, ir.Hearth, ir.Scatter)


def noises(node: Any) -> int:
    """How many noise numbers a part of a style takes, wherever it stands."""
    return isinstance(node, _NUMBERED) + sum(map(noises, children(node)))


class Context:
    """One style's evaluation over all frames at once: T frames by N pixels.

    `at()` narrows it to some of the frames: `rows` of the context `over` it. `t` is (T, 1) integer microseconds on this
    context's clock, `s` the same in seconds, `x` (1, N) the pixels' centres 0 to 1.

    Nodes are visited in the order of their fields, children before the node itself, each once:
    that order numbers the noises. Equal nodes without noise are evaluated once.
    """

    def __init__(
        self,
        scene: Scene,
        blade: Blade,
        arithmetic: Arithmetic,
        power: ir.Power | None,
        numbers: Numbering | None = None,
    ) -> None:
        whole = blade_for(scene, blade)
        assert whole.pixels is not None and whole.per_metre is not None
        self.scene, self.blade, self.style_power = scene, whole, power
        self.mixing = MIXINGS[arithmetic.mixing]
        self.numbers = numbers or Numbering()
        self.over: Context | None = None
        self.rows: NDArray[np.int64] | None = None
        self.pixels = whole.pixels
        self.per_metre = float(whole.per_metre)
        times = scene.times.reshape(-1, 1)
        self.t = times // TICK * TICK if arithmetic.clock == "tick" else times
        self.s: Level = self.t / 1e6
        self.index = np.arange(self.pixels, dtype=np.int64).reshape(1, -1)
        self.centre: Level = np.asarray(self.index + 0.5, np.float64)
        self.x: Level = self.centre / self.pixels
        self._forget()

    def _forget(self) -> None:
        self._known_paints: dict[ir.Paint, Light] = {}
        self._known_signals: dict[ir.Signal, Level] = {}
        self._latest: dict[str, NDArray[np.int64]] = {}
        self.moments: dict[str, Moment | None] = {}

    def at(self, rows: NDArray[np.int64]) -> Context:
        """The same in some of this context's frames; what has a memory is still played through all."""
        part = copy(self)
        part.over, part.rows = self, rows
        part.t, part.s = self.t[rows], self.s[rows]
        for derived in ("stepped", "progress"):
            part.__dict__.pop(derived, None)
        part._forget()
        return part

    def taken(self, level: Level) -> Level:
        """What a level of the frames of `over` is in this context's frames."""
        return level if len(level) == 1 else level[self.rows]

    def paint(self, node: ir.Paint) -> Light:
        """The paint's light, (3, T or 1, N or 1), in the numbers of this context's mixing."""
        known = self._known_paints.get(node)
        if known is not None:
            return known
        before = self.numbers.next
        light = PAINTS[type(node)](self, node)
        if self.numbers.next == before:
            self._known_paints[node] = light
        return light

    def signal(self, node: ir.Signal) -> Level:
        """The signal's level, (T or 1, N or 1), 0 to 1."""
        known = self._known_signals.get(node)
        if known is None and self.over is not None and (above := self.over._known_signals.get(node)) is not None:
            known = self._known_signals[node] = self.taken(above)
        if known is not None:
            return known
        before = self.numbers.next
        level = SIGNALS[type(node)](self, node)
        if self.numbers.next == before:
            self._known_signals[node] = level
        return level

    @cached_property
    def stepped(self) -> Context:
        """The same scene on the tick clock with the floored mixing; noise numbers go on from here."""
        if self.over is not None and self.rows is not None:
            return self.over.stepped.at(self.rows)
        arithmetic = Arithmetic("tick", "eight_floor")
        return Context(self.scene, self.blade, arithmetic, self.style_power, self.numbers)

    @cached_property
    def progress(self) -> Progress | None:
        """How far the style's power has come at each frame, or None for a style without."""
        if self.style_power is None:
            return None
        if self.over is not None and self.rows is not None and (above := self.over.progress) is not None:
            return Progress(above.q[self.rows], above.rising[self.rows])
        return progress(self.scene, self.t, self.style_power)

    def place(self, unit: ir.LengthUnit) -> tuple[Level, float]:
        """The pixels' centres (1, N), and the whole blade, in a unit of length."""
        if unit == "px":
            return self.centre, float(self.pixels)
        if unit == "mil":
            return self.centre * 1000.0 / self.pixels, 1000.0
        return self.centre * 1000.0 / self.per_metre, self.pixels * 1000.0 / self.per_metre

    def share(self, length: ir.Length) -> float:
        """A length as a share of the blade."""
        return float(length.value) / self.place(length.unit)[1]

    def speed_in(self, speed: ir.Speed, unit: ir.LengthUnit) -> float:
        """A speed in `unit` a second; only a speed in another unit than its construct's length is converted."""
        value = float(speed.value)
        return value if speed.unit == unit else value / self.place(speed.unit)[1] * self.place(unit)[1]

    def occurrences(self, event: str) -> tuple[Occurrence, ...]:
        """Every occurrence of one kind, in the scene's order."""
        return self.scene.all(event)

    def latest(self, event: str) -> NDArray[np.int64]:
        """The ordinal, (T, 1), of the last occurrence in the scene's order that has started, -1 before the first."""
        if event not in self._latest and self.over is not None:
            self._latest[event] = self.over.latest(event)[self.rows]
        elif event not in self._latest:
            found = np.full(self.t.shape, -1, np.int64)
            for ordinal, one in enumerate(self.occurrences(event)):
                found[self.t >= one.start] = ordinal
            self._latest[event] = found
        return self._latest[event]
