"""Facts of the trade as check values, through the product's own reading, drawing and moving.

All of them: common practice, no source.
"""

from __future__ import annotations

from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from migrate.ir import nodes as ir
from migrate.ir.facts import Blade
from migrate.packs.library import library
from migrate.packs.units import from_ir
from migrate.pipeline import Options, Reading, move, read
from migrate.render.draw import render
from migrate.render.scene import DEFAULT_PER_METRE, DEFAULT_PIXELS, Occurrence, Scene
from migrate.source import SourceFile

LEVEL = 192 / 255  # the sound at which an eight-bit mix has k = 192, three quarters of 256


def drawn(text: str, style: str, sound: float = 0.0, swing: float = 0.0) -> NDArray[np.uint8]:
    """One frame of a style of a config, lit, with its sensors at rest at the given values: duties (N, 3)."""
    reading = read(SourceFile("config.h", text.encode()), Options("wick3"))
    assert isinstance(reading, Reading)
    value = reading.lifted[style].raw
    lit = (Occurrence("ignite", 0, None, 0.0, 1.0),)
    scene = Scene("still", 20_000, 50, 4, 144, lit, {"sound": ((0, sound),), "swing": ((0, swing),)})
    whole = value if isinstance(value, ir.Style) else ir.Style(value)
    return render(whole, reading.generation.arithmetic, scene, Blade(4, 144))[0]


def test_halving_the_duties_of_lamp_oil_rounds_half_up() -> None:
    frame = drawn("#include <wick2.h>\nusing lamp = dim<rgb<255, 28, 0>, 50>;\n", "lamp")
    assert frame.tolist() == [[128, 14, 0]] * 4


def test_three_quarters_of_that_round_down_where_mixing_is_floored() -> None:
    text = "#include <wick1.h>\ntypedef tape<meter<0x000000, 0x800E00>, 0, 0, 0, 0, 0> low;\n"
    assert drawn(text, "low", sound=LEVEL).tolist() == [[96, 10, 0]] * 4


def test_the_same_three_quarters_round_half_up_where_mixing_is_rounded() -> None:
    """The half of 10.5 tells the two arithmetics apart."""
    assert drawn("#include <wick2.h>\nusing low = dim<rgb<128, 14, 0>, 75>;\n", "low").tolist() == [[96, 11, 0]] * 4


def test_a_swing_from_200_to_255_is_a_rise_of_27_and_a_half_per_cent() -> None:
    text = "#include <wick2.h>\nusing staff = whirl<rgb<0, 200, 0>, rgb<0, 255, 0>>;\n"
    still, quick = (int(drawn(text, "staff", swing=v)[0, 1]) for v in (0.0, 450.0))
    rise = Fraction(quick - still, still)
    assert rise == Fraction(275, 1000)
    assert Fraction(25, 100) <= rise <= Fraction(30, 100)  # the usual range


def test_36_inches_at_144_a_metre_are_132_pixels() -> None:
    inches = Fraction(36) * Fraction(254, 10)  # mm
    pixels = library()["wick2"].units["px"]
    assert from_ir(ir.Length(inches, "mm"), pixels, Blade(132, 144)) == Fraction(1316736, 10000)  # 131.7
    assert (DEFAULT_PIXELS, DEFAULT_PER_METRE) == (132, 144)


def test_a_collar_of_36_inches_moves_to_132_pixels() -> None:
    text = (
        "#include <wick/score.h>\nusing namespace wick;\nconstexpr int blade_pixels = 132;\n"
        "constexpr int pixels_per_metre = 144;\n"
        "using glow = score<ground<duty<0, 40, 80>>, veil<duty<255, 255, 255>, by<hilt<mm<914.4>>>>,\n"
        "  power<rise<wipe<over<ms<300>>>>, fall<wipe<over<ms<300>>>>>>;\n"
    )
    moved = move(SourceFile("config.h", text.encode()), Options("wick2"))
    assert b"collar_sleeve<rgb<0, 40, 80>, rgb<255, 255, 255>, 132>" in b" ".join(moved.text.split())
    (style,) = moved.styles
    assert style.grade == "close" and style.rounding == 1 - Fraction(1316736, 1320000)
