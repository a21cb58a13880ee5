"""Statistics of noise that does not pair: against scipy's Welch, and across seeds."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from migrate.compare.statistics import NoiseDistance, floor, noise_distance, power_spectrum, within_noise

signal = pytest.importorskip("scipy.signal")
stats = pytest.importorskip("scipy.stats")
RATE, FRAMES, PIXELS = 250, 1000, 48


def held(seed: int, hertz: int, grain: int, low: int = 0, high: int = 255) -> NDArray[np.uint8]:
    """Held noise of cells `grain` px long, on Philox, mixing two greys."""
    rng = np.random.Generator(np.random.Philox(key=seed))
    values = rng.random((FRAMES * hertz // RATE + 1, -(-PIXELS // grain)))
    step, cell = np.arange(FRAMES) * hertz // RATE, np.arange(PIXELS) // grain
    duty = np.floor(low + (high - low) * values[step][:, cell] + 0.5).astype(np.uint8)
    return np.repeat(duty[..., None], 3, axis=2)


def test_the_spectrum_is_scipys_welch() -> None:
    x = np.random.default_rng(1).normal(size=(1000, 4)).cumsum(axis=0)
    ours = power_spectrum(x, RATE, 250)
    theirs = signal.welch(x, RATE, window="hann", nperseg=250, noverlap=125, detrend="constant", axis=0)
    assert ours[0] == pytest.approx(theirs[0])
    assert ours[1] == pytest.approx(theirs[1])


@pytest.mark.parametrize("segment", [64, 65])
def test_the_density_integrates_to_the_variance(segment: int) -> None:
    x = np.random.default_rng(2).normal(scale=3, size=20_000)
    frequency, density = power_spectrum(x, RATE, segment)
    assert float((density * (frequency[1] - frequency[0])).sum()) == pytest.approx(9, rel=0.05)


def test_two_seeds_of_one_noise_are_near_and_other_noises_are_far() -> None:
    chance = floor([held(seed, 50, 1) for seed in range(4)], RATE)
    limit = NoiseDistance(2 * chance.mean, 2 * chance.spread, 1.5 * chance.spectrum)
    base = held(10, 50, 1)
    assert within_noise(noise_distance(base, held(11, 50, 1), RATE), limit)
    for name, other in {
        "slower": held(11, 25, 1),
        "coarser": held(11, 50, 4),
        "narrower": held(11, 50, 1, 40, 215),
        "brighter": held(11, 50, 1, 20, 255),
    }.items():
        assert not within_noise(noise_distance(base, other, RATE), limit), name


def test_each_figure_tells_its_own_kind_of_difference() -> None:
    base = held(1, 50, 1)
    narrower = noise_distance(base, held(2, 50, 1, 64, 191), RATE)
    brighter = noise_distance(held(1, 50, 1, 0, 200), held(2, 50, 1, 55, 255), RATE)
    slower = noise_distance(base, held(2, 10, 1), RATE)
    # a uniform spread over r has a standard deviation of r / sqrt(12)
    assert narrower.spread == pytest.approx((255 - 127) / 12**0.5, abs=1.5)
    assert brighter.mean == pytest.approx(55, abs=3)
    assert brighter.spread < 2
    assert slower.spectrum > 0.4


def test_means_across_seeds_of_one_noise_are_one_distribution() -> None:
    """Across seeds samples are independent, so a Kolmogorov-Smirnov test means what it says."""

    def means(seeds: range, high: int) -> list[float]:
        return [float(held(seed, 50, 1, 0, high).mean()) for seed in seeds]

    same = stats.ks_2samp(means(range(40), 255), means(range(100, 140), 255)).pvalue
    other = stats.ks_2samp(means(range(40), 255), means(range(100, 140), 250)).pvalue
    assert same > 0.01
    assert other < 1e-6


def test_still_against_noise_is_wholly_apart_and_still_against_still_is_nothing() -> None:
    still = np.full((FRAMES, PIXELS, 3), 90, np.uint8)
    assert noise_distance(still, held(1, 50, 1), RATE).spectrum == 1
    assert noise_distance(still, still, RATE) == NoiseDistance(0, 0, 0)


def test_a_noise_on_the_whole_blade_is_told_from_one_in_each_pixel() -> None:
    assert noise_distance(held(1, 50, 1), held(2, 50, PIXELS), RATE).spectrum == 1


def test_shapes_must_agree() -> None:
    with pytest.raises(ValueError, match="one shape"):
        noise_distance(held(1, 50, 1), held(1, 50, 1)[:, 1:], RATE)
    with pytest.raises(ValueError, match="two renders"):
        floor([held(1, 50, 1)], RATE)
