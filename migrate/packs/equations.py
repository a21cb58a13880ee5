"""Reads an equation forwards: builds the IR that its right side says, from the values of its parameters."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from difflib import get_close_matches
from fractions import Fraction
from itertools import pairwise
from typing import Any

from migrate.ir import nodes as ir
from migrate.ir.colour import css_codes
from migrate.ir.css_colours import CSS_COLOURS
from migrate.ir.forms import COLOUR_FORMS, FORMS, GRAINS, VARIADIC_FIELDS
from migrate.packs.model import Atom, Call, Construct, Expression, Less, Measure, Scaled, Sum, Var
from migrate.packs.units import measure, plain


class Meaningless(Exception):
    """Arguments that fit the signature and still make no sense together."""

    def __init__(self, code: str, message: str, hint: str = "") -> None:
        super().__init__(message)
        self.code, self.message, self.hint = code, message, hint


def variables(expression: Expression) -> frozenset[str]:
    """The parameters that an expression mentions."""
    match expression:
        case Var(name):
            return frozenset((name,))
        case Scaled(_, name) | Less(_, name):
            return frozenset((name,))
        case Call(_, parts) | Sum(parts):
            return frozenset().union(*(variables(p) for p in parts))
        case _:
            return frozenset()


def _scaled(value: Any, factor: ir.Rational) -> Any:
    if isinstance(value, (ir.Length, ir.Speed)):
        return replace(value, value=plain(value.value * factor))
    return plain(value * factor)


def _stacked(parts: list[Any]) -> ir.Style:
    """A base and layers in order as one style; power must come last, and only once."""
    base, *layers = parts
    style = base if isinstance(base, ir.Style) else ir.Style(base)
    flat = [x for layer in layers for x in (layer if isinstance(layer, tuple) else (layer,))]
    sheets, power = list(style.sheets), style.power
    for layer in flat:
        if power is not None:
            raise Meaningless("power-not-last", "power must be the last layer", "move it to the end")
        if isinstance(layer, ir.Power):
            power = layer
        else:
            sheets.append(layer)
    return ir.Style(style.ground, tuple(sheets), power)


def _colour(form: str, given: list[Any]) -> ir.Colour:
    if form != "css":
        return ir.Colour(form, tuple(given))  # type: ignore[arg-type]
    name = given[0]
    if name not in CSS_COLOURS:
        near = get_close_matches(name, CSS_COLOURS, 2)
        hint = f"did you mean {' or '.join(f'`{n}`' for n in near)}?" if near else ""
        raise Meaningless("unknown-colour", f"`{name}` is no colour name of CSS Color Level 4", hint)
    codes = css_codes(name)
    assert codes is not None
    return ir.Colour("srgb", codes, name)


def _chained(items: tuple[Any, ...]) -> ir.Chain:
    """A run of transitions with paints between them."""
    steps, paints = items[0::2], items[1::2]
    transitions = (ir.Cut, ir.Wipe, ir.Dissolve, ir.Iris, ir.Rest, ir.Chain)
    good = len(items) % 2 == 1 and len(items) > 1 and all(isinstance(s, transitions) for s in steps)
    if not good or any(isinstance(p, transitions) for p in paints):
        message = "a chain is a transition, a paint, a transition, and so on; two transitions at least"
        raise Meaningless("chain-order", message)
    return ir.Chain(steps, paints)


def evaluate(expression: Expression, values: Mapping[str, Any]) -> Any:
    """The IR of an expression; raises Meaningless where the values make no sense together."""
    match expression:
        case Var(name):
            return values[name]
        case Atom(name):
            return GRAINS.get(name, name)
        case Measure():
            return measure(expression)
        case Scaled(factor, variable):
            return _scaled(values[variable], factor)
        case Less(value, variable):
            return plain(value - values[variable])
        case Sum(parts):
            return _stacked([evaluate(p, values) for p in parts])
        case Call(form, given):
            return _build(form, [evaluate(a, values) for a in given])


# ---- compiled ------------------------------------------------------------------------------------

Building = Callable[[Mapping[str, Any]], Any]


def building(expression: Expression) -> Building:
    """`evaluate` of one expression as a function of the values, for what is read again and again."""
    constants: dict[str, Any] = {}
    body = _code(expression, constants)
    made: Building = eval(f"lambda v: {body}", {**_CALLED, **constants})  # the text is made of a checked equation here
    return made


def _code(expression: Expression, constants: dict[str, Any]) -> str:
    """An expression as Python; what is known beforehand goes into the constants."""

    def constant(value: Any) -> str:
        name = f"C{len(constants)}"
        constants[name] = value
        return name

    match expression:
        case Var(name):
            return f"v[{name!r}]"
        case Atom() | Measure():
            return constant(evaluate(expression, {}))
        case Scaled(factor, variable):
            return f"_scaled(v[{variable!r}], {constant(factor)})"
        case Less(value, variable):
            return f"plain({constant(value)} - v[{variable!r}])"
        case Sum(parts):
            return f"_stacked([{', '.join(_code(p, constants) for p in parts)}])"
        case Call(form, given):
            inner = [_code(a, constants) for a in given]
            if form not in FORMS or form in _ORDERED or form in VARIADIC_FIELDS:
                return f"_build({form!r}, [{', '.join(inner)}])"
            spec = FORMS[form]
            named = [f"{n}={a}" for n, a in zip(spec.fields, inner, strict=False)]
            fixed = [f"{n}={constant(value)}" for n, value in spec.fixed]
            return f"{constant(spec.cls)}({', '.join((*fixed, *named))})"


_ORDERED = {"ramp": ("stops-order", "positions of a ramp's stops"), "keys": ("keys-order", "times of keys")}


def _check_order(form: str, given: list[Any]) -> None:
    """Stops go up the blade and keys go on in time, or stay; raises Meaningless."""
    code, what = _ORDERED[form]
    at = [part.position if isinstance(part, ir.Stop) else part.time for part in given[0]]
    if any(after < before for before, after in pairwise(at)):
        raise Meaningless(code, f"the {what} must not fall", "write them in order")


def opaque(construct: Construct, values: Mapping[str, Any]) -> ir.Opaque:
    """What a construct without a meaning stands for: its identity and its arguments, by the names of their slots."""
    given = {
        slot: ir.Opaque("", (), value) if isinstance(value, tuple) else value
        for slot, parameter in zip(construct.slots, construct.parameters, strict=True)
        if (value := values.get(parameter.name)) is not None
    }
    return ir.Opaque(construct.identity, tuple(sorted(given)), tuple(given[slot] for slot in sorted(given)))


def _build(form: str, given: list[Any]) -> Any:
    if form in _ORDERED:
        _check_order(form, given)
    if form in FORMS:
        if form in VARIADIC_FIELDS:
            only = len(given) == 1 and isinstance(given[0], tuple)
            return FORMS[form].cls(given[0] if only else tuple(given))
        return FORMS[form].build(given)
    if form in COLOUR_FORMS:
        return _colour(form, given)
    if form == "beyond":
        return ir.Length(plain(1000 * (1 - Fraction(given[0]))), "mil")
    items = given[0] if len(given) == 1 and isinstance(given[0], tuple) else tuple(given)
    if form == "even":
        last = max(1, len(items) - 1)
        return tuple(ir.Stop(plain(Fraction(i, last)), paint) for i, paint in enumerate(items))
    if form == "reversed":
        return tuple(reversed(items))
    return _chained(items) if form == "chain" else items


_CALLED = {"_scaled": _scaled, "plain": plain, "_stacked": _stacked, "_build": _build}
