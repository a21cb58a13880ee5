from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Any

import pytest

from migrate.ir import nodes as ir

MS = 1000


def grey(code: int) -> ir.Colour:
    return ir.Colour("duty", (code, code, code))


LIT = grey(200)


def style(rise: ir.Transition, fall: ir.Transition, *sheets: ir.Sheet) -> ir.Style:
    return ir.Style(LIT, sheets, ir.Power(rise, fall))


def shown(frames: Any) -> list[list[int]]:
    return frames[:, :, 0].tolist()  # type: ignore[no-any-return]


def lit(frames: Any) -> list[str]:
    return ["".join("#" if v else "." for v in frame) for frame in shown(frames)]


def test_without_power_a_style_is_always_lit(scene: Callable[..., Any], frames: Callable[..., Any]) -> None:
    assert shown(frames(ir.Style(LIT), scene(2, events=[("retract", 0)]), 2)) == [[200, 200]] * 2


def test_with_power_it_is_dark_before_the_first_ignite(scene: Callable[..., Any], frames: Callable[..., Any]) -> None:
    assert not frames(style(ir.Cut(), ir.Cut()), scene(5, events=[("retract", 0), ("clash", 1)])).any()


def test_a_wipe_lights_from_the_hilt_and_goes_dark_from_the_tip(
    scene: Callable[..., Any], frames: Callable[..., Any]
) -> None:
    over = scene(14, events=[("ignite", 1), ("retract", 8)])
    got = lit(frames(style(ir.Wipe(4 * MS), ir.Wipe(2 * MS)), over))
    # x < q: at q = 1/4 only the centre at .125 is lit
    assert got == ["....", "....", "#...", "##..", "###.", *["####"] * 4, "##..", *["...."] * 4]


def test_a_retraction_during_ignition_falls_from_where_it_stands_at_its_own_rate(
    scene: Callable[..., Any], frames: Callable[..., Any]
) -> None:
    over = scene(9, events=[("ignite", 0), ("retract", 4)])
    got = lit(frames(style(ir.Wipe(8 * MS), ir.Wipe(4 * MS)), over))
    # q: 0 1/8 2/8 3/8 4/8, then 2/8 0; the centre at .125 is lit only where q is above it
    assert got == ["....", "....", "#...", "#...", "##..", "#...", "....", "....", "...."]


def test_ignite_while_lit_or_rising_is_ignored(scene: Callable[..., Any], frames: Callable[..., Any]) -> None:
    wipe = style(ir.Wipe(4 * MS), ir.Wipe(4 * MS))
    once = frames(wipe, scene(12, events=[("ignite", 0), ("retract", 8)]))
    again = frames(
        wipe, scene(12, events=[("ignite", 0), ("ignite", 2), ("ignite", 6), ("retract", 8), ("retract", 9)])
    )
    assert (once == again).all()


def test_ignite_while_falling_rises_from_the_q_it_finds(scene: Callable[..., Any], frames: Callable[..., Any]) -> None:
    over = scene(9, events=[("ignite", 0), ("retract", 4), ("ignite", 6)])
    got = lit(frames(style(ir.Wipe(4 * MS), ir.Wipe(4 * MS)), over))
    assert got[4:] == ["####", "###.", "##..", "###.", "####"]


def test_a_duration_of_nothing_arrives_at_once(scene: Callable[..., Any], frames: Callable[..., Any]) -> None:
    got = lit(frames(style(ir.Cut(), ir.Wipe(0)), scene(5, events=[("ignite", 1), ("retract", 3)])))
    assert got == ["....", "####", "####", "....", "...."]


def test_a_soft_wipe_is_an_alpha_that_runs_over_its_length(
    scene: Callable[..., Any], frames: Callable[..., Any]
) -> None:
    got = shown(frames(style(ir.Wipe(4 * MS, ir.Length(500, "mil")), ir.Cut()), scene(3, events=[("ignite", 0)])))
    # clamp((q * 1.5 - x) / .5) at q = 1/2: (.75 - x) / .5 = 1.25 .75 .25 -.25
    assert got[2] == [200, 150, 50, 0]


