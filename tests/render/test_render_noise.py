from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from migrate.ir import nodes as ir
from migrate.render.philox import uniform, words

RED, BLUE = ir.Colour("duty", (255, 0, 0)), ir.Colour("duty", (0, 0, 255))
WHOLE, EACH = ir.Grain("whole"), ir.Grain("each")


def numpys(number: int, step: int, cell: int) -> int:
    """numpy's Philox steps its counter before use, so it starts one before."""
    counter = step + (cell << 64) - 1
    return int(np.random.Philox(key=number, counter=counter % 2**256).random_raw())


def u(number: int, step: int, cell: int) -> float:
    return (numpys(number, step, cell % 2**64) >> 11) * 2.0**-53


def test_the_known_answer_of_random123() -> None:
    """philox4x64-10, zero counter and key: 16554d9eca36314c (Random123's known answers)."""
    assert int(words(0, np.array([0]), np.array([0]))[0]) == 0x16554D9ECA36314C


def test_words_are_numpys_for_any_key_step_and_cell() -> None:
    rng = np.random.default_rng(7)
    for number in (0, 1, 5, 2**64 - 1):
        step = rng.integers(0, 2**62, 20)
        cell = rng.integers(0, 2**62, 20)
        step[0] = 0
        got = words(number, step, cell)
        assert [int(w) for w in got] == [numpys(number, int(s), int(c)) for s, c in zip(step, cell, strict=True)]


def test_words_broadcast_and_do_not_depend_on_how_they_are_cut_into_chunks() -> None:
    table = words(3, np.arange(200).reshape(-1, 1), np.arange(132).reshape(1, -1))
    assert table.shape == (200, 132)
    assert [int(table[s, c]) for s, c in ((0, 0), (62, 8), (199, 131))] == [
        numpys(3, s, c) for s, c in ((0, 0), (62, 8), (199, 131))
    ]


def test_negative_cells_count_in_twos_complement() -> None:
    assert uniform(2, np.array([0]), np.array([-1]))[0] == u(2, 0, -1)


