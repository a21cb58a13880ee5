from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Any

import pytest

from migrate.ir import nodes as ir

MS = 1000


def test_burst_is_full_from_the_start_until_before_the_end(
    scene: Callable[..., Any], level: Callable[..., Any]
) -> None:
    got = level(ir.Upon("clash", ir.Burst(4 * MS)), scene(12, events=[("clash", 5)]))[:, 0]
    assert got.tolist() == [0.0] * 5 + [1.0] * 4 + [0.0] * 3


def test_hit_rises_and_falls_linearly(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    got = level(ir.Upon("blast", ir.Hit(2 * MS, 4 * MS)), scene(9, events=[("blast", 1)]))[:, 0]
    assert got.tolist() == [0.0, 0.0, 0.5, 1.0, 0.75, 0.5, 0.25, 0.0, 0.0]


def test_hit_without_attack_is_full_at_once_and_without_decay_gone_at_once(
    scene: Callable[..., Any], level: Callable[..., Any]
) -> None:
    over = scene(5, events=[("blast", 0)])
    assert level(ir.Upon("blast", ir.Hit(0, 4 * MS)), over)[:, 0].tolist() == [1.0, 0.75, 0.5, 0.25, 0.0]
    assert level(ir.Upon("blast", ir.Hit(2 * MS, 0)), over)[:, 0].tolist() == [0.0, 0.5, 0.0, 0.0, 0.0]


def test_the_same_kind_again_restarts_the_shape_and_only_the_latest_counts(
    scene: Callable[..., Any], level: Callable[..., Any]
) -> None:
    got = level(ir.Upon("blast", ir.Hit(0, 4 * MS)), scene(8, events=[("blast", 0), ("blast", 2)]))[:, 0]
    assert got.tolist() == [1.0, 0.75, 1.0, 0.75, 0.5, 0.25, 0.0, 0.0]


def test_the_latest_is_the_last_in_the_scenes_order_that_has_started(
    scene: Callable[..., Any], level: Callable[..., Any]
) -> None:
    over = scene(6, events=[("blast", 4, 0.9), ("blast", 2, 0.4)])  # out of order: the last written wins from its start
    assert level(ir.PlaceOf("blast"), over)[:, 0].tolist() == [0.0, 0.0, 0.4, 0.4, 0.4, 0.4]


def test_held_is_active_from_start_until_before_the_end(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    got = level(ir.Upon("lock", ir.Held(0, 0)), scene(6, events=[("lock", 1, 4)]))[:, 0]
    assert got.tolist() == [0.0, 1.0, 1.0, 1.0, 0.0, 0.0]


def test_held_releases_from_the_level_it_reached(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    got = level(ir.Upon("drag", ir.Held(8 * MS, 4 * MS)), scene(10, events=[("drag", 0, 4)]))[:, 0]
    assert got.tolist() == [0.0, 0.125, 0.25, 0.375, 0.5, 0.375, 0.25, 0.125, 0.0, 0.0]


def test_a_new_hold_cuts_the_release_of_the_last(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    got = level(ir.Upon("drag", ir.Held(4 * MS, 8 * MS)), scene(8, events=[("drag", 0, 4), ("drag", 6, 9)]))[:, 0]
    assert got.tolist() == [0.0, 0.25, 0.5, 0.75, 1.0, 0.875, 0.0, 0.25]


def test_other_shapes_on_a_held_event_count_from_its_start(
    scene: Callable[..., Any], level: Callable[..., Any]
) -> None:
    got = level(ir.Upon("melt", ir.Burst(2 * MS)), scene(5, events=[("melt", 1, 5)]))[:, 0]
    assert got.tolist() == [0.0, 1.0, 1.0, 0.0, 0.0]


KEYS = (ir.Key(1 * MS, ir.Const(Fraction(1, 4))), ir.Key(3 * MS, ir.Const(1)), ir.Key(5 * MS, ir.Const(Fraction(1, 2))))


def test_keys_hold_the_first_run_between_and_end_at_the_last(
    scene: Callable[..., Any], level: Callable[..., Any]
) -> None:
    got = level(ir.Upon("clash", ir.Keys(KEYS)), scene(8, events=[("clash", 1)]))[:, 0]
    assert got.tolist() == [0.0, 0.25, 0.25, 0.625, 1.0, 0.75, 0.0, 0.0]


def test_keys_of_a_held_event_keep_the_last_value_to_its_end(
    scene: Callable[..., Any], level: Callable[..., Any]
) -> None:
    got = level(ir.Upon("lock", ir.Keys(KEYS)), scene(9, events=[("lock", 0, 7)]))[:, 0]
    assert got.tolist() == [0.25, 0.25, 0.625, 1.0, 0.75, 0.5, 0.5, 0.0, 0.0]


def test_keys_play_to_the_last_though_the_hold_is_over(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    got = level(ir.Upon("lock", ir.Keys(KEYS)), scene(7, events=[("lock", 0, 2)]))[:, 0]
    assert got.tolist() == [0.25, 0.25, 0.625, 1.0, 0.75, 0.0, 0.0]


def test_easing_applies_to_each_interval_of_keys(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    keys = (ir.Key(0, ir.Const(0)), ir.Key(4 * MS, ir.Const(1)), ir.Key(8 * MS, ir.Const(0)))
    over = scene(9, events=[("clash", 0)])
    got = level(ir.Upon("clash", ir.Keys(keys, ir.NamedCurve("ease"))), over)[:, 0]
    assert got[1:8] == pytest.approx(
        [0.4085105914, 0.8024033876, 0.9604589783, 1.0, 1 - 0.4085105914, 1 - 0.8024033876, 1 - 0.9604589783]
    )
    stepped = level(ir.Upon("clash", ir.Keys(keys, ir.Steps(2, "jump_end"))), over)[:, 0]
    assert stepped.tolist() == [0.0, 0.0, 0.5, 0.5, 1.0, 1.0, 0.5, 0.5, 0.0]


def test_keys_may_jump_and_take_any_signal(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    keys = (ir.Key(0, ir.Const(0)), ir.Key(2 * MS, ir.Const(0)), ir.Key(2 * MS, ir.Along()), ir.Key(4 * MS, ir.Along()))
    got = level(ir.Upon("clash", ir.Keys(keys)), scene(5, events=[("clash", 0)]), 2)
    assert got.tolist() == [[0.0, 0.0], [0.0, 0.0], [0.25, 0.75], [0.25, 0.75], [0.0, 0.0]]


def test_an_overshooting_curve_is_clamped(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    keys = ir.Keys(
        (ir.Key(0, ir.Const(0)), ir.Key(8 * MS, ir.Const(1))), ir.CubicBezier(Fraction(1, 2), -2, Fraction(1, 2), 3)
    )
    got = level(ir.Upon("clash", keys), scene(8, events=[("clash", 0)]))[:, 0]
    assert got.min() == 0.0 and got.max() == 1.0


def test_place_and_strength_are_of_the_latest_and_zero_before_the_first(
    scene: Callable[..., Any], level: Callable[..., Any]
) -> None:
    over = scene(5, events=[("blast", 1, 0.25, 0.5), ("blast", 3, 0.75, 1.0)])
    assert level(ir.PlaceOf("blast"), over)[:, 0].tolist() == [0.0, 0.25, 0.25, 0.75, 0.75]
    assert level(ir.StrengthOf("blast"), over)[:, 0].tolist() == [0.0, 0.5, 0.5, 1.0, 1.0]
    assert level(ir.PlaceOf("clash"), over)[:, 0].tolist() == [0.0] * 5


def test_the_strength_of_a_held_event_is_full(scene: Callable[..., Any], level: Callable[..., Any]) -> None:
    over = scene(4, events=[("lock", 1, 3, 0.5, 0.25)])
    assert level(ir.StrengthOf("lock"), over)[:, 0].tolist() == [0.0, 1.0, 1.0, 1.0]
    assert level(ir.PlaceOf("lock"), over)[:, 0].tolist() == [0.0, 0.5, 0.5, 0.5]


def test_since_is_full_before_the_first_then_starts_over_at_each(
    scene: Callable[..., Any], level: Callable[..., Any]
) -> None:
    over = scene(8, events=[("clash", 1), ("clash", 5)])
    assert level(ir.Since("clash", 2 * MS), over)[:, 0].tolist() == [1.0, 0.0, 0.5, 1.0, 1.0, 0.0, 0.5, 1.0]
    assert level(ir.Since("clash", 0), over)[:, 0].tolist() == [1.0] * 8
    assert level(ir.Since("blast", 2 * MS), over)[:, 0].tolist() == [1.0] * 8


@pytest.mark.parametrize("shape", [ir.Burst(9 * MS), ir.Hit(2 * MS, 2 * MS), ir.Held(0, 9 * MS), ir.Keys(KEYS)])
def test_before_the_first_event_every_envelope_is_zero(
    shape: ir.Shape, scene: Callable[..., Any], level: Callable[..., Any]
) -> None:
    event = "lock" if isinstance(shape, ir.Held) else "clash"
    late = (event, 5, 6) if event == "lock" else (event, 5)
    assert not level(ir.Upon(event, shape), scene(5, events=[late])).any()
    assert not level(ir.Upon(event, shape), scene(5)).any()
