"""A flash check after WCAG 2.2, success criterion 2.3.1: how many flashes fall into any one second.

General flash: a pair of opposing changes of relative luminance of at least 10 % of the maximum, the darker state below
0.80. Red flash: a pair of opposing changes of which a state is saturated red, R / (R + G + B) >= 0.8 of linear light,
and whose states are more than 0.2 apart in CIE 1976 u'v'. More than three of either kind in any second fail.

Assumptions, stated because the criterion leaves them to the viewer's place: full duty white is the maximum luminance;
a quarter of the blade's length is enough area to count, so light is averaged over quarters (seven to a blade,
overlapping) and the worst one is reported; a veil of white light of one duty step lies over all, so that black has the
chromaticity of the white point and red against dark counts. This is a caution and no clearance: hall, projection and
viewers' conditions are not in it, and local codes and licensed practice go before it.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from itertools import pairwise
from math import dist

import numpy as np
from numpy.typing import NDArray

from migrate.compare.colour import XYZ_OF_RGB

LIMIT = 3
_SWING = 0.10
_DARKER = 0.80
_RED_SHARE = 0.8
_CHROMA_STEP = 0.2
_VEIL = 1 / 255
_PARTS = 8  # how finely the quarters are laid over the blade
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class Flashes:
    """The most flashes in any one second, general and red, and when that second begins in ms."""

    general: int
    general_ms: float
    red: int
    red_ms: float

    @property
    def passes(self) -> bool:
        """At most three of each kind in any second."""
        return self.general <= LIMIT and self.red <= LIMIT


def flashes(frames: NDArray[np.uint8], rate: int) -> Flashes:
    """Count flashes in frames (T, N, 3) of duties at `rate` frames a second."""
    if frames.ndim != 3 or frames.shape[2] != 3 or rate <= 0:
        raise ValueError(f"frames must be (T, N, 3) at a rate above 0, not {frames.shape} at {rate}")
    general, red = (0, 0.0), (0, 0.0)
    for light in _quarters(frames):
        luminance = light @ XYZ_OF_RGB[1]
        general = max(general, _busiest(_general_changes(luminance), rate), key=lambda found: found[0])
        red = max(red, _busiest(_red_changes(light), rate), key=lambda found: found[0])
    return Flashes(general[0], general[1], red[0], red[1])


def _quarters(frames: NDArray[np.uint8]) -> list[NDArray[np.float64]]:
    """Mean linear light (T, 3) of quarters of the blade, each an eighth of it further than the last."""
    if not frames.size:
        return []
    pixels = frames.shape[1]
    starts = [k * pixels // _PARTS for k in range(_PARTS - 1)]
    ends = sorted({(a, max((k + 2) * pixels // _PARTS, a + 1)) for k, a in enumerate(starts)})
    return [frames[:, a:b].mean(axis=1, dtype=np.float64) / 255.0 for a, b in ends]


def _general_changes(luminance: NDArray[np.float64]) -> list[int]:
    """Frames at which a change of luminance that counts is complete; each opposes the one before it."""
    points = _turning_points(luminance.tolist())
    return [there for (_, a), (there, b) in pairwise(points) if min(a, b) < _DARKER]


def _turning_points(values: list[float]) -> list[tuple[int, float]]:
    """Frames and values of the turning points of a zigzag whose legs are all at least the counted swing."""
    points: list[tuple[int, float]] = []
    least = most = extreme = (0, values[0])
    direction = 0
    for point in enumerate(values):
        value = point[1]
        if direction == 0:
            least, most = min(least, point, key=lambda p: p[1]), max(most, point, key=lambda p: p[1])
            if most[1] - least[1] >= _SWING - _ROUNDING:
                direction = 1 if most[0] > least[0] else -1
                points.append(least if direction > 0 else most)
                extreme = point
        elif (value - extreme[1]) * direction > 0:
            extreme = point
        elif abs(value - extreme[1]) >= _SWING - _ROUNDING:
            points.append(extreme)
            direction, extreme = -direction, point
    return [*points, extreme] if points else []


def _red_changes(light: NDArray[np.float64]) -> list[int]:
    """Frames at which a change of chromaticity that counts is complete: each leads away from where the last led."""
    seen = light + _VEIL
    red = seen[:, 0] / seen.sum(axis=1) >= _RED_SHARE
    if not red.any():
        return []
    xyz = seen @ XYZ_OF_RGB.T
    scale = xyz @ np.array([1.0, 15.0, 3.0])
    states = list(zip((4 * xyz[:, 0] / scale).tolist(), (9 * xyz[:, 1] / scale).tolist(), strict=True))
    points, furthest = [0], 0
    for frame, state in enumerate(states):
        reached = dist(states[furthest], states[points[-1]])
        if dist(state, states[points[-1]]) > max(reached, _CHROMA_STEP):
            furthest = frame
        elif reached > _CHROMA_STEP and dist(state, states[furthest]) > _CHROMA_STEP:
            points.append(furthest)
            furthest = frame
    if furthest > points[-1]:
        points.append(furthest)
    return [there for here, there in pairwise(points) if red[here] or red[there]]


def _busiest(changes: list[int], rate: int) -> tuple[int, float]:
    """The most flashes, two changes each, in any second, and the time in ms of the first change of that second."""
    best = (0, 0.0)
    for first, frame in enumerate(changes):
        count = (bisect_left(changes, frame + rate) - first) // 2
        if count > best[0]:
            best = (count, frame * 1000 / rate)
    return best
