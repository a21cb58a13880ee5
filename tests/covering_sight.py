"""How the search looks at pictures: boxes of what may still be right round each cell, and drawing that remembers."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np

from migrate.compare.colour import ciede2000, lab_of_light
from migrate.compare.edges import event_edge_error
from migrate.compare.figures import Figures, Tolerance, compare
from migrate.ir import nodes as ir
from migrate.packs.library import library
from migrate.packs.model import Generation
from migrate.render.context import Context, Numbering
from migrate.render.power import play
from migrate.render.scene import Scene
from tests.laws.small_scene import BLADE, small_scene

SCENE = small_scene()
FIRST = next(iter(library()))  # the generation whose clock steps
MOST_OFF = 72  # cells of 1440 that may be above the tolerance's p95: one more, and the percentile is above it
_GAMMA_CODES = np.arange(256) / 255.0
_LINEAR = np.where(_GAMMA_CODES <= 0.04045, _GAMMA_CODES / 12.92, ((_GAMMA_CODES + 0.055) / 1.055) ** 2.4)


@lru_cache(maxsize=100_000)
def box(colour: tuple[int, int, int], far: bool) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """The least and the greatest duties of colours within tolerance of this one: the largest (`far`) or the p95.

    Looked for on a grid of sRGB codes, which is then laid again, finer, over what was found, with a margin for what
    lies between its points and one step of it more. A duty step is no difference.
    """
    limit = Tolerance().largest if far else Tolerance().p95
    own = np.interp(np.array(colour) / 255.0, _LINEAR, np.arange(256.0))
    least, most = np.zeros(3), np.full(3, 255.0)
    if not far:
        least, most = np.maximum(own - 80, 0), np.minimum(own + 80, 255)
    for points, margin in ((12, 2.5 if far else 6.0), (9, 1.4 if far else 2.0), (9, 1.2 if far else 1.4)):
        lines = [np.union1d(np.linspace(a, b, points), c) for a, b, c in zip(least, most, own, strict=True)]
        codes = np.stack(np.meshgrid(*lines, indexing="ij"), axis=-1).reshape(-1, 3)
        light = np.interp(codes, np.arange(256.0), _LINEAR)
        near = ciede2000(lab_of_light(np.array([colour]) / 255.0), lab_of_light(light)) <= limit * margin
        step = (most - least) / (points - 1)
        least, most = (
            np.maximum(least, codes[near].min(axis=0) - step),
            np.minimum(most, codes[near].max(axis=0) + step),
        )
    down = np.floor(255 * np.interp(least, np.arange(256.0), _LINEAR)).astype(int)
    up = np.ceil(255 * np.interp(most, np.arange(256.0), _LINEAR)).astype(int)
    return tuple(np.minimum(down, np.array(colour) - 1).tolist()), tuple(np.maximum(up, np.array(colour) + 1).tolist())


Bounds = tuple[Any, Any]
"""Least and greatest duties of each cell (3, T * N)."""


class Looker:
    """The source's picture, and for each cell what duties may be right there, by the tolerance's largest and its p95.

    Forth: alignment lets a cell be like any of the source's within a frame and a pixel, or like a mixture of two: so
    the bounds are the least and greatest of nine cells' boxes. Back: a cell of the source must find its like, so that
    the nine cells of the picture must reach up to the least of its own box and down to the greatest. The pixels at
    both ends may be excused, and are not judged.
    """

    def __init__(self, frames: Any) -> None:
        self.frames = frames
        self.shape = frames.shape[:2]
        self.own = {far: self._boxes(far) for far in (True, False)}
        self.near = {far: (around(low, np.minimum), around(high, np.maximum)) for far, (low, high) in self.own.items()}
        self.judged = np.ones(self.shape, bool)
        self.judged[:, [0, -1]] = False

    def _boxes(self, far: bool) -> Bounds:
        colours, where = np.unique(self.frames.reshape(-1, 3), axis=0, return_inverse=True)
        boxes = np.array([box(tuple(c), far) for c in colours.tolist()], np.int16)  # (C, 2, 3)
        both = np.moveaxis(boxes[where.reshape(self.shape)], (2, 3), (0, 1))
        return both[0], both[1]

    def forth(self, duties: Any, cells: Any, far: bool) -> Any:
        """Which of `cells` (K,) are like nothing near them in the source, (M, K), in duties (3, M, K)."""
        low, high = (side.reshape(3, -1) for side in self.near[far])
        out = np.zeros(duties.shape[1:], bool)
        for channel in range(3):
            out |= duties[channel] < low[channel][cells]
            out |= duties[channel] > high[channel][cells]
        return out

    def back(self, least: Any, most: Any, cells: Any, far: bool) -> Any:
        """Which of the source's `cells` (K,) are like nothing near them, (M, K), by the neighbourhoods' (3, M, K)."""
        low, high = (side.reshape(3, -1) for side in self.own[far])
        out = np.zeros(least.shape[1:], bool)
        for channel in range(3):
            out |= most[channel] < low[channel][cells]
            out |= least[channel] > high[channel][cells]
        return out

    def may_be(self, frames: Any, judged: Any, first: int = 0) -> Any:
        """Which of some pictures (M, R, N, 3) of frames from `first` on may be within tolerance.

        Cells that are not `judged` (T, N) may look like anything, and so may frames that are not there.
        """
        duties, (count, rows, pixels) = np.moveaxis(frames, 3, 0), frames.shape[:3]
        known = np.pad(judged[first : first + rows], ((first > 0, first + rows < len(judged)), (0, 0)))
        inner = ~around(~known, np.logical_or)[int(first > 0) :][:rows] & self.judged[first : first + rows]
        at, within = first * pixels, np.flatnonzero(inner)
        cells = np.flatnonzero(judged[first : first + rows] & self.judged[first : first + rows])
        flat, off = duties.reshape(3, count, -1), np.zeros((count, rows * pixels), bool)
        least, most = (around(duties, f).reshape(3, count, -1)[:, :, within] for f in (np.minimum, np.maximum))
        right = ~self.back(least, most, within + at, True).any(axis=1)
        right &= ~self.forth(flat[:, :, cells], cells + at, True).any(axis=1)
        off[:, within] |= self.back(least, most, within + at, False)
        off[:, cells] |= self.forth(flat[:, :, cells], cells + at, False)
        return right & (off.sum(axis=1) <= MOST_OFF)


def around(values: Any, least_or_most: Any) -> Any:
    """The least or the most (np.minimum, np.maximum) of the nine cells round each, over the last two axes."""
    rows = values.copy()
    least_or_most(rows[..., 1:, :], values[..., :-1, :], out=rows[..., 1:, :])
    least_or_most(rows[..., :-1, :], values[..., 1:, :], out=rows[..., :-1, :])
    out = rows.copy()
    least_or_most(out[..., 1:], rows[..., :-1], out=out[..., 1:])
    least_or_most(out[..., :-1], rows[..., 1:], out=out[..., :-1])
    return out


class Quick(Context):
    """A context that remembers noise too, by its number: drawing it is most of the work otherwise."""

    def __init__(self, *given: Any) -> None:
        super().__init__(*given)
        self._noises: dict[tuple[ir.Noise, int], Any] = {}

    def signal(self, node: ir.Signal) -> Any:
        """As Context.signal()."""
        if not isinstance(node, ir.Noise):
            return super().signal(node)
        key = (node, self.numbers.next)
        if key not in self._noises:
            self._noises[key] = super().signal(node)
        self.numbers.next = key[1] + 1
        return self._noises[key]


class Drawer:
    """Draws target styles of one power over a scene, keeping what has no noise."""

    def __init__(self, generation: Generation, scene: Scene, power: ir.Power | None) -> None:
        numbers = Numbering()
        self.ctx = Quick(scene, BLADE, generation.arithmetic, power, numbers)
        self.ctx.__dict__["stepped"] = Quick(scene, BLADE, library()[FIRST].arithmetic, power, numbers)
        self.power, self.kept = power, 0

    def draw(self, ground: Any, sheets: tuple[ir.Sheet, ...]) -> Any:
        """Frames (T, N, 3) as render() makes them."""
        ctx = self.ctx
        self.kept += 1
        if self.kept % 4000 == 0:
            ctx._known_paints.clear()
        ctx.numbers.next = 0
        picture = ctx.paint(ground)
        for sheet in sheets:
            light, weight = ctx.paint(sheet.paint), ctx.signal(sheet.weight)
            mix = ctx.mixing.mix if sheet.operator == "over" else ctx.mixing.plus
            picture = mix(picture, light, weight, sheet.weight)
        if self.power is not None:
            picture = play(ctx, self.power, picture)
        duties = np.broadcast_to(ctx.mixing.duties(picture), (3, len(ctx.t), ctx.pixels))
        return np.moveaxis(duties, 0, 2)

    def states(self) -> tuple[Any, Any]:
        """Where (T, N) the power shows the whole picture, and where it is always the same."""
        if self.power is None:
            everywhere = np.ones((len(self.ctx.t), self.ctx.pixels), bool)
            return everywhere, ~everywhere
        rng = np.random.default_rng(1)
        codes = rng.permutation(np.arange(1, 251))[: 2 * 3 * 24].reshape(2, 3, 1, -1) % 250 + 1
        whole = np.broadcast_to(codes, (2, 3, len(self.ctx.t), self.ctx.pixels)).astype(np.int32)
        lights = [self.ctx.mixing.from_codes(c) for c in whole]
        shown = [np.broadcast_to(play(self.ctx, self.power, light), light.shape) for light in lights]
        open_ = np.logical_and.reduce([(s == light).all(axis=0) for s, light in zip(shown, lights, strict=True)])
        return open_, (shown[0] == shown[1]).all(axis=0)


def edges_fit(one: Any, other: Any, scene: Scene) -> bool:
    """Whether the edges of events alone are within tolerance; it costs little beside the other figures."""
    events = [(e.event, e.start) for e in scene.events]
    return event_edge_error(one, other, scene.rate, events)[0] <= Tolerance().edge_ms


def figures_of(one: Any, other: Any, scene: Scene) -> Figures:
    """The figures of two renders over a scene."""
    events = [(e.event, e.start) for e in scene.events]
    return compare(np.ascontiguousarray(one), np.ascontiguousarray(other), scene.rate, events)
