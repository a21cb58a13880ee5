"""The normal form: nested styles flattened, constants folded, commutative arguments ordered.

Every rule keeps the picture. No rule reorders or drops what holds noise, since a noise's place in the
walk is its number.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from typing import Any

from migrate.ir import nodes as ir
from migrate.ir.dump import dump
from migrate.ir.walk import children, holds_noise, rebuild

ZERO, ONE = ir.Const(0), ir.Const(1)
_UNIT = re.compile(r"length\[\w+\]")


class Normaliser:
    """Brings nodes into normal form; equal objects are done once, and keep their identity."""

    def __init__(self, spread: bool = True, stepless: bool = False) -> None:
        """`spread` turns linear blends of the ground into sheets, which makes the form unique.

        `stepless` drops the marks of stepped paints: for a generation whose own clock steps everything.
        """
        self.spread, self.stepless = spread, stepless
        self.done: dict[int, tuple[Any, Any]] = {}

    def __call__(self, node: Any) -> Any:
        found = self.done.get(id(node))
        if found is None:
            new = rebuild(node, self)
            if self.stepless and isinstance(new, ir.Stepped):
                new = new.paint
            rule = spread_style if isinstance(new, ir.Style) and self.spread else _RULES.get(type(new))
            # The key object is kept alive beside the result, so that its id stays its own.
            found = self.done[id(node)] = (node, rule(new) if rule else new)
        return found[1]


def normal(node: Any) -> Any:
    """The normal form of one part."""
    return Normaliser()(node)


def blended(node: ir.Blend) -> ir.Paint:
    """A blend in normal form, its parts being in it."""
    free_a, free_b = not holds_noise(node.a), not holds_noise(node.b)
    if node.weight == ZERO and free_b:
        return node.a
    if node.weight == ONE and free_a:
        return node.b
    if node.a == node.b and free_a and not holds_noise(node.weight):
        return node.a
    if isinstance(node.weight, ir.Inverse) and free_a and free_b:
        return blended(replace(node, a=node.b, b=node.a, weight=node.weight.signal))
    if isinstance(node.weight, ir.Along):
        return ir.Ramp((ir.Stop(0, node.a), ir.Stop(1, node.b)), node.space)
    return node


def _ramp(node: ir.Ramp) -> ir.Paint:
    return node.stops[0].paint if len(node.stops) == 1 else node


def _bands(node: ir.Bands) -> ir.Paint:
    return node.paints[0] if len(node.paints) == 1 else node


def _shade(node: ir.Shade) -> ir.Paint:
    return node.paint if node.weight == ONE else node


def _stepped(node: ir.Stepped) -> ir.Paint:
    """What changes only at the ticks anyway needs no mark; the floored mixing is the generation's own arithmetic."""
    return node.paint if still_within_ticks(node.paint) else node


def still_within_ticks(part: Any) -> bool:
    """Whether a part in normal form changes at the 20 ms ticks only, so that stepping it would change nothing."""
    if isinstance(part, (ir.Lfo, ir.Sound, ir.Swing, ir.Tilt, ir.Twist, ir.Hearth, ir.Upon, ir.Since, ir.Stepped)):
        return False
    if isinstance(part, ir.Noise) and (part.kind != "hold" or 50_000 % part.rate != 0):
        return False
    if isinstance(part, ir.Bands) and part.speed.value != 0:
        return False
    return all(still_within_ticks(child) for child in children(part))


def _lfo(node: ir.Lfo) -> ir.Lfo:
    return node if 0 <= node.phase < 1 else replace(node, phase=Fraction(node.phase) % 1)


def _grain(node: ir.Grain) -> ir.Grain:
    if node.length is not None and node.length.unit == "mil" and node.length.value >= 1000:
        return ir.Grain("whole")
    return node


def _inverse(node: ir.Inverse) -> ir.Signal:
    if isinstance(node.signal, ir.Inverse):
        return node.signal.signal
    if isinstance(node.signal, ir.Const):
        return ir.Const(1 - node.signal.value)
    return node


def _past(node: ir.Past) -> ir.Signal:
    if isinstance(node.signal, ir.Along):
        return ir.Tail(ir.Length(_plain(1000 * (1 - Fraction(node.level))), "mil"))
    if isinstance(node.signal, ir.Const):
        return ONE if node.signal.value >= node.level else ZERO
    return node


def _ease(node: ir.Ease) -> ir.Signal:
    return node.signal if node.curve == ir.NamedCurve("linear") else node


def _slew(node: ir.Slew) -> ir.Signal:
    return node.signal if node.up == 0 and node.down == 0 else node


def _plain(value: ir.Rational) -> ir.Rational:
    value = Fraction(value)
    return value.numerator if value.denominator == 1 else value


def _ordered(signals: list[ir.Signal]) -> tuple[ir.Signal, ...]:
    """Noise-free signals in the order of their dumps, then the noisy ones as they stood."""
    free = [s for s in signals if not holds_noise(s)]
    noisy = [s for s in signals if holds_noise(s)]
    return (*sorted(free, key=_rank), *noisy)


