"""Philox 4x64-10 over numpy arrays: Salmon, Moraes, Dror, Shaw, "Parallel random numbers: as easy as 1, 2, 3", 2011."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Words = NDArray[np.uint64]

_M0, _M1 = 0xD2E7470EE14C6C93, 0xCA5A826395121157
_W0, _W1 = 0x9E3779B97F4A7C15, 0xBB67AE8584CAA73B
_FULL = (1 << 64) - 1
_LOW = np.uint64(0xFFFFFFFF)
_HALF = np.uint64(32)
_CHUNK = 1 << 13  # words at a time, so that the dozen temporaries stay in the cache


def words(number: int, step: NDArray[Any], cell: NDArray[Any]) -> Words:
    """Word 0 of counter (step, cell, 0, 0) under key (number, 0), for integer arrays that broadcast together.

    Negative steps and cells count in two's complement of 64 bits.
    """
    steps, cells = _unsigned(step), _unsigned(cell)
    out = np.empty(np.broadcast_shapes(steps.shape, cells.shape), np.uint64)
    rows = max(1, _CHUNK * len(out) // max(1, out.size))
    for at in range(0, len(out), rows):
        part = slice(at, at + rows)
        out[part] = _rounds(number, _rows(steps, part, out.ndim), _rows(cells, part, out.ndim))
    return out


def _rows(counters: Words, part: slice, axes: int) -> Words:
    """The counters of some rows of what they broadcast to."""
    return counters if counters.ndim < axes or len(counters) == 1 else counters[part]


def uniform(number: int, step: NDArray[Any], cell: NDArray[Any]) -> NDArray[np.float64]:
    """The words as doubles in 0 to 1, 1 excluded: `(word >> 11) * 2 ** -53`."""
    if step.shape[1:] == (1,) and cell.shape[:1] == (1,) and step.size > 1:
        first, count = int(step.min()), int(step.max() - step.min()) + 1
        if first >= 0 and _in_order_pays(step.size, count, cell.size):
            drawn: NDArray[np.float64] = _in_order(number, first, count, cell[0])[step[:, 0] - first]
            return drawn
    return (words(number, step, cell) >> np.uint64(11)).astype(np.float64) * 2.0**-53


def _in_order_pays(steps: int, count: int, cells: int) -> bool:
    """Whether drawing all `count` steps between the first and the last is quicker; microseconds, as measured."""
    return 40.0 + cells * (4.0 + 0.028 * count) < 250.0 + 0.11 * steps * cells


def _in_order(number: int, first: int, count: int, cells: NDArray[Any]) -> NDArray[np.float64]:
    """The doubles of `count` steps from `first` on, (count, cells), by numpy's own generator.

    It counts the first word of the counter up before it draws, and draws all four words where one is asked for.
    """
    drawn = np.empty((len(cells), count))
    four = np.empty((count, 4))
    bits = np.random.Philox(key=number)
    generator, at = np.random.Generator(bits), 0
    for row, cell in enumerate(cells.tolist()):
        start = ((cell & _FULL) << 64 | first) - 1
        bits.advance((start - at) % (1 << 256))
        generator.random(out=four)
        drawn[row], at = four[:, 0], start + count
    return drawn.T


def _unsigned(value: NDArray[Any]) -> Words:
    return np.asarray(value).astype(np.uint64)


def _rounds(number: int, step: Words, cell: Words) -> Words:
    """The ten rounds.

    Until words of step and cell have met, in the third, each round is as small as what it works on; the last two leave
    out what no one asks for.
    """
    nought = np.zeros((1,) * max(step.ndim, cell.ndim), np.uint64)
    c0, c1, c2, c3 = step, cell, nought, nought
    k0, k1 = number & _FULL, 0
    for _ in range(8):
        h0, l0, h1, l1 = _high(c0, _M0), c0 * np.uint64(_M0), _high(c2, _M1), c2 * np.uint64(_M1)
        c0, c1, c2, c3 = h1 ^ (c1 ^ np.uint64(k0)), l1, h0 ^ (c3 ^ np.uint64(k1)), l0
        k0, k1 = (k0 + _W0) & _FULL, (k1 + _W1) & _FULL
    c1, c2 = c2 * np.uint64(_M1), _high(c0, _M0) ^ (c3 ^ np.uint64(k1))
    return _high(c2, _M1) ^ (c1 ^ np.uint64((k0 + _W0) & _FULL))


def _high(value: Words, factor: int) -> Words:
    """The upper 64 bits of the 128-bit products."""
    low, high = np.uint64(factor & 0xFFFFFFFF), np.uint64(factor >> 32)
    below, above = value & _LOW, value >> _HALF
    middle = below * low
    middle >>= _HALF
    middle += above * low
    below *= high
    below += middle & _LOW
    above *= high
    middle >>= _HALF
    below >>= _HALF
    above += middle
    above += below
    return above
