from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest
from coloraide import Color
from hypothesis import given
from hypothesis import strategies as st
from PIL import ImageColor

from migrate.ir import colour as c
from migrate.ir.css_colours import CSS_COLOURS
from migrate.ir.nodes import Colour
from migrate.render.spaces import from_space, to_space

unit = st.floats(0.0, 1.0)


@pytest.mark.parametrize(
    ("code", "light"),
    [(10, 0.003035269835), (64, 0.051269458374), (128, 0.215860500114), (188, 0.502886458033), (0, 0.0), (255, 1.0)],
)
def test_srgb_decodes_as_iec_61966_2_1_says(code: int, light: float) -> None:
    """checks.md: IEC 61966-2-1 as given in CSS Color 4."""
    assert c.srgb_decode(code / 255.0) == pytest.approx(light, abs=5e-13)


def test_every_srgb_code_agrees_with_coloraide_and_comes_back() -> None:
    for code in range(256):
        light = c.srgb_decode(code / 255.0)
        assert light == pytest.approx(Color("srgb", [code / 255.0] * 3).convert("srgb-linear")["red"], abs=1e-14)
        assert math.floor(255.0 * c.srgb_encode(light) + 0.5) == code


@given(unit, unit, unit)
def test_oklab_agrees_with_coloraide_and_comes_back(r: float, g: float, b: float) -> None:
    """CSS Color Level 4; coloraide's `oklab`."""
    lab = c.oklab_from_linear((r, g, b))
    assert lab == pytest.approx(Color("srgb-linear", [r, g, b]).convert("oklab").coords(), abs=1e-9)
    assert c.linear_from_oklab(lab) == pytest.approx((r, g, b), abs=1e-9)


def test_oklch_agrees_with_coloraide_within_the_gamut() -> None:
    lch = (0.6, 0.1, 200.0)
    expected = Color("oklch", list(lch)).convert("srgb-linear").coords()
    assert c.linear_light(Colour("oklch", (Fraction(3, 5), Fraction(1, 10), 200))) == pytest.approx(expected, abs=1e-9)
    assert c.oklch_from_linear(c.linear_from_oklch(lch)) == pytest.approx(lch, abs=1e-9)


def test_oklch_outside_the_gamut_is_clipped_channel_by_channel() -> None:
    lch = (0.7, 0.4, 30.0)
    raw = Color("oklch", list(lch)).convert("srgb-linear").coords()
    assert max(raw) > 1 and min(raw) < 0
    assert c.linear_from_oklch(lch) == pytest.approx([min(1.0, max(0.0, v)) for v in raw], abs=1e-9)


def test_duty_codes_are_the_duties_themselves_and_coded_colours_decoded() -> None:
    assert c.duty_codes(Colour("duty", (255, 28, 0))) == (255, 28, 0)
    assert c.duty_codes(Colour("srgb", (128, 64, 10))) == (55, 13, 1)  # 255 * .2158605, .0512695, .0030353, half up


def test_there_are_148_css_names_and_they_are_pillows() -> None:
    """checks.md: CSS Color Level 4; Pillow's table was confirmed equal to matplotlib's and tinycss2's."""
    assert len(CSS_COLOURS) == 148
    assert set(CSS_COLOURS) == set(ImageColor.colormap)
    for name in CSS_COLOURS:
        assert c.css_codes(name) == ImageColor.getrgb(name)


@pytest.mark.parametrize(
    ("name", "codes"),
    [
        ("mediumpurple", (0x93, 0x70, 0xDB)),
        ("palevioletred", (0xDB, 0x70, 0x93)),
        ("rebeccapurple", (0x66, 0x33, 0x99)),
    ],
)
def test_the_names_that_packages_get_wrong(name: str, codes: tuple[int, int, int]) -> None:
    """checks.md names these as wrong or missing elsewhere."""
    assert c.css_codes(name) == codes


@pytest.mark.parametrize(("one", "other"), [("grey", "gray"), ("aqua", "cyan"), ("fuchsia", "magenta")])
def test_spellings_of_one_colour_are_equal(one: str, other: str) -> None:
    assert c.css_codes(one) == c.css_codes(other)


def test_a_name_css_does_not_have_is_none() -> None:
    assert c.css_codes("lanternorange") is None


@pytest.mark.parametrize("space", ["linear", "srgb", "oklab"])
def test_spaces_over_arrays_come_back(space: str) -> None:
    light = np.random.default_rng(1).random((3, 5, 4))
    assert np.allclose(from_space(to_space(light, space), space), light, atol=1e-12)  # type: ignore[arg-type]


def test_spaces_over_arrays_are_the_scalar_functions() -> None:
    light = np.random.default_rng(2).random((3, 7))
    lab, coded = to_space(light, "oklab"), to_space(light, "srgb")
    for k in range(7):
        one = tuple(light[:, k])
        assert lab[:, k] == pytest.approx(c.oklab_from_linear(one), abs=1e-12)  # type: ignore[arg-type]
        assert coded[:, k] == pytest.approx([c.srgb_encode(v) for v in one], abs=1e-12)
