"""Where rounding alone makes a style look different, the report says which number, from what and to what."""

from __future__ import annotations

from fractions import Fraction

from migrate.ir import nodes as ir
from migrate.ir.facts import Blade
from migrate.ir.rounded import rounded
from migrate.pipeline import Options, move
from migrate.report.html.report import report_page
from migrate.report.terminal import figures_in_words
from migrate.source import SourceFile

HEAD = (
    "#define WICK_GENERATION 4\n#include <wick/score.h>\nusing namespace wick;\n"
    "constexpr int blade_pixels = 96;\nconstexpr int pixels_per_metre = 96;\n"
)
POLE = (
    "using pole = score<ground<bands<speed<mm_s<250>>, paints<srgb<0, 90, 160>, srgb<0, 150, 190>>, width<mm<60.5>>>>, "
    "power<rise<wipe<over<ms<300>>>>, fall<wipe<over<ms<450>>>>>>;\n"
)
SAID = "`width` was rounded from 60.5 mm (5.81 px) to 6 px"
BLADES = (Blade(96, Fraction(96)), Blade(96, Fraction(96)))


def test_a_style_that_rounding_changed_says_so_everywhere() -> None:
    options = Options("wick2")
    moved = move(SourceFile("quay.h", (HEAD + POLE).encode()), options)
    (style,) = moved.styles
    assert (style.grade, style.notes) == ("changed", (SAID,))
    assert f"\n{SAID}" in figures_in_words(style)
    assert f"// rehilt: changed; {SAID}; dE 95 %" in moved.text.decode()
    assert f"looks different now; look at it and decide: {SAID}" in report_page(moved, options)


def test_a_close_style_says_so_on_its_page_and_needs_no_note() -> None:
    options = Options("wick3")
    moved = move(SourceFile("quay.h", (HEAD + POLE).encode()), options)
    (style,) = moved.styles
    assert (style.grade, style.notes) == ("close", ())
    assert style.rounded == ("`width` was rounded from 60.5 mm (60.5 mil) to 61 mil",)
    assert f"<p>{style.rounded[0]}</p>" in report_page(moved, options)
    assert "// rehilt: close" not in moved.text.decode()


def test_numbers_are_told_by_as_many_digits_as_they_differ_in() -> None:
    one, two = (bands(ir.Length(n, "mm"), ir.Speed(0, "px")) for n in (Fraction("1333.25"), 1333))
    assert rounded(one, two, BLADES, Fraction(0)) == ("`width` was rounded from 1333.2 mm to 1333 mm",)


def bands(width: ir.Length, speed: ir.Speed, lasting: int = 300_000) -> ir.Style:
    paints = (ir.Colour("duty", (255, 0, 0)), ir.Colour("duty", (0, 0, 255)))
    return ir.Style(ir.Bands(width, speed, paints), (), ir.Power(ir.Wipe(lasting), ir.Cut()))


def test_the_largest_comes_first_and_each_once() -> None:
    one = bands(ir.Length(Fraction(121, 2), "mm"), ir.Speed(250, "mm"), 312_500)
    two = bands(ir.Length(6, "px"), ir.Speed(20, "px"), 300_000)
    assert rounded((one, one), (two, two), BLADES, Fraction(1, 100)) == (
        "`speed` was rounded from 250 mm/s (24 px/s) to 20 px/s",
        "`duration` was rounded from 312 ms to 300 ms",
        SAID,
    )


def test_what_is_equal_by_the_blade_or_nearly_so_is_not_told() -> None:
    one = bands(ir.Length(Fraction(125, 2), "mm"), ir.Speed(1000, "px"))
    two = bands(ir.Length(6, "px"), ir.Speed(1001, "px"))
    assert rounded(one, two, BLADES, Fraction(1, 100)) == ()


def test_without_the_blades_facts_nothing_is_made_up() -> None:
    one, two = (bands(ir.Length(n, u), ir.Speed(0, "px")) for n, u in ((60, "mm"), (7, "px")))
    assert rounded(one, two, (Blade(), Blade()), Fraction(1, 100)) == ()
