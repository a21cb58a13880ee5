"""The figures of a comparison: how far two renders of one style are apart, for an eye, and whether that is close.

Frames are duties (T, N, 3); see `colour` for the eye's window and the exposure, `align` for what counts as the same
edge, `edges` for times and places.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from migrate.compare.align import Side, beyond, difference, one_way, sides
from migrate.compare.edges import edge_shift, event_edge_error


@dataclass(frozen=True, slots=True)
class Tolerance:
    """What counts as close: CIEDE2000 after alignment, 95th percentile and largest; event edges in ms."""

    p95: float = 1.0
    largest: float = 5.0
    edge_ms: float = 20.0


DEFAULT = Tolerance()
# Up to here two colours side by side look alike: the just noticeable difference of Mahy, Van Eycken and Oosterlinck
# 1994 (Color Research and Application 19), found for CIELAB and taken here for CIEDE2000; the value is from memory.
NOTICEABLE = 2.3


@dataclass(frozen=True, slots=True)
class Place:
    """A cell of the render: the frame, its time in ms, the pixel from the hilt."""

    frame: int
    time_ms: float
    pixel: int


@dataclass(frozen=True, slots=True)
class Figures:
    """CIEDE2000 after alignment (`mean`, `p95`, `largest`) and cell against cell (`plain_…`).

    where     the cell of the largest aligned difference, or of the largest plain one where alignment leaves none
    first     the first cell that is out of tolerance; None where all is within
    duty      the largest difference of one channel in one frame, in duty steps, nothing aligned or integrated
    edge_ms   the largest error of an event's onset or end that can be seen: where the frames between its two instants,
              taken by themselves, are not close, or a cell of them differs by more than `NOTICEABLE`, not aligned
    shift_px  the largest displacement of an edge along the blade, up to 8 pixels
    """

    mean: float
    p95: float
    largest: float
    plain_mean: float
    plain_p95: float
    plain_largest: float
    where: Place
    first: Place | None
    duty: int
    edge_ms: float
    shift_px: float


def compare(
    before: NDArray[np.uint8],
    after: NDArray[np.uint8],
    rate: int,
    events: Sequence[tuple[str, int]] = (),
    tolerance: Tolerance = DEFAULT,
) -> Figures:
    """Compare two renders (T, N, 3) of duties at `rate` frames a second; `events` are names and microseconds.

    Neighbourhoods are searched where the plain difference is above `tolerance.p95`. Smaller ones keep their plain
    figure, so `mean` is an upper bound, while the verdict of `within` is that of a search everywhere.

    Raises ValueError if the shapes differ, are not (T, N, 3), or the rate is not above 0.
    """
    _check(before, after, rate)
    if before.size == 0 or np.array_equal(before, after):
        return Figures(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, Place(0, 0.0, 0), None, 0, 0.0, 0.0)
    plain, aligned = _maps(before, after, rate, tolerance.p95)
    mean, p95, largest = _summary(aligned)
    plain_mean, plain_p95, plain_largest = _summary(plain)
    edge_ms, edge_frame = event_edge_error(before, after, rate, events, partial(_seen, plain, aligned))
    first = _first(aligned, p95, largest, tolerance, rate)
    if first is None and edge_ms > tolerance.edge_ms:
        first = _place(edge_frame * plain.shape[1] + int(plain[edge_frame].argmax()), plain.shape[1], rate)
    return Figures(
        mean, p95, largest, plain_mean, plain_p95, plain_largest,
        where=_place(int((aligned if largest > 0 else plain).argmax()), plain.shape[1], rate),
        first=first,
        duty=int((np.maximum(before, after) - np.minimum(before, after)).max()),
        edge_ms=edge_ms,
        shift_px=edge_shift(before, after, rate),
    )  # fmt: skip


def within(figures: Figures, tolerance: Tolerance) -> bool:
    """Whether the figures are within the tolerance, limits included."""
    return (
        figures.p95 <= tolerance.p95
        and figures.largest <= tolerance.largest
        and figures.edge_ms <= tolerance.edge_ms
    )  # fmt: skip


def _seen(plain: NDArray[np.float64], aligned: NDArray[np.float64], first: int, end: int) -> bool:
    """Whether two renders can be told apart in the frames from `first` up to `end`, by differences (T, N).

    They cannot where both hold: the aligned differences of these frames alone are close, and no plain one is above
    `NOTICEABLE`. Alignment alone would let a pattern under the edge excuse it, the plain figure alone an edge that is
    faint but sharp.
    """
    if first >= end:
        return False
    _, p95, largest = _summary(aligned[first:end])
    return p95 > DEFAULT.p95 or largest > DEFAULT.largest or bool((plain[first:end] > NOTICEABLE).any())


def delta_e_map(
    before: NDArray[np.uint8],
    after: NDArray[np.uint8],
    rate: int,
    aligned: bool = True,
    threshold: float = DEFAULT.p95,
) -> NDArray[np.float64]:
    """CIEDE2000 of each cell (T, N), aligned as `compare` does it with `threshold` for `tolerance.p95`, or plain.

    Raises ValueError as `compare` does.
    """
    _check(before, after, rate)
    if before.size == 0 or np.array_equal(before, after):
        return np.zeros(before.shape[:2])
    plain, close = _maps(before, after, rate, threshold)
    return close if aligned else plain


def _check(before: NDArray[np.uint8], after: NDArray[np.uint8], rate: int) -> None:
    if before.shape != after.shape or before.ndim != 3 or before.shape[2] != 3:
        raise ValueError(f"frames must be two arrays (T, N, 3) of one shape, not {before.shape} and {after.shape}")
    if before.dtype != np.uint8 or after.dtype != np.uint8:
        raise ValueError(f"frames must be duties of type uint8, not {before.dtype} and {after.dtype}")
    if rate <= 0:
        raise ValueError(f"the frame rate must be above 0, not {rate}")


def _maps(
    before: NDArray[np.uint8], after: NDArray[np.uint8], rate: int, threshold: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Plain and aligned CIEDE2000 (T, N)."""
    one, two = sides(before, after, rate)
    cells = np.flatnonzero(beyond(one.sums - two.sums, one.resolution))
    plain = np.zeros(before.shape[:2])
    plain.reshape(-1)[cells] = difference(one, two, cells, cells)
    if not (plain > threshold).any():
        return plain, plain
    return plain, _aligned(one, two, plain, threshold, rate)


def _aligned(one: Side, two: Side, plain: NDArray[np.float64], threshold: float, rate: int) -> NDArray[np.float64]:
    forth = one_way(one, two, plain, threshold, rate)
    back = one_way(two, one, plain, threshold, rate)
    return np.maximum(forth, back)


def _summary(differences: NDArray[np.float64]) -> tuple[float, float, float]:
    return float(differences.mean()), float(np.percentile(differences, 95)), float(differences.max())


def _first(aligned: NDArray[np.float64], p95: float, largest: float, tolerance: Tolerance, rate: int) -> Place | None:
    """The first cell above the limit that fails; the limit of the largest goes before that of the percentile."""
    if largest > tolerance.largest:
        limit = tolerance.largest
    elif p95 > tolerance.p95:
        limit = tolerance.p95
    else:
        return None
    return _place(int((aligned > limit).argmax()), aligned.shape[1], rate)


def _place(cell: int, pixels: int, rate: int) -> Place:
    frame, pixel = divmod(cell, pixels)
    return Place(frame, frame * 1000 / rate, pixel)
