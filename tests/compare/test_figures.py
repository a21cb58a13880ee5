"""compare(): what counts as none, what is aligned, what must not be hidden, and the figures that the design states."""

from __future__ import annotations

import time

import numpy as np
import pytest
from numpy.typing import NDArray

from migrate.compare import Place, Tolerance, ciede2000, compare, delta_e_map, within
from migrate.compare.align import reach_frames
from migrate.compare.colour import integrate, lab_of_light

RATE, PIXELS = 250, 132
WHITE, BLACK = (255, 255, 255), (0, 0, 0)
Frames = NDArray[np.uint8]


def bands(speed: float, width: float, shift: float = 0.0, a=WHITE, b=BLACK, frames: int = 500) -> Frames:
    """Two hard bands, `shift` px nearer to the hilt."""
    t = np.arange(frames)[:, None] / RATE
    place = np.arange(PIXELS) + 0.5 + shift - speed * t
    second = (np.floor(place / width) % 2)[..., None] == 1
    return np.where(second, b, a).astype(np.uint8)


def mixed(weight: NDArray[np.float64], a=WHITE, b=BLACK, pixels: int = 2) -> Frames:
    """The whole blade from a to b by weight (T,)."""
    light = np.array(a) * (1 - weight)[:, None] + np.array(b) * weight[:, None]
    return np.repeat(np.floor(light + 0.5).astype(np.uint8)[:, None, :], pixels, axis=1)


def flat(colour: tuple[int, int, int], frames: int = 200, pixels: int = 12) -> Frames:
    return np.broadcast_to(np.array(colour, dtype=np.uint8), (frames, pixels, 3)).copy()


# ---- the device's own resolution ---------------------------------------------------------------


def test_equal_frames_give_no_difference_at_all() -> None:
    frames = bands(48, 12)
    figures = compare(frames, frames.copy(), RATE, [("clash", 1000)])
    assert (figures.largest, figures.plain_largest, figures.duty, figures.first) == (0, 0, 0, None)
    assert within(figures, Tolerance())


def test_one_duty_step_in_every_channel_counts_as_none_and_is_still_stated() -> None:
    figures = compare(flat((2, 10, 90)), flat((3, 9, 91)), RATE)
    assert figures.plain_largest == 0
    assert figures.duty == 1


def test_two_duty_steps_in_one_channel_count_in_full() -> None:
    figures = compare(flat((2, 10, 90)), flat((2, 12, 90)), RATE)
    expected = ciede2000(*(lab_of_light(np.array(c) / 255) for c in ((2, 10, 90), (2, 12, 90))))
    assert figures.plain_mean == pytest.approx(float(expected))
    assert figures.plain_largest > 1


def test_a_drift_that_starts_within_a_step_does_not_stay_hidden() -> None:
    t = np.arange(2000) / RATE
    one, two = (mixed((1 - np.cos(2 * np.pi * t / period)) / 2) for period in (1.2, 1.206))
    assert compare(one[:40], two[:40], RATE).plain_largest == 0
    assert not within(compare(one, two, RATE), Tolerance())


# ---- alignment ---------------------------------------------------------------------------------


@pytest.mark.parametrize("speed", [0, 12, 48])
def test_a_band_one_pixel_off_scores_nothing_aligned_and_sixteen_plain(speed: float) -> None:
    figures = compare(bands(speed, 6), bands(speed, 6, 1), RATE)
    assert figures.largest == 0
    assert 14 < figures.plain_mean < 17
    assert figures.shift_px == 1


@pytest.mark.parametrize("shift", [0.13, 0.5, -0.4, 0.9])
def test_a_slow_band_a_part_of_a_pixel_off_is_aligned_too(shift: float) -> None:
    figures = compare(bands(12, 12.5), bands(12, 12.5, shift), RATE)
    assert figures.plain_largest > 50
    assert figures.largest < 1


def test_a_band_two_pixels_off_is_not_aligned() -> None:
    figures = compare(bands(0, 12), bands(0, 12, 2), RATE)
    assert figures.largest == pytest.approx(100)
    assert figures.shift_px == 2
    assert not within(figures, Tolerance())


