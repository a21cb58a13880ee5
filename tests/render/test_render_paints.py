from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Any

import pytest

from migrate.ir import nodes as ir


def grey(code: int) -> ir.Colour:
    return ir.Colour("duty", (code, code, code))


A, B, C = grey(10), grey(20), grey(30)
STILL = ir.Speed(0, "px")


def px(value: int) -> ir.Length:
    return ir.Length(value, "px")


def codes(light: Any) -> list[list[float]]:
    """The first channel in 8-bit codes, frame by frame."""
    return [[round(255 * v, 6) for v in frame] for frame in light[:, :, 0].tolist()]


def stops(*placed: tuple[str, ir.Paint]) -> tuple[ir.Stop, ...]:
    return tuple(ir.Stop(Fraction(at), paint) for at, paint in placed)


def test_bands_start_at_the_hilt_with_the_first_paint_and_repeat(
    scene: Callable[..., Any], light: Callable[..., Any]
) -> None:
    got = light(ir.Bands(px(2), STILL, (A, B, C)), scene(1), 8)
    assert codes(got)[0] == [10, 10, 20, 20, 30, 30, 10, 10]


def test_bands_move_toward_the_tip_with_positive_speed(scene: Callable[..., Any], light: Callable[..., Any]) -> None:
    forth = codes(light(ir.Bands(px(2), ir.Speed(1000, "px"), (A, B)), scene(3), 4))
    assert forth == [[10, 10, 20, 20], [20, 10, 10, 20], [20, 20, 10, 10]]
    back = codes(light(ir.Bands(px(2), ir.Speed(-1000, "px"), (A, B)), scene(3), 4))
    assert back == [[10, 10, 20, 20], [10, 20, 20, 10], [20, 20, 10, 10]]


@pytest.mark.parametrize(
    ("width", "speed"), [(px(2), 1000), (ir.Length(500, "mil"), 250_000), (ir.Length(20, "mm"), 10_000)]
)
def test_bands_are_the_same_in_every_unit(
    width: ir.Length, speed: int, scene: Callable[..., Any], light: Callable[..., Any]
) -> None:
    got = codes(light(ir.Bands(width, ir.Speed(speed, width.unit), (A, B)), scene(2), 4))
    assert got == [[10, 10, 20, 20], [20, 10, 10, 20]]


def test_a_speed_in_another_unit_than_the_width_is_converted(
    scene: Callable[..., Any], light: Callable[..., Any]
) -> None:
    got = codes(light(ir.Bands(px(2), ir.Speed(250_000, "mil"), (A, B)), scene(2), 4))
    assert got == [[10, 10, 20, 20], [20, 10, 10, 20]]


def test_soft_bands_are_pure_at_their_centres_and_linear_between(
    scene: Callable[..., Any], light: Callable[..., Any]
) -> None:
    got = codes(light(ir.Bands(px(5), STILL, (A, B), "soft"), scene(1), 10))[0]
    assert got == [14, 12, 10, 12, 14, 16, 18, 20, 18, 16]


def test_bands_may_hold_any_paint(scene: Callable[..., Any], light: Callable[..., Any]) -> None:
    fade = ir.Blend(grey(0), grey(80), ir.Along())
    assert codes(light(ir.Bands(px(2), STILL, (A, fade)), scene(1), 4))[0] == [10, 10, 50, 70]


def test_an_even_ramp_runs_from_the_first_stop_at_the_hilt_to_the_last_at_the_tip(
    scene: Callable[..., Any], light: Callable[..., Any]
) -> None:
    got = light(ir.Ramp(stops(("0", grey(0)), ("1/2", grey(80)), ("1", grey(0)))), scene(1), 4)
    assert codes(got)[0] == [20, 60, 60, 20]


def test_one_stop_is_its_paint(scene: Callable[..., Any], light: Callable[..., Any]) -> None:
    assert codes(light(ir.Ramp(stops(("0", A))), scene(1), 2))[0] == [10, 10]


