"""What may stand for what where a target lacks the first: the loosenings of the packs, then the plain colour."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property, partial
from typing import Any

from migrate.ir import nodes as ir
from migrate.ir.colour import clip, linear_from_oklab, linear_light, oklab_from_linear, srgb_decode, srgb_encode
from migrate.ir.forms import FORMS
from migrate.ir.walk import children, holds_noise, opaque_parts, rebuild
from migrate.lower.compiled import matching
from migrate.lower.match import Matcher
from migrate.lower.stairs import unstepped
from migrate.packs.equations import evaluate
from migrate.packs.model import Call, Loosening

_PLAIN_COLOUR = 80
_Triple = tuple[float, float, float]
_KEYS_LOSE = 20
_SAID = (ir.Stepped, ir.Mirror, ir.Blend, ir.Shade)
_MOVING = (ir.Blend, ir.Bands, ir.Ramp, ir.Hearth, ir.Shade, ir.Mirror, ir.Stepped)


@dataclass(frozen=True, slots=True)
class Step:
    """A value that may stand for another, what that loses, and in words."""

    value: Any
    loss: int
    what: str


def by_root(loosenings: Iterable[Loosening]) -> dict[type, list[Loosening]]:
    """Loosenings by the node class that each can hold of: its form decides."""
    found: dict[type, list[Loosening]] = {}
    for rule in loosenings:
        assert isinstance(rule.before, Call)
        found.setdefault(FORMS[rule.before.form].cls, []).append(rule)
    return found


class Nearest:
    """Proposes stand-ins: first what loses nothing, then the packs' loosenings in their order, last a plain colour.

    Each is made when it is first asked for, since most searches may lose less than it would cost.
    """

    def __init__(self, matcher: Matcher, loosenings: Mapping[type, Sequence[Loosening]]) -> None:
        self.matcher, self._by_root = matcher, loosenings
        self._offers: dict[int, tuple[Any, list[_Offer]]] = {}

    def of(self, value: Any, most: float = math.inf) -> Iterator[Step]:
        """The stand-ins of one value that lose no more than `most`."""
        found = self._offers.get(id(value))
        if found is None:
            # The value is kept beside its stand-ins, so that its id stays its own.
            found = self._offers[id(value)] = (value, list(self._search(value)))
        for offer in found[1]:
            step = offer.step if offer.loss <= most else None
            if step is not None and step.loss <= most:
                yield step

    def _search(self, value: Any) -> Iterator[_Offer]:
        yield from (_Offer(0, lambda: _said(value)),) if isinstance(value, _SAID) else ()
        for rule in self._by_root.get(type(value), ()):
            yield _Offer(rule.loss, partial(_loosened, rule, value, self.matcher))
        if isinstance(value, ir.Keys):
            yield _Offer(_KEYS_LOSE, lambda: _few_keys(value))
        if isinstance(value, _MOVING):
            yield _Offer(_PLAIN_COLOUR, lambda: _plain(value))


class _Offer:
    """A stand-in that is not made yet, and what it loses at least."""

    def __init__(self, loss: int, make: Callable[[], Step | None]) -> None:
        self.loss, self._make = loss, make

    @cached_property
    def step(self) -> Step | None:
        return self._make()


def _loosened(rule: Loosening, value: Any, matcher: Matcher) -> Step | None:
    match = next(matching(rule.before)(value, matcher), None)
    after = value if match is None else evaluate(rule.after, match.values)
    return Step(after, rule.loss, rule.what) if after != value else None


def _plain(value: Any) -> Step | None:
    if any(opaque_parts(value)):
        return None
    return Step(representative(value), _PLAIN_COLOUR, "a moving paint became its plain mean colour")


def _said(value: Any) -> Step | None:
    """Another way to say the very same."""
    said: Any = None
    match value:
        case ir.Stepped(inner):
            said = unstepped(inner)
        case ir.Mirror(ir.Colour() as inner):
            said = inner
        case ir.Mirror(ir.Blend(a, b, weight, space)) if not _spatial(weight):
            said = ir.Blend(ir.Mirror(a), ir.Mirror(b), weight, space)
        case ir.Mirror(ir.Shade(inner, weight)) if not _spatial(weight):
            said = ir.Shade(ir.Mirror(inner), weight)
        case ir.Mirror(ir.Ramp(stops, space)) if not any(holds_noise(s.paint) for s in stops):
            said = ir.Ramp(_mirrored(stops, space), space)
        case ir.Blend(inner, ir.Colour() as colour, ir.Const(weight), "linear") if _linear(_undimmed(inner)):
            said = _tinted(_undimmed(inner), colour, Fraction(weight))
        case ir.Blend(ir.Colour() as a, ir.Colour() as b, ir.Const(weight), space):
            said = _mixed(a, b, float(weight), space)
        case ir.Shade(_, ir.Const()) if not isinstance(_undimmed(value), ir.Shade):
            said = _undimmed(value)
        case ir.Blend(a, b, ir.Ease(signal, ir.NamedCurve("step_start"))) if not (
            holds_noise(a) or holds_noise(signal)
        ):
            said = b  # full at every input
        case ir.Blend(a, b, ir.Tail(length)) if length.unit == "mil" and 0 < length.value < 1000:
            width = ir.Length(1000 - length.value, "mil")
            count = -(-1000 // width.value) - 1
            if count == 1 or (count <= _BANDS_AT_MOST and not holds_noise(b)):
                said = ir.Bands(width, ir.Speed(0, "mil"), (a, *[b] * int(count)))
    return None if said is None else Step(said, 0, "")


def _few_keys(value: ir.Keys) -> Step:
    """A run of keyframes as a burst, or as an attack and a decay."""
    keys = value.keys
    if keys and all(k.signal == ir.Const(1) for k in keys):
        return Step(ir.Burst(keys[-1].time), 20, "keyframes at full became a burst")
    peak = max(keys, key=lambda k: k.signal.value if isinstance(k.signal, ir.Const) else 0)
    hit = ir.Hit(peak.time, max(0, keys[-1].time - peak.time))
    return Step(hit, 25, "keyframes became an attack and a decay")


_BANDS_AT_MOST = 8


def _undimmed(paint: Any) -> Any:
    """A paint in which no linear part is shaded by a constant: its colours are darker instead."""
    paint = rebuild(paint, _undimmed)
    match paint:
        case ir.Shade(inner, ir.Const(level)) if _linear(inner):
            return _tinted(inner, ir.Colour("duty", (0, 0, 0)), 1 - Fraction(level))
    return paint


def _linear(paint: Any) -> bool:
    """Whether a paint's light is a mean of its colours, mixed in linear light."""
    if isinstance(paint, (ir.Blend, ir.Ramp)) and paint.space != "linear":
        return False
    if isinstance(paint, (ir.Stepped, ir.Shade, ir.Opaque)):
        return False
    return all(_linear(child) for child in children(paint))


