"""Signatures made ready for reading: what each argument takes, where it goes, and what the whole comes to.

All of it follows from a generation's pack. It is worked out once for each construct, since a file asks for it at
every application.
"""

from __future__ import annotations

from collections.abc import Mapping
from difflib import SequenceMatcher, get_close_matches
from types import MappingProxyType
from typing import Any, NamedTuple

from migrate.arithmetic import literal
from migrate.packs.equations import Building, building, variables
from migrate.packs.model import Construct, Generation, Measure, Parameter, Unit, Var
from migrate.packs.units import Spelt, to_ir, written
from migrate.recent import Recent

_MOST_NAMES = 4096
_ALIKE = 0.6  # from where one word may be a slip for another, as difflib has it
_UNSPELT: Mapping[int, str] = MappingProxyType({})


class Place(NamedTuple):
    """A parameter with what reading its argument asks for.

    `sorts` are those of expressions, `unit` that of a number, `low` and `high` the number's bounds. `default` builds
    what it is when left out, from the values of those before it.
    """

    parameter: Parameter
    name: str
    sorts: tuple[str, ...]
    unit: Unit | None
    low: Any
    high: Any
    default: Building | None


class Meaning(NamedTuple):
    """One equation: it holds where just the optional parameters `mentions` are given, and the guard is met.

    `number` where all it comes to is the number that one parameter was given.
    """

    build: Building
    number: bool
    mentions: frozenset[str]
    guard: tuple[str, Building] | None


class Signature(NamedTuple):
    """A construct's parameters by the way they are written, and its equations in order."""

    construct: Construct
    places: tuple[Place, ...]
    tagged: Mapping[str, tuple[Parameter, ...]]
    floating: tuple[Parameter, ...]
    positional: tuple[Parameter, ...]
    required: frozenset[str]
    named: tuple[Parameter, ...]
    optional: frozenset[str]
    meanings: tuple[Meaning, ...]


