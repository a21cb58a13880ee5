"""The least difference of a cell from its neighbourhood on the other side: one pixel and 20 ms each way.

An edge that one renderer puts a pixel further, or a wave that steps on a clock of 20 ms, is no other look. Both ways
round: each cell of `before` seeks its like in `after`, and each of `after` in `before`; a cell's aligned difference is
the larger of the two minima, so that a flash which only one side has stays in the figures.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from migrate.compare.colour import ciede2000, integrate, lab_of_light, window_frames

PIXELS = 1
REACH_S = 0.020
_CHUNK = 32768  # cells searched at a time, so that the arrays stay in the cache
_MIXED = 4096  # the same for mixtures, which take the whole neighbourhood at once
_ON_LINE = 0.02  # how far off the line of mixtures, as a share of the edge's jump, light still counts as one
_EVIDENCE_S = 0.250  # how near in time a displaced edge must be seen to excuse an end pixel
_FAR = np.float32(1e9)  # the lightness of a cell beyond the edges: never the nearest


@dataclass(frozen=True, slots=True)
class Side:
    """One side of a comparison: integrated duties and their Lab (T, N, 3), and planes (3, T, N) to search in.

    `resolution` is one duty step, in the unit of the sums.
    """

    sums: NDArray[np.int32]
    lab: NDArray[np.float64]
    planes: NDArray[np.float32]
    resolution: int


def sides(before: NDArray[np.uint8], after: NDArray[np.uint8], rate: int) -> tuple[Side, Side]:
    """Both sides of frames (T, N, 3), integrated over the eye's window and converted once.

    Frames that no figure can depend on, those further than the reach from any difference, are left at Lab 0.
    """
    window = window_frames(rate)
    sums = integrate(before, window), integrate(after, window)
    rows = np.flatnonzero(_spread(np.asarray(beyond(sums[0] - sums[1], window).any(axis=1)), reach_frames(rate)))
    one, two = (_side(each, rows, window) for each in sums)
    return one, two


def _side(sums: NDArray[np.int32], rows: NDArray[np.intp], window: int) -> Side:
    lab = np.zeros(sums.shape)
    planes = np.zeros((3, *sums.shape[:2]), dtype=np.float32)
    lab[rows] = found = lab_of_light(sums[rows] / (255.0 * window))
    planes[:, rows] = spaced(found)
    return Side(sums, lab, planes, window)


def beyond(delta: NDArray[np.int32], resolution: int) -> NDArray[np.bool_]:
    """Where a difference (..., 3) is above the resolution in any channel."""
    return _any_channel(np.abs(delta) > resolution)


def _any_channel(flags: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Where a flag (..., 3) is up in any channel; many times quicker than `any` over a short axis."""
    return np.asarray(flags[..., 0] | flags[..., 1] | flags[..., 2])


def difference(one: Side, two: Side, here: NDArray[np.intp], there: NDArray[np.intp]) -> NDArray[np.float64]:
    """CIEDE2000 (K,) of the flat cells `here` (K,) of `one` and `there` (K,) of `two`.

    A pair of cells whose integrated light is within one duty step in every channel is no difference. That is a dead
    zone and no discount: beyond it the difference counts in full. It cannot hide a drift, since it judges each pair of
    cells by itself and what drifts moves whole edges; and what it leaves out is still in the plain duty figure.
    """
    apart = beyond(one.sums.reshape(-1, 3)[here] - two.sums.reshape(-1, 3)[there], one.resolution)
    result = np.zeros(len(here))
    result[apart] = ciede2000(one.lab.reshape(-1, 3)[here[apart]], two.lab.reshape(-1, 3)[there[apart]])
    return result


def reach_frames(rate: int) -> int:
    """How many whole frames lie within 20 ms (5 at 250 frames a second)."""
    return int(rate * REACH_S + 1e-9)


