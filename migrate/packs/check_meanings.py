"""Checks equations: names, sorts and units of their parts, reading backwards, and what two of them say alike."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from migrate.packs.check_facts import near
from migrate.packs.equations import variables
from migrate.packs.findings import Book, Finding
from migrate.packs.kinds import QUANTITIES, WORD_KINDS, Inference, Kinds, expected, fits, named
from migrate.packs.model import Atom, Call, Construct, Equation, Expression, Less, Measure, Parameter, Scaled, Sum, Var

_LAYERS: Kinds = frozenset({"layer", "list of layer"})
_BASES: Kinds = frozenset({"paint", "style"})


class Meanings:
    """Checks the equations of one pack's constructs."""

    def __init__(self, book: Book, inference: Inference) -> None:
        self.book, self.inference = book, inference

    def check(self, constructs: list[Construct]) -> Iterator[Finding]:
        """Every finding, equation by equation, then what two constructs say alike."""
        first: dict[str, tuple[Construct, Kinds]] = {}
        for construct in constructs:
            before: list[Equation] = []
            for equation in construct.equations:
                yield from self._equation(construct, equation)
                yield from self._reached(construct, equation, before)
                before.append(equation)
            yield from self._unused(construct)
            yield from self._same_sort(construct, first)
        yield from self._overlaps(constructs)

    def _at(
        self, construct: Construct, equation: Equation, code: str, word: str, message: str, hint: str = ""
    ) -> Finding:
        return self.book.finding(code, (construct.place[0], *equation.place), word, message, hint)

    # ---- names and sorts ------------------------------------------------------------------------

    def _equation(self, construct: Construct, equation: Equation) -> Iterator[Finding]:
        parameters = {p.name: p for p in construct.parameters}
        yield from self._expression(construct, equation, equation.meaning, parameters)
        if equation.guard is not None:
            yield from self._guard(construct, equation, parameters)
        if not equation.one_way:
            yield from self._backwards(construct, equation, parameters)

    def _expression(
        self, construct: Construct, equation: Equation, part: Expression, parameters: Mapping[str, Parameter]
    ) -> Iterator[Finding]:
        match part:
            case Atom(name) if name not in WORD_KINDS:
                message = f"`{name}` is no parameter of `{construct.name}` and no word of the IR"
                hint = near(name, [*parameters, *WORD_KINDS])
                yield self._at(construct, equation, "pack-unknown-name", name, message, hint)
            case Sum(parts):
                yield from self._sum(construct, equation, parts, parameters)
            case Call(form, arguments):
                for argument in arguments:
                    yield from self._expression(construct, equation, argument, parameters)
                yield from self._call(construct, equation, form, arguments, parameters)

    def _sum(
        self,
        construct: Construct,
        equation: Equation,
        parts: tuple[Expression, ...],
        parameters: Mapping[str, Parameter],
    ) -> Iterator[Finding]:
        for number, part in enumerate(parts):
            yield from self._expression(construct, equation, part, parameters)
            found, wanted = self.inference.kinds(part, parameters), _LAYERS if number else _BASES
            if not fits(found, wanted):
                role = "a layer is added with `+`" if number else "a style begins with its base, a paint or a style"
                message = f"{_shown(part)} is {named(found)}; {role}"
                yield self._at(construct, equation, "pack-sort-mismatch", _word(part), message)

    def _call(
        self, construct: Construct, equation: Equation, form: str, given: tuple[Expression, ...],
        parameters: Mapping[str, Parameter],
    ) -> Iterator[Finding]:  # fmt: skip
        wanted = expected(form, len(given))
        if wanted is None:
            message = f"`{form}` does not take {len(given)} argument{'s' if len(given) != 1 else ''}"
            yield self._at(construct, equation, "pack-argument-count", form, message, _form_hint(form))
            return
        for argument, (field, kinds) in zip(given, wanted, strict=True):
            found = self.inference.kinds(argument, parameters)
            if "any" in kinds or fits(found, kinds, isinstance(argument, Atom)):
                continue
            place = self.book.find(construct.place[0], *equation.place, form)
            message = f"{_shown(argument)} is {named(found)}; `{form}` takes {named(kinds)} as its `{field}`"
            yield self.book.finding(
                _code(found, kinds, argument), (construct.place[0], *place), _word(argument), message
            )

    def _guard(
        self, construct: Construct, equation: Equation, parameters: Mapping[str, Parameter]
    ) -> Iterator[Finding]:
        assert equation.guard is not None
        name, value = equation.guard
        if name not in parameters:
            message = f"`{name}` is no parameter of `{construct.name}`"
            yield self._at(construct, equation, "pack-unknown-parameter", name, message, near(name, parameters))
            return
        found, wanted = self.inference.kinds(value, parameters), self.inference.parameter(parameters[name])
        bare = isinstance(value, Measure) and not value.unit and bool(wanted & QUANTITIES)
        if not bare and not fits(found, wanted, isinstance(value, Atom)):
            message = f"`{name}` is {named(wanted)} and can never be {named(found)}"
            yield self._at(construct, equation, "pack-guard-sort", "when", message)

    # ---- backwards ------------------------------------------------------------------------------

    def _backwards(
        self, construct: Construct, equation: Equation, parameters: Mapping[str, Parameter]
    ) -> Iterator[Finding]:
        said = "this equation cannot be read backwards"
        for why, word in _irreversible(equation.meaning, parameters):
            hint = 'write it so that it can, or add `one way: "why"`'
            yield self._at(construct, equation, "pack-not-both-ways", word, f"{said}: {why}", hint)
        bound = variables(equation.meaning) | ({equation.guard[0]} if equation.guard else set())
        elsewhere = frozenset().union(*(variables(e.meaning) for e in construct.equations))
        for name, parameter in parameters.items():
            if name not in bound and name in elsewhere and not parameter.optional and parameter.default is None:
                why = f"it says nothing of `{name}`, which has no default"
                hint = f'add `when {name} = …`, or `one way: "why"`'
                yield self._at(construct, equation, "pack-not-both-ways", "", f"{said}: {why}", hint)

    # ---- what is never used or reached ------------------------------------------------------------

    def _unused(self, construct: Construct) -> Iterator[Finding]:
        if not construct.equations:
            return
        used = frozenset().union(*(variables(e.meaning) for e in construct.equations))
        used |= {e.guard[0] for e in construct.equations if e.guard is not None}
        used |= {n for p in construct.parameters if p.default is not None for n in variables(p.default)}
        for parameter in construct.parameters:
            if parameter.name not in used:
                message = f"`{parameter.name}` is in no equation of `{construct.name}`"
                place = (construct.place[0], *parameter.place)
                yield self.book.finding(
                    "pack-unused-parameter", place, "", message, "use it in the meaning, or leave it out"
                )

    def _reached(self, construct: Construct, equation: Equation, before: list[Equation]) -> Iterator[Finding]:
        optional = {p.name for p in construct.parameters if p.optional and not p.variadic}
        for other in before:
            alike = optional & variables(other.meaning) == optional & variables(equation.meaning)
            if alike and other.guard in (None, equation.guard):
                message = f"this equation is never reached: the one in line {other.place[0]} holds whenever it would"
                yield self._at(
                    construct, equation, "pack-unreachable-equation", "", message, "put the one with `when` first"
                )
                return

    def _same_sort(self, construct: Construct, first: dict[str, tuple[Construct, Kinds]]) -> Iterator[Finding]:
        kinds = self.inference.construct(construct)
        if "any" in kinds or not kinds:
            return
        if not construct.brackets:
            yield from self._same_words(construct, kinds)
            return
        other, others = first.setdefault(construct.sort, (construct, kinds))
        if not fits(kinds, others):
            other_is = f"a `{construct.sort}` such as `{other.name}` is {named(others)}"
            message = f"`{construct.name}` comes to {named(kinds)}, but {other_is}"
            equation = construct.equations[0]
            yield self._at(construct, equation, "pack-sort-mismatch", "", message)

    def _same_words(self, construct: Construct, kinds: Kinds) -> Iterator[Finding]:
        """A word that is nothing of what most words of its sort are."""
        others = self.inference.sorts.get(construct.sort, kinds)
        if not fits(kinds, others, word=True):
            message = f"`{construct.name}` comes to {named(kinds)}, but a `{construct.sort}` is {named(others)}"
            yield self._at(construct, construct.equations[0], "pack-sort-mismatch", "", message)

    def _overlaps(self, constructs: list[Construct]) -> Iterator[Finding]:
        seen: dict[object, Construct] = {}
        for construct in constructs:
            for equation in construct.equations:
                if equation.one_way or not construct.brackets:
                    continue
                key = (construct.sort, _canonical(equation, construct))
                other = seen.setdefault(key, construct)
                if other is not construct and other.name != construct.name:
                    message = f"`{construct.name}` and `{other.name}` mean the same, and nothing says which to write"
                    hint = 'add `one way: "why"` to the one that is not to be written'
                    yield self._at(construct, equation, "pack-overlap", "", message, hint)


