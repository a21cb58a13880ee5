from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Any

import numpy as np
import pytest
from coloraide import Color

from migrate.ir import nodes as ir
from migrate.render.mixing import MIXINGS, chooses

DARK, FULL = ir.Colour("duty", (0, 0, 0)), ir.Colour("duty", (255, 255, 255))


def duty(r: int, g: int, b: int) -> ir.Colour:
    return ir.Colour("duty", (r, g, b))


def k(share: str | int) -> ir.Const:
    return ir.Const(Fraction(share))


@pytest.mark.parametrize(
    ("a", "b", "weight", "floor", "rounded"),
    [
        (0, 255, "1/2", 127, 128),  # k = 128: 255 * 128 >> 8 = 127; (255 * 128 + 127) div 255 = 128
        (255, 0, "1/2", 127, 127),  # -255 * 128 >> 8 = -128; (255 * 127 + 127) div 255 = 127
        (10, 11, "254/255", 10, 11),
        (0, 200, "1/1000", 0, 0),
        (0, 127, "1/255", 0, 0),  # (127 + 127) div 255: less than half a code
        (0, 128, "1/255", 0, 1),
        (200, 0, "1/255", 199, 199),  # -200 >> 8 = -1, the floor of a negative; (200 * 254 + 127) div 255 = 199
    ],
)
def test_eight_bit_mixing_floored_and_rounded(
    a: int, b: int, weight: str, floor: int, rounded: int, scene: Callable[..., Any], light: Callable[..., Any]
) -> None:
    node = ir.Blend(duty(a, a, a), duty(b, b, b), k(weight))
    assert light(node, scene(1), 1, "eight_floor")[0, 0].tolist() == [floor] * 3
    assert light(node, scene(1), 1, "eight_round")[0, 0].tolist() == [rounded] * 3


def test_floored_full_weight_never_reaches_a_greater_code_but_always_a_smaller_one(
    scene: Callable[..., Any], light: Callable[..., Any]
) -> None:
    """family.md, section 2: k = 255 of a signal that mixes."""
    full = ir.Lfo("triangle", 100_000, Fraction(1, 2))  # 1 at t = 0, and no choice
    assert light(ir.Blend(DARK, FULL, full), scene(1), 1, "eight_floor")[0, 0, 0] == 254
    assert light(ir.Blend(FULL, DARK, full), scene(1), 1, "eight_floor")[0, 0, 0] == 0
    assert light(ir.Blend(DARK, FULL, full), scene(1), 1, "eight_round")[0, 0, 0] == 255


def test_what_chooses_takes_the_chosen_code_itself(scene: Callable[..., Any], light: Callable[..., Any]) -> None:
    square = ir.Lfo("square", 100_000, Fraction(1, 2))
    assert light(ir.Blend(DARK, FULL, square), scene(1), 1, "eight_floor")[0, 0, 0] == 255


@pytest.mark.parametrize(
    "signal",
    [
        ir.Lfo("square", 9),
        ir.Past(ir.Sound(), Fraction(1, 2)),
        ir.Upon("clash", ir.Burst(9)),
        ir.Upon("lock", ir.Held(0, 0)),
        ir.Tail(ir.Length(9, "px")),
        ir.EdgeBand(ir.Length(9, "px")),
        ir.Const(0),
        ir.Const(1),
        ir.Inverse(ir.Const(1)),
        ir.Product((ir.Upon("lock", ir.Held(0, 0)), ir.Lfo("square", 9))),
        ir.Most((ir.Const(0), ir.Lfo("square", 9))),
        ir.Least((ir.Const(1), ir.Lfo("square", 9))),
    ],
)
def test_a_signal_that_is_only_ever_0_or_1_chooses(signal: ir.Signal) -> None:
    assert chooses(signal)


@pytest.mark.parametrize(
    "signal",
    [
        ir.Lfo("triangle", 9),
        ir.Sound(),
        ir.Upon("clash", ir.Hit(0, 9)),
        ir.Upon("lock", ir.Held(0, 9)),
        ir.Const(Fraction(1, 2)),
        ir.Inverse(ir.Along()),
        ir.Product((ir.Lfo("square", 9), ir.Along())),
        ir.Noise("hold", 50_000, ir.Grain("whole")),
    ],
)
def test_a_signal_with_values_between_mixes(signal: ir.Signal) -> None:
    assert not chooses(signal)


