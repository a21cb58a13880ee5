"""A scene: a written timeline of events and sensor curves that a style is played over."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from migrate.ir.facts import Blade
from migrate.ir.nodes import HELD_EVENTS, INSTANT_EVENTS, Rational

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

EVENTS = INSTANT_EVENTS + HELD_EVENTS
SENSORS = ("swing", "twist", "tilt", "sound")
DEFAULT_PIXELS = 132  # 36 inches at 144 a metre: common practice, no source
DEFAULT_PER_METRE = 144

Curve = tuple[tuple[int, float], ...]


@dataclass(frozen=True, slots=True)
class Occurrence:
    """One event: times in microseconds, `end` None for an instant event; place and strength 0 to 1."""

    event: str
    start: int
    end: int | None
    place: float
    strength: float


@dataclass(frozen=True)
class Scene:
    """`duration` in microseconds, `rate` in frames a second; sensor curves are (time, value) knots.

    Sensors: swing in deg/s, twist and tilt in degrees, sound 0 to 1; a curve is linear between its knots.
    `pixels` and `per_metre` are the blade that the scene asks for, None where it leaves that open.
    """

    name: str
    duration: int
    rate: int
    pixels: int | None
    per_metre: Rational | None
    events: tuple[Occurrence, ...]
    sensors: Mapping[str, Curve]

    @property
    def frames(self) -> int:
        """How many frames lie before the end: frame k is at `k * 1_000_000 // rate`."""
        return (self.duration * self.rate + 999_999) // 1_000_000

    @property
    def times(self) -> NDArray[np.int64]:
        """The frames' times in microseconds, shape (T,)."""
        import numpy as np  # here, so that reading a scene does not load numpy

        return np.arange(self.frames, dtype=np.int64) * 1_000_000 // self.rate

    def all(self, event: str) -> tuple[Occurrence, ...]:
        """Every occurrence of one kind, in the scene's order."""
        return tuple(one for one in self.events if one.event == event)


def blade_for(scene: Scene, blade: Blade) -> Blade:
    """The blade to draw on: what `blade` says, else what the scene says, else 132 pixels at 144 a metre."""
    pixels = next(n for n in (blade.pixels, scene.pixels, DEFAULT_PIXELS) if n is not None)
    per_metre = next(p for p in (blade.per_metre, scene.per_metre, DEFAULT_PER_METRE) if p is not None)
    return Blade(pixels, per_metre)
