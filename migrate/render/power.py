"""Ignition and retraction: masks, chains, and the band on the edge (reference.md, Power)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from migrate.ir import nodes as ir
from migrate.render.context import Context
from migrate.render.dispatch import Level, Light, signal
from migrate.render.progress import Progress, duration
from migrate.render.spans import Span, spans

Mask = NDArray[np.bool_]


# ---- masks ----------------------------------------------------------------------------------------


def _reach(iris: ir.Iris) -> tuple[float, float]:
    position = float(iris.position)
    return position, max(position, 1.0 - position)


def _mask(ctx: Context, transition: ir.Wipe | ir.Iris | ir.Dissolve, q: Level) -> Mask | Level:
    """How much of the new picture shows at progress q, strictly between 0 and 1: booleans for a hard edge, or alpha."""
    match transition:
        case ir.Wipe(soft=soft) if soft.value:
            s = ctx.share(soft)
            return np.clip((q * (1.0 + s) - ctx.x) / s, 0.0, 1.0)
        case ir.Wipe():
            return ctx.x < q
        case ir.Iris():
            position, furthest = _reach(transition)
            return np.abs(ctx.x - position) < q * furthest
        case _:
            return q


def _cover(ctx: Context, old: Light, new: Light, mask: Mask | Level) -> Light:
    if mask.dtype == np.bool_:
        return np.where(mask, new, old)
    return ctx.mixing.mix(old, new, mask.astype(np.float64, copy=False), None)


# ---- playing --------------------------------------------------------------------------------------


def seen(now: Progress, power: ir.Power) -> Mask:
    """The frames, (T,), that power does not keep dark."""
    dark = now.q <= 0.0
    if isinstance(power.rise, ir.Rest):
        dark |= now.rising & (now.q < 1.0)
    return ~dark[:, 0]


@dataclass(frozen=True)
class _Reel:
    """A chain's paints, evaluated, and the reels of those of its steps that are chains themselves."""

    lights: list[Light]
    steps: list[_Reel | None]


def _reel(ctx: Context, transition: ir.Transition) -> _Reel | None:
    """Evaluates the paints of chains, in the order of the walk."""
    if not isinstance(transition, ir.Chain):
        return None
    steps = [_reel(ctx, step) for step in transition.steps]
    return _Reel([ctx.paint(paint) for paint in transition.paints], steps)


class Player:
    """Plays power over a picture; made once, when the paints of its chains have their turn in the walk."""

    def __init__(self, ctx: Context, power: ir.Power) -> None:
        assert ctx.progress is not None
        self.ctx, self.now = ctx, ctx.progress
        self.rise = power.rise, _reel(ctx, power.rise)
        self.fall = power.fall, _reel(ctx, power.fall)

    @property
    def turns(self) -> list[Span]:
        """The runs of frames in which a rise plays, and those in which a fall does."""
        q, rising = self.now.q[:, 0], self.now.rising[:, 0]
        moving = (q > 0.0) & (q < 1.0)
        return spans(moving & rising) + spans(moving & ~rising)

    def show(self, picture: Light, frames: slice) -> Light:
        """The picture of these frames of the context, all of one turn, while the transition plays."""
        up = bool(self.now.rising[frames.start, 0])
        black = self.ctx.mixing.black
        transition, reel = self.rise if up else self.fall
        old, new = (black, picture) if up else (picture, black)
        return _Playing(self.ctx, frames, up).show(transition, reel, self.now.q[frames], old, new)


def play(ctx: Context, power: ir.Power, picture: Light) -> Light:
    """A whole picture as power lets it be seen: dark at q = 0, whole at q = 1, the transition between."""
    player = Player(ctx, power)
    shown = np.where(player.now.q >= 1.0, picture, ctx.mixing.black)
    for first, end in player.turns:
        part = picture if picture.shape[1] == 1 else picture[:, first:end]
        played = player.show(part, slice(first, end))
        if shown.shape[2] < played.shape[2]:
            shown = np.broadcast_to(shown, (3, len(ctx.t), ctx.pixels)).copy()
        shown[:, first:end] = played
    return shown


