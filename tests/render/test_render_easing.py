from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from coloraide import easing as theirs
from hypothesis import given, settings
from hypothesis import strategies as st

from migrate.ir import nodes as ir
from migrate.render.easing import eased

AT = np.array([0.25, 0.5, 0.75])


@pytest.mark.parametrize(
    ("name", "values"),
    [
        ("ease", (0.4085105914, 0.8024033876, 0.9604589783)),
        ("ease_in", (0.0934646507, 0.3153568126, 0.6218618692)),
        ("ease_out", (0.3781381308, 0.6846431874, 0.9065353493)),
        ("ease_in_out", (0.1291619310, 0.5, 0.8708380690)),
        ("linear", (0.25, 0.5, 0.75)),
    ],
)
def test_the_keywords_of_css_easing_level_2(name: str, values: tuple[float, ...]) -> None:
    """checks.md: CSS Easing Level 2."""
    assert eased(ir.NamedCurve(name), AT) == pytest.approx(values, abs=1e-10)


@pytest.mark.parametrize(
    ("jump", "value"), [("jump_end", 0.25), ("jump_start", 0.5), ("jump_none", 1 / 3), ("jump_both", 0.4)]
)
def test_four_steps_at_a_quarter(jump: str, value: float) -> None:
    """checks.md: steps(4) at .25."""
    assert eased(ir.Steps(4, jump), np.array([0.25]))[0] == pytest.approx(value)


def test_step_start_is_full_at_once_and_step_end_at_the_end() -> None:
    at = np.array([0.0, 0.5, 1.0])
    assert eased(ir.NamedCurve("step_start"), at).tolist() == [1.0, 1.0, 1.0]
    assert eased(ir.NamedCurve("step_end"), at).tolist() == [0.0, 0.0, 1.0]


@pytest.mark.parametrize("jump", ["jump_end", "jump_start", "jump_none", "jump_both"])
def test_steps_end_at_one(jump: str) -> None:
    assert eased(ir.Steps(3, jump), np.array([1.0]))[0] == 1.0


@settings(max_examples=40)
@given(st.tuples(st.integers(0, 20), st.integers(-10, 30), st.integers(0, 20), st.integers(-10, 30)))
def test_any_cubic_bezier_agrees_with_coloraide(points: tuple[int, int, int, int]) -> None:
    x1, y1, x2, y2 = (Fraction(p, 20) for p in points)
    at = np.linspace(0.0, 1.0, 21)
    curve = theirs.cubic_bezier(float(x1), float(y1), float(x2), float(y2))
    got = eased(ir.CubicBezier(x1, y1, x2, y2), at)
    assert got == pytest.approx([curve(float(x)) for x in at], abs=1e-6)


def test_a_bezier_keeps_the_shape_and_ends_exactly() -> None:
    at = np.array([[0.0], [1.0], [0.3]])
    got = eased(ir.NamedCurve("ease"), at)
    assert got.shape == at.shape
    assert got[:2, 0].tolist() == [0.0, 1.0]