def _tinted(paint: Any, colour: ir.Colour, weight: Fraction) -> Any:
    """A paint with each of its colours mixed with one, which is the mix of the whole: means are linear."""
    if not isinstance(paint, ir.Colour):
        return rebuild(paint, lambda part: _tinted(part, colour, weight))
    share = float(weight)
    mixed = (a * (1 - share) + b * share for a, b in zip(linear_light(paint), linear_light(colour), strict=True))
    red, green, blue = (int(255 * c + 0.5) for c in mixed)
    return ir.Colour("duty", (red, green, blue))


def _mixed(a: ir.Colour, b: ir.Colour, weight: float, space: ir.Space) -> ir.Colour:
    """One colour for two that are mixed in sRGB coding or Oklab, in duty codes."""
    ends = [linear_light(a), linear_light(b)]
    if space == "oklab":
        one, two = (oklab_from_linear(end) for end in ends)
        light = linear_from_oklab(_between(one, two, weight))
    else:
        one, two = ((srgb_encode(r), srgb_encode(g), srgb_encode(b)) for r, g, b in ends)
        coded = _between(one, two, weight)
        light = (srgb_decode(coded[0]), srgb_decode(coded[1]), srgb_decode(coded[2]))
    red, green, blue = (int(255 * clip(c) + 0.5) for c in light)
    return ir.Colour("duty", (red, green, blue))


