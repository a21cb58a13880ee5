"""Waves on the 20 ms clock, said without it: what stands for them shows the same, and only where the steps are seen."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import numpy as np
import pytest

from migrate.compare import Tolerance, compare, within
from migrate.ir import nodes as ir
from migrate.ir.facts import Arithmetic, Blade
from migrate.ir.walk import children
from migrate.lower.stairs import unstepped
from migrate.pipeline import Options, move
from migrate.render.draw import render
from migrate.render.scene import Scene
from migrate.source import SourceFile

TICK = 20_000
BLADE = Blade(3, 144)
# A thousand frames a second: an edge that lies a millisecond off its tick is on the wrong side of a frame.
SCENE = Scene("stairs", 1_500_000, 1000, None, None, (), {})
TARGETS = (Arithmetic("frame", "sixteen"), Arithmetic("frame", "real"))
WHITE, BLACK = ir.Colour("duty", (255, 255, 255)), ir.Colour("duty", (0, 0, 0))
SEA, FOAM = ir.Colour("duty", (0, 16, 64)), ir.Colour("duty", (160, 224, 255))
BLUE, YELLOW = ir.Colour("duty", (0, 0, 255)), ir.Colour("duty", (255, 255, 0))
PAIRS = ((WHITE, BLACK), (BLACK, WHITE), (SEA, FOAM), (BLUE, YELLOW))


def blend(wave: str, ticks: int, a: Any = WHITE, b: Any = BLACK) -> ir.Blend:
    return ir.Blend(a, b, ir.Lfo(wave, ticks * TICK))  # type: ignore[arg-type]


def farthest(paint: Any, said: Any, scene: Scene = SCENE) -> int:
    """The largest difference in duty steps between a paint on the clock and what stands for it."""
    drawn = [(ir.Style(ir.Stepped(paint)), TARGETS[0]), *((ir.Style(said), target) for target in TARGETS)]
    stepped, *others = (render(style, arithmetic, scene, BLADE).astype(int) for style, arithmetic in drawn)
    return max(int(np.abs(stepped - other).max()) for other in others)


def numbers(part: Any) -> list[Any]:
    own = [getattr(part, name) for name in ("value", "level", "phase") if hasattr(part, name)]
    return own + [n for child in children(part) if not isinstance(child, ir.Colour) for n in numbers(child)]


@pytest.mark.parametrize("wave", ["triangle", "sine", "saw", "square"])
def test_a_staircase_shows_the_stepped_wave_to_one_duty_step(wave: str) -> None:
    for ticks in range(1, 20):
        for a, b in PAIRS:
            said = unstepped(blend(wave, ticks, a, b))
            assert said is not None
            assert farthest(blend(wave, ticks, a, b), said) <= 1, (ticks, a, b)
            assert all((Fraction(n) * 1000).denominator == 1 for n in numbers(said))


def test_the_smooth_wave_would_be_seen_where_a_staircase_stands_for_it() -> None:
    for wave, ticks, (a, b) in (("triangle", 19, PAIRS[0]), ("sine", 15, PAIRS[0]), ("saw", 14, PAIRS[3])):
        assert unstepped(blend(wave, ticks, a, b)) is not None
        assert smooth_figures(wave, ticks, a, b).p95 > 1


def smooth_figures(wave: str, ticks: int, a: Any, b: Any) -> Any:
    scene = Scene("smooth", 1_800_000, 250, None, None, (), {})
    paint = blend(wave, ticks, a, b)
    stepped, smooth = (render(ir.Style(p), TARGETS[0], scene, BLADE) for p in (ir.Stepped(paint), paint))
    return compare(stepped, smooth, scene.rate)


@pytest.mark.parametrize("wave", ["triangle", "sine", "saw"])
def test_beyond_the_longest_staircase_the_smooth_wave_is_within_the_percentile(wave: str) -> None:
    for ticks in (20, 21, 22, 23, 25, 29):
        for a, b in PAIRS:
            assert unstepped(blend(wave, ticks, a, b)) is None
            assert smooth_figures(wave, ticks, a, b).p95 <= 1, (ticks, a, b)


def test_steps_between_near_colours_are_left_to_the_smooth_wave_which_is_close() -> None:
    amber, oil = ir.Colour("duty", (255, 200, 100)), ir.Colour("duty", (225, 170, 80))
    for ticks in (8, 12, 19):
        assert unstepped(blend("triangle", ticks, amber, oil)) is None
        assert within(smooth_figures("triangle", ticks, amber, oil), Tolerance())


def test_a_wave_of_one_tick_never_leaves_its_first_colour() -> None:
    assert unstepped(blend("triangle", 1)) == WHITE


def test_a_square_of_an_even_number_of_ticks_is_itself_however_long() -> None:
    for ticks in (2, 30, 200):
        assert unstepped(blend("square", ticks)) == blend("square", ticks)
    assert unstepped(blend("square", 201)) is None  # its edges are 10 ms off then, which is close


def test_what_stands_round_the_wave_stays_and_what_the_clock_holds_still_is_no_hindrance() -> None:
    collar = ir.Blend(blend("triangle", 7), SEA, ir.Hilt(ir.Length(2, "px")))
    said = unstepped(collar)
    assert isinstance(said, ir.Blend) and said.weight == collar.weight
    assert farthest(collar, said) <= 1
    sparks = ir.Noise("hold", 50_000, ir.Grain("each"))
    assert unstepped(ir.Blend(blend("triangle", 7), SEA, ir.Past(sparks, Fraction(9, 10)))) is not None


@pytest.mark.parametrize(
    "paint",
    [
        ir.Blend(WHITE, BLACK, ir.Lfo("triangle", 7 * TICK, Fraction(1, 4))),
        ir.Blend(WHITE, BLACK, ir.Lfo("triangle", 150_000)),
        ir.Blend(WHITE, BLACK, ir.Lfo("triangle", 7 * TICK), "oklab"),
        ir.Blend(WHITE, BLACK, ir.Product((ir.Lfo("triangle", 7 * TICK), ir.Along()))),
        ir.Blend(blend("triangle", 7), BLACK, ir.Swing(450)),
        ir.Bands(ir.Length(4, "px"), ir.Speed(50, "px"), (blend("triangle", 7), BLACK)),
    ],
    ids=["phase", "no-whole-ticks", "space", "in-a-product", "sensor", "moving-bands"],
)
def test_what_cannot_be_said_exactly_is_not_said(paint: Any) -> None:
    assert unstepped(paint) is None


def throbbing(ticks: int) -> SourceFile:
    text = (
        "#include <wick2.h>\n#define WICK_GENERATION 2\nconstexpr int blade_pixels = 132;\n"
        "constexpr int pixels_per_metre = 144;\n"
        f"using signal = power_sleeve<from_tape<tape1::throb<0x001040, 0x4060FF, {ticks}>>, 300, 300>;\n"
        'wick_slots slots = { slot<signal>("harbour", "Harbour signal") };\n'
    )
    return SourceFile("signal.h", text.encode())


@pytest.mark.parametrize("target", ["wick3", "wick4"])
def test_a_move_writes_a_staircase_for_a_quick_wave_and_a_wave_for_a_slow_one(target: str) -> None:
    quick, slow = (move(throbbing(ticks), Options(target)) for ticks in (7, 60))
    (style,) = quick.styles
    assert style.grade == "close" and style.notes == ()
    assert style.figures is not None and (style.figures.largest, style.figures.duty) <= (0, 1)
    assert quick.text.count(b"past<lfo<triangle,") == 3
    assert slow.styles[0].grade == "close" and slow.styles[0].notes == ("the 20 ms steps are gone",)
    assert b"past<" not in slow.text
