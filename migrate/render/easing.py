"""CSS Easing Level 2 over arrays: keywords, cubic-bezier, steps."""

from __future__ import annotations

import numpy as np

from migrate.ir import nodes as ir
from migrate.render.dispatch import Level

_BEZIERS = {
    "ease": (0.25, 0.1, 0.25, 1.0),
    "ease_in": (0.42, 0.0, 1.0, 1.0),
    "ease_out": (0.0, 0.0, 0.58, 1.0),
    "ease_in_out": (0.42, 0.0, 0.58, 1.0),
}


def eased(curve: ir.Curve, progress: Level) -> Level:
    """The curve's output for progress 0 to 1, same shape; a cubic-bezier may leave 0 to 1."""
    match curve:
        case ir.NamedCurve(name="linear"):
            return progress
        case ir.NamedCurve(name="step_start"):
            return _steps(progress, 1, "jump_start")
        case ir.NamedCurve(name="step_end"):
            return _steps(progress, 1, "jump_end")
        case ir.NamedCurve(name=name):
            return _bezier(progress, *_BEZIERS[name])
        case ir.CubicBezier():
            return _bezier(progress, float(curve.x1), float(curve.y1), float(curve.x2), float(curve.y2))
        case ir.Steps():
            return _steps(progress, curve.count, curve.jump)


def _steps(progress: Level, count: int, jump: str) -> Level:
    step = np.floor(progress * count)
    if jump in ("jump_start", "jump_both"):
        step = step + 1.0
    jumps = count + {"jump_none": -1, "jump_both": 1}.get(jump, 0)
    return np.minimum(step, float(jumps)) / jumps


def _bezier(progress: Level, x1: float, y1: float, x2: float, y2: float) -> Level:
    """y where x(s) is `progress`, each value that occurs solved once."""
    if x1 == y1 and x2 == y2:
        return progress
    values, where = np.unique(progress, return_inverse=True)
    s = _solve(values, x1, x2)
    out = _coordinate(s, y1, y2)
    out[values <= 0.0], out[values >= 1.0] = 0.0, 1.0
    solved: Level = out[where].reshape(progress.shape)
    return solved


def _coordinate(s: Level, p1: float, p2: float) -> Level:
    """A coordinate of the curve from 0 through p1 and p2 to 1 (Bernstein form, Horner's scheme)."""
    c = 3.0 * p1
    b = 3.0 * (p2 - p1) - c
    a = 1.0 - c - b
    return ((a * s + b) * s + c) * s


def _solve(x: Level, x1: float, x2: float) -> Level:
    """The parameter s with x(s) = x: Newton's method, held inside a bracket that bisection keeps halving."""
    c = 3.0 * x1
    b = 3.0 * (x2 - x1) - c
    a = 1.0 - c - b
    low, high, s = np.zeros_like(x), np.ones_like(x), x.copy()
    for _ in range(64):
        error = ((a * s + b) * s + c) * s - x
        if np.all(np.abs(error) <= 1e-15):
            break
        low, high = np.where(error < 0.0, s, low), np.where(error > 0.0, s, high)
        slope = (3.0 * a * s + 2.0 * b) * s + c
        with np.errstate(divide="ignore", invalid="ignore"):
            newton = s - error / slope
        inside = (newton > low) & (newton < high)
        s = np.where(inside, newton, 0.5 * (low + high))
    return s
