from __future__ import annotations

import math
from collections.abc import Callable
from fractions import Fraction
from typing import Any

import numpy as np
import pytest

from migrate.ir import nodes as ir


def px(value: int) -> ir.Length:
    return ir.Length(value, "px")


def mil(value: int) -> ir.Length:
    return ir.Length(value, "mil")


def mm(value: int) -> ir.Length:
    return ir.Length(value, "mm")


@pytest.mark.parametrize(
    ("wave", "values"),
    [
        ("sine", [0.0, 0.5, 1.0, 0.5]),
        ("triangle", [0.0, 0.5, 1.0, 0.5]),
        ("saw", [0.0, 0.25, 0.5, 0.75]),
        ("square", [0.0, 0.0, 1.0, 1.0]),
    ],
)
def test_waves_start_at_a(wave: Any, values: list[float], scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    got = level(ir.Lfo(wave, 40_000), scene(80))[::10, 0]
    assert got == pytest.approx(values * 2, abs=1e-15)


def test_phase_is_in_turns_and_wraps(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    got = level(ir.Lfo("saw", 40_000, Fraction(3, 4)), scene(40))[::10, 0]
    assert got.tolist() == [0.75, 0.0, 0.25, 0.5]


def test_sine_is_the_c_librarys(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    got = level(ir.Lfo("sine", 7_000), scene(50))[:, 0]
    assert got.tolist() == [(1 - math.cos(2 * math.pi * (t * 1000 % 7000 / 7000))) / 2 for t in range(50)]


def test_the_flicker_index_of_a_raised_sine_is_one_over_pi(
    scene: Callable[..., Any], level: Callable[..., Any]
) -> None:
    """checks.md: flicker index is the area above the mean over the area (IES); percent flicker is 100."""
    wave = level(ir.Lfo("sine", 1_000_000), scene(1000))[:, 0]
    above = np.maximum(0.0, wave - wave.mean()).sum()
    assert above / wave.sum() == pytest.approx(1 / math.pi, abs=1e-5)
    assert 100 * (wave.max() - wave.min()) / (wave.max() + wave.min()) == pytest.approx(100.0)


def test_the_flicker_index_of_a_rectangle_and_a_triangle(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    """checks.md: a rectangle of duty d has 1 - d, a triangle .25."""
    for wave, index in (("square", 0.5), ("triangle", 0.25)):
        light = level(ir.Lfo(wave, 1_000_000), scene(1000))[:, 0]
        assert np.maximum(0.0, light - light.mean()).sum() / light.sum() == pytest.approx(index, abs=1e-5)


# ---- sensors


def test_swing_is_the_share_of_full_either_way_round(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    over = scene(50, sensors={"swing": [(0, 0.0), (10, 450.0), (20, -450.0), (40, 900.0)]})
    got = level(ir.Swing(450), over)[:, 0]
    assert got[[0, 5, 10, 15, 20, 45]].tolist() == [0.0, 0.5, 1.0, 0.0, 1.0, 1.0]


def test_tilt_and_twist_map_their_ranges(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    over = scene(
        3, sensors={"tilt": [(0, -90.0), (1, 0.0), (2, 200.0)], "twist": [(0, -180.0), (1, 90.0), (2, -200.0)]}
    )
    assert level(ir.Tilt(), over)[:, 0].tolist() == [0.0, 0.5, 1.0]
    assert level(ir.Twist(), over)[:, 0].tolist() == [0.0, 0.75, 0.0]


def test_no_curve_is_zero_and_one_knot_is_constant(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    assert level(ir.Tilt(), scene(2))[:, 0].tolist() == [0.5, 0.5]
    assert level(ir.Sound(), scene(3, sensors={"sound": [(1, 0.25)]}))[:, 0].tolist() == [0.25] * 3


def test_a_curve_may_jump(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    over = scene(4, sensors={"sound": [(0, 0.0), (2, 0.5), (2, 1.0), (3, 0.0)]})
    assert level(ir.Sound(), over)[:, 0].tolist() == [0.0, 0.25, 1.0, 0.0]


def test_a_jump_at_the_first_knot_begins_with_the_value_before_it(
    scene: Callable[..., Any], level: Callable[..., Any]
) -> None:
    over = scene(3, sensors={"sound": [(0, 0.25), (0, 1.0), (2, 0.0)]})
    assert level(ir.Sound(), over)[:, 0].tolist() == [0.25, 0.5, 0.0]


def test_a_lag_is_a_pure_delay_before_which_the_first_value_stands(
    scene: Callable[..., Any], level: Callable[..., Any]
) -> None:
    over = scene(40, sensors={"sound": [(0, 0.5), (10, 1.0)]})
    got = level(ir.Sound(20_000), over)[:, 0]
    assert got[[0, 19, 20, 25, 30, 39]].tolist() == [0.5, 0.5, 0.5, 0.75, 1.0, 1.0]


# ---- places: four pixels at 100 a metre; centres at .125 .375 .625 .875, or 5 15 25 35 mm


def test_along_is_the_pixels_centre(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    assert level(ir.Along(), scene(1), 4)[0].tolist() == [0.125, 0.375, 0.625, 0.875]


@pytest.mark.parametrize("length", [px(2), mil(500), mm(20)])
def test_hilt_and_tip_fall_linearly_in_every_unit(
    length: ir.Length, scene: Callable[..., Any], level: Callable[..., Any]
) -> None:
    assert level(ir.Hilt(length), scene(1), 4)[0] == pytest.approx([0.75, 0.25, 0.0, 0.0])
    assert level(ir.Tip(length), scene(1), 4)[0] == pytest.approx([0.0, 0.0, 0.25, 0.75])


@pytest.mark.parametrize("length", [px(2), mil(500), mm(20)])
def test_tail_is_the_last_length_hard(length: ir.Length, scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    assert level(ir.Tail(length), scene(1), 4)[0].tolist() == [0.0, 0.0, 1.0, 1.0]


def test_tail_takes_a_pixel_whose_centre_is_on_the_edge(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    assert level(ir.Tail(mil(375)), scene(1), 4)[0].tolist() == [0.0, 0.0, 1.0, 1.0]


@pytest.mark.parametrize("width", [px(2), mil(500), mm(20)])
def test_near_is_a_raised_cosine_of_the_full_width(
    width: ir.Length, scene: Callable[..., Any], level: Callable[..., Any]
) -> None:
    half = (1 + math.cos(math.pi / 2)) / 2
    assert level(ir.Near(ir.Const(Fraction(1, 2)), width), scene(1), 4)[0] == pytest.approx([0.0, half, half, 0.0])
    assert level(ir.Near(ir.Const(0), width), scene(1), 4)[0] == pytest.approx([half, 0.0, 0.0, 0.0])  # no wrap


def test_near_follows_a_centre_that_moves_in_time_or_along_the_blade(
    scene: Callable[..., Any], level: Callable[..., Any]
) -> None:
    got = level(ir.Near(ir.Lfo("saw", 8_000, Fraction(1, 8)), px(1)), scene(8), 4)
    assert got[::2].tolist() == np.eye(4).tolist()
    assert level(ir.Near(ir.Along(), px(1)), scene(1), 4)[0].tolist() == [1.0] * 4


@pytest.mark.parametrize(
    "node", [ir.Hilt(px(0)), ir.Tip(mil(0)), ir.Tail(mm(0)), ir.Near(ir.Along(), px(0)), ir.EdgeBand(px(0))]
)
def test_a_length_of_nothing_has_no_effect(
    node: ir.Signal, scene: Callable[..., Any], level: Callable[..., Any]
) -> None:
    power = ir.Power(ir.Wipe(100_000), ir.Cut())
    assert not level(node, scene(50, events=[("ignite", 0)]), 4, power).any()


# ---- arithmetic


def test_product_most_least_inverse(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    parts = (ir.Along(), ir.Const(Fraction(1, 2)))
    assert level(ir.Product(parts), scene(1), 4)[0].tolist() == [0.0625, 0.1875, 0.3125, 0.4375]
    assert level(ir.Most(parts), scene(1), 4)[0].tolist() == [0.5, 0.5, 0.625, 0.875]
    assert level(ir.Least(parts), scene(1), 4)[0].tolist() == [0.125, 0.375, 0.5, 0.5]
    assert level(ir.Inverse(ir.Along()), scene(1), 4)[0].tolist() == [0.875, 0.625, 0.375, 0.125]


def test_past_is_one_from_the_level_on(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    assert level(ir.Past(ir.Along(), Fraction(5, 8)), scene(1), 4)[0].tolist() == [0.0, 0.0, 1.0, 1.0]


def test_ease_bends_the_signal_and_stays_within_0_and_1(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    steep = ir.CubicBezier(Fraction(1, 2), -1, Fraction(1, 2), 2)
    got = level(ir.Ease(ir.Along(), steep), scene(1), 64)
    assert got.min() == 0.0 and got.max() == 1.0
    assert level(ir.Ease(ir.Const(Fraction(1, 4)), ir.NamedCurve("ease")), scene(1))[0, 0] == pytest.approx(
        0.4085105914
    )


# ---- memory


def test_slew_starts_at_the_signal_and_moves_by_dt_over_the_full_range(
    scene: Callable[..., Any], level: Callable[..., Any]
) -> None:
    square = ir.Lfo("square", 20_000)
    got = level(ir.Slew(square, 4_000, 2_000), scene(25))[:, 0]
    assert got[:10].tolist() == [0.0] * 10
    assert got[10:16] == pytest.approx([0.25, 0.5, 0.75, 1.0, 1.0, 1.0])
    assert got[20:24] == pytest.approx([0.5, 0.0, 0.0, 0.0])


def test_a_slew_of_nothing_is_no_limit(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    square = ir.Lfo("square", 20_000)
    assert level(ir.Slew(square, 0, 2_000), scene(22))[[9, 10, 20, 21], 0].tolist() == [0.0, 1.0, 0.5, 0.0]
    assert (level(ir.Slew(square, 0, 0), scene(25)) == level(square, scene(25))).all()


def test_trail_halves_in_its_half_life_in_each_pixel(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    spot = ir.Upon("blast", ir.Burst(1_000))
    over = scene(8, events=[("blast", 0), ("blast", 5)])
    got = level(ir.Trail(ir.Product((spot, ir.Along())), 2_000), over, 2)
    decay = [1.0, 0.5**0.5, 0.5, 0.5**1.5, 0.25, 1.0, 0.5**0.5, 0.5]
    assert got[:, 0] == pytest.approx([0.25 * d for d in decay])
    assert got[:, 1] == pytest.approx([0.75 * d for d in decay])


def test_a_trail_without_a_half_life_keeps_nothing(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    wave = ir.Lfo("triangle", 30_000)
    assert (level(ir.Trail(wave, 0), scene(60)) == level(wave, scene(60))).all()


def test_trail_never_falls_below_the_signal_now(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    wave = ir.Lfo("triangle", 30_000)
    assert (level(ir.Trail(wave, 5_000), scene(90)) >= level(wave, scene(90))).all()