@dataclass(frozen=True)
class _Playing:
    """The frames in which the rise (`up`) or the fall plays."""

    ctx: Context
    frames: slice
    up: bool

    def of(self, light: Light) -> Light:
        """The part of a light that lies in these frames."""
        return light if light.shape[1] == 1 else light[:, self.frames]

    def show(self, transition: ir.Transition, reel: _Reel | None, q: Level, old: Light, new: Light) -> Light:
        """The rise lays the new picture on the old by the mask of q, the fall the old on the new."""
        if isinstance(transition, ir.Chain):
            assert reel is not None
            return self._chain(transition, reel, q, old, new)
        if isinstance(transition, ir.Rest | ir.Cut):
            return np.where(q < 1.0, old, new) if self.up else np.where(q > 0.0, old, new)
        mask = _mask(self.ctx, transition, q)
        return _cover(self.ctx, old, new, mask) if self.up else _cover(self.ctx, new, old, mask)

    def _chain(self, chain: ir.Chain, reel: _Reel, q: Level, old: Light, new: Light) -> Light:
        pictures = [old, *(self.of(light) for light in reel.lights), new]
        shown = new
        for k, here, share in chain_steps(chain, q, self.up):
            part = self.show(chain.steps[k], reel.steps[k], share, pictures[k], pictures[k + 1])
            shown = np.where(here, part, shown)
        return shown


def chain_steps(chain: ir.Chain, q: Level, up: bool) -> list[tuple[int, Mask, Level]]:
    """For each step that lasts: its index, the frames it holds, and its own q there (0 to 1, of no use elsewhere)."""
    whole = duration(chain)
    elapsed = q * whole if up else (1.0 - q) * whole
    found: list[tuple[int, Mask, Level]] = []
    begins = 0
    for k, step in enumerate(chain.steps):
        lasts = duration(step)
        if lasts:
            ends = begins + lasts
            here = (elapsed >= begins) & ((elapsed < ends) | (ends == whole))
            gone = np.clip((elapsed - begins) / lasts, 0.0, 1.0)
            found.append((k, here, gone if up else 1.0 - gone))
            begins = ends
    return found


# ---- the band on the edge -------------------------------------------------------------------------


@signal(ir.EdgeBand)
def edge_band(ctx: Context, node: ir.EdgeBand) -> Level:
    """1 on the lit part, `width` long, that ends at the moving edge; nothing while the edge rests."""
    now, power = ctx.progress, ctx.style_power
    if now is None or power is None or not node.width.value:
        return np.zeros((1, 1))
    rising = _band(ctx, power.rise, now.q, True, node.width) if now.rising.any() else np.zeros((1, 1), np.bool_)
    falling = _band(ctx, power.fall, now.q, False, node.width) if not now.rising.all() else np.zeros((1, 1), np.bool_)
    return np.where(now.rising, rising, falling).astype(np.float64)


def _band(ctx: Context, transition: ir.Transition, q: Level, up: bool, width: ir.Length) -> Mask:
    moving = (q > 0.0) & (q < 1.0)
    u, whole = ctx.place(width.unit)
    reach = float(width.value)
    match transition:
        case ir.Chain():
            band = np.zeros((1, 1), np.bool_)
            for k, here, share in chain_steps(transition, q, up):
                band = band | (here & _band(ctx, transition.steps[k], share, up, width))
            return band & moving
        case ir.Wipe(soft=soft) if soft.value:
            edge = q * (1.0 + ctx.share(soft))
            return moving & (ctx.x < edge) & (u >= edge * whole - reach)
        case ir.Wipe():
            return moving & (ctx.x < q) & (u >= q * whole - reach)
        case ir.Iris():
            position, furthest = _reach(transition)
            away = np.abs(ctx.x - position)
            return moving & (away < q * furthest) & (away * whole >= q * furthest * whole - reach)
        case _:
            return np.zeros((1, 1), np.bool_)