def test_an_iris_opens_from_its_place(scene: Callable[..., Any], frames: Callable[..., Any]) -> None:
    over = scene(6, events=[("ignite", 0)])
    assert lit(frames(style(ir.Iris(4 * MS, Fraction(1, 2)), ir.Cut()), over)) == [
        "....",
        "....",
        ".##.",
        ".##.",
        "####",
        "####",
    ]
    # at 1/4: |x - .25| < q * .75
    assert lit(frames(style(ir.Iris(4 * MS, Fraction(1, 4)), ir.Cut()), over))[1:4] == ["##..", "##..", "###."]


def test_a_dissolve_is_the_whole_blade_at_alpha_q(scene: Callable[..., Any], frames: Callable[..., Any]) -> None:
    over = scene(8, events=[("ignite", 0), ("retract", 4)])
    got = shown(frames(style(ir.Dissolve(4 * MS), ir.Dissolve(2 * MS)), over, 1))
    assert [v for (v,) in got] == [0, 50, 100, 150, 200, 100, 0, 0]


def test_a_rest_keeps_the_old_picture_then_cuts(scene: Callable[..., Any], frames: Callable[..., Any]) -> None:
    over = scene(8, events=[("ignite", 0), ("retract", 4)])
    assert lit(frames(style(ir.Rest(2 * MS), ir.Rest(2 * MS)), over, 1)) == [".", ".", "#", "#", "#", "#", ".", "."]


def test_a_rest_keeps_the_old_picture_to_its_last_frame(scene: Callable[..., Any], frames: Callable[..., Any]) -> None:
    over = scene(120, events=[("ignite", 0), ("retract", 60)])
    got = lit(frames(style(ir.Rest(50 * MS), ir.Rest(50 * MS)), over, 1))
    assert [got[t] for t in (49, 50, 109, 110)] == [".", "#", "#", "."]


def test_a_chain_shows_its_paint_between_two_transitions_and_plays_as_written_both_ways(
    scene: Callable[..., Any], frames: Callable[..., Any]
) -> None:
    chain = ir.Chain((ir.Wipe(4 * MS), ir.Wipe(4 * MS)), (grey(90),))
    got = shown(frames(style(chain, chain), scene(20, events=[("ignite", 0), ("retract", 10)])))
    assert got[2] == [90, 90, 0, 0]  # the first wipe brings the paint
    assert got[6] == [200, 200, 90, 90]  # the second the style
    assert got[8] == got[9] == [200] * 4
    assert got[12] == [200, 200, 90, 90]  # falling: the style goes first, from the tip
    assert got[16] == [90, 90, 0, 0]
    assert got[18] == [0] * 4


def test_a_chain_may_rest_and_cut_and_hold_a_chain(scene: Callable[..., Any], frames: Callable[..., Any]) -> None:
    inner = ir.Chain((ir.Cut(), ir.Rest(2 * MS)), (grey(40),))
    chain = ir.Chain((ir.Rest(2 * MS), inner, ir.Dissolve(2 * MS)), (grey(10), grey(100)))
    got = [frame[0] for frame in shown(frames(style(chain, ir.Cut()), scene(8, events=[("ignite", 0)]), 1))]
    assert got == [0, 0, 40, 40, 100, 150, 200, 200]


def test_a_chain_of_nothing_but_cuts_is_a_cut(scene: Callable[..., Any], frames: Callable[..., Any]) -> None:
    chain = ir.Chain((ir.Cut(), ir.Cut()), (grey(90),))
    assert lit(frames(style(chain, chain), scene(4, events=[("ignite", 1), ("retract", 3)]), 1)) == [".", "#", "#", "."]


def test_power_multiplies_what_is_added_too(scene: Callable[..., Any], frames: Callable[..., Any]) -> None:
    added = ir.Sheet("plus", grey(40), ir.Const(1))
    got = shown(frames(style(ir.Wipe(4 * MS), ir.Cut(), added), scene(3, events=[("ignite", 0)])))
    assert got[2] == [240, 240, 0, 0]


# ---- the band on the edge


def band(transition: ir.Transition, width: ir.Length, up: bool = True) -> ir.Style:
    edge = ir.Sheet("over", grey(77), ir.EdgeBand(width))
    return style(transition, ir.Cut(), edge) if up else style(ir.Cut(), transition, edge)


