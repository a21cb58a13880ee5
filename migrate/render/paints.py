"""Paints: colours, blends and patterns along the blade (grammars/reference.md, Paints)."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from migrate.ir import nodes as ir
from migrate.render.context import Context
from migrate.render.dispatch import Level, Light, paint
from migrate.render.noise import value_noise


@paint(ir.Colour)
def colour(ctx: Context, node: ir.Colour) -> Light:
    return ctx.mixing.colour(node)


@paint(ir.Blend)
def blend(ctx: Context, node: ir.Blend) -> Light:
    a, b = ctx.paint(node.a), ctx.paint(node.b)
    return ctx.mixing.mix(a, b, ctx.signal(node.weight), node.weight, node.space)


@paint(ir.Shade)
def shade(ctx: Context, node: ir.Shade) -> Light:
    light = ctx.paint(node.paint)
    return ctx.mixing.shade(light, ctx.signal(node.weight), node.weight)


@paint(ir.Mirror)
def mirror(ctx: Context, node: ir.Mirror) -> Light:
    """The paint's pixel min(i, N - 1 - i)."""
    light = ctx.paint(node.paint)
    if light.shape[2] == 1:
        return light
    half = np.minimum(ctx.index[0], ctx.pixels - 1 - ctx.index[0])
    return light[:, :, half]


@paint(ir.Stepped)
def stepped(ctx: Context, node: ir.Stepped) -> Light:
    """The paint as the tick generation draws it; its codes then stand in this arithmetic."""
    return ctx.mixing.from_codes(ctx.stepped.paint(node.paint))


@paint(ir.Bands)
def bands(ctx: Context, node: ir.Bands) -> Light:
    """Hard: paint floor((u - v s) / W) mod n; soft: centred half a band on, linear to the next."""
    paints = [ctx.paint(part) for part in node.paints]
    y = _travelling(ctx, node.width, node.speed)
    if node.edges == "hard":
        return pick(paints, np.floor(y).astype(np.int64) % len(paints))
    y = y - 0.5
    c = np.floor(y)
    index = c.astype(np.int64)
    return ctx.mixing.mix(pick(paints, index % len(paints)), pick(paints, (index + 1) % len(paints)), y - c, None)


@paint(ir.Hearth)
def hearth(ctx: Context, node: ir.Hearth) -> Light:
    """n = r(c) + (r(c + 1) - r(c)) * (y - c), from a to b by n * n."""
    a, b = ctx.paint(node.a), ctx.paint(node.b)
    y = _travelling(ctx, node.grain, node.speed)
    c = np.floor(y)
    low, high = value_noise(ctx.numbers.take(), c.astype(np.int64))
    n = low + (high - low) * (y - c)
    return ctx.mixing.mix(a, b, n * n, None)


def _travelling(ctx: Context, length: ir.Length, speed: ir.Speed) -> Level:
    """(u - v s) / length, all in the length's unit; (1, N) where nothing moves."""
    u, _ = ctx.place(length.unit)
    v = ctx.speed_in(speed, length.unit)
    y: Level = (u - v * ctx.s if v else u) / float(length.value)
    return y


@paint(ir.Ramp)
def ramp(ctx: Context, node: ir.Ramp) -> Light:
    """From stop to stop; beyond the stops the end paints."""
    paints = [ctx.paint(stop.paint) for stop in node.stops]
    last = len(paints) - 1
    if last == 0:
        return paints[0]
    positions = [stop.position for stop in node.stops]
    if positions == [Fraction(k, last) for k in range(last + 1)]:
        p = ctx.x * last
        before = np.minimum(np.floor(p), last - 1)
        index = before.astype(np.int64)
        return ctx.mixing.mix(pick(paints, index), pick(paints, index + 1), p - before, None, node.space)
    at = np.array([float(position) for position in positions])
    found = np.searchsorted(at, ctx.x, side="right") - 1
    index = np.clip(found, 0, last - 1)
    gap = at[index + 1] - at[index]
    share = (ctx.x - at[index]) / np.where(gap > 0.0, gap, 1.0)
    lit = ctx.mixing.mix(pick(paints, index), pick(paints, index + 1), np.clip(share, 0.0, 1.0), None, node.space)
    return np.where(found < 0, paints[0], np.where(found >= last, paints[last], lit))


def pick(paints: Sequence[Light], index: NDArray[np.int64]) -> Light:
    """At each frame and pixel the paint that `index`, (T or 1, N or 1), names."""
    if all(light.shape[1:] == (1, 1) for light in paints):
        return np.take(np.concatenate(paints, axis=1)[:, :, 0], index, axis=1)
    out = paints[0]
    for k, light in enumerate(paints[1:], start=1):
        out = np.where(index == k, light, out)
    return out