def _rank(signal: ir.Signal) -> tuple[str, tuple[ir.Rational, ...], tuple[float, ...]]:
    """By shape, then by number: the order is to be the same in whichever unit lengths are written."""
    found = dump(signal)
    return _UNIT.sub("length", found.skeleton), found.numbers, found.light


def _flat(cls: type, signals: tuple[ir.Signal, ...]) -> list[ir.Signal]:
    out: list[ir.Signal] = []
    for signal in signals:
        inner: tuple[ir.Signal, ...] = getattr(signal, "signals", ()) if isinstance(signal, cls) else (signal,)
        out.extend(inner)
    return out


def _product(node: ir.Product) -> ir.Signal:
    signals = _flat(ir.Product, node.signals)
    factor = Fraction(1)
    rest: list[ir.Signal] = []
    for signal in signals:
        if isinstance(signal, ir.Const):
            factor *= Fraction(signal.value)
        else:
            rest.append(signal)
    if not rest or (factor == 0 and not any(map(holds_noise, rest))):
        return ir.Const(_plain(factor))
    if factor != 1:
        rest.append(ir.Const(_plain(factor)))
    return rest[0] if len(rest) == 1 else ir.Product(_ordered(rest))


def _extreme(cls: type[ir.Most] | type[ir.Least]) -> Callable[[Any], ir.Signal]:
    def rule(node: Any) -> ir.Signal:
        kept: list[ir.Signal] = []
        for signal in _flat(cls, node.signals):
            if signal not in kept or holds_noise(signal):
                kept.append(signal)
        return kept[0] if len(kept) == 1 else cls(_ordered(kept))

    return rule


def _keys(node: ir.Keys) -> ir.Shape:
    """Straight keyframes that rise from 0 to 1 and fall to 0 are a hit."""
    levels = [key.signal.value if isinstance(key.signal, ir.Const) else None for key in node.keys]
    times = [key.time for key in node.keys]
    if node.curve == ir.NamedCurve("linear") and times and times[0] == 0:
        if levels == [1, 0]:
            return ir.Hit(0, times[1])
        if levels == [0, 1, 0]:
            return ir.Hit(times[1], times[2] - times[1])
    return node


def _at_once(node: Any) -> ir.Transition:
    return ir.Wipe(0) if node.duration == 0 else node


def _wipe(node: ir.Wipe) -> ir.Wipe:
    hard = node.duration == 0 or node.soft.value == 0
    return replace(node, soft=ir.Length(0, "mil")) if hard and node.soft != ir.Length(0, "mil") else node


def _cut(_: ir.Cut) -> ir.Wipe:
    return ir.Wipe(0)


def _chain(node: ir.Chain) -> ir.Transition:
    return node.steps[0] if len(node.steps) == 1 else node


def _visible(node: ir.Style) -> ir.Style:
    """Sheets that never show go, unless they hold noise."""
    sheets = tuple(s for s in node.sheets if s.weight != ZERO or holds_noise(s.paint))
    return node if len(sheets) == len(node.sheets) else replace(node, sheets=sheets)


def spread_ground(node: ir.Style) -> tuple[ir.Paint, tuple[ir.Sheet, ...]]:
    """The ground below all of its own linear blends, and these as sheets, first to last."""
    ground, first = node.ground, []
    while isinstance(ground, ir.Blend) and ground.space == "linear":
        first.append(ir.Sheet("over", ground.b, ground.weight))
        ground = ground.a
    return ground, tuple(reversed(first))


def spread_style(node: ir.Style) -> ir.Style:
    """A style in normal form with the blends of its ground as sheets, and none that lays the ground on itself."""
    ground, first = spread_ground(node)
    sheets = _visible(ir.Style(ground, (*first, *node.sheets))).sheets
    while sheets and _is_ground(sheets[0], ground):
        sheets = sheets[1:]
    return ir.Style(ground, sheets, node.power)


def _is_ground(sheet: ir.Sheet, ground: ir.Paint) -> bool:
    """Whether a sheet lays the ground on the ground."""
    return (
        sheet.operator == "over" and sheet.paint == ground and not holds_noise(ground) and not holds_noise(sheet.weight)
    )


_RULES: dict[type, Callable[[Any], Any]] = {
    ir.Blend: blended,
    ir.Ramp: _ramp,
    ir.Bands: _bands,
    ir.Shade: _shade,
    ir.Stepped: _stepped,
    ir.Lfo: _lfo,
    ir.Grain: _grain,
    ir.Inverse: _inverse,
    ir.Past: _past,
    ir.Ease: _ease,
    ir.Slew: _slew,
    ir.Product: _product,
    ir.Most: _extreme(ir.Most),
    ir.Least: _extreme(ir.Least),
    ir.Keys: _keys,
    ir.Dissolve: _at_once,
    ir.Iris: _at_once,
    ir.Rest: _at_once,
    ir.Wipe: _wipe,
    ir.Cut: _cut,
    ir.Chain: _chain,
    ir.Style: _visible,
}
