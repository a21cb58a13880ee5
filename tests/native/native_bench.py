"""What the tests of compiled styles share: the builds, scenes and events by duck type, numpy's Philox."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from migrate.ir.facts import Blade
from migrate.native import GenerationBuild

GRAMMARS = Path(__file__).resolve().parents[2] / "grammars"
STRICT = '#pragma GCC diagnostic warning "-Wextra"\n'
WICK1 = GenerationBuild((GRAMMARS / "wick1" / "include",), "c++98")
WICK2 = GenerationBuild((GRAMMARS / "wick2" / "include",), "c++11")
WICK1_STRICT = GenerationBuild(WICK1.include_dirs, WICK1.standard, STRICT)
WICK2_STRICT = GenerationBuild(WICK2.include_dirs, WICK2.standard, STRICT)
TEN = Blade(10, 144)

Frames = NDArray[np.uint8]
Play = Callable[..., Mapping[str, Frames]]
At = Callable[[str, int], Frames]  # a style's frame at a millisecond


@dataclass(frozen=True)
class Event:
    event: str
    start: int
    end: int | None = None
    place: float = 0.0
    strength: float = 1.0


@dataclass(frozen=True)
class Scene:
    """A scene by duck type; times in microseconds."""

    duration: int
    rate: int = 1000
    events: tuple[Event, ...] = ()
    sensors: Mapping[str, Sequence[tuple[int, float]]] = field(default_factory=dict)
    pixels: int | None = None
    per_metre: int | Fraction | None = None


def word(number: int, step: int, cell: int) -> int:
    """Word 0 of Philox 4x64-10, key (number, 0), counter (step, cell, 0, 0), by numpy, which counts before it draws."""
    counter = (step + (cell << 64) - 1) % (1 << 256)
    parts = np.array([(counter >> (64 * n)) & 0xFFFFFFFFFFFFFFFF for n in range(4)], np.uint64)
    source = np.random.Philox(key=np.array([number, 0], np.uint64), counter=parts)
    return int(source.random_raw())


def uniform(number: int, step: int, cell: int) -> float:
    """The same word as a number 0 to 1."""
    return (word(number, step, cell) >> 11) * 2.0**-53


def red(frame: Frames) -> list[int]:
    """The red duties of one frame, hilt to tip."""
    return [int(duty) for duty in frame[:, 0]]