@pytest.mark.parametrize("mixing", ["eight_floor", "eight_round"])
def test_a_random_mix_takes_the_words_upper_byte(
    mixing: str, scene: Callable[..., Any], light: Callable[..., Any]
) -> None:
    got = light(ir.Blend(DARK, FULL, ir.Noise("hold", 50_000, ir.Grain("each"))), scene(1), 64, mixing)[0, :, 0]
    words = [int(np.random.Philox(key=0, counter=((cell << 64) - 1) % 2**256).random_raw()) for cell in range(64)]
    top = [word >> 56 for word in words]
    assert got.tolist() == [255 * b >> 8 if mixing == "eight_floor" else (255 * b + 127) // 255 for b in top]


def test_a_product_of_fractions_is_multiplied_first_and_rounded_once(
    scene: Callable[..., Any], light: Callable[..., Any]
) -> None:
    weight = ir.Product((k("1/10"), k("1/10")))  # 2.55 rounds to 3; 25.5 * 25.5 / 255 would not
    assert light(ir.Blend(DARK, FULL, weight), scene(1), 1, "eight_round")[0, 0, 0] == 3


@pytest.mark.parametrize(
    ("codes", "percent", "dimmed"),
    [
        ((255, 28, 0), 50, (128, 14, 0)),
        ((255, 1, 101), 1, (3, 0, 1)),
        ((99, 50, 49), 1, (1, 1, 0)),
        ((7, 8, 9), 100, (7, 8, 9)),
    ],
)
def test_dim_is_whole_number_rounding(
    codes: tuple[int, int, int],
    percent: int,
    dimmed: tuple[int, int, int],
    scene: Callable[..., Any],
    light: Callable[..., Any],
) -> None:
    """(c * PCT + 50) div 100; halving (255, 28, 0) and rounding half up is (128, 14, 0): common practice, no source."""
    got = light(ir.Shade(duty(*codes), ir.Const(Fraction(percent, 100))), scene(1), 1, "eight_round")
    assert tuple(got[0, 0].tolist()) == dimmed == tuple((c * percent + 50) // 100 for c in codes)


def test_sixteen_bit_colours_are_decoded_then_rounded_and_duties_are_257_times(
    scene: Callable[..., Any], light: Callable[..., Any]
) -> None:
    coded = light(ir.Colour("srgb", (128, 64, 10)), scene(1), 1, "sixteen")[0, 0]
    assert coded.tolist() == [14146, 3360, 199]  # 65535 * .215860500, .0512694584, .00303526984, half up
    assert light(duty(1, 128, 255), scene(1), 1, "sixteen")[0, 0].tolist() == [257, 32896, 65535]


def test_each_sixteen_bit_layer_is_rounded_half_up(scene: Callable[..., Any], light: Callable[..., Any]) -> None:
    once = ir.Blend(DARK, duty(1, 1, 1), k("1/2"))
    assert light(once, scene(1), 1, "sixteen")[0, 0, 0] == 129  # 128.5
    assert light(ir.Blend(DARK, once, k("1/2")), scene(1), 1, "sixteen")[0, 0, 0] == 65  # 64.5 of the rounded one
    assert light(ir.Shade(duty(1, 1, 1), k("1/2")), scene(1), 1, "sixteen")[0, 0, 0] == 129


def test_output_of_sixteen_bits_is_half_up_for_every_light() -> None:
    every = np.arange(65536, dtype=np.float64).reshape(1, -1)
    exact = [int(255 * Fraction(v, 65535) + Fraction(1, 2)) for v in range(65536)]
    assert MIXINGS["sixteen"].duties(every)[0].tolist() == exact


def test_output_of_doubles_is_half_up() -> None:
    assert MIXINGS["real"].duties(np.array([0.0, 0.5 / 255 - 1e-9, 0.5 / 255 + 1e-9, 1.0])).tolist() == [0, 0, 1, 255]


@pytest.mark.parametrize(("mixing", "off"), [("real", 1e-6), ("sixteen", 2.0 / 65535)])
def test_source_over_and_plus_lighter_are_the_w3cs(mixing: str, off: float) -> None:
    """checks.md: Cb (.2, .4, .6) at .8 under Cs (.8, .5, .1) at .25, skia-python and W3C Compositing.

    A sheet lies on opaque light, so the backdrop's alpha is taken in as the light it leaves: the premultiplied
    source-over result is .85 * (.376471, .429412, .452941), and plus-lighter's is (.36, .445, .505).
    """
    scale = 65535.0 if mixing == "sixteen" else 1.0
    below = np.array([0.2, 0.4, 0.6]).reshape(3, 1, 1) * 0.8 * scale
    above = np.array([0.8, 0.5, 0.1]).reshape(3, 1, 1) * scale
    weight = np.array([[0.25]])
    over = MIXINGS[mixing].mix(below, above, weight, None).reshape(3) / scale
    plus = MIXINGS[mixing].plus(below, above, weight, ir.Const(Fraction(1, 4))).reshape(3) / scale
    assert over / 0.85 == pytest.approx([0.376471, 0.429412, 0.452941], abs=off + 1e-6)
    assert plus == pytest.approx([0.36, 0.445, 0.505], abs=off)


@pytest.mark.parametrize(
    ("mixing", "full"), [("eight_floor", 255), ("eight_round", 255), ("sixteen", 65535), ("real", 1.0)]
)
def test_plus_lighter_stops_at_full(
    mixing: str, full: float, scene: Callable[..., Any], frames: Callable[..., Any]
) -> None:
    style = ir.Style(duty(200, 0, 0), (ir.Sheet("plus", duty(200, 10, 0), k(1)),))
    assert frames(style, scene(1), 1, mixing)[0, 0].tolist() == [255, 10, 0]
    assert MIXINGS[mixing].plus(np.full((3, 1, 1), full), np.full((3, 1, 1), full), np.ones((1, 1)), k(1)).max() == full


@pytest.mark.parametrize(("space", "name"), [("linear", "srgb-linear"), ("srgb", "srgb"), ("oklab", "oklab")])
def test_a_blend_mixes_in_its_space_as_coloraide_does(
    space: str, name: str, scene: Callable[..., Any], light: Callable[..., Any]
) -> None:
    a, b = ir.Colour("srgb", (255, 120, 40)), ir.Colour("srgb", (20, 90, 200))
    got = light(ir.Blend(a, b, k("3/10"), space), scene(1))[0, 0]  # type: ignore[arg-type]
    mixed = Color("srgb", [v / 255 for v in a.values]).mix(Color("srgb", [v / 255 for v in b.values]), 0.3, space=name)
    assert got == pytest.approx(mixed.convert("srgb-linear").coords(), abs=1e-9)


def test_mixing_outside_the_gamut_is_clipped(scene: Callable[..., Any], light: Callable[..., Any]) -> None:
    for weight in ("1/4", "1/2", "3/4"):
        got = light(ir.Blend(duty(0, 0, 255), duty(255, 255, 0), k(weight), "oklab"), scene(1))
        assert got.min() >= 0.0 and got.max() <= 1.0


def test_three_quarters_of_128_14_0_rounded_down() -> None:
    """Facts of the trade (issue 2): (96, 10, 0); common practice, no source."""
    codes = np.array([128, 14, 0], np.int32).reshape(3, 1, 1)
    assert MIXINGS["eight_floor"].mix(codes * 0, codes, np.array([[192 / 255]]), None).reshape(3).tolist() == [
        96,
        10,
        0,
    ]


def test_stepped_stands_in_every_arithmetic(scene: Callable[..., Any], light: Callable[..., Any]) -> None:
    half = ir.Stepped(ir.Blend(DARK, FULL, k("1/2")))
    assert light(half, scene(1), 1, "eight_round")[0, 0, 0] == 127  # floored, in a rounded style
    assert light(half, scene(1), 1, "sixteen")[0, 0, 0] == 127 * 257
    assert light(half, scene(1), 1, "real")[0, 0, 0] == 127 / 255
