"""How each arithmetic writes colours, mixes them and gives them out (grammars/reference.md, Mixing, by generation).

A light is an array (3, T or 1, N or 1): duty codes in uint16 (eight-bit), whole numbers 0 to 65535 in doubles
(sixteen), or doubles 0 to 1 (real). A weight is a signal, 0 to 1; `node` is the signal that it came from, where it
came from one, since what can only be 0 or 1 selects instead of mixing in the floored arithmetic.
"""

from __future__ import annotations

from abc import ABC, abstractmethod

import numpy as np

from migrate.ir import nodes as ir
from migrate.ir.colour import duty_codes, linear_light
from migrate.render.dispatch import Level, Light
from migrate.render.spaces import from_space, to_space


def chooses(signal: ir.Signal) -> bool:
    """Whether a signal can only be 0 or 1, so that mixing by it is choosing."""
    match signal:
        case ir.Lfo(wave="square") | ir.Past() | ir.Tail() | ir.EdgeBand():
            return True
        case ir.Upon(shape=shape) | ir.Scatter(shape=shape):
            return isinstance(shape, ir.Burst) or shape == ir.Held(0, 0)
        case ir.Const(value=value):
            return value in (0, 1)
        case ir.Inverse(signal=inner):
            return chooses(inner)
        case ir.Product(signals=parts) | ir.Most(signals=parts) | ir.Least(signals=parts):
            return all(chooses(part) for part in parts)
    return False


class Mixing(ABC):
    """One arithmetic. All results are new arrays or unchanged arguments; no argument is written to."""

    @abstractmethod
    def colour(self, colour: ir.Colour) -> Light:
        """The colour as a light of shape (3, 1, 1)."""

    @abstractmethod
    def from_codes(self, codes: Light) -> Light:
        """Duty codes 0 to 255 as this arithmetic's light."""

    @abstractmethod
    def mix(self, a: Light, b: Light, weight: Level, node: ir.Signal | None, space: ir.Space = "linear") -> Light:
        """From `a` to `b` by `weight`, mixed in `space`."""

    @abstractmethod
    def shade(self, light: Light, weight: Level, node: ir.Signal) -> Light:
        """The light scaled by `weight`."""

    @abstractmethod
    def plus(self, below: Light, light: Light, weight: Level, node: ir.Signal) -> Light:
        """`light` times `weight` added to `below`, up to full (W3C plus-lighter)."""

    @abstractmethod
    def duties(self, light: Light) -> Light:
        """The 8-bit duties that leave the controller, uint8 of the same shape."""

    @property
    def black(self) -> Light:
        """No light, shape (3, 1, 1)."""
        return self.from_codes(np.zeros((3, 1, 1), np.uint16))


