"""Signals: oscillators, sensors, places, arithmetic, and those with a memory (grammars/reference.md, Signals)."""

from __future__ import annotations

import math
from functools import reduce

import numpy as np
from numpy.typing import NDArray

from migrate.ir import nodes as ir
from migrate.render.context import Context
from migrate.render.dispatch import Level, signal
from migrate.render.easing import eased
from migrate.render.scene import Curve


@signal(ir.Const)
def const(ctx: Context, node: ir.Const) -> Level:
    return np.full((1, 1), float(node.value))


@signal(ir.Lfo)
def lfo(ctx: Context, node: ir.Lfo) -> Level:
    """phi = frac((t mod T) / T + phase), then the wave."""
    turns = (ctx.t % node.period) / node.period + float(node.phase)
    phi: Level = turns - np.floor(turns)
    match node.wave:
        case "sine":
            return (1.0 - _cosines(2.0 * math.pi * phi)) / 2.0
        case "triangle":
            return 1.0 - np.abs(1.0 - 2.0 * phi)
        case "saw":
            return phi
        case "square":
            return (phi >= 0.5).astype(np.float64)


def _cosines(angle: Level) -> Level:
    """The C library's cosine: numpy's own may differ in the last place, which a threshold could see."""
    return np.fromiter(map(math.cos, angle.reshape(-1).tolist()), np.float64, angle.size).reshape(angle.shape)


# ---- sensors --------------------------------------------------------------------------------------


def sensor(curve: Curve, t: NDArray[np.int64]) -> Level:
    """The curve at integer times: linear between knots, constant outside, 0 where there is none."""
    if not curve:
        return np.zeros(t.shape)
    times = np.array([time for time, _ in curve], np.int64)
    values = np.array([value for _, value in curve])
    last = len(curve) - 1
    after = np.searchsorted(times, t, side="right")  # the first knot beyond t
    b = np.clip(after, min(1, last), last)
    a = np.maximum(b - 1, 0)
    gap = np.maximum(times[b] - times[a], 1)  # 0 only where it is not looked at
    between = values[a] + (values[b] - values[a]) * (t - times[a]) / gap
    level: Level = np.where(t <= times[0], values[0], np.where(after > last, values[last], between))
    return level


@signal(ir.Sound)
def sound(ctx: Context, node: ir.Sound) -> Level:
    return np.clip(sensor(ctx.scene.sensors.get("sound", ()), np.maximum(0, ctx.t - node.lag)), 0.0, 1.0)


@signal(ir.Swing)
def swing(ctx: Context, node: ir.Swing) -> Level:
    speed = np.abs(sensor(ctx.scene.sensors.get("swing", ()), ctx.t))
    return np.minimum(1.0, speed / float(node.full))


@signal(ir.Tilt)
def tilt(ctx: Context, node: ir.Tilt) -> Level:
    return np.clip((sensor(ctx.scene.sensors.get("tilt", ()), ctx.t) + 90.0) / 180.0, 0.0, 1.0)


@signal(ir.Twist)
def twist(ctx: Context, node: ir.Twist) -> Level:
    return np.clip((sensor(ctx.scene.sensors.get("twist", ()), ctx.t) + 180.0) / 360.0, 0.0, 1.0)


# ---- places ---------------------------------------------------------------------------------------


@signal(ir.Near)
def near(ctx: Context, node: ir.Near) -> Level:
    """(1 + cos(2 pi d / W)) / 2 where d = |u - w F| < W / 2, else 0."""
    centre = ctx.signal(node.centre)
    width = float(node.width.value)
    if width == 0.0:
        return np.zeros((1, 1))
    u, whole = ctx.place(node.width.unit)
    if centre.shape[1] == 1:  # few places over many frames: each drawn once
        places, row = np.unique(centre, return_inverse=True)
        drawn: Level = _hump(np.abs(u - places.reshape(-1, 1) * whole), width)
        return drawn[row.reshape(-1)]
    return _hump(np.abs(u - centre * whole), width)


