"""A target's own constructs, found by what their meaning is made of."""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property
from typing import Any, NamedTuple

from migrate.ir import nodes as ir
from migrate.ir.forms import COLOUR_FORMS, FORMS, GRAINS
from migrate.lower.compiled import Going, Matching, going_on, matching, possible
from migrate.lower.nearest import by_root
from migrate.packs.equations import evaluate, variables
from migrate.packs.model import (
    Atom,
    Call,
    Construct,
    Equation,
    Expression,
    Generation,
    Measure,
    Parameter,
    Sum,
    Unit,
    Var,
)  # fmt: skip
from migrate.packs.units import measure, to_ir


class Slot(NamedTuple):
    """A parameter with what covering it asks for again and again.

    `words` are its sorts but for those of numbers, `omissible` whether it may be left unsaid. Of a number that is
    `complemented`, it is what is left to 1 that means something.
    """

    parameter: Parameter
    name: str
    variadic: bool
    words: tuple[str, ...]
    unit: Unit | None
    low: Any
    high: Any
    omissible: bool
    positional: bool
    complemented: bool


class LayerForm(NamedTuple):
    """One layer that a construct lays on what is below: its equation, read backwards, and a quick test of it.

    `slots` are those that it takes, by name; `event` is what it answers to, in a word.
    """

    goes_on: Going
    possible: Callable[[Any], bool]
    slots: tuple[Slot, ...]
    event: str


class Pattern:
    """One equation of one construct, with what is known of it once and for all."""

    def __init__(self, construct: Construct, equation: Equation, generation: Generation) -> None:
        self.construct, self.equation, self.generation = construct, equation, generation
        self._complemented = complemented(equation.meaning)
        self.slots = tuple(self._slot(p) for p in construct.parameters)
        self.has_defaults = any(p.default is not None for p in construct.parameters)

    @cached_property
    def matches(self) -> Matching:
        """The equation read backwards."""
        return matching(self.equation.meaning)

    @cached_property
    def possible(self) -> Callable[[Any], bool]:
        """A quick test of what the equation may build."""
        return possible(self.equation.meaning)

    @cached_property
    def base(self) -> Parameter | None:
        """Of a construct that lays layers on what is below: the parameter that this is."""
        meaning = self.equation.meaning
        assert isinstance(meaning, Sum)
        return self._parameter(meaning.parts[0])

    @cached_property
    def run(self) -> Parameter | None:
        """The parameter that takes any number of layers, where that is how it takes them."""
        meaning = self.equation.meaning
        assert isinstance(meaning, Sum)
        return self._parameter(meaning.parts[1]) if len(meaning.parts) == 2 else None

    @cached_property
    def layers(self) -> tuple[LayerForm, ...]:
        """The layers that it lays, first to last."""
        meaning = self.equation.meaning
        assert isinstance(meaning, Sum)
        return tuple(self._layer_form(part) for part in meaning.parts[1:])

    def _layer_form(self, expression: Expression) -> LayerForm:
        names = variables(expression)
        slots = sorted((s for s in self.slots if s.name in names), key=lambda slot: slot.name)
        return LayerForm(going_on(expression), possible(expression), tuple(slots), event_of(expression))

    def _parameter(self, expression: Expression) -> Parameter | None:
        if not isinstance(expression, Var):
            return None
        return next(p for p in self.construct.parameters if p.name == expression.name)

    @cached_property
    def guard(self) -> tuple[str, Any] | None:
        """The parameter that must have a value for the equation to hold, and that value."""
        return None if self.equation.guard is None else self._valued(*self.equation.guard)

    @cached_property
    def shadows(self) -> tuple[tuple[str, Any], ...]:
        """The guards of the equations before this one: they would take their arguments when the text is read again."""
        before = (
            self.construct.equations[: self.construct.equations.index(self.equation)]
            if self.construct.equations
            else ()
        )
        return tuple(self._valued(*e.guard) for e in before if e.guard is not None)

    def _valued(self, name: str, expected: Expression) -> tuple[str, Any]:
        unit = next(s.unit for s in self.slots if s.name == name)
        if isinstance(expected, Measure):
            return name, to_ir(expected.value, unit) if unit and not expected.unit else measure(expected)
        return name, evaluate(expected, {})

    def _slot(self, parameter: Parameter) -> Slot:
        units = self.generation.units
        unit = next((units[s] for s in parameter.sorts if s in units), None)
        return Slot(
            parameter, parameter.name, parameter.variadic, tuple(s for s in parameter.sorts if s not in units), unit,
            parameter.low if parameter.low is not None or unit is None else unit.low,
            parameter.high if parameter.high is not None or unit is None else unit.high,
            parameter.optional or parameter.default is not None, not parameter.tag and not parameter.floating,
            parameter.name in self._complemented,
        )  # fmt: skip


class Vocabulary:
    """The target's own constructs, indexed by sort and by the root of their meaning."""

    def __init__(self, generation: Generation) -> None:
        self.generation = generation
        self.by_root: dict[tuple[str, Any], list[Pattern]] = {}
        self.layered: dict[str, list[Pattern]] = {}
        self.opaque: dict[tuple[str, str], Construct] = {}
        self.loosenings = by_root(generation.loosenings)
        self._found: dict[tuple[str, Any], tuple[Pattern, ...]] = {}
        # Covers of bare words, which are the same in every file.
        self.words: dict[tuple[str, tuple[str, ...]], Any] = {}
        for name in sorted(generation.constructs):
            for construct in generation.constructs[name]:
                if not construct.compat:
                    self._index(construct)

    def _index(self, construct: Construct) -> None:
        if not construct.equations:
            self.opaque[construct.sort, construct.identity] = construct
        for equation in construct.equations:
            pattern = Pattern(construct, equation, self.generation)
            if equation.one_way:
                continue
            if isinstance(equation.meaning, Sum):
                self.layered.setdefault(construct.sort, []).append(pattern)
            else:
                self.by_root.setdefault((construct.sort, root_of(equation.meaning)), []).append(pattern)

    def candidates(self, sort: str, value: Any) -> tuple[Pattern, ...]:
        """The patterns of a sort whose root could build the value."""
        key = (sort, value if isinstance(value, str) else type(value))
        found = self._found.get(key)
        if found is None:
            found = self._found[key] = (*self.by_root.get(key, ()), *self.by_root.get((sort, None), ()))
        return found


def root_of(meaning: Expression) -> Any:
    match meaning:
        case Call("stepped", _):
            return None  # what stands still between the ticks is stepped as it is
        case Call(form, _) if form in FORMS:
            return FORMS[form].cls
        case Call(form, _) if form in COLOUR_FORMS:
            return ir.Colour
        case Call("chain", _):
            return ir.Chain
        case Atom(name):
            return type(GRAINS[name]) if name in GRAINS else name
        case _:
            return None


def event_of(layer: Expression) -> str:
    """What a layer answers to, in a word."""
    match layer:
        case Call("upon", (Atom(name), *_)):
            return name
        case Call("power", _):
            return "power"
        case Call(_, arguments):
            return next((word for word in map(event_of, arguments) if word), "")
        case _:
            return ""


def complemented(meaning: Expression) -> frozenset[str]:
    """The parameters that an equation takes from 1."""
    match meaning:
        case Call("beyond", (Var(name),)):
            return frozenset((name,))
        case Call(_, parts) | Sum(parts):
            return frozenset().union(*(complemented(p) for p in parts))
        case _:
            return frozenset()