class Eight(Mixing):
    """Duty codes: floored, a + ((b - a) * k >> 8), or rounded, (a * (255 - k) + b * k + 127) div 255.

    Sixteen bits hold every number on the way: the floored form is (a * (256 - k) + b * k) >> 8, at most 255 * 256.
    """

    def __init__(self, floored: bool) -> None:
        self.floored = floored

    def colour(self, colour: ir.Colour) -> Light:
        return np.array(duty_codes(colour), np.uint16).reshape(3, 1, 1)

    def from_codes(self, codes: Light) -> Light:
        return codes

    def mix(self, a: Light, b: Light, weight: Level, node: ir.Signal | None, space: ir.Space = "linear") -> Light:
        if space != "linear":
            mixed = _in_space(a / 255.0, b / 255.0, weight, space)
            return np.floor(255.0 * mixed + 0.5).astype(np.uint16)
        if self.floored and node is not None and chooses(node):
            return np.where(weight >= 0.5, b, a)  # the chosen code itself
        return self._by_code(a, b, self._code(weight, node))

    def shade(self, light: Light, weight: Level, node: ir.Signal) -> Light:
        if isinstance(node, ir.Const):
            value = node.value
            over = value.denominator
            scaled = [(2 * code * value.numerator + over) // (2 * over) for code in range(256)]
            return np.take(np.array(scaled, np.uint16), light)
        return self.mix(np.zeros_like(light), light, weight, node)

    def plus(self, below: Light, light: Light, weight: Level, node: ir.Signal) -> Light:
        lit: Light = np.minimum(255, below + self.mix(np.zeros_like(light), light, weight, node))
        return lit

    def duties(self, light: Light) -> Light:
        return light.astype(np.uint8)

    def _code(self, weight: Level, node: ir.Signal | None) -> Light:
        """The fraction as k, 0 to 255; a held noise gives the word's own upper byte, `w >> 56`."""
        if isinstance(node, ir.Noise) and node.kind == "hold":
            return (weight * 256.0).astype(np.uint16)  # truncation is floor: no weight is negative
        return (255.0 * weight + 0.5).astype(np.uint16)

    def _by_code(self, a: Light, b: Light, k: Light) -> Light:
        mixed: Light = _sum(a * ((256 if self.floored else 255) - k), b * k)
        if self.floored:
            mixed >>= 8
        else:
            mixed += 127
            mixed //= 255
        return mixed


class Sixteen(Mixing):
    """Linear light in whole steps of 1/65535, each result rounded half up; weights are doubles."""

    def colour(self, colour: ir.Colour) -> Light:
        if colour.encoding == "duty":
            return self.from_codes(np.array([float(v) for v in colour.values]).reshape(3, 1, 1))
        return np.floor(65535.0 * np.array(linear_light(colour)).reshape(3, 1, 1) + 0.5)

    def from_codes(self, codes: Light) -> Light:
        return codes * 257.0

    def mix(self, a: Light, b: Light, weight: Level, node: ir.Signal | None, space: ir.Space = "linear") -> Light:
        if space != "linear":
            return _rounded(65535.0 * _in_space(a / 65535.0, b / 65535.0, weight, space))
        return _rounded(_linear(a, b, weight))

    def shade(self, light: Light, weight: Level, node: ir.Signal) -> Light:
        return _rounded(light * weight)

    def plus(self, below: Light, light: Light, weight: Level, node: ir.Signal) -> Light:
        lit: Light = np.minimum(65535.0, _rounded(below + weight * light))
        return lit

    def duties(self, light: Light) -> Light:
        # floor(255 v + 1/2) with v = light / 65535, in whole numbers: no light lies on a tie, 257 being odd.
        duties = light.astype(np.int32)
        duties += 128
        duties //= 257
        return duties.astype(np.uint8)


class Real(Mixing):
    """Linear light in doubles."""

    def colour(self, colour: ir.Colour) -> Light:
        return np.array(linear_light(colour)).reshape(3, 1, 1)

    def from_codes(self, codes: Light) -> Light:
        return codes / 255.0

    def mix(self, a: Light, b: Light, weight: Level, node: ir.Signal | None, space: ir.Space = "linear") -> Light:
        return _linear(a, b, weight) if space == "linear" else _in_space(a, b, weight, space)

    def shade(self, light: Light, weight: Level, node: ir.Signal) -> Light:
        return light * weight

    def plus(self, below: Light, light: Light, weight: Level, node: ir.Signal) -> Light:
        return np.minimum(1.0, below + weight * light)

    def duties(self, light: Light) -> Light:
        scaled = 255.0 * light
        scaled += 0.5
        return scaled.astype(np.uint8)  # truncation is floor: light is never negative


def _linear(a: Light, b: Light, weight: Level) -> Light:
    """`a * (1 - w) + b * w`, without a temporary where the shapes allow it."""
    return _sum(a * (1.0 - weight), b * weight)


def _sum(left: Light, right: Light) -> Light:
    """Of two arrays that nothing else holds, without a third where the shapes allow it."""
    shape = tuple(map(max, left.shape, right.shape))
    if left.dtype == right.dtype and left.shape == shape:
        left += right
        return left
    if left.dtype == right.dtype and right.shape == shape:
        right += left
        return right
    return left + right


def _rounded(fresh: Light) -> Light:
    """Half up, in place: only for an array that nothing else holds."""
    fresh += 0.5
    return np.floor(fresh, out=fresh)


def _in_space(a: Light, b: Light, weight: Level, space: ir.Space) -> Light:
    mixed = from_space(_linear(to_space(a, space), to_space(b, space), weight), space)
    return np.clip(mixed, 0.0, 1.0, out=mixed)


MIXINGS: dict[str, Mixing] = {
    "eight_floor": Eight(floored=True),
    "eight_round": Eight(floored=False),
    "sixteen": Sixteen(),
    "real": Real(),
}
