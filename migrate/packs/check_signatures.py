"""Checks the signatures of a pack's constructs: parameters, defaults, ranges, and what can never be reached."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from migrate.packs.findings import Book, Finding
from migrate.packs.kinds import Inference, fits, named
from migrate.packs.model import Construct, Generation, Measure, Parameter, Unit, Var

TOP_SORTS = ("style", "sleeve", "paint")


class Signatures:
    """Checks the constructs that one pack states, as its generation has them."""

    def __init__(self, book: Book, generation: Generation, inference: Inference) -> None:
        self.book, self.generation, self.inference = book, generation, inference

    def check(self, constructs: list[Construct], generations: frozenset[str]) -> Iterator[Finding]:
        """Every finding, construct by construct."""
        taken = self._wanted()
        for at, construct in enumerate(constructs):
            yield from self._parameters(construct)
            yield from self._order(construct)
            yield from self._defaults(construct)
            yield from self._earlier(construct, constructs[:at])
            for other, _ in construct.differs:
                if other not in generations:
                    message = f"`{other}` is no generation at hand"
                    yield self._at(
                        construct, "pack-unknown-generation", other, message, "name one that `packs list` shows"
                    )
            if construct.sort not in taken and construct.sort not in TOP_SORTS:
                message = f"`{construct.name}` can never stand anywhere: nothing takes a `{construct.sort}`"
                hint = "give a parameter this sort, or the construct one that is taken"
                yield self._at(construct, "pack-unreachable-construct", construct.name, message, hint)
            if construct.name.endswith("*") and construct.brackets:
                message = f"`{construct.name}` stands for words, and words have no brackets"
                yield self._at(construct, "pack-words-with-brackets", construct.name, message, "leave the `(…)` out")

    def _at(self, construct: Construct, code: str, word: str, message: str, hint: str = "") -> Finding:
        return self.book.finding(code, (*construct.place, 1), word, message, hint)

    def _of(
        self, construct: Construct, parameter: Parameter, code: str, message: str, hint: str = "", word: str = ""
    ) -> Finding:
        return self.book.finding(code, (construct.place[0], *parameter.place), word, message, hint)

    def _wanted(self) -> set[str]:
        every = (p for group in self.generation.constructs.values() for c in group for p in c.parameters)
        return {sort for p in every for sort in self.generation.spread(p.sorts)}

    def _unit(self, parameter: Parameter) -> Unit | None:
        return next((self.generation.units[s] for s in parameter.sorts if s in self.generation.units), None)

    # ---- parameters -----------------------------------------------------------------------------

    def _parameters(self, construct: Construct) -> Iterator[Finding]:
        names: set[str] = set()
        tags: set[tuple[str, ...]] = set()
        for parameter in construct.parameters:
            if parameter.name in names:
                message = f"`{construct.name}` has a parameter `{parameter.name}` already"
                yield self._of(construct, parameter, "pack-doubled-parameter", message, "give one another name")
            if parameter.tag and parameter.tag in tags:
                message = f"`{construct.name}` has a parameter tagged `@{'.'.join(parameter.tag)}` already"
                yield self._of(construct, parameter, "pack-doubled-tag", message, word="@" + ".".join(parameter.tag))
            names.add(parameter.name)
            tags.add(parameter.tag)
            yield from self._ranges(construct, parameter)
        floating = [p for p in construct.parameters if p.floating]
        if len(floating) > 1:
            message = "only one parameter can be known by its sort alone (`any`)"
            yield self._of(construct, floating[1], "pack-two-floating", message, "give this one a tag")

    def _ranges(self, construct: Construct, parameter: Parameter) -> Iterator[Finding]:
        if parameter.low is None and parameter.high is None:
            return
        unit = self._unit(parameter)
        if unit is None:
            message = f"`{parameter.name}` is no number, so it has no range"
            yield self._of(construct, parameter, "pack-range-of-words", message)
            return
        low = parameter.low if parameter.low is not None else unit.low
        high = parameter.high if parameter.high is not None else unit.high
        if low is not None and high is not None and low > high:
            yield self._of(
                construct, parameter, "pack-empty-range", f"no number lies in the range of `{parameter.name}`"
            )
        below = unit.low is not None and parameter.low is not None and parameter.low < unit.low
        above = unit.high is not None and parameter.high is not None and parameter.high > unit.high
        if below or above:
            message = f"the range of `{parameter.name}` goes beyond that of its unit, {unit.low}..{unit.high}"
            yield self._of(construct, parameter, "pack-range-outside", message)

    def _order(self, construct: Construct) -> Iterator[Finding]:
        positional = [p for p in construct.parameters if not p.tag and not p.floating]
        for before, after in pairwise(positional):
            if before.variadic:
                message = f"`{after.name}` can never be given: `{before.name}…` takes all that is left"
                yield self._of(construct, after, "pack-after-list", message, "put the list last")
            elif before.default is not None and after.default is None and not after.variadic and not after.optional:
                message = f"`{after.name}` has no default, and `{before.name}` before it has one"
                yield self._of(construct, after, "pack-default-order", message, "give it a default, or put it first")

    # ---- defaults -------------------------------------------------------------------------------

    def _defaults(self, construct: Construct) -> Iterator[Finding]:
        earlier: dict[str, Parameter] = {}
        for parameter in construct.parameters:
            if parameter.default is not None:
                yield from self._default(construct, parameter, earlier)
            earlier[parameter.name] = parameter

    def _default(self, construct: Construct, parameter: Parameter, earlier: dict[str, Parameter]) -> Iterator[Finding]:
        name, default = parameter.name, parameter.default
        if parameter.optional:
            message = f"`{name}` is optional (`?`), which is to have no default"
            yield self._of(construct, parameter, "pack-optional-default", message, "leave out the `?` or the default")
        assert default is not None
        unit = self._unit(parameter)
        if isinstance(default, Var) and default.name not in earlier:
            message = f"the default of `{name}` is `{default.name}`, which comes later"
            yield self._of(
                construct, parameter, "pack-default-order", message, "a default may name what stands before it"
            )
            return
        if isinstance(default, Measure) and not default.unit and unit is not None:
            low = parameter.low if parameter.low is not None else unit.low
            high = parameter.high if parameter.high is not None else unit.high
            if (low is not None and default.value < low) or (high is not None and default.value > high):
                message = f"the default of `{name}` is {default.value}; it must be {_said(low)} to {_said(high)}"
                yield self._of(construct, parameter, "pack-default-range", message, word=str(default.value))
            return
        found = self.inference.kinds(default, earlier)
        wanted = self.inference.parameter(parameter)
        if not fits(found, wanted, word=True):
            message = f"the default of `{name}` is {named(found)}; `{name}` is {named(wanted)}"
            yield self._of(construct, parameter, "pack-default-sort", message)

    # ---- what comes too late --------------------------------------------------------------------

    def _earlier(self, construct: Construct, before: list[Construct]) -> Iterator[Finding]:
        for other in before:
            if other.name != construct.name or other.sort != construct.sort or other.brackets != construct.brackets:
                continue
            line = f"line {other.place[1]} of {other.place[0]}"
            if self._shape(other) == self._shape(construct):
                message = f"`{construct.name}` is stated already, with the same parameters, in {line}"
                yield self._at(construct, "pack-doubled-construct", construct.name, message, "leave one out")
                return
            if self._covers(other, construct):
                message = f"this `{construct.name}` is never reached: the one in {line} takes all that it takes"
                yield self._at(
                    construct, "pack-unreachable-construct", construct.name, message, "put the narrower one first"
                )
                return

    def _sorts(self, parameter: Parameter) -> frozenset[str]:
        """The sorts a parameter takes; units that are written alike count as one."""
        units = self.generation.units
        return frozenset(f"#{units[s].spelled}" if s in units else s for s in self.generation.spread(parameter.sorts))

    def _shape(self, construct: Construct) -> tuple[object, ...]:
        return tuple((p.tag, p.floating, p.variadic, p.optional, self._sorts(p)) for p in construct.parameters)

    def _covers(self, other: Construct, construct: Construct) -> bool:
        if len(other.parameters) != len(construct.parameters):
            return False
        return all(
            (a.tag, a.floating, a.variadic) == (b.tag, b.floating, b.variadic)
            and self._sorts(b) <= self._sorts(a)
            and (a.low, a.high) in ((None, None), (b.low, b.high))
            for a, b in zip(other.parameters, construct.parameters, strict=True)
        )


def _said(number: object) -> str:
    return "any" if number is None else str(number)
