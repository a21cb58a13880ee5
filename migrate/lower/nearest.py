"""What may stand for what where a target lacks the first: the loosenings of the packs, then the plain colour."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from migrate.ir import nodes as ir
from migrate.ir.colour import linear_light
from migrate.lower.match import Matcher
from migrate.packs.equations import evaluate
from migrate.packs.model import Loosening

_PLAIN_COLOUR = 80


@dataclass(frozen=True, slots=True)
class Step:
    """A value that may stand for another, what that loses, and in words."""

    value: Any
    loss: int
    what: str


class Nearest:
    """Proposes stand-ins, least loss first."""

    def __init__(self, matcher: Matcher, loosenings: tuple[Loosening, ...]) -> None:
        self.matcher, self.loosenings = matcher, loosenings

    def of(self, value: Any) -> Iterator[Step]:
        """The stand-ins of one value."""
        for rule in self.loosenings:
            for match in self.matcher.match(rule.before, value):
                yield Step(evaluate(rule.after, match.values), rule.loss, rule.what)
                break
        if isinstance(value, (ir.Blend, ir.Bands, ir.Ramp, ir.Hearth, ir.Shade, ir.Mirror, ir.Stepped)):
            yield Step(representative(value), _PLAIN_COLOUR, "a moving paint became its plain mean colour")


def representative(paint: Any) -> ir.Colour:
    """A plain colour near the mean of a paint, in duty codes."""
    red, green, blue = (round(255 * c) for c in _mean(paint))
    return ir.Colour("duty", (red, green, blue))


def _mean(paint: Any) -> tuple[float, float, float]:
    match paint:
        case ir.Colour():
            return linear_light(paint)
        case ir.Blend(a, b):
            return _average((_mean(a), _mean(b)))
        case ir.Hearth(a, b):
            # The square of value noise lies low: about a third of the way.
            return _average((_mean(a), _mean(a), _mean(b)))
        case ir.Bands():
            return _average(tuple(_mean(p) for p in paint.paints))
        case ir.Ramp():
            return _average(tuple(_mean(s.paint) for s in paint.stops))
        case ir.Shade(inner, ir.Const(level)):
            red, green, blue = _mean(inner)
            return red * float(level), green * float(level), blue * float(level)
        case ir.Shade(inner):
            red, green, blue = _mean(inner)
            return red / 2, green / 2, blue / 2
        case ir.Mirror(inner) | ir.Stepped(inner):
            return _mean(inner)
        case _:
            raise ValueError(f"no paint: {paint}")


def _average(lights: tuple[tuple[float, float, float], ...]) -> tuple[float, float, float]:
    count = len(lights)
    return sum(c[0] for c in lights) / count, sum(c[1] for c in lights) / count, sum(c[2] for c in lights) / count
