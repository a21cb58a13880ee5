"""Edges in time and in place: when an event's effect begins and ends, and how far the pattern's edges stand apart."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from migrate.compare.colour import lab_of_light, window_frames

EVENT_WINDOW_S = 1.5  # how long after an event its effect is looked for, unless the next event comes first
LEVELS = (0.4, 0.45, 0.5, 0.55, 0.6)
MISSING = 0.25  # an effect weaker than this share of the other side's is not that effect
_STEP = 1 / 255
SEEK_PX = 8  # how far the like of an edge is sought along the blade
_EDGE_LAB = 10.0  # the least jump in Lab from pixel to pixel that is an edge

Seen = Callable[[int, int], bool]  # whether two renders differ visibly in the frames from the first up to the second


def _always(first: int, end: int) -> bool:
    return end > first


def event_edge_error(
    before: NDArray[np.uint8],
    after: NDArray[np.uint8],
    rate: int,
    events: Sequence[tuple[str, int]],
    seen: Seen = _always,
) -> tuple[float, int]:
    """The largest error in ms of the onset or the end of any event's effect, and the frame where it begins.

    The effect is the light of the whole blade, channel by channel, in its largest distance from that of the frame
    before the event. Onset and end are the instants at which it first rises to half of its peak and first falls below
    again (the mid-reference instants of a pulse, IEEE Std 181), within 1.5 s and before the next event. So that a
    plateau at that level does not decide, the error of an edge is the least over five levels from 40 to 60 %. A peak
    of at most two duty steps is no effect; an effect of which the other side has not a quarter is missing there, and
    errs by its whole length.

    An edge that is displaced counts where that can be seen: where by `seen` the renders differ in the frames between
    its two instants. A slow shade of low contrast crosses a level early or late by a small rounding of its light; as
    long as both renders look alike all that time, there is no moment at which the one has the effect and the other
    has not. A strong edge has that moment, and so has a missing effect, in its own length.
    """
    light_b, light_a = _mean_light(before), _mean_light(after)
    times = sorted({time for _, time in events})
    worst, at = 0.0, 0
    for number, time in enumerate(times):
        start = max(0, -(-time * rate // 1_000_000))
        end = min(len(light_b), start + round(EVENT_WINDOW_S * rate))
        if number + 1 < len(times):
            end = min(end, -(-times[number + 1] * rate // 1_000_000))
        if start >= end:
            continue
        for frames, edge in _edge_errors(_effect(light_b, start, end), _effect(light_a, start, end)):
            if frames > worst and seen(start + edge, start + edge + frames):
                worst, at = float(frames), start + edge
    return worst * 1000 / rate, at


def _mean_light(frames: NDArray[np.uint8]) -> NDArray[np.float64]:
    """The blade's mean light (T, 3)."""
    total = np.ones(frames.shape[1]) @ frames.astype(np.float64)  # whole numbers, so exact; quicker than a sum of bytes
    return np.asarray(total / (255.0 * frames.shape[1]))


def _effect(light: NDArray[np.float64], start: int, end: int) -> NDArray[np.float64]:
    """How far the light is from what it was just before frame `start`, for the frames from there to `end`."""
    return np.asarray(np.abs(light[start:end] - light[max(0, start - 1)]).max(axis=1))


def _edge_errors(one: NDArray[np.float64], two: NDArray[np.float64]) -> list[tuple[int, int]]:
    """The error in frames of onset and of end, each with the frame, from the event, of the earlier of its two edges."""
    peak_one, peak_two = float(one.max()), float(two.max())
    if max(peak_one, peak_two) <= 2 * _STEP:
        return []
    if min(peak_one, peak_two) <= max(_STEP, MISSING * max(peak_one, peak_two)):
        onset, end = _pulse(one if peak_one > peak_two else two, 0.5)
        return [(end - onset, onset)]
    pulses = [(_pulse(one, level), _pulse(two, level)) for level in LEVELS]
    onset_error, onset = min((abs(p[0] - q[0]), min(p[0], q[0])) for p, q in pulses)
    end_error, end = min((abs(p[1] - q[1]), min(p[1], q[1])) for p, q in pulses)
    return [(onset_error, onset), (end_error, end)]


def _pulse(effect: NDArray[np.float64], share: float) -> tuple[int, int]:
    """First frame at `share` of the peak, and the first below it after that, or the window's end."""
    high = effect >= share * effect.max()
    onset = int(high.argmax())
    low = ~high[onset:]
    return onset, onset + (int(low.argmax()) if low.any() else len(low))


def edge_shift(before: NDArray[np.uint8], after: NDArray[np.uint8], rate: int) -> float:
    """The largest displacement in pixels of an edge along the blade: 0 to 8, 0 where there is no edge.

    An edge is a jump of at least 10 in Lab from one pixel to the next, and the largest round it. Its counterpart is
    the nearest edge in the same frame of the other side whose jump is alike, to within half its size; an edge without
    one within 8 pixels is missing and not displaced, which the colour figures tell. One frame in 20 ms is looked at.
    """
    rows = np.arange(0, len(before), window_frames(rate))
    rows = rows[(before[rows] != after[rows]).any(axis=(1, 2))]
    if not len(rows) or before.shape[1] < 2:
        return 0.0
    one, two = _jumps(before[rows]), _jumps(after[rows])
    return float(max(_displacement(one, two), _displacement(two, one)))


def _jumps(frames: NDArray[np.uint8]) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.bool_]]:
    """The jump in Lab (R, N - 1, 3) between pixels, its size (R, N - 1), and where it is an edge."""
    jump = np.diff(lab_of_light(frames / 255.0), axis=1)
    size = np.sqrt((jump * jump).sum(axis=2))
    framed = np.pad(size, ((0, 0), (1, 1)))
    return jump, size, (size >= _EDGE_LAB) & (size > framed[:, :-2]) & (size >= framed[:, 2:])


def _displacement(
    one: tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.bool_]],
    two: tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.bool_]],
) -> int:
    """The largest distance from an edge of `one` to the nearest like it in `two`."""
    jump, size, edge = one
    other, _, other_edge = two
    row, place = np.nonzero(edge)
    open_ = np.ones(len(row), dtype=bool)
    largest = 0
    for distance in range(SEEK_PX + 1):
        for place_there in {distance, -distance}:
            target = place + place_there
            inside = np.flatnonzero(open_ & (target >= 0) & (target < edge.shape[1]))
            r, p, q = row[inside], place[inside], target[inside]
            apart = np.sqrt(((jump[r, p] - other[r, q]) ** 2).sum(axis=1))
            match = inside[other_edge[r, q] & (apart <= size[r, p] / 2)]
            if len(match):
                open_[match] = False
                largest = distance
    return largest
