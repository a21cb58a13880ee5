"""IR drawn from the declarations of migrate/ir/nodes.py: types of fields say what may stand there.

Only what types cannot say is written here: the ranges of numbers by what they measure, and the order of keys and stops.
"""

from __future__ import annotations

from dataclasses import fields
from fractions import Fraction
from typing import Any, Literal, get_args, get_origin, get_type_hints

from hypothesis import strategies as st

from migrate.ir import nodes as ir

Draw = Any
_EVENTS = (*ir.INSTANT_EVENTS, *ir.HELD_EVENTS)
_CURVES = ("linear", "ease", "ease_in", "ease_out", "ease_in_out", "step_start", "step_end")
_JUMPS = ("jump_start", "jump_end", "jump_none", "jump_both")
# 997 is prime: a level that no product of other drawn numbers meets exactly, where doubles could fall to either side.
_WEIGHTS = st.one_of(st.just(0), st.just(1), st.integers(0, 1000).map(lambda n: Fraction(n, 1000)))
_LEVELS = st.integers(1, 996).map(lambda n: Fraction(n, 997))
_RATIONALS: dict[str, st.SearchStrategy[Any]] = {
    "phase": st.fractions(0, 1, max_denominator=50),
    "position": _WEIGHTS,
    "level": _LEVELS,
    "full": st.integers(1, 900),
    "x1": _WEIGHTS,
    "x2": _WEIGHTS,
    "y1": st.integers(-2, 2),
    "y2": st.integers(-2, 2),
}
_TIMES = st.integers(0, 900).map(lambda n: n * 1000)
_INTEGERS: dict[str, st.SearchStrategy[int]] = {
    "period": st.integers(20, 900).map(lambda n: n * 1000),
    "rate": st.integers(1, 60).map(lambda n: n * 1000),
    "count": st.integers(2, 6),
}
_LEAF_PAINTS = (ir.Colour,)
_LEAF_SIGNALS = (ir.Const, ir.Lfo, ir.Noise, ir.Sound, ir.Swing, ir.Tilt, ir.Twist, ir.Hilt, ir.Tip, ir.Tail, ir.Along,
                 ir.PlaceOf, ir.StrengthOf, ir.Since)  # fmt: skip


class Nodes:
    """Draws nodes; `skip` holds classes that are left out."""

    def __init__(self, draw: Draw, skip: tuple[type, ...] = ()) -> None:
        self.draw, self.skip = draw, skip

    def one_of(self, union: Any, depth: int) -> Any:
        """A node of a union of classes, a leaf where the depth is used up."""
        members = [m for m in get_args(union) if m not in self.skip]
        if depth <= 0:
            members = [m for m in members if m in (*_LEAF_PAINTS, *_LEAF_SIGNALS)] or members
        return self.node(self.draw(st.sampled_from(members)), depth)

    def node(self, cls: type, depth: int) -> Any:
        """A node of one class; its fields by their declared types."""
        special = getattr(self, f"_{cls.__name__.lower()}", None)
        if special is not None:
            return special(depth)
        hints = get_type_hints(cls)
        return cls(*(self._field(f.name, hints[f.name], depth - 1) for f in fields(cls)))

    def _field(self, name: str, hint: Any, depth: int) -> Any:
        if hint is int:
            return self.draw(_INTEGERS.get(name, _TIMES))
        if hint == ir.Rational:
            return self.draw(_RATIONALS.get(name, _WEIGHTS))
        if hint is str:
            return self.draw(st.sampled_from({"event": _EVENTS, "jump": _JUMPS}.get(name, _CURVES)))
        if get_origin(hint) is Literal:
            return self.draw(st.sampled_from(get_args(hint)))
        if get_origin(hint) is tuple:
            return tuple(self._field("", get_args(hint)[0], depth) for _ in range(self.draw(st.integers(1, 3))))
        return self.node(hint, depth) if isinstance(hint, type) else self.one_of(hint, depth)

    # ---- what types cannot say ----------------------------------------------------------------

    def _colour(self, _: int) -> ir.Colour:
        if self.draw(st.integers(0, 4)):
            code = st.integers(0, 255)
            encoding = self.draw(st.sampled_from(("duty", "srgb")))
            return ir.Colour(encoding, (self.draw(code), self.draw(code), self.draw(code)))
        share = st.integers(0, 100).map(lambda n: Fraction(n, 100))
        return ir.Colour("oklch", (self.draw(share), self.draw(share) / 4, self.draw(st.integers(0, 359))))

    def _length(self, _: int) -> ir.Length:
        return ir.Length(self.draw(st.integers(1, 400)), self.draw(st.sampled_from(("px", "mil", "mm"))))

    def _speed(self, _: int) -> ir.Speed:
        return ir.Speed(self.draw(st.integers(-400, 400)), self.draw(st.sampled_from(("px", "mil", "mm"))))

    def _grain(self, depth: int) -> ir.Grain:
        kind = self.draw(st.sampled_from(("whole", "each", "length")))
        return ir.Grain(kind, self._length(depth) if kind == "length" else None)

    def _shape(self, event: str, depth: int) -> Any:
        held = event in ir.HELD_EVENTS
        kinds = (ir.Burst, ir.Hit, ir.Keys, *((ir.Held,) if held else ()))
        return self.node(self.draw(st.sampled_from(kinds)), depth)

    def _upon(self, depth: int) -> ir.Upon:
        event = self.draw(st.sampled_from(_EVENTS))
        return ir.Upon(event, self._shape(event, depth - 1))

    def _scatter(self, depth: int) -> ir.Scatter:
        event = self.draw(st.sampled_from(_EVENTS))
        return ir.Scatter(event, self._shape(event, depth - 1), self.draw(st.integers(1, 8)), self._length(depth))

    def _keys(self, depth: int) -> ir.Keys:
        times = sorted(self.draw(st.lists(_TIMES, min_size=1, max_size=4, unique=True)))
        keys = tuple(ir.Key(t, self.one_of(ir.Signal, min(depth - 2, 1))) for t in times)
        return ir.Keys(keys, self.one_of(ir.Curve, 1))

    def _ramp(self, depth: int) -> ir.Ramp:
        places = sorted(self.draw(st.lists(_WEIGHTS, min_size=1, max_size=4, unique=True)))
        stops = tuple(ir.Stop(p, self.one_of(ir.Paint, depth - 1)) for p in places)
        return ir.Ramp(stops, self.draw(st.sampled_from(get_args(ir.Space))))

    def _chain(self, depth: int) -> ir.Chain:
        count = self.draw(st.integers(1, 3))
        steps = tuple(self.node(self.draw(st.sampled_from((ir.Cut, ir.Wipe, ir.Dissolve, ir.Iris, ir.Rest))), depth)
                      for _ in range(count))  # fmt: skip
        return ir.Chain(steps, tuple(self.one_of(ir.Paint, depth - 2) for _ in range(count - 1)))

    def _style(self, depth: int) -> ir.Style:
        sheets = tuple(self.node(ir.Sheet, depth) for _ in range(self.draw(st.integers(0, 3))))
        power = self.node(ir.Power, depth) if self.draw(st.booleans()) else None
        return ir.Style(self.one_of(ir.Paint, depth), sheets, power)


@st.composite
def styles(draw: Draw, depth: int = 3, skip: tuple[type, ...] = ()) -> ir.Style:
    """A whole style, its nodes nested at most about `depth` deep."""
    return Nodes(draw, skip)._style(depth)
