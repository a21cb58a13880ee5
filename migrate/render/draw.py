"""The renderer's door: a style over a scene, all frames at once."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from migrate.ir import nodes as ir
from migrate.ir.facts import Arithmetic, Blade
from migrate.render import noise, paints, power, shapes, signals
from migrate.render.context import Context
from migrate.render.dispatch import Level, Light
from migrate.render.scene import Scene

# Importing the modules of the sorts fills the tables of dispatch.
SORTS = (noise, paints, power, shapes, signals)


def render(style: ir.Style, arithmetic: Arithmetic, scene: Scene, blade: Blade) -> NDArray[np.uint8]:
    """The frames of a verified style: duties, shape (T, N, 3), pixel 0 at the hilt.

    N comes from `blade`, else from the scene, else it is 132; the pitch likewise, else 144 a metre.
    Deterministic: the same arguments give the same bytes.
    """
    ctx = Context(scene, blade, arithmetic, style.power)
    ground = picture = ctx.paint(style.ground)
    for sheet in style.sheets:
        light = ctx.paint(sheet.paint)
        picture = _lay(ctx, picture, light, ctx.signal(sheet.weight), sheet, own=picture is not ground)
    if style.power is not None:
        picture = power.play(ctx, style.power, picture)
    duties = np.broadcast_to(ctx.mixing.duties(picture), (3, len(ctx.t), ctx.pixels))
    return np.ascontiguousarray(np.moveaxis(duties, 0, 2))


def _lay(ctx: Context, below: Light, light: Light, weight: Level, sheet: ir.Sheet, own: bool) -> Light:
    """One sheet on what is below, in place where `below` is our `own`.

    Frames in which its weight is 0 everywhere are left as they are, which is what every mixing gives there.
    """
    if len(weight) == 1:
        return _mixed(ctx, below, light, weight, sheet)
    rows = np.flatnonzero(weight.any(axis=1))
    if rows.size > 0.7 * len(weight):
        return _mixed(ctx, below, light, weight, sheet)
    shape = np.broadcast_shapes(below.shape, light.shape, (1, *weight.shape))
    out = below if own and below.shape == shape else np.broadcast_to(below, shape).copy()
    if rows.size:
        laid = _mixed(ctx, _rows(below, rows), _rows(light, rows), weight[rows], sheet)
        out[:, rows] = laid
    return out


def _rows(light: Light, rows: NDArray[np.int64]) -> Light:
    return light if light.shape[1] == 1 else light[:, rows]


def _mixed(ctx: Context, below: Light, light: Light, weight: Level, sheet: ir.Sheet) -> Light:
    if sheet.operator == "over":
        return ctx.mixing.mix(below, light, weight, sheet.weight)
    return ctx.mixing.plus(below, light, weight, sheet.weight)
