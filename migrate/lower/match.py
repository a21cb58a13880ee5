"""Reads equations backwards: matches the right side of an equation against IR and binds its parameters."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from fractions import Fraction
from itertools import permutations
from typing import Any, NamedTuple

from migrate.ir import nodes as ir
from migrate.ir.colour import duty_codes, srgb_codes
from migrate.ir.dump import share_of_blade
from migrate.ir.facts import Blade
from migrate.ir.forms import COLOUR_FORMS, FORMS, GRAINS, VARIADIC_FIELDS, defaults
from migrate.ir.normal import still_within_ticks
from migrate.ir.walk import holds_noise
from migrate.lower.compiled import CODE_STEP, NEAR_ENOUGH, PAINTS, UNMARKED, paints_of_even
from migrate.packs.model import Atom, Call, Expression, Less, Measure, Scaled, Var
from migrate.packs.units import MissingFact, measure, plain, whole


class Match(NamedTuple):
    """Values bound to parameters, and the relative error that matched constants make."""

    values: Mapping[str, Any]
    error: ir.Rational = 0

    def bind(self, name: str, value: Any) -> Iterator[Match]:
        """This match with one more binding, if it agrees with an earlier one of the name."""
        if name not in self.values:
            yield Match({**self.values, name: value}, self.error)
        elif self.values[name] == value:
            yield self

    def off(self, error: Fraction) -> Match:
        """This match with an error added, where it is larger."""
        return Match(self.values, max(self.error, error))


START = Match({})


class Matcher:
    """Matches expressions against IR on one blade."""

    def __init__(self, blade: Blade) -> None:
        self.blade = blade

    def match(self, expression: Expression, value: Any, so_far: Match = START) -> Iterator[Match]:
        """Every way in which the expression builds the value."""
        match expression:
            case Var(name):
                yield from so_far.bind(name, value)
            case Atom(name):
                if GRAINS.get(name, name) == value:
                    yield so_far
            case Measure():
                yield from self._measure(expression, value, so_far)
            case Scaled(factor, name):
                if isinstance(value, (ir.Length, ir.Speed)):
                    yield from so_far.bind(name, replace(value, value=plain(Fraction(value.value) / factor)))
                elif isinstance(value, (int, Fraction)):
                    yield from so_far.bind(name, plain(Fraction(value) / factor))
            case Less(total, name):
                if isinstance(value, (int, Fraction)):
                    yield from so_far.bind(name, plain(total - value))
            case Call(form, arguments):
                yield from self._call(form, arguments, value, so_far)

    def _measure(self, expression: Measure, value: Any, so_far: Match) -> Iterator[Match]:
        expected = measure(expression)
        if expected == value:
            yield so_far
        elif isinstance(expected, (ir.Length, ir.Speed)) and type(expected) is type(value):
            error = self.relative(value, expected)
            if error is not None and error <= NEAR_ENOUGH:
                yield so_far.off(error)

    def relative(self, value: ir.Length | ir.Speed, expected: ir.Length | ir.Speed) -> Fraction | None:
        """How far two lengths on the blade lie apart, relative to the first; raises MissingFact."""
        a, b = share_of_blade(value, self.blade), share_of_blade(expected, self.blade)
        if a is None or b is None:
            raise MissingFact("pixels" if self.blade.pixels is None else "pitch")
        return None if a == 0 else abs(Fraction(b) / Fraction(a) - 1)

    def _call(self, form: str, arguments: tuple[Expression, ...], value: Any, so_far: Match) -> Iterator[Match]:
        if form in COLOUR_FORMS:
            yield from self._colour(form, arguments, value, so_far)
        elif form in FORMS:
            yield from self._node(form, arguments, value, so_far)
        elif form == "beyond":
            if isinstance(value, ir.Length):
                share = Fraction(value.value) / whole(value.unit, self.blade)
                if share <= 1:
                    yield from self.match(arguments[0], plain(1 - share), so_far)
        elif form == "chain":
            if isinstance(value, ir.Chain):
                links = [x for pair in zip(value.steps, (*value.paints, None), strict=True) for x in pair][:-1]
                yield from self._items(arguments, tuple(links), so_far)
        elif isinstance(value, tuple) and form == "reversed":
            yield from self._reversed(arguments, value, so_far)
        elif isinstance(value, tuple):
            items = paints_of_even(value) if form == "even" else value
            if items is not None:
                yield from self._items(arguments, items, so_far)

    def _reversed(self, arguments: tuple[Expression, ...], items: tuple[Any, ...], so_far: Match) -> Iterator[Match]:
        """A list turned round; never with noise in it, which is numbered by its place."""
        if not any(holds_noise(item) for item in items):
            yield from self._items(arguments, items[::-1], so_far)

    def _items(self, arguments: tuple[Expression, ...], items: tuple[Any, ...], so_far: Match) -> Iterator[Match]:
        if len(arguments) == 1 and isinstance(arguments[0], Var):
            yield from so_far.bind(arguments[0].name, items)
        elif len(arguments) == 1 and isinstance(arguments[0], Call) and arguments[0].form == "reversed":
            yield from self._reversed(arguments[0].arguments, items, so_far)
        elif len(arguments) == len(items):
            yield from self._each(list(zip(arguments, items, strict=True)), so_far)

    def _each(self, pairs: list[tuple[Expression, Any]], so_far: Match) -> Iterator[Match]:
        if not pairs:
            yield so_far
            return
        (expression, value), *rest = pairs
        for found in self.match(expression, value, so_far):
            yield from self._each(rest, found)
        for found in self._uniform(expression, value, so_far):
            yield from self._each(rest, found)

    def _uniform(self, expression: Expression, value: Any, so_far: Match) -> Iterator[Match]:
        """A blend inside an equation can be any one paint: both its ends, whatever the weight; never with noise in it.

        What only the weight mentions stays unbound, so it holds where something else in the equation binds it.
        """
        blends = isinstance(expression, Call) and expression.form == "blend"
        if blends and type(value) in PAINTS and not holds_noise(value):
            assert isinstance(expression, Call)
            yield from self._each([(end, value) for end in expression.arguments[:2]], so_far)

    def _node(self, form: str, arguments: tuple[Expression, ...], value: Any, so_far: Match) -> Iterator[Match]:
        spec = FORMS[form]
        if spec.cls is ir.Stepped and type(value) in PAINTS and still_within_ticks(value):
            # The normal form drops the mark where it changes nothing; backwards it may stand there again, but behind
            # whatever says the same without it.
            yield from self.match(arguments[0], value, so_far.off(UNMARKED))
        if type(value) is not spec.cls or any(getattr(value, k) != v for k, v in spec.fixed):
            return
        if form in VARIADIC_FIELDS:
            yield from self._commutative(arguments, value.signals, so_far)
            return
        given = dict(zip(spec.fields, arguments, strict=False))
        for name in spec.fields[len(arguments) :]:
            if getattr(value, name) != defaults(spec.cls)[name]:
                return
        yield from self._each([(e, getattr(value, n)) for n, e in given.items()], so_far)

    def _commutative(self, arguments: tuple[Expression, ...], items: tuple[Any, ...], so_far: Match) -> Iterator[Match]:
        if len(arguments) == 1:
            yield from self._items(arguments, items, so_far)
        elif len(arguments) == len(items):
            for order in permutations(items):
                yield from self._each(list(zip(arguments, order, strict=True)), so_far)

    def _colour(self, form: str, arguments: tuple[Expression, ...], value: Any, so_far: Match) -> Iterator[Match]:
        if not isinstance(value, ir.Colour):
            return
        if form == "css":
            if value.name:
                yield from self.match(arguments[0], value.name, so_far)
            return
        if form == value.encoding:
            codes: tuple[ir.Rational, ...] = value.values
        elif form == "oklch":
            return
        else:
            # Exact only to 8 bits: an error that ranks behind every exact spelling.
            codes = duty_codes(value) if form == "duty" else srgb_codes(value)
            so_far = so_far.off(CODE_STEP)
        yield from self._each(list(zip(arguments, codes, strict=True)), so_far)
