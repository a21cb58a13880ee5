"""A target's own constructs, found by what their meaning is made of."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from migrate.ir import nodes as ir
from migrate.ir.forms import COLOUR_FORMS, FORMS, GRAINS
from migrate.packs.model import Atom, Call, Construct, Equation, Expression, Generation, Sum


@dataclass(frozen=True, slots=True)
class Pattern:
    """One equation of one construct."""

    construct: Construct
    equation: Equation


class Vocabulary:
    """The target's own constructs, indexed by sort and by the root of their meaning."""

    def __init__(self, generation: Generation) -> None:
        self.generation = generation
        self.by_root: dict[tuple[str, Any], list[Pattern]] = {}
        self.layered: dict[str, list[Pattern]] = {}
        self.opaque: dict[tuple[str, str], Construct] = {}
        for name in sorted(generation.constructs):
            for construct in generation.constructs[name]:
                if not construct.compat:
                    self._index(construct)

    def _index(self, construct: Construct) -> None:
        if not construct.equations:
            self.opaque[construct.sort, construct.identity] = construct
        for equation in construct.equations:
            pattern = Pattern(construct, equation)
            if equation.one_way:
                continue
            if isinstance(equation.meaning, Sum):
                self.layered.setdefault(construct.sort, []).append(pattern)
            else:
                self.by_root.setdefault((construct.sort, root_of(equation.meaning)), []).append(pattern)

    def candidates(self, sort: str, value: Any) -> Iterator[Pattern]:
        """The patterns of a sort whose root could build the value."""
        yield from self.by_root.get((sort, value if isinstance(value, str) else type(value)), ())
        yield from self.by_root.get((sort, None), ())


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
