"""What the IR needs to know from outside: the blade, and the arithmetic that a generation draws with."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from migrate.ir.nodes import Rational


@dataclass(frozen=True, slots=True)
class Blade:
    """The blade's pixel count, and its pixels per metre; None where nothing says."""

    pixels: int | None = None
    per_metre: Rational | None = None


@dataclass(frozen=True, slots=True)
class Arithmetic:
    """A generation's clock and mixing.

    clock   `frame`, or `tick`: everything is evaluated at 20 ms times floor(t / 20 ms)
    mixing  `eight_floor`  duty codes, a + ((b - a) * k >> 8)
            `eight_round`  duty codes, (a * (255 - k) + b * k + 127) div 255
            `sixteen`      linear light rounded to 1/65535 after each operation, half up
            `real`         doubles
    """

    clock: Literal["frame", "tick"]
    mixing: Literal["eight_floor", "eight_round", "sixteen", "real"]