@pytest.mark.parametrize("pixel", [0, 7, 11])
@pytest.mark.parametrize("swapped", [False, True])
def test_a_single_pixel_that_one_side_lacks_is_not_excused(pixel: int, swapped: bool) -> None:
    one, two = flat((200, 60, 10)), flat((200, 60, 10))
    one[:, pixel] = 255
    figures = compare(two, one, RATE) if swapped else compare(one, two, RATE)
    assert figures.largest == figures.plain_largest > 10
    assert figures.where.pixel == pixel


@pytest.mark.parametrize("swapped", [False, True])
def test_a_missing_flash_is_seen_from_either_side(swapped: bool) -> None:
    steady, flash = flat((200, 60, 10)), flat((200, 60, 10))
    flash[100:115] = 255
    before, after = (flash, steady) if swapped else (steady, flash)
    figures = compare(before, after, RATE, [("clash", 400_000)])
    assert figures.largest > 20
    assert not within(figures, Tolerance())
    assert figures.first is not None
    assert 98 <= figures.first.frame <= 100
    assert 98 <= figures.where.frame < 117


def test_a_flash_twenty_milliseconds_late_is_aligned_and_one_forty_late_is_not() -> None:
    frames = [flat((0, 0, 0)) for _ in range(3)]
    for late, side in zip((0, 5, 10), frames, strict=True):
        side[100 + late : 130 + late] = 255
    assert compare(frames[0], frames[1], RATE).largest == 0
    assert compare(frames[0], frames[2], RATE).largest == pytest.approx(100)


LIT, OILY, RIM = (255, 224, 160), (122, 44, 0), (255, 154, 30)


