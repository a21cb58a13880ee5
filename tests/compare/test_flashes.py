"""The flash check after WCAG 2.2, SC 2.3.1, at its limits."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from migrate.compare.flash import flashes

RATE, PIXELS = 250, 132


def square(hertz: float, a, b, pixels: slice = slice(None), seconds: float = 2.0) -> NDArray[np.uint8]:
    t = np.arange(int(seconds * RATE)) / RATE
    on = np.floor(t * hertz * 2) % 2 == 1
    frames = np.broadcast_to(np.array(a, dtype=np.uint8), (len(t), PIXELS, 3)).copy()
    frames[np.ix_(on, np.arange(PIXELS)[pixels])] = b
    return frames


@pytest.mark.parametrize(("hertz", "passes"), [(1, True), (3, True), (4, False), (10, False), (25, False)])
def test_three_white_flashes_a_second_pass_and_four_fail(hertz: int, passes: bool) -> None:
    found = flashes(square(hertz, (0, 0, 0), (255, 255, 255)), RATE)
    assert found.general == hertz
    assert found.passes is passes


@pytest.mark.parametrize(("low", "counts"), [(0, True), (229, False), (200, True), (204, False)])
def test_a_flash_needs_a_tenth_of_the_full_luminance_and_a_darker_state_below_four_fifths(
    low: int, counts: bool
) -> None:
    assert (flashes(square(5, (low,) * 3, (255,) * 3), RATE).general == 5) is counts


@pytest.mark.parametrize(("high", "counts"), [(25, False), (26, True)])
def test_the_tenth_is_of_light_and_not_of_codes(high: int, counts: bool) -> None:
    assert (flashes(square(5, (0, 0, 0), (high,) * 3), RATE).general == 5) is counts


def test_red_against_dark_is_a_red_flash_even_where_it_is_too_dim_for_a_general_one() -> None:
    found = flashes(square(5, (0, 0, 0), (100, 0, 0)), RATE)
    assert (found.general, found.red) == (0, 5)
    assert not found.passes


@pytest.mark.parametrize(
    ("a", "b", "red"),
    [((255, 0, 0), (0, 0, 255), 5), ((255, 0, 0), (255, 20, 20), 0), ((0, 255, 0), (0, 0, 255), 0),
     ((255, 60, 10), (0, 0, 0), 0), ((255, 40, 10), (0, 0, 0), 0), ((255, 6, 2), (0, 0, 0), 5)],
    ids=["red-blue", "red-near-red", "green-blue", "orange-below-the-share", "orange-too-near-white", "vermilion"],
)  # fmt: skip
def test_which_changes_are_red(a, b, red: int) -> None:
    assert flashes(square(5, a, b), RATE).red == red


def test_a_fade_counts_once_however_many_frames_it_takes() -> None:
    t = np.arange(500) / RATE
    level = np.floor(255 * (1 - np.cos(2 * np.pi * 2 * t)) / 2 + 0.5).astype(np.uint8)
    frames = np.repeat(np.repeat(level[:, None], PIXELS, axis=1)[..., None], 3, axis=2)
    assert flashes(frames, RATE).general == 2


def test_a_ripple_on_a_fade_is_no_flash() -> None:
    t = np.arange(250)
    level = np.clip(t + np.where(t % 10 < 5, 0, 12), 0, 255).astype(np.uint8)
    frames = np.repeat(np.repeat(level[:, None], PIXELS, axis=1)[..., None], 3, axis=2)
    assert flashes(frames, RATE).general == 0


def test_area_a_tenth_of_a_quarter_is_not_enough_and_a_quarter_is() -> None:
    small = square(10, (0, 0, 0), (255, 255, 255), slice(60, 63))
    quarter = square(10, (0, 0, 0), (255, 255, 255), slice(50, 83))
    assert flashes(small, RATE).general == 0
    assert flashes(quarter, RATE).general == 10


def test_moving_bands_are_no_flashes() -> None:
    place = np.arange(PIXELS) + 0.5 - 60 * np.arange(500)[:, None] / RATE
    frames = np.where((np.floor(place / 4) % 2)[..., None] == 0, (255, 255, 255), (0, 0, 0)).astype(np.uint8)
    assert flashes(frames, RATE).passes


def test_the_second_that_holds_them_is_named() -> None:
    frames = np.zeros((1500, PIXELS, 3), np.uint8)
    frames[1000:1250] = square(6, (0, 0, 0), (255, 255, 255), seconds=1.0)
    found = flashes(frames, RATE)
    assert found.general >= 5
    assert 4000 <= found.general_ms < 5000


def test_nothing_and_stillness_pass() -> None:
    assert flashes(np.zeros((0, PIXELS, 3), np.uint8), RATE).passes
    assert flashes(np.full((500, 1, 3), 255, np.uint8), RATE).passes
    with pytest.raises(ValueError, match="frames must be"):
        flashes(np.zeros((5, 5), np.uint8), RATE)
