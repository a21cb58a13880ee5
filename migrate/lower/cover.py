"""The covering: the cheapest set of target constructs that says an IR style.

Dynamic programming over the tree. The cost ranks loss first, then the error of rounded numbers, then size;
a tie goes to the name that sorts first, so the order of pack files does not matter.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from types import MappingProxyType
from typing import Any

from migrate.ir import nodes as ir
from migrate.ir.facts import Blade
from migrate.ir.forms import COLOUR_FORMS, FORMS, GRAINS
from migrate.ir.normal import spread_ground
from migrate.ir.walk import holds_noise
from migrate.lower.match import START, Match, Matcher
from migrate.lower.nearest import Nearest, Step, representative
from migrate.lower.target import Number, Reference, Target, TargetValue, Use
from migrate.packs.equations import evaluate, variables
from migrate.packs.model import Atom, Call, Construct, Equation, Expression, Generation, Measure, Parameter, Sum, Unit, Var
from migrate.packs.units import MissingFact, from_ir, measure, plain, rounded, spelt_of, to_ir


@dataclass(frozen=True, slots=True, order=True)
class Cost:
    """What a cover gives up: lost meaning, then the largest relative rounding, then constructs used."""

    loss: int = 0
    error: Fraction = Fraction(0)
    size: int = 0

    def __add__(self, other: Cost) -> Cost:
        return Cost(self.loss + other.loss, max(self.error, other.error), self.size + other.size)


@dataclass(frozen=True, slots=True)
class Cover:
    """A target tree (or a run of them) and its cost; `losses` says in words what is lost."""

    cost: Cost
    tree: TargetValue
    losses: tuple[str, ...] = ()


_LOOSENED_AT_MOST = 3


def _lost(cover: Cover, step: Step) -> Cover:
    """A cover of a stand-in, with what standing in costs."""
    what = (step.what, *cover.losses) if step.what else cover.losses
    return Cover(cover.cost + Cost(loss=step.loss), cover.tree, what)


@dataclass(frozen=True, slots=True)
class _Pattern:
    construct: Construct
    equation: Equation


class Vocabulary:
    """The target's own constructs, indexed by sort and by the root of their meaning."""

    def __init__(self, generation: Generation) -> None:
        self.generation = generation
        self.by_root: dict[tuple[str, Any], list[_Pattern]] = {}
        self.layered: dict[str, list[_Pattern]] = {}
        for name in sorted(generation.constructs):
            for construct in generation.constructs[name]:
                if not construct.compat:
                    self._index(construct)

    def _index(self, construct: Construct) -> None:
        for equation in construct.equations:
            pattern = _Pattern(construct, equation)
            if equation.one_way:
                continue
            if isinstance(equation.meaning, Sum):
                self.layered.setdefault(construct.sort, []).append(pattern)
            else:
                self.by_root.setdefault((construct.sort, _root(equation.meaning)), []).append(pattern)

    def candidates(self, sort: str, value: Any) -> Iterator[_Pattern]:
        """The patterns of a sort whose root could build the value."""
        yield from self.by_root.get((sort, value if isinstance(value, str) else type(value)), ())
        yield from self.by_root.get((sort, None), ())


def _root(meaning: Expression) -> Any:
    match meaning:
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


