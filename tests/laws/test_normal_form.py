"""The normal form is stable, and keeps the picture."""

from __future__ import annotations

from typing import Any

import numpy as np
from budget import law
from generated_ir import styles
from hypothesis import given
from small_scene import BLADE, small_scene

from migrate.ir import nodes as ir
from migrate.ir.dump import dump
from migrate.ir.facts import Arithmetic
from migrate.ir.normal import Normaliser
from migrate.render.draw import render

REAL = Arithmetic("frame", "real")
SCENE = small_scene()


@law()
@given(styles())
def test_the_normal_form_of_a_normal_form_is_itself(style: ir.Style) -> None:
    once = Normaliser()(style)
    assert dump(Normaliser()(once)).key() == dump(once).key()


@law()
@given(styles())
def test_the_unspread_normal_form_is_stable_too(style: ir.Style) -> None:
    once = Normaliser(spread=False)(style)
    assert dump(Normaliser(spread=False)(once)).key() == dump(once).key()


@law()
@given(styles())
def test_spreading_after_the_unspread_form_gives_the_spread_form(style: ir.Style) -> None:
    assert dump(Normaliser()(Normaliser(spread=False)(style))).key() == dump(Normaliser()(style)).key()


def _steps_apart(one: Any, other: Any) -> int:
    frames = [render(s, REAL, SCENE, BLADE).astype(np.int16) for s in (one, other)]
    return int(np.abs(frames[0] - frames[1]).max())


@law()
@given(styles(skip=(ir.Stepped,)))
def test_the_normal_form_keeps_the_picture_to_one_duty_step(style: ir.Style) -> None:
    assert _steps_apart(style, Normaliser()(style)) <= 1