def test_held_noise_takes_a_new_word_each_step(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    got = level(ir.Noise("hold", 50_000, WHOLE), scene(60), 3)
    assert got[0].tolist() == [u(0, 0, 0)] * 3
    assert got[19, 0] == u(0, 0, 0) and got[20, 0] == u(0, 1, 0) and got[59, 0] == u(0, 2, 0)


def test_a_decimal_rate_is_taken_in_thousandths(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    got = level(ir.Noise("hold", 12_500, WHOLE), scene(161))
    assert got[79, 0] == u(0, 0, 0) and got[80, 0] == u(0, 1, 0) and got[160, 0] == u(0, 2, 0)


def test_cells_are_the_pixels_or_grains_counted_from_the_hilt(
    scene: Callable[..., Any], level: Callable[..., Any]
) -> None:
    each = level(ir.Noise("hold", 50_000, EACH), scene(1), 4)
    assert each[0].tolist() == [u(0, 0, i) for i in range(4)]
    grain = level(ir.Noise("hold", 50_000, ir.Grain("length", ir.Length(300, "mil"))), scene(1), 4)
    assert grain[0].tolist() == [u(0, 0, cell) for cell in (0, 1, 2, 2)]  # centres at 125, 375, 625, 875 per mille
    mm = level(ir.Noise("hold", 50_000, ir.Grain("length", ir.Length(20, "mm"))), scene(1), 4)
    assert mm[0].tolist() == [u(0, 0, cell) for cell in (0, 0, 1, 1)]  # 100 pixels a metre: 5, 15, 25, 35 mm


def test_soft_noise_is_linear_between_steps(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    got = level(ir.Noise("soft", 50_000, EACH), scene(40), 2)
    for pixel in range(2):
        a, b = u(0, 1, pixel), u(0, 2, pixel)
        assert got[25, pixel] == a + (b - a) * 0.25


def test_drift_walks_by_half_steps_and_is_reflected(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    got = level(ir.Noise("drift", 1_000_000, EACH), scene(400), 3)
    reflected = 0
    for pixel in range(3):
        d = u(0, 0, pixel)
        for step in range(400):
            assert got[step, pixel] == d
            d = d + (u(0, step + 1, pixel) - 0.5) / 2
            reflected += d < 0 or d > 1
            d = -d if d < 0 else 2 - d if d > 1 else d
    assert reflected > 10


def test_drift_is_linear_between_steps(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    got = level(ir.Noise("drift", 50_000, WHOLE), scene(40))
    assert got[30, 0] == pytest.approx((got[20, 0] + level(ir.Noise("drift", 50_000, WHOLE), scene(60))[40, 0]) / 2)


def test_hearth_mixes_by_the_square_of_value_noise_that_rises(
    scene: Callable[..., Any], light: Callable[..., Any]
) -> None:
    black, white = ir.Colour("duty", (0, 0, 0)), ir.Colour("duty", (255, 255, 255))
    got = light(ir.Hearth(black, white, ir.Length(6, "px"), ir.Speed(12, "px")), scene(2001), 8)
    for ms, pixel in ((0, 0), (0, 7), (1000, 0), (2000, 3)):
        y = (pixel + 0.5 - 12 * ms / 1000) / 6
        c = int(np.floor(y))
        n = u(0, 0, c) + (u(0, 0, c + 1) - u(0, 0, c)) * (y - c)
        assert got[ms, pixel, 0] == pytest.approx(n * n, abs=1e-12)


def test_hearth_with_more_cells_than_pixels_draws_the_same_words(
    scene: Callable[..., Any], light: Callable[..., Any]
) -> None:
    black, white = ir.Colour("duty", (0, 0, 0)), ir.Colour("duty", (255, 255, 255))
    got = light(ir.Hearth(black, white, ir.Length(1, "mil"), ir.Speed(65535, "mil")), scene(3, 1), 2)
    assert got[0, 1, 0] == u(0, 0, 750) ** 2  # the centre is at 750 per mille, on the cell


def test_noises_are_numbered_children_first_in_the_order_of_the_fields(
    scene: Callable[..., Any], light: Callable[..., Any]
) -> None:
    first = ir.Blend(RED, BLUE, ir.Noise("hold", 50_000, WHOLE))
    second = ir.Blend(first, ir.Blend(RED, BLUE, ir.Noise("hold", 50_000, WHOLE)), ir.Noise("hold", 50_000, WHOLE))
    weights = [u(number, 0, 0) for number in range(3)]
    expected = weights[0] * (1 - weights[2]) + weights[1] * weights[2]
    assert light(second, scene(1))[0, 0, 2] == pytest.approx(expected, abs=1e-15)


def test_a_hearths_own_noise_comes_after_those_of_its_paints(
    scene: Callable[..., Any], light: Callable[..., Any]
) -> None:
    inner = ir.Blend(RED, BLUE, ir.Noise("hold", 50_000, WHOLE))
    got = light(ir.Hearth(inner, BLUE, ir.Length(1000, "px"), ir.Speed(0, "px")), scene(1), 1)
    n = u(1, 0, 0) + (u(1, 0, 1) - u(1, 0, 0)) * 0.0005
    assert got[0, 0, 2] == pytest.approx(u(0, 0, 0) * (1 - n * n) + n * n, abs=1e-12)


def test_equal_noises_at_two_places_are_two_noises(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    same = ir.Noise("hold", 50_000, WHOLE)
    assert level(ir.Product((same, same)), scene(1))[0, 0] == u(0, 0, 0) * u(1, 0, 0)


def test_a_style_numbers_ground_sheets_then_the_paints_of_powers_chains(
    scene: Callable[..., Any], frames: Callable[..., Any]
) -> None:
    noisy = ir.Blend(RED, BLUE, ir.Noise("hold", 50_000, WHOLE))
    chain = ir.Chain((ir.Rest(10_000), ir.Rest(10_000)), (noisy,))
    style = ir.Style(noisy, (ir.Sheet("over", RED, ir.Noise("hold", 50_000, WHOLE)),), ir.Power(chain, ir.Cut()))
    got = frames(style, scene(40, events=[("ignite", 0)]))
    assert got[15, 0, 2] == np.floor(255 * u(2, 0, 0) + 0.5)
    assert got[5, 0].tolist() == [0, 0, 0]


def test_sparks_fly_from_the_place_within_the_reach(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    node = ir.Scatter("blast", ir.Hit(0, 100_000), 5, ir.Length(200, "mil"))
    over = scene(300, events=[("blast", 10, 0.5), ("blast", 150, 0.25)])
    got = level(node, over, 100)
    assert not got[:10].any()
    for ms, ordinal, start, place in ((60, 0, 10, 0.5), (200, 1, 150, 0.25)):
        dt = (ms - start) / 100
        cells = {int(np.floor((place + 0.2 * (2 * u(0, ordinal, j) - 1) * min(1, dt)) * 100)) for j in range(5)}
        assert set(np.flatnonzero(got[ms])) == cells
        assert got[ms].max() == pytest.approx(1 - dt)  # alpha is the shape; sparks that coincide do not add


def test_sparks_off_the_blade_are_not_drawn(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    node = ir.Scatter("blast", ir.Burst(50_000), 40, ir.Length(1000, "mil"))
    got = level(node, scene(50, events=[("blast", 0, 0.0)]), 100)
    right = sum(2 * u(0, 0, j) - 1 >= 0 for j in range(40))
    assert 0 < got[49].sum() <= right


def test_sparks_of_no_duration_are_at_once_where_they_go(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    node = ir.Scatter("lock", ir.Held(0, 0), 3, ir.Length(500, "mil"))
    got = level(node, scene(20, events=[("lock", 0, 20, 0.5)]), 100)
    assert set(np.flatnonzero(got[0])) == {int(np.floor((0.5 + 0.5 * (2 * u(0, 0, j) - 1)) * 100)) for j in range(3)}


@pytest.mark.parametrize("steps", [range(5), range(7, 70, 2), range(0, 4000, 37)], ids=["all", "every other", "few"])
def test_doubles_of_many_steps_are_those_of_their_words(steps: range) -> None:
    """Close steps are drawn in one go by numpy's own generator, others one by one."""
    step, cell = np.array(steps).reshape(-1, 1), np.array([[-3, 0, 1, 5, 2**40]])
    drawn = uniform(9, step, cell)
    assert (drawn == [[u(9, int(s), int(c)) for c in cell[0]] for s in step[:, 0]]).all()
    assert (words(9, step, cell) >> np.uint64(11) == drawn * 2.0**53).all()
