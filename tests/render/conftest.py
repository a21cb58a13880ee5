"""Small benches for the renderer's tests: scenes in milliseconds, and one node on a blade of few pixels."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import numpy as np
import pytest

from migrate.ir import nodes as ir
from migrate.ir.facts import Arithmetic, Blade
from migrate.render import draw
from migrate.render.context import Context
from migrate.render.scene import Occurrence, Scene

ARITHMETIC = {
    "eight_floor": Arithmetic("tick", "eight_floor"),
    "eight_round": Arithmetic("frame", "eight_round"),
    "sixteen": Arithmetic("frame", "sixteen"),
    "real": Arithmetic("frame", "real"),
}


def make_scene(
    ms: int = 100,
    rate: int = 1000,
    events: Sequence[tuple[Any, ...]] = (),
    sensors: Mapping[str, Sequence[tuple[int, float]]] | None = None,
) -> Scene:
    """Events as (kind, start ms[, end ms][, place[, strength]]); frames a millisecond apart unless `rate` says."""
    made = []
    for event, start, *rest in events:
        end = rest.pop(0) * 1000 if event in ir.HELD_EVENTS else None
        place = rest[0] if rest else 0.0
        strength = rest[1] if len(rest) > 1 else 1.0
        made.append(Occurrence(event, start * 1000, end, place, strength))
    curves = {name: tuple((time * 1000, value) for time, value in curve) for name, curve in (sensors or {}).items()}
    return Scene("test", ms * 1000, rate, None, None, tuple(made), curves)


@pytest.fixture
def scene() -> Callable[..., Scene]:
    return make_scene


@pytest.fixture
def level() -> Callable[..., Any]:
    """One signal's levels over a scene, broadcast to (T, N)."""

    def evaluate(node: ir.Signal, over: Scene, pixels: int = 1, power: ir.Power | None = None) -> Any:
        ctx = Context(over, Blade(pixels, 100), ARITHMETIC["real"], power)
        return np.broadcast_to(ctx.signal(node), (over.frames, pixels))

    return evaluate


@pytest.fixture
def light() -> Callable[..., Any]:
    """One paint's light in an arithmetic's own numbers, broadcast to (T, N, 3)."""

    def evaluate(node: ir.Paint, over: Scene, pixels: int = 1, mixing: str = "real") -> Any:
        ctx = Context(over, Blade(pixels, 100), ARITHMETIC[mixing], None)
        return np.moveaxis(np.broadcast_to(ctx.paint(node), (3, over.frames, pixels)), 0, 2)

    return evaluate


@pytest.fixture
def frames() -> Callable[..., Any]:
    """A style's duties, (T, N, 3)."""

    def evaluate(style: ir.Style, over: Scene, pixels: int = 4, mixing: str = "real") -> Any:
        return draw.render(style, ARITHMETIC[mixing], over, Blade(pixels, 100))

    return evaluate
