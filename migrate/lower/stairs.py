"""Waves on the 20 ms clock said without it: a stepped wave is a staircase, and a staircase is the greatest of windows.

Every number comes out in whole per mille, so that each generation can write it, and is rounded so that an edge never
lies behind its tick and less than a millisecond before it.
"""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Any

from migrate.ir import nodes as ir
from migrate.ir.colour import duty_codes, linear_light, oklab_from_linear
from migrate.ir.normal import still_within_ticks
from migrate.ir.walk import holds_noise, rebuild

_TICK = 20_000  # microseconds
# Up to this many ticks a period (380 ms) the smooth wave's 95th percentile misses the tolerance for some pair of
# colours: of 16 pairs the last is a triangle at 19 ticks, white to black, a sine at 15, a saw at 14. Above, single
# frames of the widest pairs may still miss it, and the text would be longer than anybody reads.
_TICKS_AT_MOST = 19
# Where no step between two ticks is above this in Oklab, the smooth wave is close, and shorter: none of 1824
# combinations of wave, period and colours missed the tolerance there; up to 0.03 seven did.
_STEP_SEEN = 0.02


def unstepped(paint: Any) -> Any:
    """What a stepped paint shows, said without the clock, or None where that cannot be said or need not be.

    Light for light it is the same to one duty step, the floored mixing counted in.
    """
    change = _Change()
    result = change(paint)
    return result if change.said and still_within_ticks(_without_waves(paint)) else None


class _Change:
    """Puts a staircase for each wave that mixes paints; `said` tells whether that could be done for all of them."""

    said = True

    def __call__(self, part: Any) -> Any:
        if isinstance(part, ir.Blend) and isinstance(part.weight, ir.Lfo):
            weight = _staircase(part.weight, part.a, part.b) if part.space == "linear" else None
            if weight == ir.Const(0) and not holds_noise(part.b):
                return self(part.a)
            if weight is not None:
                return ir.Blend(self(part.a), self(part.b), weight)
        self.said = self.said and not isinstance(part, ir.Lfo)
        return rebuild(part, self)


def _without_waves(part: Any) -> Any:
    return ir.Const(0) if isinstance(part, ir.Lfo) else rebuild(part, _without_waves)


def _staircase(wave: ir.Lfo, a: Any, b: Any) -> ir.Signal | None:
    """The wave as it stands at the ticks, as the weight between two paints."""
    ticks, rest = divmod(wave.period, _TICK)
    if rest or wave.phase:
        return None  # the steps then differ from period to period, or lie elsewhere
    if wave.wave == "square":
        if ticks % 2 == 0:
            return wave  # it changes at ticks only
        return _until_the_end((ticks + 1) // 2, ticks) if ticks <= _TICKS_AT_MOST else None
    levels = [_level(wave.wave, tick / ticks) for tick in range(ticks)]
    if ticks > _TICKS_AT_MOST or not _seen(levels, a, b):
        return None
    windows: list[ir.Signal] = []
    below = Fraction(0)
    for tick in range(1, ticks):
        falling = levels[tick if wave.wave == "saw" else ticks - tick]
        share = _share((_code(levels[tick]), _code(falling)), a, b)
        if share > below:
            windows.append(_weighted(share, _window(wave.wave, tick, ticks)))
            below = share
    return ir.Most(tuple(windows)) if len(windows) > 1 else windows[0] if windows else ir.Const(0)


def _level(wave: ir.Wave, phi: float) -> float:
    """A wave at a phase of 0 to 1 (grammars/reference.md, Signals); in doubles, as it is drawn, for a tie is a tie."""
    match wave:
        case "sine":
            return (1.0 - math.cos(2.0 * math.pi * phi)) / 2.0
        case "triangle":
            return 1.0 - abs(1.0 - 2.0 * phi)
        case _:
            return phi


def _code(level: float) -> int:
    return math.floor(255.0 * level + 0.5)


def _share(codes: tuple[int, int], a: Any, b: Any) -> Fraction:
    """The weight that mixes as `k >> 8` does with the codes k of one level, on the way up and down; all is all.

    It is in per mille, of the two nearest that which the colours' codes come out better with. The last place of a
    double can part the two codes at a tie: then it lies between them.
    """
    if codes == (255, 255):
        return Fraction(1)
    exact = Fraction(1000 * sum(codes), 512)
    ends = [*zip(duty_codes(a), duty_codes(b), strict=True)] if _coloured(a, b) else []

    def off(mil: int) -> tuple[int, Fraction]:
        drawn = (
            (x, y, k, math.floor(x + Fraction((y - x) * mil, 1000) + Fraction(1, 2))) for x, y in ends for k in codes
        )
        return max((abs(x + ((y - x) * k >> 8) - ours) for x, y, k, ours in drawn), default=0), abs(mil - exact)

    return Fraction(min((math.floor(exact), math.ceil(exact)), key=off), 1000)


def _coloured(a: Any, b: Any) -> bool:
    return isinstance(a, ir.Colour) and isinstance(b, ir.Colour)


def _weighted(share: Fraction, window: ir.Signal) -> ir.Signal:
    return window if share == 1 else ir.Product((ir.Const(share), window))


def _window(wave: ir.Wave, tick: int, ticks: int) -> ir.Signal:
    """1 from a tick on for as long as the wave is at least where it is there: to the end, or to where it falls again.

    A sine and a triangle are as high at `tick` as at `ticks - tick`. Both edges of that window are where a triangle
    that comes half a tick late crosses a level; its phase is rounded up by more than the level can be off.
    """
    if wave == "saw" or (tick == 1 and ticks <= 3):
        return _until_the_end(tick, ticks)
    phase = Fraction(math.ceil(1000 - Fraction(500, ticks) + Fraction(3, 10)), 1000)
    level = Fraction(round(Fraction(1000 * (2 * tick - 1), ticks)), 1000)
    return ir.Past(ir.Lfo("triangle", ticks * _TICK, phase), level)


def _until_the_end(tick: int, ticks: int) -> ir.Signal:
    """1 from a tick on until the period ends."""
    if 2 * tick == ticks:
        return ir.Lfo("square", ticks * _TICK)
    return ir.Past(ir.Lfo("saw", ticks * _TICK), Fraction(1000 * tick // ticks, 1000))


def _seen(levels: list[float], a: Any, b: Any) -> bool:
    """Whether the steps between two paints can be told from a smooth wave; where they are no colours, they may be."""
    if not _coloured(a, b):
        return True
    one, two = linear_light(a), linear_light(b)
    lights = []
    for w in levels:
        red, green, blue = (x + (y - x) * w for x, y in zip(one, two, strict=True))
        lights.append(oklab_from_linear((red, green, blue)))
    return len(lights) == 1 or max(map(math.dist, lights, (*lights[1:], lights[0]))) > _STEP_SEEN
