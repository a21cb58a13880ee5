"""The covering: the cheapest set of target constructs that says an IR style.

Dynamic programming over the tree. The cost ranks loss first, then the error of rounded numbers, then size;
a tie goes to the name that sorts first, so the order of pack files does not matter.

Where something must be lost, the search is bounded: no part is looked into for more than the whole may still lose,
given what is found already. What a bounded search finds is the cheapest of all, since loss ranks first; that it found
nothing is remembered with the bound.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from fractions import Fraction
from types import MappingProxyType
from typing import Any

from migrate.ir import nodes as ir
from migrate.ir.facts import Blade
from migrate.lower.compiled import CODE_STEP
from migrate.lower.cost import FREE, Cost, Cover, better, lost
from migrate.lower.layers import Layers
from migrate.lower.match import Match, Matcher
from migrate.lower.nearest import Nearest, Step
from migrate.lower.target import Number, Reference, Target, TargetValue, Use
from migrate.lower.vocabulary import Pattern, Slot, Vocabulary
from migrate.packs.equations import evaluate
from migrate.packs.model import (
    Equation,
    Measure,
    Parameter,
    Unit,
    Var,
)
from migrate.packs.units import MissingFact, from_ir, rounded, spelt_of

_LOOSENED_AT_MOST = 3
_CLAMPED = 20


class Coverer:
    """Covers the IR of one file with one generation's constructs.

    `named` maps the id of an IR value to the definition that it is a use of. Without `exact` nothing may be lost;
    with it, what that coverer cannot cover is covered by what stands nearest.
    """

    def __init__(
        self,
        vocabulary: Vocabulary,
        blade: Blade,
        named: Mapping[int, Use] = MappingProxyType({}),
        exact: Coverer | None = None,
        describe: Callable[[Any], str] = lambda value: type(value).__name__.lower(),
    ) -> None:
        self.describe = describe
        self.vocabulary, self.blade, self.named = vocabulary, blade, named
        self.generation = vocabulary.generation
        self.matcher = Matcher(blade)
        self.exact = exact
        self.nearest = None if exact is None else Nearest(self.matcher, vocabulary.loosenings)
        self.missing: set[str] = set()
        # Covers with the bound up to which there is no cheaper one.
        self._memo: dict[tuple[int, tuple[str, ...]], tuple[Cover | None, float]] = {}
        self._keep: list[Any] = []
        self._loosened = 0

    # ---- one value ----------------------------------------------------------------------------

    def cover(self, value: Any, sorts: Sequence[str]) -> Cover | None:
        """The cheapest cover of a value in one of the sorts, or None."""
        return self.within(value, sorts, math.inf)

    def within(self, value: Any, sorts: Sequence[str], most: float) -> Cover | None:
        """The cheapest cover of a value that loses no more than `most`, or None."""
        if type(value) is str:
            return _bounded(self._word(value, tuple(sorts)), most)
        key = (id(value), tuple(sorts))
        found, searched = self._memo.get(key, _NOTHING)
        if found is None and searched < most:
            self._keep.append(value)
            self._memo[key] = None, math.inf  # a value that covers itself through a bare variable finds nothing
            # What costs no loss is cheapest of all.
            found = None if self.exact is None else self.exact.within(value, sorts, 0)
            found = found or self._search(value, self.generation.spread(tuple(sorts)), most)
            self._memo[key] = found, most
        return _bounded(found, most)

    def _word(self, word: str, sorts: tuple[str, ...]) -> Cover | None:
        """The cover of an event, a wave or another word of the IR: it hangs on nothing of the file."""
        known = self.vocabulary.words
        if (word, sorts) not in known:
            known[word, sorts] = self._search(word, self.generation.spread(sorts), math.inf)
        return known[word, sorts]  # type: ignore[no-any-return]

    def _search(self, value: Any, sorts: tuple[str, ...], most: float) -> Cover | None:
        use = self.named.get(id(value))
        if use is not None and use.sort in sorts:
            named = self._reference(use, value, most)
            if named is not None:
                return named
        if isinstance(value, ir.Style):
            return Layers(self, value).cover(sorts, most)
        if isinstance(value, ir.Opaque):
            return self._by_name(value, sorts, most)
        best: Cover | None = None
        for sort in sorts:
            if sort not in self.generation.units:
                for pattern in self.vocabulary.candidates(sort, value):
                    if pattern.possible(value):
                        best = better(best, self._try(pattern, value, _least(best, most)))
        for step in self._stand_ins(value, most):
            # One that loses more than the best does cannot win; one that loses nothing may still be shorter.
            left = _least(best, most) - step.loss
            inner = self.within(step.value, sorts, left) if left >= 0 else None
            if inner is not None:
                best = better(best, lost(inner, step))
            self._loosened -= 1
        return best

    def _by_name(self, value: ir.Opaque, sorts: tuple[str, ...], most: float) -> Cover | None:
        """The construct that is known to be the same thing, where nothing says what it means."""
        best: Cover | None = None
        given = {
            slot: one.arguments if isinstance(one, ir.Opaque) and not one.identity else one
            for slot, one in zip(value.slots, value.arguments, strict=True)
        }
        for construct in (self.vocabulary.opaque.get((sort, value.identity)) for sort in sorts):
            if construct is not None:
                names = zip(construct.slots, construct.parameters, strict=True)
                match = Match({p.name: given[slot] for slot, p in names if slot in given})
                pattern = Pattern(construct, Equation(Var("")), self.generation)
                best = better(best, self.finish(pattern, match, value, most))
        return best

    def _stand_ins(self, value: Any, most: float) -> Iterator[Step]:
        """Stand-ins for a value, as long as not too many have been put one on the other."""
        if self.nearest is None:
            return
        for step in self.nearest.of(value, most):
            if self._loosened >= _LOOSENED_AT_MOST:
                return
            self._loosened += 1
            yield step

    def _reference(self, use: Use, value: Any, most: float) -> Cover | None:
        """The name of a definition, with its arguments covered, or None where one of them cannot be."""
        cost = Cost(size=1)
        losses: list[str] = []
        arguments: list[Target | Number | Reference | str] = []
        for argument in use.arguments:
            if isinstance(argument, (str, Number)):
                arguments.append(argument)
                continue
            inner = self.within(*argument, most - cost.loss)
            if inner is None or isinstance(inner.tree, tuple):
                return None
            cost += inner.cost
            losses.extend(inner.losses)
            arguments.append(inner.tree)
        return Cover(cost, Reference(use.name, value, tuple(arguments), use.brackets), tuple(losses))

    def _try(self, pattern: Pattern, value: Any, most: float) -> Cover | None:
        best: Cover | None = None
        try:
            for match in pattern.matches(value, self.matcher):
                best = better(best, self.finish(pattern, match, value, _least(best, most)))
        except MissingFact as error:
            self.missing.add(error.fact)
        return best

    # ---- arguments ----------------------------------------------------------------------------

    def finish(
        self,
        pattern: Pattern,
        match: Match,
        value: Any,
        most: float,
        covered: Mapping[str, Cover] = MappingProxyType({}),
    ) -> Cover | None:
        """The construct with each argument covered (some may be already), or None where `most` will not do for it."""
        values = match.values
        if pattern.guard is not None:
            name, expected = pattern.guard
            if name not in values:
                values = {**values, name: expected}
            elif values[name] != expected:
                return None
        elif any(name in values and values[name] == taken for name, taken in pattern.shadows):
            return None
        loss, error, size = 0, match.error, 1
        losses: tuple[str, ...] = ()
        arguments: list[tuple[Parameter, TargetValue]] = []
        for slot in pattern.slots:
            if slot.name not in values:
                if slot.omissible:
                    continue
                return None
            inner = covered.get(slot.name) or self._argument(slot, values[slot.name], most - loss)
            if inner is None or loss + inner.cost.loss > most:
                return None
            cost = inner.cost
            loss, size = loss + cost.loss, size + cost.size
            if cost.error:
                found = _of_the_rest(inner.tree, values[slot.name]) if slot.complemented else cost.error
                error = max(error, found)
            losses = losses + inner.losses if inner.losses else losses
            arguments.append((slot.parameter, inner.tree))
        kept = self._without_defaults(pattern, arguments, values) if pattern.has_defaults else tuple(arguments)
        word = str(values["*"]) if "*" in values else ""
        return Cover(Cost(loss, error, size), Target(pattern.construct, kept, value, word), losses)

    def _argument(self, slot: Slot, value: Any, most: float) -> Cover | None:
        if slot.variadic:
            return self._run(slot.parameter, value, most)
        best = (self.within(value, slot.words, most) if slot.words else None) or self._number(slot, value, most)
        if best is None and not slot.words:
            for step in self._stand_ins(value, most):
                inner = self._argument(slot, step.value, most - step.loss)
                best = better(best, None if inner is None else lost(inner, step))
                self._loosened -= 1
        return best

    def _run(self, parameter: Parameter, values: Any, most: float) -> Cover | None:
        """The covers of several values as one."""
        if not isinstance(values, tuple) or not values:
            return None
        cost = FREE
        trees: list[Any] = []
        losses: list[str] = []
        for item in values:
            one = self.within(item, parameter.sorts, most - cost.loss)
            if one is None:
                return None
            cost += one.cost
            trees.append(one.tree)
            losses += one.losses
        return Cover(cost, tuple(trees), tuple(losses))

    def _number(self, slot: Slot, value: Any, most: float) -> Cover | None:
        unit = slot.unit
        if unit is None:
            return None
        exact = from_ir(value, unit, self.blade)
        if exact is None:
            return None
        if isinstance(exact, str):
            return Cover(FREE, Number(exact, unit))
        decimals = 0 if unit.whole else self.generation.decimals
        near, error = (exact, 0) if isinstance(exact, int) else rounded(exact, decimals)
        inside = near if slot.low is None else max(slot.low, near)
        inside = inside if slot.high is None else min(slot.high, inside)
        if inside != near or (error == 1 and exact != 0):
            return self._clamped(slot.parameter, unit, exact, inside) if most >= _CLAMPED else None
        if unit.kind == "packed_duty" and value.encoding != "duty":
            error = CODE_STEP
        spelt = spelt_of(value)
        if spelt is None:
            return Cover(Cost(error=error) if error else FREE, Number(near, unit))
        spelling = spelt.texts.get(0, "") if spelt.number == near else ""
        return Cover(Cost(error=error) if error else FREE, Number(near, unit, spelling, spelt))

    def _clamped(self, parameter: Parameter, unit: Unit, exact: Any, inside: Any) -> Cover | None:
        if self.nearest is None:
            return None
        what = f"`{parameter.name}` is {float(exact):g} and was set to {float(inside):g}, the nearest that fits"
        return Cover(Cost(loss=_CLAMPED), Number(inside, unit), (what,))

    def _without_defaults(
        self, pattern: Pattern, arguments: list[tuple[Parameter, TargetValue]], values: Mapping[str, Any]
    ) -> tuple[tuple[Parameter, TargetValue], ...]:
        """Leaves out what equals its default, unless the source had written it; positional ones only from the end."""
        kept: list[tuple[Parameter, TargetValue]] = []
        open_end = True
        for parameter, tree in reversed(arguments):
            positional = not parameter.tag and not parameter.floating
            droppable = parameter.default is not None and (open_end or not positional)
            if droppable and self._is_default(parameter, tree, values):
                continue
            if positional:
                open_end = False
            kept.append((parameter, tree))
        return tuple(reversed(kept))

    def _is_default(self, parameter: Parameter, tree: TargetValue, values: Mapping[str, Any]) -> bool:
        value, default = values[parameter.name], parameter.default
        if spelt_of(value) is not None:
            return False
        if isinstance(tree, Number):
            return isinstance(default, Measure) and not default.unit and default.value == tree.value
        if isinstance(default, Var):
            return bool(values.get(default.name) == value)
        return default is not None and evaluate(default, {}) == value


_NOTHING: tuple[None, float] = (None, -1)


def _bounded(cover: Cover | None, most: float) -> Cover | None:
    return cover if cover is not None and cover.cost.loss <= most else None


def _least(best: Cover | None, most: float) -> float:
    """What a further cover may lose."""
    return most if best is None else min(most, best.cost.loss)


def _of_the_rest(tree: TargetValue, value: Any) -> Any:
    """The rounding of a share, told of what is left to 1."""
    assert isinstance(tree, Number) and not isinstance(tree.value, str)
    rest = 1 - Fraction(value)
    return abs(Fraction(tree.value) / tree.unit.scale - value) / rest if rest else 0