def _code(found: Kinds, wanted: Kinds, argument: Expression) -> str:
    if found <= QUANTITIES and wanted <= QUANTITIES:
        return "pack-unit-mismatch"
    return "pack-wrong-word" if isinstance(argument, Atom) and argument.name in WORD_KINDS else "pack-sort-mismatch"


def _word(part: Expression) -> str:
    match part:
        case Var(name) | Atom(name) | Scaled(_, name) | Less(_, name) | Call(name, _):
            return name
        case Measure(value, _):
            return str(value)
        case _:
            return ""


def _shown(part: Expression) -> str:
    match part:
        case Measure(value, unit):
            return f"`{value} {unit}`" if unit else f"the bare number `{value}`"
        case Call(form, _):
            return f"`{form}(…)`"
        case _:
            return f"`{_word(part)}`"


def _form_hint(form: str) -> str:
    counts = [n for n in range(9) if expected(form, n) is not None]
    if not counts:
        return ""
    return f"it takes {counts[0]}" if len(counts) == 1 else f"it takes {counts[0]} to {counts[-1]}"


def _irreversible(part: Expression, parameters: Mapping[str, Parameter]) -> Iterator[tuple[str, str]]:
    """Why an expression cannot be matched against what it builds, and the word where that shows."""
    match part:
        case Scaled(factor, name) if factor == 0:
            yield f"`0 * {name}` is the same for every `{name}`", name
        case Sum(parts):
            if not isinstance(parts[0], Var):
                yield "its base is no parameter of its own", _word(parts[0])
            lists = [
                p for p in parts[1:] if isinstance(p, Var) and p.name in parameters and parameters[p.name].variadic
            ]
            if lists and len(parts) > 2:
                yield f"where the list `{_word(lists[0])}` ends among other layers cannot be told", _word(lists[0])
            for one in parts:
                yield from _irreversible(one, parameters)
        case Call(_, arguments):
            for one in arguments:
                yield from _irreversible(one, parameters)


def _canonical(equation: Equation, construct: Construct) -> object:
    """An equation with its parameters numbered in order, so that two that say the same are equal."""
    numbers: dict[str, object] = {}
    sorts = {p.name: (p.sorts, p.variadic) for p in construct.parameters}

    def of(part: Expression) -> object:
        match part:
            case Var(name):
                return ("var", numbers.setdefault(name, (len(numbers), sorts.get(name))))
            case Scaled(factor, name) | Less(factor, name):
                return (type(part).__name__, factor, numbers.setdefault(name, (len(numbers), sorts.get(name))))
            case Call(form, arguments):
                return (form, tuple(of(a) for a in arguments))
            case Sum(parts):
                return ("sum", tuple(of(p) for p in parts))
            case _:
                return part

    meaning = of(equation.meaning)
    return meaning, None if equation.guard is None else (of(Var(equation.guard[0])), of(equation.guard[1]))
