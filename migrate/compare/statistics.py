"""Noise against noise that does not pair: mean, spread and spectrum of two renders (T, N, 3) of duties.

Two random looks are alike when their light has the same average, varies as much, and varies as fast and as finely.
Nothing here is a test of significance: cells of one render depend on each other. How far two draws of one noise stand
apart by chance is for the caller to learn, by comparing renders with other seeds (`floor` does it for one pair).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

_STILL = 1e-9  # power below this is rounding alone


@dataclass(frozen=True, slots=True)
class NoiseDistance:
    """How far two noises are apart.

    mean      largest difference of a channel's mean over all cells, in duty steps
    spread    largest difference of a channel's standard deviation over all cells, in duty steps
    spectrum  share of the power that lies at other frequencies, 0 to 1: in time or along the blade, the larger
    """

    mean: float
    spread: float
    spectrum: float


def noise_distance(before: NDArray[np.uint8], after: NDArray[np.uint8], rate: int) -> NoiseDistance:
    """Compare two renders of noise; T and N of both must agree. Raises ValueError if they do not."""
    if before.shape != after.shape or before.ndim != 3 or before.size == 0:
        raise ValueError(f"frames must be two arrays (T, N, 3) of one shape, not {before.shape} and {after.shape}")
    one, two = before.astype(np.float64), after.astype(np.float64)
    cells = (0, 1)
    mean = np.abs(one.mean(axis=cells) - two.mean(axis=cells)).max()
    spread = np.abs(one.std(axis=cells) - two.std(axis=cells)).max()
    return NoiseDistance(float(mean), float(spread), max(_in_time(one, two, rate), _along(one, two)))


def within_noise(distance: NoiseDistance, limit: NoiseDistance) -> bool:
    """Whether each figure is at most that of `limit`."""
    return distance.mean <= limit.mean and distance.spread <= limit.spread and distance.spectrum <= limit.spectrum


def floor(renders: Sequence[NDArray[np.uint8]], rate: int) -> NoiseDistance:
    """The largest figures between any two of some renders of one noise with different seeds: what chance does alone."""
    pairs = [noise_distance(a, b, rate) for i, a in enumerate(renders) for b in renders[i + 1 :]]
    if not pairs:
        raise ValueError("two renders at least are needed")
    return NoiseDistance(
        max(p.mean for p in pairs), max(p.spread for p in pairs), max(p.spectrum for p in pairs)
    )  # fmt: skip


def power_spectrum(
    signal: NDArray[np.float64], rate: float, segment: int
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Frequencies (F,) and power density (F, ...) of a signal (T, ...), which integrates to its variance.

    Welch 1967, doi 10.1109/TAU.1967.1161901: periodograms of overlapping halves under a Hann window, each less its own
    mean, averaged; one-sided. `segment` is cut to T.
    """
    segment = max(2, min(segment, len(signal)))
    window = 0.5 - 0.5 * np.cos(2 * np.pi * np.arange(segment) / segment)
    shape = (segment,) + (1,) * (signal.ndim - 1)
    starts = range(0, len(signal) - segment + 1, max(1, segment // 2))
    total = np.zeros((segment // 2 + 1, *signal.shape[1:]))
    for start in starts:
        piece = signal[start : start + segment]
        total += np.abs(np.fft.rfft((piece - piece.mean(axis=0)) * window.reshape(shape), axis=0)) ** 2
    total /= len(starts) * rate * (window * window).sum()
    total[1 : (segment + 1) // 2] *= 2
    return np.asarray(np.arange(len(total)) * (rate / segment), dtype=np.float64), total


def _in_time(one: NDArray[np.float64], two: NDArray[np.float64], rate: int) -> float:
    """Distance of the spectra in time, in segments of a second, averaged over the pixels."""
    return _apart(*(power_spectrum(side, rate, rate)[1].mean(axis=1) for side in (one, two)))


def _along(one: NDArray[np.float64], two: NDArray[np.float64]) -> float:
    """Distance of the spectra along the blade, averaged over the frames; the whole blade's own level is not in it."""
    pixels = one.shape[1]
    if pixels < 4:
        return 0.0
    sides = [power_spectrum(np.moveaxis(side, 1, 0), 1.0, pixels)[1].mean(axis=1) for side in (one, two)]
    return _apart(*sides)


def _apart(one: NDArray[np.float64], two: NDArray[np.float64]) -> float:
    """Half the sum of absolute differences of two power distributions (F, 3), each channel's sum being 1; the largest.

    A channel that varies on one side only is wholly apart.
    """
    sums = one.sum(axis=0), two.sum(axis=0)
    worst = 0.0
    for channel in range(one.shape[1]):
        a, b = float(sums[0][channel]), float(sums[1][channel])
        if min(a, b) > _STILL * max(a, b):
            share = np.abs(one[:, channel] / a - two[:, channel] / b).sum() / 2
        else:
            share = 0.0 if max(a, b) <= _STILL else 1.0
        worst = max(worst, float(share))
    return worst
