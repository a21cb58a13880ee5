"""The covering: the cheapest set of target constructs that says an IR style.

Dynamic programming over the tree. The cost ranks loss first, then the error of rounded numbers, then size;
a tie goes to the name that sorts first, so the order of pack files does not matter.
"""

from __future__ import annotations

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
        self.nearest = None if exact is None else Nearest(self.matcher, self.generation.loosenings)
        self.missing: set[str] = set()
        self._memo: dict[tuple[int, tuple[str, ...]], Cover | None] = {}
        self._keep: list[Any] = []
        self._loosened = 0

    # ---- one value ----------------------------------------------------------------------------

    def cover(self, value: Any, sorts: Sequence[str]) -> Cover | None:
        """The cheapest cover of a value in one of the sorts, or None."""
        if type(value) is str:
            return self._word(value, tuple(sorts))
        key = (id(value), tuple(sorts))
        if key not in self._memo:
            self._memo[key] = None  # a value that covers itself through a bare-variable equation finds nothing
            self._keep.append(value)
            # What costs no loss is cheapest of all.
            found = None if self.exact is None else self.exact.cover(value, sorts)
            self._memo[key] = found or self._search(value, self.vocabulary.spread(tuple(sorts)))
        return self._memo[key]

    def _word(self, word: str, sorts: tuple[str, ...]) -> Cover | None:
        """The cover of an event, a wave or another word of the IR: it hangs on nothing of the file."""
        known = self.vocabulary.words
        if (word, sorts) not in known:
            known[word, sorts] = self._search(word, self.vocabulary.spread(sorts))
        return known[word, sorts]  # type: ignore[no-any-return]

    def _search(self, value: Any, sorts: tuple[str, ...]) -> Cover | None:
        use = self.named.get(id(value))
        if use is not None and use.sort in sorts:
            named = self._reference(use, value)
            if named is not None:
                return named
        if isinstance(value, ir.Style):
            return Layers(self, value).cover(sorts)
        if isinstance(value, ir.Opaque):
            return self._by_name(value, sorts)
        best: Cover | None = None
        for sort in sorts:
            if sort not in self.generation.units:
                for pattern in self.vocabulary.candidates(sort, value):
                    if pattern.possible(value):
                        best = better(best, self._try(pattern, value))
        for step in self._stand_ins(value):
            # One that loses more than the best does cannot win; one that loses nothing may still be shorter.
            inner = self.cover(step.value, sorts) if best is None or step.loss <= best.cost.loss else None
            if inner is not None:
                best = better(best, lost(inner, step))
            self._loosened -= 1
        return best

    def _by_name(self, value: ir.Opaque, sorts: tuple[str, ...]) -> Cover | None:
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
                best = better(best, self.finish(Pattern(construct, Equation(Var("")), self.generation), match, value))
        return best

    def _stand_ins(self, value: Any) -> Iterator[Step]:
        """Stand-ins for a value, as long as not too many have been put one on the other."""
        if self.nearest is None:
            return
        for step in self.nearest.of(value):
            if self._loosened >= _LOOSENED_AT_MOST:
                return
            self._loosened += 1
            yield step

    def _reference(self, use: Use, value: Any) -> Cover | None:
        """The name of a definition, with its arguments covered, or None where one of them cannot be."""
        cost = Cost(size=1)
        losses: list[str] = []
        arguments: list[Target | Number | Reference | str] = []
        for argument in use.arguments:
            if isinstance(argument, (str, Number)):
                arguments.append(argument)
                continue
            inner = self.cover(*argument)
            if inner is None or isinstance(inner.tree, tuple):
                return None
            cost += inner.cost
            losses.extend(inner.losses)
            arguments.append(inner.tree)
        return Cover(cost, Reference(use.name, value, tuple(arguments), use.brackets), tuple(losses))

    def _try(self, pattern: Pattern, value: Any) -> Cover | None:
        best: Cover | None = None
        try:
            for match in pattern.matches(value, self.matcher):
                best = better(best, self.finish(pattern, match, value))
        except MissingFact as error:
            self.missing.add(error.fact)
        return best

    # ---- arguments ----------------------------------------------------------------------------

    def finish(
        self, pattern: Pattern, match: Match, value: Any, covered: Mapping[str, Cover] = MappingProxyType({})
    ) -> Cover | None:
        """The construct with each argument covered (some may be already), or None where one cannot be."""
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
            inner = covered.get(slot.name) or self._argument(slot, values[slot.name])
            if inner is None:
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

    def _argument(self, slot: Slot, value: Any) -> Cover | None:
        if slot.variadic:
            return self._run(slot.parameter, value)
        best = (self.cover(value, slot.words) if slot.words else None) or self._number(slot, value)
        if best is None and not slot.words:
            for step in self._stand_ins(value):
                inner = self._argument(slot, step.value)
                best = better(best, None if inner is None else lost(inner, step))
                self._loosened -= 1
        return best

    def _run(self, parameter: Parameter, values: Any) -> Cover | None:
        """The covers of several values as one."""
        if not isinstance(values, tuple) or not values:
            return None
        cost = FREE
        trees: list[Any] = []
        losses: list[str] = []
        found = [self.cover(item, parameter.sorts) for item in values]
        for one in found:
            if one is None:
                return None
            cost += one.cost
            trees.append(one.tree)
            losses += one.losses
        return Cover(cost, tuple(trees), tuple(losses))

    def unit_of(self, parameter: Parameter) -> Unit | None:
        return next((self.generation.units[s] for s in parameter.sorts if s in self.generation.units), None)

    def _number(self, slot: Slot, value: Any) -> Cover | None:
        unit = slot.unit
        if unit is None:
            return None
        exact = from_ir(value, unit, self.blade)
        if exact is None:
            return None
        if isinstance(exact, str):
            return Cover(FREE, Number(exact, unit))
        near, error = (exact, 0) if isinstance(exact, int) else rounded(exact, self.generation.decimals)
        inside = near if slot.low is None else max(slot.low, near)
        inside = inside if slot.high is None else min(slot.high, inside)
        if inside != near or (error == 1 and exact != 0):
            return self._clamped(slot.parameter, unit, exact, inside)
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
        return Cover(Cost(loss=20), Number(inside, unit), (what,))

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


def _of_the_rest(tree: TargetValue, value: Any) -> Any:
    """The rounding of a share, told of what is left to 1."""
    assert isinstance(tree, Number) and not isinstance(tree.value, str)
    rest = 1 - Fraction(value)
    return abs(Fraction(tree.value) / tree.unit.scale - value) / rest if rest else 0
