"""Counter-based noise over frames and pixels: which words are needed, each drawn once, then gathered."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from migrate.ir import nodes as ir
from migrate.render.context import Context
from migrate.render.dispatch import Level, signal
from migrate.render.philox import uniform

Integers = NDArray[np.int64]
_GIGA = 1_000_000_000


@signal(ir.Noise)
def noise(ctx: Context, node: ir.Noise) -> Level:
    """Hold: u(step); soft: linear from u(step) to u(step + 1); drift: the same over a bounded walk."""
    number = ctx.numbers.take()
    cells, column = np.unique(_cells(ctx, node.grain), return_inverse=True)
    ticks = ctx.t[:, 0] * node.rate
    step = ticks // _GIGA
    column = column.reshape(-1)
    if node.kind == "hold":
        steps, row = np.unique(step, return_inverse=True)
        held: Level = uniform(number, steps.reshape(-1, 1), cells.reshape(1, -1))[row.reshape(-1, 1), column]
        return held
    if node.kind == "soft":
        steps = np.unique(np.concatenate((step, step + 1)))
        table = uniform(number, steps.reshape(-1, 1), cells.reshape(1, -1))
    else:
        steps = np.arange(int(step.max()) + 2, dtype=np.int64)
        table = _walk(uniform(number, steps.reshape(-1, 1), cells.reshape(1, -1)))
    gone = ((ticks % _GIGA) / 1e9).reshape(-1, 1)
    a = table[np.searchsorted(steps, step)]
    b = table[np.searchsorted(steps, step + 1)]
    moved: Level = (a + (b - a) * gone)[:, column]
    return moved


def _cells(ctx: Context, grain: ir.Grain) -> Integers:
    """The cell of each pixel, (1, N); one cell, (1, 1), for the whole blade."""
    if grain.kind == "whole":
        return np.zeros((1, 1), np.int64)
    if grain.kind == "each" or grain.length is None:
        return ctx.index
    place, _ = ctx.place(grain.length.unit)
    return np.floor(place / float(grain.length.value)).astype(np.int64)


def _walk(u: Level) -> Level:
    """d(0) = u(0); d(n + 1) = d(n) + (u(n + 1) - 0.5) / 2, reflected into 0 to 1; steps on axis 0."""
    steps = (u - 0.5) / 2
    out = np.empty_like(u)
    out[0] = u[0]
    for n in range(1, len(u)):
        d = np.abs(out[n - 1] + steps[n])  # below 0: -d
        np.minimum(d, 2.0 - d, out=out[n])  # above 1: 2 - d, which is then the lesser
    return out


def value_noise(number: int, cell: Integers) -> tuple[Level, Level]:
    """r(c) and r(c + 1) at step 0 for an integer array of cells, in its shape."""
    low, high = int(cell.min()), int(cell.max())
    if high - low <= 2 * cell.size:
        table = uniform(number, np.zeros(1, np.int64), np.arange(low, high + 2, dtype=np.int64))
        at = cell - low
        return table[at], table[at + 1]
    cells, where = np.unique(np.concatenate((cell.reshape(-1), cell.reshape(-1) + 1)), return_inverse=True)
    both = uniform(number, np.zeros(1, np.int64), cells)[where].reshape(2, *cell.shape)
    return both[0], both[1]


@signal(ir.Scatter)
def scatter(ctx: Context, node: ir.Scatter) -> Level:
    """Sparks at `place + reach * (2 u - 1) * min(1, dt / D)`, one pixel each, alpha the shape; they do not add."""
    level = ctx.signal(ir.Upon(node.event, node.shape))
    number = ctx.numbers.take()
    occurrences = ctx.occurrences(node.event)
    lit = np.zeros((len(ctx.t), ctx.pixels))
    latest = ctx.latest(node.event)[:, 0]
    reach, spread = ctx.share(node.reach), _spread(node.shape)
    u = uniform(number, np.arange(len(occurrences)).reshape(-1, 1), np.arange(node.count).reshape(1, -1))
    for ordinal, one in enumerate(occurrences):
        rows = np.flatnonzero(latest == ordinal)
        gone = np.minimum(1.0, (ctx.t[rows] - one.start) / spread) if spread else np.ones((len(rows), 1))
        place = one.place + (reach * (2 * u[ordinal] - 1)) * gone
        pixel = np.floor(place * ctx.pixels).astype(np.int64)
        row, spark = np.nonzero((pixel >= 0) & (pixel < ctx.pixels))
        lit[rows[row], pixel[row, spark]] = 1.0
    return lit * level


def _spread(shape: ir.Shape) -> int:
    """The time, in microseconds, in which sparks reach their place."""
    match shape:
        case ir.Burst(duration=duration):
            return duration
        case ir.Hit(attack=attack, decay=decay):
            return attack + decay
        case ir.Keys(keys=keys):
            return keys[-1].time if keys else 0
        case ir.Held(attack=attack):
            return attack
