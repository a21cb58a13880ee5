"""The renderer's door: a style over a scene, all frames at once.

Order of evaluation: the ground's paint, then of each sheet its paint and its weight, then the paints of power's chains;
so the noises are numbered. Sheets are laid first to last, then power is played, then duties are given out. What no one
can see is left out, which no byte of the frames shows: frames that power keeps dark, and of each sheet the frames in
which it weighs nothing. Signals and paints are evaluated over all frames that are left, then sheets are laid on a few
frames at a time, so that the running picture stays in the processor's cache.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import reduce
from itertools import accumulate

import numpy as np
from numpy.typing import NDArray

from migrate.ir import nodes as ir
from migrate.ir.facts import Arithmetic, Blade
from migrate.render import noise, paints, power, shapes, signals
from migrate.render.context import Context, noises
from migrate.render.dispatch import Level, Light
from migrate.render.mixing import Mixing
from migrate.render.scene import Scene
from migrate.render.spans import Span, spans

# Importing the modules of the sorts fills the tables of dispatch.
SORTS = (noise, paints, power, shapes, signals)

_CELLS = 1 << 13  # of a picture that is laid at a time
_BLOCK = 16  # frames: a sheet is laid on whole blocks of them, so that there are few cuts


def render(style: ir.Style, arithmetic: Arithmetic, scene: Scene, blade: Blade) -> NDArray[np.uint8]:
    """The frames of a verified style: duties, shape (T, N, 3), pixel 0 at the hilt.

    N comes from `blade`, else from the scene, else it is 132; the pitch likewise, else 144 a metre.
    Deterministic: the same arguments give the same bytes.
    """
    whole = Context(scene, blade, arithmetic, style.power)
    lit = np.arange(len(whole.t))
    if style.power is not None and whole.progress is not None:
        lit = np.flatnonzero(power.seen(whole.progress, style.power))
    duties = np.zeros((len(whole.t), whole.pixels, 3), np.uint8)
    if not lit.size:
        return duties
    if lit.size == len(whole.t):
        _draw(whole, style, duties)
    else:
        drawn = np.empty((lit.size, whole.pixels, 3), np.uint8)
        _draw(whole.at(lit), style, drawn)
        duties[lit] = drawn
    return duties


def _draw(ctx: Context, style: ir.Style, duties: NDArray[np.uint8]) -> None:
    """The style in the context's frames.

    Frames are cut where a sheet or power begins or ends to play, so that in each cut the same sheets lie on all frames.
    """
    paint, sheets = _unrolled(style)
    ground = ctx.paint(paint)
    layers = [layer for sheet in sheets if (layer := _layer(ctx, sheet)) is not None]
    player = None if style.power is None else power.Player(ctx, style.power)
    turns = [] if player is None else player.turns
    for first, end, here in _cuts(layers, turns, len(ctx.t)):
        plays = player if any(start <= first < stop for start, stop in turns) else None
        width = ctx.pixels if plays else max([ground.shape[2], *(layer.width for layer, _ in here)])
        step = max(1, _CELLS // width)
        for start in range(first, end, step):
            frames = slice(start, min(start + step, end))
            picture = _rows(ground, frames)
            for layer, shift in here:
                picture = layer.lay(ctx.mixing, picture, slice(frames.start - shift, frames.stop - shift))
            if plays:
                picture = plays.show(picture, frames)
            for channel, given in enumerate(ctx.mixing.duties(picture)):
                duties[frames, :, channel] = given


def _cuts(layers: list[_Layer], turns: list[Span], frames: int) -> Iterator[tuple[int, int, list[tuple[_Layer, int]]]]:
    """Each cut: its first frame, the frame after its last, and what lies on it, each with the shift of its span."""
    edges = {0, frames, *(edge for turn in turns for edge in turn)}
    edges.update(edge for layer in layers for first, end, _ in layer.spans for edge in (first, end))
    cuts = sorted(edges)
    number = {edge: n for n, edge in enumerate(cuts)}
    lying: list[list[tuple[_Layer, int]]] = [[] for _ in cuts]
    for layer in layers:
        for first, end, shift in layer.spans:
            for n in range(number[first], number[end]):
                lying[n].append((layer, shift))
    return zip(cuts, cuts[1:], lying, strict=False)


def _unrolled(style: ir.Style) -> tuple[ir.Paint, tuple[ir.Sheet, ...]]:
    """The ground and the sheets, with a ground that blends in linear light as a sheet over what it blends from.

    Both are the same mixing of the same parts, evaluated in the same order.
    """
    ground: ir.Paint = style.ground
    sheets = style.sheets
    while isinstance(ground, ir.Blend) and ground.space == "linear":
        sheets = (ir.Sheet("over", ground.b, ground.weight), *sheets)
        ground = ground.a
    return ground, sheets


def _rows(light: Light, frames: slice) -> Light:
    return light if light.shape[1] == 1 else light[:, frames]


@dataclass(frozen=True)
class _Layer:
    """A sheet, evaluated: its weight and its light in `spans` of the frames, outside of which it weighs nothing.

    A span is its first frame, the frame after its last, and what to take from a frame's number to find it in both.
    """

    sheet: ir.Sheet
    weight: Level
    light: Light
    spans: list[tuple[int, int, int]]

    @property
    def width(self) -> int:
        """How many pixels it tells apart."""
        pixels: int = max(self.weight.shape[1], self.light.shape[2])
        return pixels

    def lay(self, mixing: Mixing, below: Light, rows: slice) -> Light:
        """The sheet, in these of its rows, on what is below."""
        weight = self.weight if len(self.weight) == 1 else self.weight[rows]
        mix = mixing.mix if self.sheet.operator == "over" else mixing.plus
        return mix(below, _rows(self.light, rows), weight, self.sheet.weight)


# ---- where a sheet shows --------------------------------------------------------------------------


def _layer(ctx: Context, sheet: ir.Sheet) -> _Layer | None:
    """A sheet evaluated, paint before weight, in the frames in which it can show; None where there are none."""
    cue = _cue(ctx, sheet.weight)
    if cue is None:
        light, weight = ctx.paint(sheet.paint), ctx.signal(sheet.weight)
        return _Layer(sheet, weight, light, [(first, end, 0) for first, end in _shown(weight, len(ctx.t))])
    shown = _shown(cue, len(ctx.t))
    if not shown:
        ctx.numbers.next += noises(sheet.paint) + noises(sheet.weight)
        return None
    frames = np.concatenate([np.arange(first, end) for first, end in shown])
    part = ctx if len(frames) == len(ctx.t) else ctx.at(frames)
    light, weight = part.paint(sheet.paint), part.signal(sheet.weight)
    drawn = accumulate((end - first for first, end in shown), initial=0)
    placed = [(first, end, first - n) for (first, end), n in zip(shown, drawn, strict=False)]
    return _Layer(sheet, weight, light, placed)


def _cue(ctx: Context, weight: ir.Signal) -> Level | None:
    """A level, (T or 1, 1), that is 0 only in frames in which the weight is 0; None where events do not tell.

    Every factor of a product counts. Keys are not looked at: they may take a noise number before its turn.
    """
    factors = weight.signals if isinstance(weight, ir.Product) else (weight,)
    found: list[Level] = []
    for factor in factors:
        if isinstance(factor, ir.Upon | ir.Scatter) and not isinstance(factor.shape, ir.Keys):
            upon = factor if isinstance(factor, ir.Upon) else ir.Upon(factor.event, factor.shape)
            found.append(ctx.signal(upon))
        elif isinstance(factor, ir.EdgeBand):
            q = np.zeros((1, 1)) if ctx.progress is None else ctx.progress.q
            found.append(q * (1.0 - q))
    return reduce(np.minimum, found) if found else None


def _shown(weight: Level, frames: int) -> list[Span]:
    """Spans of frames outside which the weight is 0, where every mixing leaves what is below as it is."""
    shows: NDArray[np.bool_] = np.any(weight, axis=1)
    if len(weight) == 1:
        return [(0, frames)] if shows[0] else []
    return spans(shows, _BLOCK)
