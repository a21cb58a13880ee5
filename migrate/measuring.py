"""Two styles drawn and compared: a measurement is made once for all the copies of a style, in whichever process."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial
from hashlib import sha256
from typing import TYPE_CHECKING

from migrate.ir import nodes as ir
from migrate.ir.facts import Arithmetic, Blade
from migrate.recent import Recent

if TYPE_CHECKING:
    from migrate.compare.figures import Figures
    from migrate.render.scene import Scene

MOST = 4096


@dataclass(frozen=True, slots=True)
class Drawn:
    """A style with all that its picture hangs on: the arithmetic that draws it, and the blade."""

    style: ir.Style
    arithmetic: Arithmetic
    blade: Blade


@dataclass(frozen=True, slots=True)
class Proof:
    """The figures of two styles over one scene, and whether they are within the tolerance."""

    figures: Figures
    close: bool


@dataclass(frozen=True, slots=True)
class Told:
    """A proof as it goes from process to process, by a hash of everything that it hangs on."""

    key: bytes
    proof: Proof


_PROOFS: Recent[bytes, Proof] = Recent(MOST)
_NEWS: deque[Told] = deque(maxlen=MOST)


def measured(before: Drawn, after: Drawn, scene: Scene) -> Proof:
    """The proof of two styles over a scene, made where it is not known."""
    key = sha256(repr((before, after, scene)).encode()).digest()
    return _PROOFS.get(key, partial(_made, key, before, after, scene))


def _made(key: bytes, before: Drawn, after: Drawn, scene: Scene) -> Proof:
    from migrate.compare.figures import Tolerance, compare, within  # numpy loads only where a proof needs it
    from migrate.render.draw import render

    one, two = (render(side.style, side.arithmetic, scene, side.blade) for side in (before, after))
    figures = compare(one, two, scene.rate, [(e.event, e.start) for e in scene.events])
    proof = Proof(figures, within(figures, Tolerance()))
    _NEWS.append(Told(key, proof))
    return proof


def news() -> tuple[Told, ...]:
    """What this process measured since it was last asked."""
    told = tuple(_NEWS)
    _NEWS.clear()
    return told


def learn(told: Iterable[Told]) -> None:
    """Takes over what other processes measured."""
    for one in told:
        _PROOFS.get(one.key, partial(_given, one))


def _given(told: Told) -> Proof:
    return told.proof
