"""Compiles equations read backwards: one generator function for each right side, made when it is first asked for.

`lower.match.Matcher.match` is the reference: it walks the equation for every value. What is made here walks it once
and leaves the tests in a row, so that most values fall through at the first. A function takes the value, the matcher
and what is bound already, and yields the same matches in the same order.

Where an expression holds in more ways than one, the code of what follows is written out once for each; a way that
does not hold ends with `continue` in a loop of one turn, and so goes on to the next.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cache
from itertools import permutations
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, get_args

from migrate.ir import nodes as ir
from migrate.ir.colour import duty_codes, srgb_codes
from migrate.ir.forms import COLOUR_FORMS, FORMS, GRAINS, VARIADIC_FIELDS, defaults
from migrate.ir.normal import still_within_ticks
from migrate.ir.walk import holds_noise
from migrate.packs.model import Atom, Call, Expression, Less, Measure, Scaled, Var
from migrate.packs.units import measure, plain, whole

if TYPE_CHECKING:
    from migrate.lower.match import Match, Matcher

NEAR_ENOUGH = Fraction(1, 100)
# What a colour in other codes costs: exact only to 8 bits, an error that ranks behind every exact spelling.
CODE_STEP = Fraction(1, 510)
UNMARKED = Fraction(1, 10**9)
PAINTS = frozenset(get_args(ir.Paint))
NOTHING: Mapping[str, Any] = MappingProxyType({})

Matching = Callable[[Any, "Matcher"], Iterator["Match"]]
Going = Callable[[Any, "Matcher", Mapping[str, Any], ir.Rational], Iterator["Match"]]


# ---- what the code calls --------------------------------------------------------------------------


def unscaled(value: Any, factor: ir.Rational) -> Any:
    """What times `factor` is the value, or None where that is no number."""
    if isinstance(value, (ir.Length, ir.Speed)):
        return replace(value, value=plain(Fraction(value.value) / factor))
    return plain(Fraction(value) / factor) if isinstance(value, (int, Fraction)) else None


def rest_of_blade(value: Any, matcher: Matcher) -> ir.Rational | None:
    """The share of the blade that lies before a length from the tip, or None; raises MissingFact."""
    if not isinstance(value, ir.Length):
        return None
    share = Fraction(value.value) / whole(value.unit, matcher.blade)
    return plain(1 - share) if share <= 1 else None


def links(value: Any) -> tuple[Any, ...] | None:
    """The steps of a chain with the paints between them."""
    if not isinstance(value, ir.Chain):
        return None
    return tuple([x for pair in zip(value.steps, (*value.paints, None), strict=True) for x in pair][:-1])


def paints_of_even(stops: Any) -> tuple[Any, ...] | None:
    """The paints of evenly spaced stops from 0 to 1, or None where the stops are placed otherwise."""
    if not isinstance(stops, tuple):
        return None
    last = max(1, len(stops) - 1)
    if not all(isinstance(s, ir.Stop) for s in stops):
        return None
    if any(abs(Fraction(s.position) - Fraction(i, last)) > Fraction(1, 2000) for i, s in enumerate(stops)):
        return None
    return tuple(s.paint for s in stops)


_HELPERS = {
    "unscaled": unscaled, "rest_of_blade": rest_of_blade, "links": links, "paints_of_even": paints_of_even,
    "holds_noise": holds_noise, "still_within_ticks": still_within_ticks, "duty_codes": duty_codes,
    "srgb_codes": srgb_codes, "permutations": permutations, "plain": plain, "PAINTS": PAINTS,
    "NEAR_ENOUGH": NEAR_ENOUGH, "CODE_STEP": CODE_STEP, "UNMARKED": UNMARKED, "Length": ir.Length, "Speed": ir.Speed,
    "Colour": ir.Colour, "Fraction": Fraction, "ONCE": (0,),
}  # fmt: skip


# ---- the compiler ---------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Task:
    """One thing still to be matched: an expression, or a run of them, against what a variable of the code holds."""

    kind: str  # "match" one, "part" one of a whole (where a blend may be any paint), "items" a run
    what: Any
    value: str


@dataclass(frozen=True)
class _State:
    """Where the code stands: what is bound to which variable, and the variable of the error so far."""

    bound: Mapping[str, str]
    error: str
    indent: int
    fail: str


@dataclass
class _Compiler:
    """Writes the body of one function."""

    given: bool
    lines: list[str] = field(default_factory=list)
    constants: dict[str, Any] = field(default_factory=dict)
    count: int = 0

    def fresh(self) -> str:
        self.count += 1
        return f"v{self.count}"

    def constant(self, value: Any) -> str:
        name = f"C{len(self.constants)}"
        self.constants[name] = value
        return name

    def say(self, state: _State, *lines: str) -> None:
        self.lines += [" " * state.indent + line for line in lines]

    def unless(self, state: _State, test: str) -> None:
        """Gives this way up unless the test holds."""
        self.say(state, f"if not ({test}): {state.fail}")

    def way(self, state: _State) -> _State:
        """Opens one of several ways."""
        self.say(state, "for _ in ONCE:")
        return replace(state, indent=state.indent + 1, fail="continue")

    def go(self, tasks: tuple[_Task, ...], state: _State) -> None:
        """The code for all tasks in order, and the yield of a match at their end."""
        if not tasks:
            values = ", ".join(f"{name!r}: {variable}" for name, variable in state.bound.items())
            start = "**given, " if self.given else ""
            self.say(state, f"yield Match({{{start}{values}}}, {state.error})")
            return
        task, *left = tasks
        rest = tuple(left)
        if task.kind == "items":
            self.items(task.what, task.value, rest, state)
        elif task.kind == "part" and isinstance(task.what, Call) and task.what.form == "blend":
            self.match(task.what, task.value, rest, self.way(state))
            uniform = self.way(state)
            self.unless(uniform, f"type({task.value}) in PAINTS and not holds_noise({task.value})")
            ends = tuple(_Task("part", end, task.value) for end in task.what.arguments[:2])
            self.go((*ends, *rest), uniform)
        else:
            self.match(task.what, task.value, rest, state)

    def match(self, expression: Expression, value: str, rest: tuple[_Task, ...], state: _State) -> None:
        """The code for one expression."""
        match expression:
            case Var(name):
                self.bind(name, value, rest, state)
            case Atom(name):
                self.unless(state, f"{self.constant(GRAINS.get(name, name))} == {value}")
                self.go(rest, state)
            case Measure():
                self.measured(expression, value, rest, state)
            case Scaled(factor, name):
                self.made(f"unscaled({value}, {self.constant(factor)})", name, rest, state)
            case Less(total, name):
                number = f"plain({self.constant(total)} - {value}) if isinstance({value}, (int, Fraction)) else None"
                self.made(number, name, rest, state)
            case Call(form, _):
                self.call(expression, form, value, rest, state)
            case _:
                self.say(state, state.fail)

    def bind(self, name: str, value: str, rest: tuple[_Task, ...], state: _State) -> None:
        known = state.bound.get(name)
        if known is not None:
            self.unless(state, f"{known} == {value}")
            self.go(rest, state)
            return
        own = self.fresh()
        if self.given:
            self.say(state, f"{own} = given.get({name!r}, given)")
            self.say(state, f"if {own} is given: {own} = {value}", f"elif not ({own} == {value}): {state.fail}")
        else:
            own = value
        self.go(rest, replace(state, bound={**state.bound, name: own}))

    def made(self, number: str, name: str, rest: tuple[_Task, ...], state: _State) -> None:
        own = self.fresh()
        self.say(state, f"{own} = {number}")
        self.unless(state, f"{own} is not None")
        self.bind(name, own, rest, state)

    def measured(self, expression: Measure, value: str, rest: tuple[_Task, ...], state: _State) -> None:
        expected = measure(expression)
        constant = self.constant(expected)
        if not isinstance(expected, (ir.Length, ir.Speed)):
            self.unless(state, f"{constant} == {value}")
            self.go(rest, state)
            return
        error = self.fresh()
        self.say(state, f"{error} = {state.error}", f"if not ({constant} == {value}):")
        inner = replace(state, indent=state.indent + 1)
        self.unless(inner, f"type({value}) is {type(expected).__name__}")
        self.say(inner, f"off = matcher.relative({value}, {constant})")
        self.unless(inner, "off is not None and off <= NEAR_ENOUGH")
        self.say(inner, f"{error} = {_larger(state.error, 'off')}")
        self.go(rest, replace(state, error=error))

    def call(self, expression: Call, form: str, value: str, rest: tuple[_Task, ...], state: _State) -> None:
        arguments = expression.arguments
        if form in COLOUR_FORMS:
            self.colour(form, arguments, value, rest, state)
        elif form in FORMS:
            self.node(form, arguments, value, rest, state)
        elif form == "beyond":
            self.through(f"rest_of_blade({value}, matcher)", "match", arguments[0], rest, state)
        elif form in ("chain", "even"):
            helper = "links" if form == "chain" else "paints_of_even"
            self.through(f"{helper}({value})", "items", arguments, rest, state)
        else:
            self.unless(state, f"isinstance({value}, tuple)")
            (self.reversed if form == "reversed" else self.items)(arguments, value, rest, state)

    def through(self, made: str, kind: str, what: Any, rest: tuple[_Task, ...], state: _State) -> None:
        """Goes on with what a helper makes of a value, where it makes anything."""
        own = self.fresh()
        self.say(state, f"{own} = {made}")
        self.unless(state, f"{own} is not None")
        self.go((_Task(kind, what, own), *rest), state)

    def items(self, arguments: tuple[Expression, ...], value: str, rest: tuple[_Task, ...], state: _State) -> None:
        only = arguments[0] if len(arguments) == 1 else None
        if isinstance(only, Var):
            self.bind(only.name, value, rest, state)
        elif isinstance(only, Call) and only.form == "reversed":
            self.reversed(only.arguments, value, rest, state)
        else:
            self.unless(state, f"len({value}) == {len(arguments)}")
            self.parts(arguments, value, rest, state)

    def reversed(self, arguments: tuple[Expression, ...], value: str, rest: tuple[_Task, ...], state: _State) -> None:
        """A list turned round; never with noise in it, which is numbered by its place."""
        self.unless(state, f"not any(map(holds_noise, {value}))")
        own = self.fresh()
        self.say(state, f"{own} = {value}[::-1]")
        self.items(arguments, own, rest, state)

    def parts(self, arguments: tuple[Expression, ...], value: str, rest: tuple[_Task, ...], state: _State) -> None:
        """A run of as many values as there are expressions, one for one."""
        own = [self.fresh() for _ in arguments]
        if own:
            self.say(state, f"{', '.join(own)}, = {value}")
        tasks = tuple(_Task("part", a, v) for a, v in zip(arguments, own, strict=True))
        self.go((*tasks, *rest), state)

    def colour(
        self, form: str, arguments: tuple[Expression, ...], value: str, rest: tuple[_Task, ...], state: _State
    ) -> None:
        self.unless(state, f"type({value}) is Colour")
        if form == "css":
            own = self.fresh()
            self.say(state, f"{own} = {value}.name")
            self.unless(state, own)
            self.go((_Task("match", arguments[0], own), *rest), state)
            return
        codes = self.fresh()
        if form == "oklch":
            self.unless(state, f"{value}.encoding == 'oklch'")
            self.say(state, f"{codes} = {value}.values")
            self.parts(arguments, codes, rest, state)
            return
        error = self.fresh()
        self.say(
            state,
            f"if {value}.encoding == {form!r}: {codes} = {value}.values; {error} = {state.error}",
            f"else: {codes} = {form}_codes({value}); {error} = {_larger(state.error, 'CODE_STEP')}",
        )
        self.parts(arguments, codes, rest, replace(state, error=error))

    def node(
        self, form: str, arguments: tuple[Expression, ...], value: str, rest: tuple[_Task, ...], state: _State
    ) -> None:
        spec = FORMS[form]
        if spec.cls is ir.Stepped:
            # The normal form drops the mark where it changes nothing; backwards it may stand there again, but behind
            # whatever says the same without it.
            bare = self.way(state)
            self.unless(bare, f"type({value}) in PAINTS and still_within_ticks({value})")
            error = self.fresh()
            self.say(bare, f"{error} = {_larger(state.error, 'UNMARKED')}")
            self.go((_Task("match", arguments[0], value), *rest), replace(bare, error=error))
            state = self.way(state)
        self.unless(state, f"type({value}) is {self.constant(spec.cls)}")
        for name, fixed in spec.fixed:
            self.unless(state, f"{value}.{name} == {self.constant(fixed)}")
        if form in VARIADIC_FIELDS:
            self.commutative(arguments, value, rest, state)
            return
        for name in spec.fields[len(arguments) :]:
            self.unless(state, f"{value}.{name} == {self.constant(defaults(spec.cls)[name])}")
        tasks = []
        for name, argument in zip(spec.fields, arguments, strict=False):
            own = self.fresh()
            self.say(state, f"{own} = {value}.{name}")
            tasks.append(_Task("part", argument, own))
        self.go((*tasks, *rest), state)

    def commutative(
        self, arguments: tuple[Expression, ...], value: str, rest: tuple[_Task, ...], state: _State
    ) -> None:
        own = self.fresh()
        self.say(state, f"{own} = {value}.signals")
        if len(arguments) == 1:
            self.items(arguments, own, rest, state)
            return
        self.unless(state, f"len({own}) == {len(arguments)}")
        order = self.fresh()
        self.say(state, f"for {order} in permutations({own}):")
        self.parts(arguments, order, rest, replace(state, indent=state.indent + 1, fail="continue"))


def _larger(error: str, other: str) -> str:
    """Of two errors the larger; that nothing is off so far is known beforehand."""
    return other if error == "0" else f"max({error}, {other})"


def source_of(expression: Expression, given: bool) -> tuple[str, dict[str, Any]]:
    """The source of the function for an expression, and the constants that it names."""
    compiler = _Compiler(given)
    compiler.match(expression, "value", (), _State({}, "error" if given else "0", 1, "return"))
    head = "def matches(value, matcher, given, error):" if given else "def matches(value, matcher):"
    # The yield behind the return makes it a generator whatever the expression is.
    return "\n".join([head, *compiler.lines, " return", " yield"]), compiler.constants


def _made(expression: Expression, given: bool) -> Any:
    from migrate.lower.match import Match  # the reference defines what a match is

    source, constants = source_of(expression, given)
    space = {**_HELPERS, **constants, "Match": Match}
    exec(source, space)  # the text is made above, from the packs' checked equations only
    return space["matches"]


@cache
def matching(expression: Expression) -> Matching:
    """The function that yields every way in which the expression builds a value."""
    made: Matching = _made(expression, False)
    return made


@cache
def going_on(expression: Expression) -> Going:
    """The same for matches that go on from others: with what these bound, and their error."""
    made: Going = _made(expression, True)
    return made


# ---- a quick test ---------------------------------------------------------------------------------


@cache
def possible(expression: Expression) -> Callable[[Any], bool]:
    """A quick test that the classes and words of a value are those that an expression builds.

    It lets through whatever it does not know; the match decides.
    """
    if isinstance(expression, Atom):
        word = GRAINS.get(expression.name, expression.name)
        return lambda value: bool(value == word)
    if not isinstance(expression, Call) or expression.form not in FORMS or expression.form in _LOOSE:
        return _anything
    spec = FORMS[expression.form]
    cls, fixed = spec.cls, spec.fixed
    tests = tuple(
        (n, t) for n, a in zip(spec.fields, expression.arguments, strict=False) if (t := possible(a)) is not _anything
    )
    if expression.form in VARIADIC_FIELDS:
        count = 0 if len(expression.arguments) == 1 else len(expression.arguments)
        return lambda value: type(value) is cls and (not count or len(value.signals) == count)

    def test(value: Any) -> bool:
        if type(value) is not cls:
            return False
        for name, wanted in fixed:
            if getattr(value, name) != wanted:
                return False
        return all(inner(getattr(value, name)) for name, inner in tests)

    return test


def _anything(_: Any) -> bool:
    return True


# Forms that also stand for values of other classes: a blend of equals, what stands still between the ticks.
_LOOSE = frozenset(("blend", "stepped"))