class Coverer:
    """Covers the IR of one file with one generation's constructs.

    `named` maps the id of an IR value to the definition that it is a use of.
    """

    def __init__(
        self,
        vocabulary: Vocabulary,
        blade: Blade,
        named: Mapping[int, Use] = MappingProxyType({}),
        lossy: bool = False,
        describe: Callable[[Any], str] = lambda value: type(value).__name__.lower(),
    ) -> None:
        self.describe = describe
        self.vocabulary, self.blade, self.named = vocabulary, blade, named
        self.generation = vocabulary.generation
        self.matcher = Matcher(blade)
        self.nearest = Nearest(self.matcher, self.generation.loosenings) if lossy else None
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
            self._memo[key] = self._search(value, self.generation.spread(tuple(sorts)))
        return self._memo[key]

    def _search(self, value: Any, sorts: tuple[str, ...]) -> Cover | None:
        use = self.named.get(id(value))
        if use is not None and use.sort in sorts:
            named = self._reference(use, value)
            if named is not None:
                return named
        if isinstance(value, ir.Style):
            return Layers(self, value).cover(sorts)
        best: Cover | None = None
        for sort in sorts:
            if sort not in self.generation.units:
                for pattern in self.vocabulary.candidates(sort, value):
                    best = self._better(best, self._try(pattern, value))
        if best is None or best.cost.loss:
            for step in self._stand_ins(value):
                inner = self.cover(step.value, sorts)
                if inner is not None:
                    best = self._better(best, _lost(inner, step))
                self._loosened -= 1
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
        cost, losses = Cost(size=1), []
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

    @staticmethod
    def _better(one: Cover | None, other: Cover | None) -> Cover | None:
        if one is None or other is None:
            return one or other
        return min(one, other, key=lambda c: (c.cost, _name(c.tree)))

    def _try(self, pattern: _Pattern, value: Any) -> Cover | None:
        best: Cover | None = None
        try:
            for match in self.matcher.match(pattern.equation.meaning, value):
                best = self._better(best, self.finish(pattern, match, value))
        except MissingFact as error:
            self.missing.add(error.fact)
        return best

    # ---- arguments ----------------------------------------------------------------------------

    def finish(
        self, pattern: _Pattern, match: Match, value: Any, covered: Mapping[str, Cover] = MappingProxyType({})
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
        unit = self._unit(next(p for p in construct.parameters if p.name == name))
        if isinstance(expected, Measure):
            return to_ir(expected.value, unit) if unit and not expected.unit else measure(expected)
        return evaluate(expected, {})

    def _shadowed(self, pattern: _Pattern, values: Mapping[str, Any]) -> bool:
        """Whether an earlier equation's guard would take these arguments when the text is read again."""
        for equation in pattern.construct.equations:
            if equation is pattern.equation:
                return False
            if equation.guard is not None and equation.guard[0] in values:
                if values[equation.guard[0]] == self._guard(pattern.construct, *equation.guard):
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
                best = self._better(best, None if inner is None else _lost(inner, step))
                self._loosened -= 1
        return best

    def _unit(self, parameter: Parameter) -> Unit | None:
        return next((self.generation.units[s] for s in parameter.sorts if s in self.generation.units), None)

    def _number(self, parameter: Parameter, value: Any) -> Cover | None:
        unit = self._unit(parameter)
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
        if error == 1 and exact != 0 or inside != near:
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


def _name(tree: TargetValue) -> str:
    if isinstance(tree, Target):
        return tree.name
    return tree.name if isinstance(tree, Reference) else ""


# ---- styles -------------------------------------------------------------------------------------

_DROPPED_SHEET, _DROPPED_POWER, _FILLED_SLOT = 100, 150, 60
_FOLDS = 6


class Layers:
    """Covers a style: a ground and a run of layers, taken from the end by wrappers, or whole by a list or a record."""

    def __init__(self, coverer: Coverer, style: ir.Style) -> None:
        self.coverer, self.style = coverer, style
        ground, first = spread_ground(style)
        self.sheets = (*first, *style.sheets)
        self.layers: tuple[Any, ...] = (*self.sheets, *((style.power,) if style.power else ()))
        self._memo: dict[tuple[int, tuple[str, ...]], Cover | None] = {}
        # The ground with none, one, two … of the first sheets in it; as the source had it, the same object.
        self._folds: list[Any] = [ground]
        self._as_written = len(first)

    def cover(self, sorts: tuple[str, ...]) -> Cover | None:
        """The cheapest cover of the whole style in one of the sorts."""
        return self._prefix(len(self.layers), sorts)

    def _prefix(self, count: int, sorts: Sequence[str]) -> Cover | None:
        """The ground with the first `count` layers."""
        sorts = self.coverer.generation.spread(tuple(sorts))
        key = (count, sorts)
        if key not in self._memo:
            self._memo[key] = None
            self._memo[key] = self._search(count, sorts)
        return self._memo[key]

    def _search(self, count: int, sorts: tuple[str, ...]) -> Cover | None:
        coverer = self.coverer
        best: Cover | None = None
        plain_sorts = tuple(s for s in sorts if s not in coverer.vocabulary.layered)
        ground = self._folded(count)
        if plain_sorts and ground is not None:
            best = coverer.cover(ground, plain_sorts)
        for sort in sorts:
            for pattern in coverer.vocabulary.layered.get(sort, ()):
                best = coverer._better(best, self._layered(pattern, count))
        if coverer.nearest is not None and count:
            inner = self._prefix(count - 1, sorts)
            if inner is not None:
                layer = self.layers[count - 1]
                loss = _DROPPED_POWER if isinstance(layer, ir.Power) else _DROPPED_SHEET
                cost = inner.cost + Cost(loss=loss)
                best = coverer._better(best, Cover(cost, inner.tree, (*inner.losses, f"left out: {self.coverer.describe(layer)}")))
        return best

    def _folded(self, count: int) -> Any:
        """The ground with its first `count` sheets folded into it as blends, or None where they are no plain sheets."""
        if count == self._as_written:
            return self.style.ground
        if count > self._as_written + _FOLDS or count > len(self.sheets):
            return None
        while len(self._folds) <= count:
            sheet = self.sheets[len(self._folds) - 1]
            below = self._folds[-1]
            plain_over = below is not None and sheet.operator == "over"
            self._folds.append(ir.Blend(below, sheet.paint, sheet.weight) if plain_over else None)
        return self._folds[count]

    def _layered(self, pattern: _Pattern, count: int) -> Cover | None:
        assert isinstance(pattern.equation.meaning, Sum)
        base, *layers = pattern.equation.meaning.parts
        if not isinstance(base, Var):
            return None
        parameters = {p.name: p for p in pattern.construct.parameters}
        if len(layers) == 1 and isinstance(layers[0], Var):
            return self._list(pattern, count, parameters[base.name], parameters[layers[0].name])
        best: Cover | None = None
        slack = len(layers) if self.coverer.nearest is not None else 0
        for start in range(max(0, count - len(layers) - slack), count + 1 if slack else max(0, count - len(layers)) + 1):
            run = self.layers[start:count]
            if slack or len(run) == len(layers):
                for found in self._align(layers, run, START, (), 0, pattern):
                    best = self.coverer._better(best, self._wrapped(pattern, base, start, found))
        return best

    def _list(self, pattern: _Pattern, count: int, base: Parameter, layer: Parameter) -> Cover | None:
        """A ground and a list: the layers one by one; the first of them may be folded into the ground."""
        best: Cover | None = None
        covered: list[Cover | None] = [self._layer(x, layer) for x in self.layers[:count]]
        # On a tie the first found stays: what the source held in its ground stays there.
        for start in sorted(range(count + 1), key=lambda n: (n != self._as_written, n)):
            ground = self._prefix(start, base.sorts)
            rest = covered[start:]
            if ground is None or any(c is None for c in rest):
                continue
            cost, losses = ground.cost + Cost(size=1), list(ground.losses)
            trees = []
            for one in rest:
                assert one is not None
                cost += one.cost
                losses.extend(one.losses)
                if one.tree:
                    trees.append(one.tree)
            if trees or layer.optional:
                rest_of = ((layer, tuple(trees)),) if trees else ()
                tree = Target(pattern.construct, ((base, ground.tree), *rest_of), self.style)  # type: ignore[arg-type]
                best = self.coverer._better(best, Cover(cost, tree, tuple(losses)))
        return best

    def _layer(self, value: Any, parameter: Parameter) -> Cover | None:
        found = self.coverer.cover(value, parameter.sorts)
        if found is None and self.coverer.nearest is not None:
            loss = _DROPPED_POWER if isinstance(value, ir.Power) else _DROPPED_SHEET
            return Cover(Cost(loss=loss), (), (f"left out: {self.coverer.describe(value)}",))
        return found

    def _align(
        self, patterns: Sequence[Expression], run: Sequence[Any], match: Match, losses: tuple[str, ...], loss: int,
        owner: _Pattern,
    ) -> Iterator[tuple[Match, tuple[str, ...], int]]:  # fmt: skip
        """Every way to lay the record's layers on the run; where loss is allowed, either side may skip."""
        if not patterns and not run:
            yield match, losses, loss
            return
        if patterns and run:
            try:
                for found in self.coverer.matcher.match(patterns[0], run[0], match):
                    yield from self._align(patterns[1:], run[1:], found, losses, loss, owner)
                for step in self._stood_in(run[0]):
                    for found in self.coverer.matcher.match(patterns[0], step.value, match):
                        said = (*losses, step.what) if step.what else losses
                        yield from self._align(patterns[1:], run[1:], found, said, loss + step.loss, owner)
            except MissingFact as error:
                self.coverer.missing.add(error.fact)
        if self.coverer.nearest is None:
            return
        if run:
            what, cost = f"left out: {self.coverer.describe(run[0])}", _DROPPED_SHEET
            if isinstance(run[0], ir.Power):
                cost = _DROPPED_POWER
            yield from self._align(patterns, run[1:], match, (*losses, what), loss + cost, owner)
        if patterns:
            filled = self._filled(patterns[0], match, owner)
            if filled is not None:
                what = f"added, since every {owner.construct.name} has it: {_event(patterns[0])}"
                yield from self._align(patterns[1:], run, filled, (*losses, what), loss + _FILLED_SLOT, owner)

    def _stood_in(self, layer: Any) -> Iterator[Step]:
        """The stand-ins of a layer, and theirs."""
        if self.coverer.nearest is not None:
            for step in self.coverer.nearest.of(layer):
                yield step
                for further in self.coverer.nearest.of(step.value):
                    yield Step(further.value, step.loss + further.loss, f"{step.what}; {further.what}")

    def _filled(self, pattern: Expression, match: Match, owner: _Pattern) -> Match | None:
        """Bindings for a slot that the style does not have: as little to be seen as can be."""
        values = dict(match.values)
        for name in sorted(variables(pattern)):
            parameter = next(p for p in owner.construct.parameters if p.name == name)
            unit = self.coverer._unit(parameter)
            if name in values:
                continue
            if unit is not None and unit.kind == "time":
                values[name] = 0
            else:
                bare = "paint" in parameter.sorts and not holds_noise(self.style.ground)
                values[name] = self.style.ground if bare else representative(self.style.ground)
        return replace(match, values=values)

    def _wrapped(
        self, pattern: _Pattern, base: Var, start: int, found: tuple[Match, tuple[str, ...], int]
    ) -> Cover | None:
        match, losses, loss = found
        parameter = next(p for p in pattern.construct.parameters if p.name == base.name)
        inner = self._prefix(start, parameter.sorts)
        if inner is None:
            return None
        below = Match({**match.values, base.name: None}, match.error)
        outer = self.coverer.finish(pattern, below, self.style, {base.name: inner})
        if outer is None:
            return None
        return Cover(outer.cost + Cost(loss=loss), outer.tree, (*outer.losses, *losses))


def _event(pattern: Expression) -> str:
    """What a layer of a record answers to, in a word."""
    match pattern:
        case Call("upon", (Atom(name), *_)):
            return name
        case Call("power", _):
            return "power"
        case Call(_, arguments):
            return next((word for word in map(_event, arguments) if word), "")
        case _:
            return ""