def _hump(distance: Level, width: float) -> Level:
    inside = distance < width / 2.0
    out = np.zeros(distance.shape)
    out[inside] = (1.0 + np.cos(2.0 * math.pi * distance[inside] / width)) / 2.0
    return out


@signal(ir.Hilt)
def hilt(ctx: Context, node: ir.Hilt) -> Level:
    """max(0, 1 - u / L); L = 0 is 0 everywhere."""
    u, _ = ctx.place(node.length.unit)
    return _fall(u, float(node.length.value))


@signal(ir.Tip)
def tip(ctx: Context, node: ir.Tip) -> Level:
    """max(0, 1 - (F - u) / L); L = 0 is 0 everywhere."""
    u, whole = ctx.place(node.length.unit)
    return _fall(whole - u, float(node.length.value))


def _fall(distance: Level, length: float) -> Level:
    return np.maximum(0.0, 1.0 - distance / length) if length else np.zeros((1, 1))


@signal(ir.Tail)
def tail(ctx: Context, node: ir.Tail) -> Level:
    """1 where u >= F - L."""
    u, whole = ctx.place(node.length.unit)
    return (u >= whole - float(node.length.value)).astype(np.float64)


@signal(ir.Along)
def along(ctx: Context, node: ir.Along) -> Level:
    return ctx.x


# ---- arithmetic -----------------------------------------------------------------------------------


@signal(ir.Product)
def product(ctx: Context, node: ir.Product) -> Level:
    """Left to right."""
    return reduce(np.multiply, [ctx.signal(part) for part in node.signals])


@signal(ir.Inverse)
def inverse(ctx: Context, node: ir.Inverse) -> Level:
    return 1.0 - ctx.signal(node.signal)


@signal(ir.Most)
def most(ctx: Context, node: ir.Most) -> Level:
    return reduce(np.maximum, [ctx.signal(part) for part in node.signals])


@signal(ir.Least)
def least(ctx: Context, node: ir.Least) -> Level:
    return reduce(np.minimum, [ctx.signal(part) for part in node.signals])


@signal(ir.Past)
def past(ctx: Context, node: ir.Past) -> Level:
    return (ctx.signal(node.signal) >= float(node.level)).astype(np.float64)


@signal(ir.Ease)
def ease(ctx: Context, node: ir.Ease) -> Level:
    return np.clip(eased(node.curve, ctx.signal(node.signal)), 0.0, 1.0)


# ---- memory ---------------------------------------------------------------------------------------


@signal(ir.Slew)
def slew(ctx: Context, node: ir.Slew) -> Level:
    """y is w at the first frame; then each frame y += clamp(w - y, -dt / DOWN, dt / UP), where 0 is no limit."""
    wanted = ctx.signal(node.signal)
    if len(wanted) == 1 or not (node.up or node.down):
        return wanted
    passed = np.diff(ctx.t[:, 0])
    rise = (passed / node.up if node.up else np.full(passed.shape, np.inf)).tolist()
    fall = (-passed / node.down if node.down else np.full(passed.shape, -np.inf)).tolist()
    out = np.empty_like(wanted)
    y = out[0] = wanted[0]
    for n, (up, down) in enumerate(zip(rise, fall, strict=True), start=1):
        y = y + np.minimum(np.maximum(wanted[n] - y, down), up)
        out[n] = y
    return np.clip(out, 0.0, 1.0, out=out)


@signal(ir.Trail)
def trail(ctx: Context, node: ir.Trail) -> Level:
    """m = max(a, m * 2 ** (-dt / half)) for each pixel and frame; m is a at the first frame."""
    now = ctx.signal(node.signal)
    if len(now) == 1 or not node.half_life:
        return now
    kept = [math.pow(2.0, -dt / node.half_life) for dt in np.diff(ctx.t[:, 0]).tolist()]
    out = np.empty_like(now)
    out[0] = now[0]
    for n, factor in enumerate(kept, start=1):
        np.maximum(now[n], out[n - 1] * factor, out=out[n])
    return out
