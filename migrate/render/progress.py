"""The progress of power: how far ignition or retraction has come, from the scene's events (reference.md, Power)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from migrate.ir import nodes as ir
from migrate.render.dispatch import Level
from migrate.render.scene import Scene


@dataclass(frozen=True)
class Progress:
    """q, 0 to 1, and whether the rise is what plays (or has played last); both (T, 1)."""

    q: Level
    rising: NDArray[np.bool_]


def duration(transition: ir.Transition) -> int:
    """How long a transition plays, in microseconds; a chain as long as its steps together."""
    match transition:
        case ir.Cut():
            return 0
        case ir.Chain(steps=steps):
            return sum(duration(step) for step in steps)
        case ir.Wipe(duration=time) | ir.Dissolve(duration=time) | ir.Iris(duration=time) | ir.Rest(duration=time):
            return time


def progress(scene: Scene, t: NDArray[np.int64], power: ir.Power) -> Progress:
    """q rises at 1 / RISE and falls at 1 / FALL from where the event finds it; what changes nothing is ignored.

    `t` is (T, 1) microseconds; events keep their own times whatever the clock. Of an ignition and a retraction in
    the same microsecond the ignition comes first.
    """
    times = {True: duration(power.rise), False: duration(power.fall)}
    q, rising = np.zeros(t.shape), np.zeros(t.shape, np.bool_)
    start, base, up = 0, 0.0, False
    switches = sorted((*scene.all("ignite"), *scene.all("retract")), key=lambda one: one.start)
    for one in switches:
        if (one.event == "ignite") == up:
            continue
        base = float(_along(np.array([one.start]), start, base, up, times[up])[0])
        start, up = one.start, not up
        begun = t >= start
        q = np.where(begun, _along(t, start, base, up, times[up]), q)
        rising = np.where(begun, up, rising)
    return Progress(q, rising)


def _along(t: NDArray[np.int64], start: int, base: float, up: bool, time: int) -> Level:
    if not time:
        return np.full(t.shape, 1.0 if up else 0.0)
    gone = (t - start) / time
    return np.minimum(1.0, base + gone) if up else np.maximum(0.0, base - gone)