def spaced(lab: NDArray[np.float64]) -> NDArray[np.float32]:
    """Planes (3, T, N) in which the plain distance ranks colours about as CIEDE2000 does.

    Chroma is compressed by the integral of the formula's own weight, 1 + 0.045 C. It serves to pick a neighbour and
    is never a figure.
    """
    chroma = np.sqrt(lab[..., 1] ** 2 + lab[..., 2] ** 2) * 0.045
    planes = np.moveaxis(lab, -1, 0).astype(np.float32)
    planes[1:] *= np.divide(np.log1p(chroma), chroma, out=np.ones_like(chroma), where=chroma > 0)
    return planes


def _offsets(reach: int) -> list[tuple[int, int]]:
    """Every step of the neighbourhood, the nearest first, so that ties go to the smallest displacement."""
    steps = [(dt, dx) for dt in range(-reach, reach + 1) for dx in range(-PIXELS, PIXELS + 1)]
    return sorted(steps, key=lambda step: (abs(step[0]) + abs(step[1]), abs(step[1]), step))


def nearest(
    here: NDArray[np.float32], there: NDArray[np.float32], cells: NDArray[np.intp], reach: int
) -> NDArray[np.intp]:
    """For each flat cell (K,) of `here` (3, T, N) that of `there` which is nearest to it within the neighbourhood."""
    _, frames, pixels = here.shape
    wide = pixels + 2 * PIXELS
    padded = np.full((3, frames + 2 * reach, wide), _FAR, dtype=np.float32)
    padded[:, reach : reach + frames, PIXELS : PIXELS + pixels] = there
    flat_there, flat_here = padded.reshape(3, -1), here.reshape(3, -1)
    offsets = _offsets(reach)
    result = cells.copy()
    for start in range(0, len(cells), _CHUNK):
        some = cells[start : start + _CHUNK]
        own = [plane[some] for plane in flat_here]
        at = (some // pixels + reach) * wide + some % pixels + PIXELS
        best = np.full(len(some), np.inf, dtype=np.float32)
        chosen = np.zeros(len(some), dtype=np.intp)
        for dt, dx in offsets:
            other = at + (dt * wide + dx)
            distance = np.zeros(len(some), dtype=np.float32)
            for plane, value in zip(flat_there, own, strict=True):
                delta = plane.take(other)
                delta -= value
                delta *= delta
                distance += delta
            np.copyto(chosen, dt * pixels + dx, where=distance < best)
            np.minimum(best, distance, out=best)
        result[start : start + _CHUNK] += chosen
    return result


def one_way(here: Side, there: Side, plain: NDArray[np.float64], threshold: float, rate: int) -> NDArray[np.float64]:
    """The least difference (T, N) of each cell of `here` from its neighbourhood in `there`, never above `plain`.

    Only cells whose plain difference is above `threshold` are searched; the others keep it.
    """
    low, high = _extremes(there, reach_frames(rate))
    # Where the neighbourhood is of one colour, a search finds nothing.
    cells = np.flatnonzero((plain > threshold) & _any_channel(low != high))
    found = nearest(here.planes, there.planes, cells, reach_frames(rate))
    result = plain.copy()
    values = result.reshape(-1)
    values[cells] = np.minimum(values[cells], difference(here, there, cells, found))
    if plain.shape[1] > 2 * PIXELS:
        step = np.zeros(plain.size, dtype=np.intp)
        step[cells] = np.where(values[cells] <= threshold, found % plain.shape[1] - cells % plain.shape[1], 0)
        left = cells[values[cells] > threshold]
        left = left[_mixable(here, low, high, left)]
        _between(here, there, values, left, plain.shape, reach_frames(rate))
        _excuse_ends(here, there, result, step.reshape(plain.shape), threshold, rate)
    return result


def _between(
    here: Side, there: Side, values: NDArray[np.float64], cells: NDArray[np.intp], shape: tuple[int, int], reach: int
) -> None:
    """Lower `values` (T * N) of `cells` (K,) whose light lies between two neighbours of the other side.

    Two things are sampled here that are continuous: the place of an edge, of which a displacement may be a part of a
    pixel (while a slow edge passes, the integrated light is a mixture of both its colours), and the eye's window,
    which slides between two frames as well as on them. So the counterpart may be the nearest mixture, in linear light,
    of one pixel's light in two frames that follow each other, or of two neighbouring pixels of one frame, be it
    displaced by up to 20 ms itself. What moves comes to those two one after the other, so they may also be seen up to
    half a window apart; then they still have a moment in common.
    """
    for start in range(0, len(cells), _MIXED):
        some = cells[start : start + _MIXED]
        row, column = some // shape[1], some % shape[1]
        # Beyond an end stands the end's own cell, which is in the neighbourhood anyway.
        at = {
            (dt, dx): np.clip(row + dt, 0, shape[0] - 1) * shape[1] + np.clip(column + dx, 0, shape[1] - 1)
            for dt in range(-reach, reach + 1)
            for dx in range(-PIXELS, PIXELS + 1)
        }
        planes = {step: _planes(there, cell) for step, cell in at.items()}
        own = _planes(here, some)
        tried = []
        for one, two in _pairs(reach):
            near = _near_line(own, planes[one], planes[two], here.resolution)
            tried.append((some[near], at[one][near], at[two][near]))
        _mixtures(here, there, values, *(np.concatenate(part) for part in zip(*tried, strict=True)))


def _mixable(here: Side, low: NDArray[Any], high: NDArray[Any], cells: NDArray[np.intp]) -> NDArray[np.bool_]:
    """Which of the flat cells (K,) may be a mixture of two neighbours: quick, and none is missed.

    A mixture lies within the extremes of the neighbourhood in each channel, and so, but for what a cell may be off the
    line, does a cell that is one.
    """
    lowest, highest = low.reshape(-1, 3)[cells].astype(np.float64), high.reshape(-1, 3)[cells].astype(np.float64)
    own = here.sums.reshape(-1, 3)[cells]
    jump = np.sqrt(((highest - lowest) ** 2).sum(axis=1))
    off = np.maximum(_ON_LINE * jump, here.resolution)[:, None] + 1e-6
    inside = (own >= lowest - off) & (own <= highest + off)
    return np.asarray((jump > 0) & inside.all(axis=1))


def _extremes(side: Side, reach: int) -> tuple[NDArray[Any], NDArray[Any]]:
    """The least and the largest light (T, N, 3) of each cell's neighbourhood, channel by channel."""
    small = np.min_scalar_type(255 * side.resolution)  # the narrower, the more lanes
    sums = side.sums.astype(small)
    return _extreme(sums, reach, np.minimum), _extreme(sums, reach, np.maximum)


def _extreme(sums: NDArray[Any], reach: int, larger: np.ufunc) -> NDArray[Any]:
    """The extreme (T, N, 3) of each neighbourhood; `larger` says of two values which."""
    across = sums.copy()
    for by in range(1, PIXELS + 1):
        larger(across[:, by:], sums[:, :-by], out=across[:, by:])
        larger(across[:, :-by], sums[:, by:], out=across[:, :-by])
    found = np.pad(across, ((reach, reach), (0, 0), (0, 0)), mode="edge")
    done, whole = 1, 2 * reach + 1
    while done < whole:  # windows twice as long, from two that overlap at most
        by = min(done, whole - done)
        found = larger(found[:-by], found[by:])
        done += by
    return found


def _pairs(reach: int) -> list[tuple[tuple[int, int], tuple[int, int]]]:
    """The steps (frames, pixels) to the two cells of each mixture."""
    times = range(-reach, reach + 1)
    pairs = [((dt, dx), (dt + 1, dx)) for dt in times[:-1] for dx in range(-PIXELS, PIXELS + 1)]
    return pairs + [
        ((dt, dx), (dt2, dx + 1))
        for dt in times
        for dt2 in times
        if abs(dt2 - dt) <= reach // 2
        for dx in range(-PIXELS, PIXELS)
    ]


def _planes(side: Side, cells: NDArray[np.intp]) -> NDArray[np.float32]:
    """The light (3, K) of the flat cells (K,)."""
    return np.ascontiguousarray(side.sums.reshape(-1, 3)[cells].T, dtype=np.float32)


def _near_line(
    own: NDArray[np.float32], one: NDArray[np.float32], two: NDArray[np.float32], resolution: int
) -> NDArray[np.intp]:
    """Which lights (3, K) may lie on the line of the mixtures of `one` and `two`: quick, and none is missed."""
    along, offset = two - one, own - one
    length, dot, far = _dot(along, along), _dot(offset, along), _dot(offset, offset)
    share = np.minimum(np.maximum(dot, 0) / np.maximum(length, 1), 1)
    far -= share * (2 * dot - share * length)
    # The distance is at most sqrt(3) times the largest of three channels; 4 is more than the cancellation loses.
    return np.flatnonzero((length > 0) & (far <= 3 * np.maximum(_ON_LINE**2 * length, resolution**2) + 4))


def _dot(a: NDArray[np.float32], b: NDArray[np.float32]) -> NDArray[np.float32]:
    return np.asarray(a[0] * b[0] + a[1] * b[1] + a[2] * b[2])


def _mixtures(
    here: Side,
    there: Side,
    values: NDArray[np.float64],
    cells: NDArray[np.intp],
    first: NDArray[np.intp],
    second: NDArray[np.intp],
) -> None:
    """Lower `values` of `cells` (K,) to the difference from the nearest mixture of the cells `first` and `second`.

    A cell may stand there several times, each time with another two.
    """
    light = there.sums.reshape(-1, 3)
    one = light[first]
    along = (light[second] - one).astype(np.float64)
    offset = here.sums.reshape(-1, 3)[cells] - one
    length = (along * along).sum(axis=1)
    share = np.clip((offset * along).sum(axis=1) / length, 0.0, 1.0)
    rest = np.abs(offset - share[:, None] * along).max(axis=1)
    values[cells[rest <= here.resolution]] = 0.0
    fits = np.flatnonzero((rest <= np.maximum(_ON_LINE * np.sqrt(length), here.resolution)) & (values[cells] > 0))
    mixed = (one[fits] + share[fits, None] * along[fits]) / (255.0 * here.resolution)
    found = ciede2000(here.lab.reshape(-1, 3)[cells[fits]], lab_of_light(mixed))
    np.minimum.at(values, cells[fits], found)


def _excuse_ends(
    here: Side,
    there: Side,
    result: NDArray[np.float64],
    step: NDArray[np.intp],
    threshold: float,
    rate: int,
) -> None:
    """Mend the two end pixels of `result` (T, N) where a displaced pattern comes in across the blade's end.

    What came in has no counterpart on the blade. An end pixel takes its inner neighbour's difference at a displacement
    of one pixel outward, but only within 250 ms of a frame in which a difference elsewhere on the blade is resolved by
    that same displacement, `step` (T, N): a one-pixel collar that one side lacks stays in the figures.
    """
    frames, pixels = result.shape
    for end, inner, outward in ((pixels - 1, pixels - 2, 1), (0, 1, -1)):
        seen = (step[:, 1:-1] == outward).any(axis=1)
        near = _spread(seen, round(rate * _EVIDENCE_S))
        rows = np.flatnonzero(near & (result[:, end] > threshold))
        for dt in range(-reach_frames(rate), reach_frames(rate) + 1) if len(rows) else ():
            other = np.clip(rows + dt, 0, frames - 1)
            outside = difference(here, there, rows * pixels + inner, other * pixels + end)
            result[rows, end] = np.minimum(result[rows, end], outside)


def _spread(flags: NDArray[np.bool_], by: int) -> NDArray[np.bool_]:
    """True within `by` frames of a true flag."""
    count = np.concatenate([[0], np.cumsum(flags)])
    at = np.arange(len(flags))
    return np.asarray(count[np.minimum(at + by + 1, len(flags))] > count[np.maximum(at - by, 0)])
