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
    steps, cells = np.broadcast_arrays(_unsigned(step), _unsigned(cell))
    out = np.empty(steps.shape, np.uint64)
    flat_steps, flat_cells, flat_out = steps.reshape(-1), cells.reshape(-1), out.reshape(-1)
    for at in range(0, flat_out.size, _CHUNK):
        part = slice(at, at + _CHUNK)
        flat_out[part] = _rounds(number, flat_steps[part], flat_cells[part])
    return out


def uniform(number: int, step: NDArray[Any], cell: NDArray[Any]) -> NDArray[np.float64]:
    """The words as doubles in 0 to 1, 1 excluded: `(word >> 11) * 2 ** -53`."""
    return (words(number, step, cell) >> np.uint64(11)).astype(np.float64) * 2.0**-53


def _unsigned(value: NDArray[Any]) -> Words:
    return np.asarray(value).astype(np.uint64)


def _rounds(number: int, step: Words, cell: Words) -> Words:
    """The ten rounds: the first without the products of words that are zero, the last without words not asked for."""
    k0, k1 = number & _FULL, 0
    c0, c1 = cell ^ np.uint64(k0), np.zeros_like(cell)
    c2, c3 = _high(step, _M0), step * np.uint64(_M0)
    for _ in range(8):
        k0, k1 = (k0 + _W0) & _FULL, (k1 + _W1) & _FULL
        h0, l0, h1, l1 = _high(c0, _M0), c0 * np.uint64(_M0), _high(c2, _M1), c2 * np.uint64(_M1)
        h1 ^= c1
        h1 ^= np.uint64(k0)
        h0 ^= c3
        h0 ^= np.uint64(k1)
        c0, c1, c2, c3 = h1, l1, h0, l0
    k0 = (k0 + _W0) & _FULL
    return _high(c2, _M1) ^ c1 ^ np.uint64(k0)


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