def brightened(below: Any, sheet: ir.Sheet) -> Any:
    """A paint under a constant share of a colour that is added to it, as one paint; None where it is none.

    Each colour of a linear paint takes the share, as means are linear; where one would be cut at full, the cut mean
    is not the mean of what is cut, so only a plain colour may be.
    """
    if sheet.operator != "plus" or not isinstance(sheet.weight, ir.Const) or not isinstance(sheet.paint, ir.Colour):
        return None
    if below is None or any(opaque_parts(below)) or not _linear(_undimmed(below)):
        return None
    below = _undimmed(below)
    share = float(sheet.weight.value)
    red, green, blue = (share * c for c in linear_light(sheet.paint))
    return _lighter(below, (red, green, blue), isinstance(below, ir.Colour))


def _lighter(paint: Any, light: _Triple, cut: bool) -> Any:
    """A paint with light added to each of its colours; None where one is cut and may not be."""
    if isinstance(paint, ir.Colour):
        sums = [a + b for a, b in zip(linear_light(paint), light, strict=True)]
        red, green, blue = (int(255 * clip(c) + 0.5) for c in sums)
        return ir.Colour("duty", (red, green, blue)) if cut or max(sums) <= 1 else None
    parts = [_lighter(p, light, cut) for p in _colours(paint)]
    return None if None in parts else rebuild(paint, lambda part: _lighter(part, light, cut))


def _colours(paint: Any) -> Iterator[ir.Colour]:
    if isinstance(paint, ir.Colour):
        yield paint
    for child in children(paint):
        yield from _colours(child)


def _between(one: _Triple, two: _Triple, weight: float) -> _Triple:
    x, y, z = (a * (1 - weight) + b * weight for a, b in zip(one, two, strict=True))
    return x, y, z


def _mirrored(stops: tuple[ir.Stop, ...], space: ir.Space) -> tuple[ir.Stop, ...]:
    """The stops of a ramp whose hilt half is reflected onto the tip half."""
    half = Fraction(1, 2)
    lower = [s for s in stops if Fraction(s.position) < half]
    upper = [s for s in stops if Fraction(s.position) >= half]
    if not lower:
        return (stops[0],)
    if not upper:
        return (*lower, *(ir.Stop(1 - Fraction(s.position), s.paint) for s in reversed(lower)))
    a, b = lower[-1], upper[0]
    part = (half - Fraction(a.position)) / (Fraction(b.position) - Fraction(a.position))
    middle = b.paint if part == 1 else ir.Blend(a.paint, b.paint, ir.Const(part), space)
    tail = (ir.Stop(1 - Fraction(s.position), s.paint) for s in reversed(lower))
    return (*lower, ir.Stop(half, middle), *tail)


_PLACED = (ir.Near, ir.Hilt, ir.Tip, ir.Tail, ir.Along, ir.EdgeBand, ir.Scatter, ir.Grain)


def _spatial(signal: Any) -> bool:
    """Whether a signal differs along the blade."""
    if isinstance(signal, ir.Grain):
        return signal.kind != "whole"
    return isinstance(signal, _PLACED) or any(_spatial(child) for child in children(signal))


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
        case ir.Opaque():
            return 0.0, 0.0, 0.0  # nobody knows; what comes of it is never called measured
        case _:
            raise ValueError(f"no paint: {paint}")


def _average(lights: tuple[tuple[float, float, float], ...]) -> tuple[float, float, float]:
    count = len(lights)
    return sum(c[0] for c in lights) / count, sum(c[1] for c in lights) / count, sum(c[2] for c in lights) / count
