"""Signals: oscillators, sensors, places, arithmetic, and those with a memory (grammars/reference.md, Signals)."""

from __future__ import annotations

import math
from collections.abc import Iterator
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
    if centre.shape[1] == 1:
        places, row = np.unique(centre, return_inverse=True)
        if 2 * len(places) <= len(centre):  # few places over many frames: each drawn once
            drawn = _hump(u - places.reshape(-1, 1) * whole, width, whole)
            return drawn[row.reshape(-1)]
    return _hump(u - centre * whole, width, whole)


def _hump(offset: Level, width: float, whole: float) -> Level:
    """(1 + cos(2 pi d / W)) / 2 within W / 2; a wide hump on the whole row at once, a narrow one where it is."""
    distance = np.abs(offset, out=offset)
    inside = distance < width / 2.0
    if width < whole / 2.0:
        out = np.zeros(distance.shape)
        out[inside] = _raised_cosine(distance[inside], width)
        return out
    out = _raised_cosine(np.minimum(distance, width / 2.0, out=distance), width)
    np.copyto(out, 0.0, where=~inside)
    return out


def _raised_cosine(distance: Level, width: float) -> Level:
    """Of an array that nothing else holds."""
    angle = np.multiply(distance, 2.0 * math.pi, out=distance)
    angle /= width
    level = np.cos(angle, out=angle)
    level += 1.0
    level /= 2.0
    return level


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
    if ctx.over is not None:
        return ctx.taken(ctx.over.signal(node))
    wanted = ctx.signal(node.signal)
    if len(wanted) == 1 or not (node.up or node.down):
        return wanted
    passed = np.diff(ctx.t[:, 0])
    rise = (passed / node.up if node.up else np.full(passed.shape, np.inf)).tolist()
    fall = (-passed / node.down if node.down else np.full(passed.shape, -np.inf)).tolist()
    out = np.empty_like(wanted)
    if wanted.shape[1] == 1:
        out[:, 0] = list(_slewed(wanted[:, 0].tolist(), rise, fall))
        return np.clip(out, 0.0, 1.0, out=out)
    y = out[0] = wanted[0]
    for n, (up, down) in enumerate(zip(rise, fall, strict=True), start=1):
        y = y + np.minimum(np.maximum(wanted[n] - y, down), up)
        out[n] = y
    return np.clip(out, 0.0, 1.0, out=out)


def _slewed(wanted: list[float], rise: list[float], fall: list[float]) -> Iterator[float]:
    """The same on plain numbers, which are quicker one at a time."""
    y = wanted[0]
    yield y
    for w, up, down in zip(wanted[1:], rise, fall, strict=True):
        y += min(max(w - y, down), up)
        yield y


@signal(ir.Trail)
def trail(ctx: Context, node: ir.Trail) -> Level:
    """m = max(a, m * 2 ** (-dt / half)) for each pixel and frame; m is a at the first frame."""
    if ctx.over is not None:
        return ctx.taken(ctx.over.signal(node))
    now = ctx.signal(node.signal)
    if len(now) == 1 or not node.half_life:
        return now
    passed = np.diff(ctx.t[:, 0]).tolist()
    factors = {dt: math.pow(2.0, -dt / node.half_life) for dt in set(passed)}
    kept = [factors[dt] for dt in passed]
    out = np.empty_like(now)
    if now.shape[1] == 1:
        out[:, 0] = list(_trailed(now[:, 0].tolist(), kept))
        return out
    out[0] = now[0]
    for n, factor in enumerate(kept, start=1):
        np.maximum(now[n], out[n - 1] * factor, out=out[n])
    return out


def _trailed(now: list[float], kept: list[float]) -> Iterator[float]:
    """The same on plain numbers, which are quicker one at a time."""
    m = now[0]
    yield m
    for a, factor in zip(now[1:], kept, strict=True):
        m = max(a, m * factor)
        yield m
