"""The envelopes that an event starts (grammars/reference.md, Events)."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from migrate.ir import nodes as ir
from migrate.render.context import Context
from migrate.render.dispatch import SHAPES, Level, shape, signal
from migrate.render.easing import eased


@dataclass(frozen=True)
class Moment:
    """The latest occurrence at each frame, all (T, 1), times in microseconds; `held` is of the kind of event.

    Where `begun` is false nothing has started yet and the other arrays mean nothing.
    """

    begun: NDArray[np.bool_]
    elapsed: NDArray[np.int64]
    left: NDArray[np.int64]  # until the end; 0 or less after it
    lasting: NDArray[np.int64]  # from start to end
    held: bool


def moment(ctx: Context, event: str) -> Moment | None:
    """What the latest `event` is to each frame, or None where the scene has none."""
    if event not in ctx.moments:
        ctx.moments[event] = _moment(ctx, event)
    return ctx.moments[event]


def _moment(ctx: Context, event: str) -> Moment | None:
    occurrences = ctx.occurrences(event)
    if not occurrences:
        return None
    latest = ctx.latest(event)
    start = np.array([one.start for one in occurrences], np.int64)[latest]
    end = np.array([one.start if one.end is None else one.end for one in occurrences], np.int64)[latest]
    return Moment(latest >= 0, ctx.t - start, end - ctx.t, end - start, event in ir.HELD_EVENTS)


@signal(ir.Upon)
def upon(ctx: Context, node: ir.Upon) -> Level:
    """The envelope of the latest event, 0 before the first, clamped."""
    now = moment(ctx, node.event)
    if now is None:
        _visit(ctx, node.shape)
        return np.zeros((1, 1))
    level = SHAPES[type(node.shape)](ctx, node.shape, now)
    return np.where(now.begun, np.clip(level, 0.0, 1.0), 0.0)


def _visit(ctx: Context, node: ir.Shape) -> None:
    """Numbers the noises of keys that nothing starts."""
    if isinstance(node, ir.Keys):
        for key in node.keys:
            ctx.signal(key.signal)


@shape(ir.Burst)
def burst(ctx: Context, node: ir.Burst, now: Moment) -> Level:
    """1 while dt < D."""
    return (now.elapsed < node.duration).astype(np.float64)


@shape(ir.Hit)
def hit(ctx: Context, node: ir.Hit, now: Moment) -> Level:
    """dt / A, then 1 - (dt - A) / D; D = 0 is 0 after the attack."""
    level = np.zeros(now.elapsed.shape)
    if node.decay:
        level = np.maximum(0.0, 1.0 - (now.elapsed - node.attack) / node.decay)
    if node.attack:
        level = np.where(now.elapsed < node.attack, now.elapsed / node.attack, level)
    return level


@shape(ir.Held)
def held(ctx: Context, node: ir.Held, now: Moment) -> Level:
    """min(1, dt / A) while active, then down from the level reached: l * max(0, 1 - (t - end) / R)."""
    if node.attack:
        rising = np.minimum(1.0, now.elapsed / node.attack)
        reached = np.minimum(1.0, now.lasting / node.attack)
    else:
        rising = reached = np.ones(now.elapsed.shape)
    falling = np.zeros(now.elapsed.shape)
    if node.release:
        falling = reached * np.maximum(0.0, 1.0 - (-now.left) / node.release)
    return np.where(now.left > 0, rising, falling)


@shape(ir.Keys)
def keys(ctx: Context, node: ir.Keys, now: Moment) -> Level:
    """The first key's value before it, eased between keys; from the last 0, or for a held event the last to its end."""
    values = [ctx.signal(key.signal) for key in node.keys]
    if not values:
        return np.zeros((1, 1))
    level = values[0]
    for (before, a), (after, b) in pairwise(zip(node.keys, values, strict=True)):
        if after.time > before.time:
            inside = (now.elapsed >= before.time) & (now.elapsed < after.time)
            gone = np.clip((now.elapsed - before.time) / (after.time - before.time), 0.0, 1.0)
            level = np.where(inside, a + (b - a) * eased(node.curve, gone), level)
    last = values[-1] * (now.left > 0) if now.held else np.zeros((1, 1))
    return np.where(now.elapsed >= node.keys[-1].time, last, level)


@signal(ir.PlaceOf)
def place_of(ctx: Context, node: ir.PlaceOf) -> Level:
    """The place of the latest event, 0 before the first."""
    return _of_latest(ctx, node.event, [one.place for one in ctx.occurrences(node.event)])


@signal(ir.StrengthOf)
def strength_of(ctx: Context, node: ir.StrengthOf) -> Level:
    """The strength of the latest event: 0 before the first, 1 for a held one."""
    held_kind = node.event in ir.HELD_EVENTS
    return _of_latest(ctx, node.event, [1.0 if held_kind else one.strength for one in ctx.occurrences(node.event)])


@signal(ir.Since)
def since(ctx: Context, node: ir.Since) -> Level:
    """min(1, dt / D), 1 before the first; D = 0 is 1."""
    now = moment(ctx, node.event)
    if now is None or not node.duration:
        return np.ones((1, 1))
    return np.where(now.begun, np.minimum(1.0, now.elapsed / node.duration), 1.0)


def _of_latest(ctx: Context, event: str, values: list[float]) -> Level:
    if not values:
        return np.zeros((1, 1))
    latest = ctx.latest(event)
    level: Level = np.clip(np.array(values)[latest], 0.0, 1.0)
    return np.where(latest >= 0, level, 0.0)