def test_beyond_placed_stops_the_end_paints_stand(scene: Callable[..., Any], light: Callable[..., Any]) -> None:
    got = light(ir.Ramp(stops(("1/4", grey(0)), ("3/4", grey(80)))), scene(1), 8)
    assert codes(got)[0] == [0, 0, 10, 30, 50, 70, 80, 80]


def test_two_stops_at_one_place_are_a_hard_edge(scene: Callable[..., Any], light: Callable[..., Any]) -> None:
    got = light(ir.Ramp(stops(("0", A), ("1/2", A), ("1/2", B), ("1", B))), scene(1), 4)
    assert codes(got)[0] == [10, 10, 20, 20]


def test_the_end_paint_of_a_floored_ramp_is_the_paint_itself(
    scene: Callable[..., Any], light: Callable[..., Any]
) -> None:
    got = light(ir.Ramp(stops(("0", grey(0)), ("1/4", grey(255)))), scene(1), 4, "eight_floor")
    assert got[0, :, 0].tolist() == [127, 255, 255, 255]


def test_a_shade_scales_the_light(scene: Callable[..., Any], light: Callable[..., Any]) -> None:
    assert codes(light(ir.Shade(grey(80), ir.Along()), scene(1), 4))[0] == [10, 30, 50, 70]


@pytest.mark.parametrize(("pixels", "expected"), [(4, [10, 30, 30, 10]), (5, [8, 24, 40, 24, 8]), (1, [40])])
def test_a_mirror_reflects_the_hilt_half(
    pixels: int, expected: list[int], scene: Callable[..., Any], light: Callable[..., Any]
) -> None:
    fade = ir.Blend(grey(0), grey(80), ir.Along())
    assert codes(light(ir.Mirror(fade), scene(1), pixels))[0] == expected


def test_a_mirror_reflects_noise_cells_too(scene: Callable[..., Any], light: Callable[..., Any]) -> None:
    dapple = ir.Blend(grey(0), grey(255), ir.Noise("hold", 50_000, ir.Grain("each")))
    plain, mirrored = light(dapple, scene(1), 6)[0], light(ir.Mirror(dapple), scene(1), 6)[0]
    assert mirrored.tolist() == plain[[0, 1, 2, 2, 1, 0]].tolist()


def test_a_blend_runs_from_a_to_b(scene: Callable[..., Any], light: Callable[..., Any]) -> None:
    got = light(ir.Blend(A, B, ir.Lfo("saw", 4_000)), scene(4))
    assert codes(got) == [[10], [12.5], [15], [17.5]]


def test_a_stepped_paint_stands_still_between_ticks(scene: Callable[..., Any], light: Callable[..., Any]) -> None:
    saw = ir.Blend(grey(0), grey(200), ir.Lfo("saw", 100_000))
    got = light(ir.Stepped(saw), scene(60), 1, "eight_round")[:, 0, 0].tolist()
    # k = floor(255 * .2 + .5) = 51 and 102; 200 * 51 >> 8 = 39, 200 * 102 >> 8 = 79
    assert got == [0] * 20 + [39] * 20 + [79] * 20


def test_the_tick_clock_holds_sensors_and_events_until_the_next_tick(
    scene: Callable[..., Any], light: Callable[..., Any]
) -> None:
    over = scene(60, events=[("clash", 25)], sensors={"sound": [(0, 0.0), (50, 1.0)]})
    heard = light(ir.Blend(grey(0), grey(255), ir.Sound()), over, 1, "eight_floor")[:, 0, 0]
    assert [sorted(set(heard[a : a + 20].tolist())) for a in (0, 20, 40)] == [[0], [101], [203]]
    struck = light(ir.Blend(grey(0), grey(9), ir.Upon("clash", ir.Burst(10_000))), over, 1, "eight_floor")[:, 0, 0]
    assert not struck.any()  # at 40 ms, the first tick after it, the clash is 15 ms old