def crossed(clock: int, start_s: float, speed: float, rim: float) -> Frames:
    """Bands that travel by 50 px/s, stepped by `clock` frames, while the blade goes out from the tip behind a rim."""
    frame = np.arange(60, 200)[:, None]
    place = np.arange(PIXELS) + 0.5
    second = (np.floor((place - 50 * (frame // clock * clock) / RATE) / 9) % 2)[..., None] == 1
    edge = PIXELS - speed * np.maximum(0, frame / RATE - start_s) + 0 * place
    ahead = np.where(second, LIT, OILY)
    return np.where((place >= edge)[..., None], 0, np.where((place >= edge - rim)[..., None], RIM, ahead)).astype(
        np.uint8
    )


CROSSINGS = ((0.308, 440, 7.5), (0.312, 440, 7.5), (0.316, 220, 2), (0.32, 330, 4))


@pytest.mark.parametrize(("start_s", "speed", "rim"), CROSSINGS)
def test_a_stepped_edge_that_another_one_crosses_is_aligned_too(start_s: float, speed: float, rim: float) -> None:
    """Three colours then share the eye's window, in an order that neither pixel has by itself."""
    figures = compare(crossed(5, start_s, speed, rim), crossed(1, start_s, speed, rim), RATE)
    assert figures.plain_largest > 20
    assert figures.largest < 5


@pytest.mark.parametrize("tint", [(255, 180, 160), (160, 160, 120), (255, 255, 255)])
@pytest.mark.parametrize("swapped", [False, True])
def test_a_real_difference_where_two_edges_cross_still_counts(tint: tuple[int, int, int], swapped: bool) -> None:
    """About as large as what is excused there, as short as the window, one pixel wide, of a colour neither edge has."""
    one, two = crossed(5, *CROSSINGS[1]), crossed(1, *CROSSINGS[1])
    excused = delta_e_map(one, two, RATE, aligned=False)[47:52, 66].max()
    two[47:52, 66] = tint
    figures = compare(two, one, RATE) if swapped else compare(one, two, RATE)
    seen = delta_e_map(one, two, RATE, aligned=False)[49, 66]
    assert 0.7 < seen / excused < 1.4
    assert figures.largest > max(5, 0.7 * seen)
    assert figures.where == Place(49, 196.0, 66)


def test_the_aligned_figure_is_near_the_true_least_and_never_below_it() -> None:
    """Against a search by CIEDE2000 itself over every cell of the neighbourhood, written the slow way."""
    rng = np.random.default_rng(5)
    before, after = (rng.integers(0, 256, (24, 9, 3), dtype=np.uint8) for _ in range(2))
    lab = [lab_of_light(integrate(side, 5) / 1275.0) for side in (before, after)]

    def least(here: NDArray[np.float64], there: NDArray[np.float64]) -> NDArray[np.float64]:
        found = np.empty(here.shape[:2])
        for t, i in np.ndindex(*found.shape):
            near = there[max(0, t - 5) : t + 6, max(0, i - 1) : i + 2].reshape(-1, 3)
            found[t, i] = ciede2000(np.broadcast_to(here[t, i], near.shape), near).min()
        return found

    true = np.maximum(least(lab[0], lab[1]), least(lab[1], lab[0]))
    ours = delta_e_map(before, after, RATE, threshold=0.0)
    inner = np.s_[:, 1:-1]
    assert np.median(ours[inner] - true[inner]) < 0.5
    assert np.quantile(ours[inner] - true[inner], 0.95) < 4
    # lower only where a mixture of two neighbours lies nearer than either
    assert np.mean(ours[inner] < true[inner] - 1e-9) < 0.1


def test_aligned_is_never_above_plain() -> None:
    rng = np.random.default_rng(6)
    before, after = (rng.integers(0, 256, (60, 20, 3), dtype=np.uint8) for _ in range(2))
    plain = delta_e_map(before, after, RATE, aligned=False)
    aligned = delta_e_map(before, after, RATE)
    assert (aligned <= plain).all()
    assert (aligned[plain <= 1] == plain[plain <= 1]).all()


def test_comparison_does_not_depend_on_which_side_is_named_first() -> None:
    one, two = bands(48, 12, frames=120), bands(30, 11, 0.4, frames=120)
    forth, back = compare(one, two, RATE), compare(two, one, RATE)
    assert forth.mean == pytest.approx(back.mean)
    assert forth.largest == pytest.approx(back.largest)
    assert forth.shift_px == back.shift_px


# ---- the design's tried numbers ----------------------------------------------------------------
# They are means over all cells, of a sine between two colours 132 px wide; the colours are an assumption: white and
# black, the widest pair, and red and green.


@pytest.mark.parametrize(
    ("period", "low", "high"), [(1.2, 0.15, 0.35), (0.24, 0.25, 1.0), (0.12, 1.2, 2.2)], ids=["1.2s", "240ms", "120ms"]
)
@pytest.mark.parametrize(("a", "b"), [(WHITE, BLACK), ((255, 0, 0), (0, 255, 0))], ids=["white-black", "red-green"])
def test_a_wave_on_a_clock_of_twenty_milliseconds_against_a_smooth_one(
    period: float, low: float, high: float, a, b
) -> None:
    frame = np.arange(1200)
    smooth, stepped = (
        mixed((1 - np.cos(2 * np.pi * t / period)) / 2, a, b) for t in (frame / RATE, frame // 5 * 5 / RATE)
    )
    figures = compare(smooth, stepped, RATE)
    assert low < figures.mean < high
    assert figures.plain_mean > figures.mean


@pytest.mark.parametrize(
    ("a", "b", "about"), [(WHITE, BLACK, 16), ((255, 0, 0), (0, 255, 0), 21)], ids=["white-black", "red-green"]
)
def test_a_flicker_of_twenty_five_hertz_is_not_taken_for_its_mean(a, b, about: float) -> None:
    square = (np.arange(1200) // 5 % 2).astype(float)
    figures = compare(mixed(square, a, b), mixed(np.full(1200, 0.5), a, b), RATE)
    assert figures.mean == pytest.approx(about, abs=1)


def test_a_flicker_that_no_eye_follows_is_its_mean() -> None:
    fast = (np.arange(1200) % 2).astype(float)  # 125 Hz
    blurred = compare(mixed(fast), mixed(np.full(1200, 0.5)), RATE)
    raw = compare(mixed(fast), mixed(np.full(1200, 0.5)), 50)  # the same frames, shown one in 20 ms
    assert blurred.plain_mean < 6
    assert raw.plain_mean > 30


# ---- places, verdicts, wrong use ---------------------------------------------------------------


def test_where_and_first_name_the_cells() -> None:
    one, two = flat((40, 40, 40), 300), flat((40, 40, 40), 300)
    two[100:160, 3] = (90, 40, 40)
    two[200:260, 8] = (255, 40, 40)
    figures = compare(one, two, RATE)
    assert figures.where.pixel == 8
    assert 202 <= figures.where.frame < 258
    assert figures.first is not None
    assert figures.first.pixel == 3
    assert 98 <= figures.first.frame <= 100
    assert figures.first.time_ms == figures.first.frame * 4
    assert figures.duty == 215


def test_first_is_the_percentiles_when_only_that_fails() -> None:
    one, two = flat((40, 40, 40)), flat((40, 40, 40))
    two[150:] = (47, 40, 40)
    figures = compare(one, two, RATE)
    assert figures.largest < 5
    assert figures.p95 > 1
    assert figures.first is not None
    assert 148 <= figures.first.frame <= 150
    assert not within(figures, Tolerance())


def test_first_is_the_events_edge_when_only_that_fails() -> None:
    one, two = flat((40, 40, 40), 300), flat((40, 40, 40), 300)
    one[100:130] = 44
    two[100:107] = 44
    figures = compare(one, two, RATE, [("clash", 400_000)])
    assert figures.largest < 5 and figures.p95 <= 2
    loose = Tolerance(p95=5.0)
    figures = compare(one, two, RATE, [("clash", 400_000)], loose)
    assert figures.edge_ms == 92
    assert not within(figures, loose)
    assert figures.first == Place(107, 428.0, 0)


@pytest.mark.parametrize("limit", [Tolerance(p95=9), Tolerance(largest=50), Tolerance(edge_ms=99)])
def test_each_limit_is_a_limit(limit: Tolerance) -> None:
    one, two = flat((0, 0, 0), 400), flat((0, 0, 0), 400)
    two[100:200] = 100
    figures = compare(one, two, RATE, [("clash", 400_000)])
    assert figures.edge_ms == 400
    assert not within(figures, limit)
    assert within(figures, Tolerance(99, 99, 400))


@pytest.mark.parametrize(
    ("after", "rate"),
    [(flat((0, 0, 0), 9), 250), (flat((0, 0, 0), 10)[..., :2], 250), (flat((0, 0, 0), 10).astype(float), 250),
     (flat((0, 0, 0), 10), 0)],
    ids=["frames", "channels", "type", "rate"],
)  # fmt: skip
def test_wrong_use_is_a_value_error(after, rate: int) -> None:
    with pytest.raises(ValueError, match="must be"):
        compare(flat((0, 0, 0), 10), after, rate)


@pytest.mark.parametrize("shape", [(0, 5, 3), (5, 0, 3), (1, 1, 3), (3, 2, 3)])
def test_small_and_empty_renders_do_not_fail(shape: tuple[int, int, int]) -> None:
    figures = compare(np.zeros(shape, np.uint8), np.full(shape, 255, np.uint8), RATE, [("clash", 0)])
    assert figures.largest == (100 if 0 not in shape else 0) or figures.largest == pytest.approx(100)


@pytest.mark.parametrize(("rate", "frames"), [(250, 5), (60, 1), (50, 1), (49, 0), (1000, 20)])
def test_the_reach_in_time_is_never_above_twenty_milliseconds(rate: int, frames: int) -> None:
    assert reach_frames(rate) == frames


def test_a_thousand_frames_of_a_blade_are_compared_in_a_fraction_of_a_second() -> None:
    before, after = bands(48, 12, frames=1000), bands(48, 12, 1, frames=1000)
    spent = []
    for _ in range(3):
        start = time.process_time()
        compare(before, after, RATE)
        spent.append(time.process_time() - start)
    assert min(spent) < 0.6  # about 0.05 s on an idle machine; the margin is for a loaded one