def test_the_band_rides_inside_the_lit_part_and_is_gone_at_rest(
    scene: Callable[..., Any], frames: Callable[..., Any]
) -> None:
    got = shown(frames(band(ir.Wipe(8 * MS), ir.Length(2, "px")), scene(10, events=[("ignite", 0)]), 8))
    assert got[4] == [200, 200, 77, 77, 0, 0, 0, 0]
    assert got[1] == [77, 0, 0, 0, 0, 0, 0, 0]
    assert got[8] == got[9] == [200] * 8


def test_the_band_rides_the_falling_edge_too(scene: Callable[..., Any], frames: Callable[..., Any]) -> None:
    over = scene(14, events=[("ignite", 0), ("retract", 2)])
    got = shown(frames(band(ir.Wipe(8 * MS), ir.Length(250, "mil"), up=False), over, 8))
    assert got[6] == [200, 200, 77, 77, 0, 0, 0, 0]


@pytest.mark.parametrize("width", [ir.Length(2, "px"), ir.Length(250, "mil"), ir.Length(20, "mm")])
def test_the_band_is_as_wide_in_every_unit(
    width: ir.Length, scene: Callable[..., Any], frames: Callable[..., Any]
) -> None:
    got = shown(frames(band(ir.Wipe(8 * MS), width), scene(5, events=[("ignite", 0)]), 8))
    assert got[4] == [200, 200, 77, 77, 0, 0, 0, 0]


def test_an_iris_has_two_edges(scene: Callable[..., Any], frames: Callable[..., Any]) -> None:
    got = shown(frames(band(ir.Iris(4 * MS, Fraction(1, 2)), ir.Length(1, "px")), scene(4, events=[("ignite", 0)]), 8))
    assert got[3] == [0, 77, 200, 200, 200, 200, 77, 0]


def test_a_soft_wipes_band_ends_where_its_light_does(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    power = ir.Power(ir.Wipe(4 * MS, ir.Length(500, "mil")), ir.Cut())
    got = level(ir.EdgeBand(ir.Length(2, "px")), scene(4, events=[("ignite", 0)]), 8, power)
    assert got[2].tolist() == [0, 0, 0, 0, 1, 1, 0, 0]  # q * 1.5 = .75: six pixels are lit


@pytest.mark.parametrize("transition", [ir.Dissolve(8 * MS), ir.Rest(8 * MS), ir.Cut()])
def test_other_transitions_have_no_band(
    transition: ir.Transition, scene: Callable[..., Any], level: Callable[..., Any]
) -> None:
    over = scene(10, events=[("ignite", 0)])
    assert not level(ir.EdgeBand(ir.Length(2, "px")), over, 8, ir.Power(transition, ir.Cut())).any()


def test_a_chains_band_is_that_of_the_step_that_plays(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    chain = ir.Chain((ir.Rest(4 * MS), ir.Wipe(4 * MS)), (grey(0),))
    got = level(ir.EdgeBand(ir.Length(1, "px")), scene(10, events=[("ignite", 0)]), 4, ir.Power(chain, chain))
    assert not got[:5].any() and not got[8:].any()
    assert got[6].tolist() == [0, 1, 0, 0]


def test_no_power_no_band(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    assert not level(ir.EdgeBand(ir.Length(2, "px")), scene(5, events=[("ignite", 0)]), 4).any()


# ---- the tick clock


def test_on_the_tick_clock_q_is_taken_at_the_tick_and_events_keep_their_own_times(
    scene: Callable[..., Any], frames: Callable[..., Any]
) -> None:
    over = scene(120, events=[("ignite", 10)])
    got = lit(frames(style(ir.Wipe(80 * MS), ir.Wipe(80 * MS)), over, 8, "eight_floor"))
    # at 20 ms q is 10/80 = 1/8; then 3/8, 5/8, 7/8, 1
    assert [got[t] for t in (19, 20, 39, 40, 60, 80, 100)] == [
        "........", "#.......", "#.......", "###.....", "#####...", "#######.", "########",
    ]  # fmt: skip


def test_a_floored_wipe_selects_and_does_not_mix(scene: Callable[..., Any], frames: Callable[..., Any]) -> None:
    white = ir.Style(grey(255), (), ir.Power(ir.Wipe(80 * MS), ir.Cut()))
    got = frames(white, scene(100, events=[("ignite", 0)]), 8, "eight_floor")
    assert set(got.reshape(-1).tolist()) == {0, 255}