class Signatures:
    """What the reader of files asks a generation for, each answer kept."""

    def __init__(self, generation: Generation) -> None:
        self.generation = generation
        self._of: dict[int, Signature] = {}
        self._bare: dict[str, str] = {}
        self._heads: dict[tuple[str, tuple[str, ...]], bool] = {}
        self._literals: dict[tuple[int, str], tuple[Any, Any]] = {}
        self._near: dict[str, list[str]] = {}
        self._words: dict[tuple[str, ...], tuple[str, ...]] = {}

    def of(self, construct: Construct) -> Signature:
        """A construct's signature."""
        found = self._of.get(id(construct))  # the generation keeps its constructs, and so their ids
        if found is None:
            found = self._of[id(construct)] = self._made(construct)
        return found

    def bare(self, name: str) -> str:
        """The name without white space, a leading `::` and the generation's own namespace."""
        found = self._bare.get(name)
        if found is None:
            found = "".join(name.split()).removeprefix("::")
            if self.generation.namespace:
                found = found.removeprefix(f"{self.generation.namespace}::")
            _keep(self._bare, name, found)
        return found

    def constructs(self, name: str) -> tuple[Construct, ...]:
        """The signatures of a bare name, or those of the family that it belongs to."""
        found = self.generation.constructs.get(name, ())
        if not found and "::" in name:
            found = self.generation.constructs.get(f"{name.rpartition('::')[0]}::*", ())
        return found

    def heads(self, name: str, sorts: tuple[str, ...]) -> bool:
        """Whether a construct of that name is of one of the sorts."""
        found = self._heads.get((name, sorts))
        if found is None:
            found = any(c.sort in sorts for c in self.constructs(name))
            _keep(self._heads, (name, sorts), found)
        return found

    def near(self, name: str) -> list[str]:
        """The constructs whose names are most like one, at most three."""
        found = self._near.get(name)
        if found is None:
            found = get_close_matches(name, self.generation.constructs, 3)
            _keep(self._near, name, found)
        return found

    def words(self, sorts: tuple[str, ...], like: str = "") -> list[str]:
        """The words that these sorts consist of, those most like a given one first; empty where a sort has more."""
        names = self._words.get(sorts)
        if names is None:
            found = [c for group in self.generation.constructs.values() for c in group if c.sort in sorts]
            closed = not any(c.brackets or c.name.endswith("*") for c in found)
            own = dict.fromkeys(c.name for c in found if not c.compat) or dict.fromkeys(c.name for c in found)
            names = self._words[sorts] = tuple(own) if closed else ()
        word = like.rpartition("::")[2]
        near = {name: SequenceMatcher(None, word, name.rpartition("::")[2]).ratio() for name in names}
        return sorted(names, key=lambda name: -near[name] if near[name] >= _ALIKE else 0.0)

    def literal(self, text: str, place: Place) -> Any:
        """What a number literal stands for as an argument, or None where it does not fit, for whatever reason."""
        unit = place.unit
        assert unit is not None
        found = self._literals.get((id(unit), text))  # two units can share a name
        if found is None:
            number = literal(text)
            if number is None or unit.kind == "css_name":
                return None
            found = number, written(to_ir(number, unit), Spelt(number, _UNSPELT), unit)
            _keep(self._literals, (id(unit), text), found)
        number, value = found
        small = place.low is not None and number < place.low
        if small or (place.high is not None and number > place.high):
            return None
        return None if unit.whole and type(number) is not int else value

    def _made(self, construct: Construct) -> Signature:
        parameters = construct.parameters
        tagged: dict[str, tuple[Parameter, ...]] = {}
        for parameter in parameters:
            if parameter.tag:
                tagged[parameter.tag[0]] = (*tagged.get(parameter.tag[0], ()), parameter)
        positional = tuple(p for p in parameters if not p.tag and not p.floating)
        optional = frozenset(p.name for p in parameters if p.optional and not p.variadic)
        measured = {p.name for p in parameters if any(sort in self.generation.units for sort in p.sorts)}
        return Signature(
            construct,
            tuple(map(self._place, parameters)),
            tagged,
            tuple(p for p in parameters if p.floating),
            positional,
            frozenset(p.name for p in positional if p.default is None and not p.optional and not p.variadic),
            tuple(p for p in parameters if (p.tag or p.floating) and not p.optional and p.default is None),
            optional,
            tuple(
                Meaning(
                    building(e.meaning),
                    isinstance(e.meaning, Var) and e.meaning.name in measured,
                    optional & variables(e.meaning),
                    None if e.guard is None else (e.guard[0], building(e.guard[1])),
                )
                for e in construct.equations
            ),
        )

    def _place(self, parameter: Parameter) -> Place:
        units = self.generation.units
        unit = next((units[s] for s in parameter.sorts if s in units), None)
        low = parameter.low if parameter.low is not None or unit is None else unit.low
        high = parameter.high if parameter.high is not None or unit is None else unit.high
        sorts = self.generation.spread(tuple(s for s in parameter.sorts if s not in units))
        return Place(parameter, parameter.name, sorts, unit, low, high, _default(parameter, unit))


def _default(parameter: Parameter, unit: Unit | None) -> Building | None:
    """What a parameter is when left out: a bare number is read in its unit."""
    default = parameter.default
    if default is None:
        return None
    if isinstance(default, Measure) and not default.unit and unit is not None:
        value = to_ir(default.value, unit)
        return lambda _: value
    return building(default)


def _keep(memory: dict[Any, Any], key: Any, value: Any) -> None:
    """Keeps an answer; a memory that grew too large, by an archive of thousands, starts again."""
    if len(memory) >= _MOST_NAMES:
        memory.clear()
    memory[key] = value


_KNOWN: Recent[int, Signatures] = Recent(32)


def signatures_of(generation: Generation) -> Signatures:
    """The signatures of a generation, made once while it is in use."""
    return _KNOWN.get(id(generation), lambda: Signatures(generation))
