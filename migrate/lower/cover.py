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
from migrate.lower.cost import Cost, Cover, better, lost
from migrate.lower.layers import Layers
from migrate.lower.match import Match, Matcher, possible
from migrate.lower.nearest import Nearest, Step
from migrate.lower.target import Number, Reference, Target, TargetValue, Use
from migrate.lower.vocabulary import Pattern, Vocabulary
from migrate.packs.equations import evaluate
from migrate.packs.model import (
    Construct,
    Equation,
    Expression,
    Measure,
    Parameter,
    Unit,
    Var,
)
from migrate.packs.units import MissingFact, from_ir, measure, rounded, spelt_of, to_ir

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
        key = (id(value), tuple(sorts))
        if key not in self._memo:
            self._memo[key] = None  # a value that covers itself through a bare-variable equation finds nothing
            self._keep.append(value)
            # What costs no loss is cheapest of all.
            found = None if self.exact is None else self.exact.cover(value, sorts)
            self._memo[key] = found or self._search(value, self.generation.spread(tuple(sorts)))
        return self._memo[key]

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
                best = better(best, self.finish(Pattern(construct, Equation(Var(""))), match, value))
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
        if not possible(pattern.equation.meaning)(value):
            return None
        best: Cover | None = None
        try:
            for match in self.matcher.match(pattern.equation.meaning, value):
                best = better(best, self.finish(pattern, match, value))
        except MissingFact as error:
            self.missing.add(error.fact)
        return best

    # ---- arguments ----------------------------------------------------------------------------

    def finish(
        self, pattern: Pattern, match: Match, value: Any, covered: Mapping[str, Cover] = MappingProxyType({})
    ) -> Cover | None:
        """The construct with each argument covered (some may be already), or None where one cannot be."""
        construct, values = pattern.construct, dict(match.values)
        if pattern.equation.guard is not None:
            name, expected = pattern.equation.guard
            guard = self._guard(construct, name, expected)
            if values.setdefault(name, guard) != guard:
                return None
        elif self._shadowed(pattern, values):
            return None
        cost = Cost(error=match.error, size=1)
        losses: list[str] = []
        arguments: list[tuple[Parameter, TargetValue]] = []
        for parameter in construct.parameters:
            if parameter.name not in values:
                if parameter.optional or parameter.default is not None:
                    continue
                return None
            inner = covered.get(parameter.name) or self._argument(parameter, values[parameter.name])
            if inner is None:
                return None
            cost += inner.cost
            losses.extend(inner.losses)
            arguments.append((parameter, inner.tree))
        kept = self._without_defaults(construct, arguments, values)
        word = str(values.get("*", ""))
        return Cover(cost, Target(construct, kept, value, word), tuple(losses))

    def _guard(self, construct: Construct, name: str, expected: Expression) -> Any:
        unit = self.unit_of(next(p for p in construct.parameters if p.name == name))
        if isinstance(expected, Measure):
            return to_ir(expected.value, unit) if unit and not expected.unit else measure(expected)
        return evaluate(expected, {})

    def _shadowed(self, pattern: Pattern, values: Mapping[str, Any]) -> bool:
        """Whether an earlier equation's guard would take these arguments when the text is read again."""
        for equation in pattern.construct.equations:
            if equation is pattern.equation:
                return False
            guard = equation.guard
            if guard is not None and guard[0] in values and values[guard[0]] == self._guard(pattern.construct, *guard):
                return True
        return False

    def _argument(self, parameter: Parameter, value: Any) -> Cover | None:
        if parameter.variadic:
            if not isinstance(value, tuple) or not value:
                return None
            covers = [self.cover(item, parameter.sorts) for item in value]
            if any(c is None for c in covers):
                return None
            found = [c for c in covers if c is not None]
            cost = Cost()
            for one in found:
                cost += one.cost
            trees = tuple(c.tree for c in found)
            return Cover(cost, trees, tuple(x for c in found for x in c.losses))  # type: ignore[arg-type]
        words = tuple(s for s in parameter.sorts if s not in self.generation.units)
        best = (self.cover(value, words) if words else None) or self._number(parameter, value)
        if best is None and not words:
            for step in self._stand_ins(value):
                inner = self._argument(parameter, step.value)
                best = better(best, None if inner is None else lost(inner, step))
                self._loosened -= 1
        return best

    def unit_of(self, parameter: Parameter) -> Unit | None:
        return next((self.generation.units[s] for s in parameter.sorts if s in self.generation.units), None)

    def _number(self, parameter: Parameter, value: Any) -> Cover | None:
        unit = self.unit_of(parameter)
        if unit is None:
            return None
        exact = from_ir(value, unit, self.blade)
        if exact is None:
            return None
        if isinstance(exact, str):
            return Cover(Cost(), Number(exact, unit))
        near, error = rounded(exact, self.generation.decimals)
        low = parameter.low if parameter.low is not None else unit.low
        high = parameter.high if parameter.high is not None else unit.high
        inside = near if low is None else max(low, near)
        inside = inside if high is None else min(high, inside)
        if (error == 1 and exact != 0) or inside != near:
            return self._clamped(parameter, unit, exact, inside)
        if unit.kind == "packed_duty" and value.encoding != "duty":
            error = Fraction(1, 510)
        return Cover(Cost(error=error), Number(near, unit, _spelling(value, near), spelt_of(value)))

    def _clamped(self, parameter: Parameter, unit: Unit, exact: Any, inside: Any) -> Cover | None:
        if self.nearest is None:
            return None
        what = f"`{parameter.name}` is {float(exact):g} and was set to {float(inside):g}, the nearest that fits"
        return Cover(Cost(loss=20), Number(inside, unit), (what,))

    def _without_defaults(
        self, construct: Construct, arguments: list[tuple[Parameter, TargetValue]], values: Mapping[str, Any]
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


def _spelling(value: Any, near: Any) -> str:
    """The source's own spelling of a number, where the number is still the same."""
    spelt = spelt_of(value)
    return spelt.texts.get(0, "") if spelt is not None and spelt.number == near else ""
