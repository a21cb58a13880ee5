"""Lifts style expressions to IR: reads each construct's equation forwards.

The lifter keeps, beside the values, which source node each came from, so that printing can leave alone
what no move touches.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, is_dataclass, replace
from difflib import get_close_matches
from fractions import Fraction
from typing import Any

from migrate.binding import Binder, example
from migrate.concrete.nodes import Node, arguments
from migrate.diagnostics import Diagnostic
from migrate.ir import nodes as ir
from migrate.ir.facts import Blade
from migrate.ir.walk import NODE_CLASSES
from migrate.packs.equations import Meaningless, opaque
from migrate.packs.library import library
from migrate.packs.model import Construct, Generation, Unit
from migrate.packs.signature import Meaning, Place, Signature, signatures_of
from migrate.packs.units import Spelt, spelled, to_ir, written
from migrate.scope import TOP, Definition, Environment, NotANumber, Scope, number
from migrate.source import Span
from migrate.uses import NAMES, Called, Held

DEEPEST = 200
# Of several signatures, one whose every argument fits came further than any that an argument stopped.
_ALL_FIT = 10_000
STYLE_SORTS = ("style", "sleeve", "paint")


@dataclass(frozen=True, slots=True)
class Applied:
    """One construct as the source applied it: its node, the values and the argument nodes by parameter."""

    construct: Construct
    node: Node
    values: Mapping[str, Any]
    nodes: Mapping[str, tuple[Node, ...]]
    free: bool = True


@dataclass(frozen=True, slots=True)
class Named:
    """A use of a definition that has no parameters; `value` is the IR object that stands for the use."""

    name: str
    definition: Definition
    sort: str
    value: Any


class _Unfit(Exception):
    """Arguments that do not fit a signature, and how far the reading came before it failed."""

    def __init__(self, diagnostic: Diagnostic, depth: int = 0) -> None:
        super().__init__(diagnostic.message)
        self.diagnostic = diagnostic
        self.depth = depth


class _Reached:
    """How deep in nested applications the reading is. It is apart from the lifter so that no ring of objects forms."""

    depth = 0

    def fail(self, code: str, node: Node, message: str, hint: str, depth: int = 0) -> _Unfit:
        """A failure at a node, `depth` steps into its application."""
        diagnostic = Diagnostic(code, "error", Span(node.start, max(node.end, node.start + 1)), message, hint)
        return _Unfit(diagnostic, self.depth * 10 + depth)


def article(sort: str) -> str:
    """A sort with its article, as messages say it."""
    words = sort.replace("_", " ")
    return f"{'an' if words[:1] in 'aeiou' else 'a'} {words}"


def generations_of(name: str, brackets: bool, apart: Generation) -> tuple[str, ...]:
    """The other generations that have such a construct of their own, or write an argument so; oldest first."""
    out = []
    for generation in library(apart.packs).values():
        signatures = signatures_of(generation)
        bare = signatures.bare(name)
        own = any(c.brackets == brackets and not c.compat for c in signatures.constructs(bare))
        if generation.name != apart.name and (own or (brackets and bare in generation.tags)):
            out.append(generation.name)
    return tuple(out)


class Lifter:
    """Lifts expressions of one file, read as one generation.

    `applied` maps the id of an IR value to the applications that made it, `named` and `called` to the use of a
    definition, `held` to the parameter that it is in a definition's body; `tinted` holds the names of constants
    that were read as whole colours, `counted` those that were read as numbers, `read` the parameters that were
    read, with their environment's id, `words` the bare constructs, whether they are an older generation's and the
    header that brings them. `keep` holds the values so that their ids stay theirs.
    """

    def __init__(self, scope: Scope, generation: Generation, blade: Blade) -> None:
        self.scope, self.generation, self.blade = scope, generation, blade
        self.signatures = signatures_of(generation)
        self._reached = _Reached()
        self._fail = self._reached.fail
        self.binder = Binder(self.signatures, scope.text, self._fail)
        self._applied: dict[int, list[Applied]] = {}
        # Applications that were noted elsewhere, made known here when somebody asks.
        self.later: list[Callable[[], dict[int, list[Applied]]]] = []
        self.named: dict[int, Named] = {}
        self.called: dict[int, Called] = {}
        self.held: dict[int, Held] = {}
        self.tinted: dict[str, list[ir.Colour]] = {}
        self.words: set[tuple[str, bool, str]] = set()
        self.counted: set[str] = set()
        self.read: set[tuple[int, str]] = set()
        self.keep: list[Any] = []
        self._memo: dict[tuple[int, int, tuple[str, ...], int], tuple[Any, str]] = {}
        self._alike: dict[str, list[str]] = {}
        self._circles: dict[str, tuple[str, ...]] = {}
        self._definitions: dict[tuple[str, tuple[str, ...]], tuple[Any, str]] = {}

    @property
    def applied(self) -> dict[int, list[Applied]]:
        """The applications that made each IR value, by its id."""
        later, self.later = self.later, []
        for noted in later:
            for value, found in noted().items():
                self._applied.setdefault(value, []).extend(found)
        return self._applied

    def lift(self, node: Node, sorts: tuple[str, ...]) -> tuple[Any, str] | Diagnostic:
        """The IR of an expression and the sort it came out as, or the diagnostic that says why not."""
        try:
            return self._expression(node, self.generation.spread(sorts), TOP)
        except _Unfit as unfit:
            return unfit.diagnostic

    def lift_call(
        self, node: Node, definition: Definition, given: tuple[Node, ...], sorts: tuple[str, ...]
    ) -> tuple[Any, str] | Diagnostic:
        """The IR of a use of a definition with parameters that stands at top level, as a declaring macro's does."""
        try:
            return self._definition(node, definition, given, self.generation.spread(sorts), TOP)
        except _Unfit as unfit:
            return unfit.diagnostic

    # ---- expressions --------------------------------------------------------------------------

    def _expression(self, node: Node, sorts: tuple[str, ...], env: Environment) -> tuple[Any, str]:
        key = (node.start, node.end, sorts, id(env))
        found = self._memo.get(key)
        if found is None:
            self._reached.depth += 1
            if self._reached.depth > DEEPEST:
                message = f"nested deeper than {DEEPEST} levels; compilers stop at 900 template levels"
                raise self._fail("nested-too-deep", node, message, "name the inner part with `using` and use the name")
            try:
                found = self._memo[key] = self._read(node, sorts, env)
            finally:
                self._reached.depth -= 1
            self.keep.append(env)
        return found

    def _read(self, node: Node, sorts: tuple[str, ...], env: Environment) -> tuple[Any, str]:
        given: tuple[Node, ...] = ()
        if node.kind == "name":
            name = self.scope.text(node)
        elif node.kind in ("application", "macro_call"):
            name, given = self.scope.text(node.children[0]), self._spliced(arguments(node), env)
        else:
            return self._not_an_expression(node, sorts)
        name = self.signatures.bare(name)
        if name in env.bound and not given:
            return self._parameter(name, sorts, env)
        constructs = self.signatures.constructs(name)
        fitting = [c for c in constructs if c.sort in sorts and c.brackets == (node.kind == "application")]
        if fitting and node.kind != "macro_call":
            if len(given) != len(arguments(node)):
                node = Node("spliced", node.start, node.end, node.children)
            return self._apply_first(fitting, node, given, env)
        definition = self.scope.definitions.get(name)
        if definition is not None and (not constructs or node.kind == "macro_call"):
            return self._definition(node, definition, given, sorts, env)
        around = self._around(env.open[-1]) if constructs and env.open else ()
        if around:
            raise self._circle(next(self._uses_in(node, around[1]), node), around)
        raise self._no_fit(node, name, constructs, sorts)

    def _spliced(self, given: tuple[Node, ...], env: Environment, open_: tuple[str, ...] = ()) -> tuple[Node, ...]:
        """The arguments, with a macro that stands for several of them replaced by these."""
        if not self.scope.lists:
            return given
        out: list[Node] = []
        for node in given:
            name = self.scope.text(node) if node.kind == "name" else ""
            if name in self.scope.lists and name not in env.bound:
                if name in open_:
                    raise self._circle(node, (*open_[open_.index(name) :], name))
                out.extend(self._spliced(self.scope.lists[name], env, (*open_, name)))
            else:
                out.append(node)
        return tuple(out)

    def _parameter(self, name: str, sorts: tuple[str, ...], env: Environment) -> tuple[Any, str]:
        """What a parameter stands for, as an object of its own, so that its place in the body can be told."""
        inner, outer = env.bound[name]
        given, sort = self._expression(inner, sorts, outer)
        self.read.add((id(env), name))
        if not is_dataclass(given) or isinstance(given, type):
            return given, sort
        value = self._twin(given)
        self.held[id(value)] = Held(name, env, sort, value, given)
        return value, sort

    def _twin(self, value: Any) -> Any:
        """An equal object with an id of its own, about which the same is known."""
        twin = replace(value)
        self.keep.append(twin)
        applied = self.applied
        applied.setdefault(id(twin), []).extend(applied.get(id(value), ()))
        return twin

    def _not_an_expression(self, node: Node, sorts: tuple[str, ...]) -> tuple[Any, str]:
        text = self.scope.text(node).strip()
        if node.kind in ("missing", "error"):
            raise self._fail("unreadable", node, "this cannot be read", "")
        wanted = " or ".join(article(s) for s in sorts)
        raise self._fail("wrong-sort", node, f"`{text}` stands where {wanted} is expected", self._words_hint(sorts))

    def _no_fit(self, node: Node, name: str, found: Iterable[Construct], sorts: tuple[str, ...]) -> _Unfit:
        wanted = " or ".join(article(s) for s in sorts)
        for construct in found:
            if construct.brackets != (node.kind == "application"):
                written_as = f"{name}<…>" if construct.brackets else name
                return self._fail("wrong-form", node, f"`{name}` is written `{written_as}`", "", 1)
            message = f"`{name}` is {article(construct.sort)}; {wanted} is expected here"
            return self._fail("wrong-sort", node, message, self._words_hint(sorts, name), 1)
        words = self._words_hint(sorts, name)
        head = node.children[0] if node.kind == "application" else node
        others = generations_of(name, node.kind == "application", self.generation)
        if others:
            message = f"`{name}` is of {' and '.join(others)}; {self.generation.name} has no construct of that name"
            return self._fail("unknown-name", head, message, words)
        near = self._near(name) if not words else []
        hint = f"did you mean {' or '.join(f'`{n}`' for n in near)}?" if near else words
        message = f"`{name}` is no construct of {self.generation.name} and no name of this file"
        return self._fail("unknown-name", head, message, hint)

    def _words_hint(self, sorts: tuple[str, ...], like: str = "", other: str = "") -> str:
        """The words that may stand where sorts of nothing else are wanted, the nearest first; or nothing."""
        words = [f"`{word}`" for word in self.signatures.words(sorts, like)]
        if len(words) < 2:
            return f"write {other}{words[0]}" if words else ""
        return f"write {other}{', '.join(words[:-1])} or {words[-1]}"

    def _near(self, name: str) -> list[str]:
        """The constructs and the file's names that are most like one: the three best are among the best of each."""
        if name not in self._alike:
            best = [*self.signatures.near(name), *get_close_matches(name, self.scope.definitions, 3)]
            self._alike[name] = get_close_matches(name, best, 3)
        return self._alike[name]

    # ---- definitions --------------------------------------------------------------------------

    def _definition(
        self, node: Node, definition: Definition, given: tuple[Node, ...], sorts: tuple[str, ...], env: Environment
    ) -> tuple[Any, str]:
        name = definition.name
        if name in env.open:
            raise self._circle(node, (*env.open[env.open.index(name) :], name))
        if len(given) != len(definition.parameters):
            wanted = len(definition.parameters)
            message = f"`{name}` takes {wanted} argument{'s' if wanted != 1 else ''}, {len(given)} given"
            raise self._fail("wrong-argument-count", node, message, "")
        if given:
            return self._call(node, definition, given, sorts, env)
        key = (name, sorts)
        if key not in self._definitions:
            inner = Environment({}, (*env.open, name))
            value, sort = self._expression(definition.value, sorts, inner)
            if is_dataclass(value) and not isinstance(value, type):
                # An object of its own, so that the name can be told from other equal values.
                value = self._twin(value)
                self.named[id(value)] = Named(name, definition, sort, value)
            self._definitions[key] = (value, sort)
        return self._definitions[key]

    def _circle(self, node: Node, chain: tuple[str, ...]) -> _Unfit:
        message = f"`{chain[0]}` is defined by itself: {' → '.join(chain)}"
        return self._fail("cyclic-definition", node, message, "break the circle at one of these definitions")

    def _around(self, name: str) -> tuple[str, ...]:
        """The way from a definition, over the names that it says, back to itself; empty where there is none.

        A definition whose sort does not fit fails before the reading comes round to it.
        """
        if name not in self._circles:
            ways: list[tuple[str, ...]] = [(name,)]
            seen: set[str] = set()
            self._circles[name] = ()
            for way in ways:
                for used in self._used_by(way[-1]):
                    if used == name:
                        self._circles[name] = (*way, used)
                        return self._circles[name]
                    if used not in seen:
                        seen.add(used)
                        ways.append((*way, used))
        return self._circles[name]

    def _used_by(self, name: str) -> list[str]:
        definition = self.scope.definitions.get(name)
        found = self._uses_in(definition.value) if definition is not None else ()
        return [self.scope.text(node) for node in found]

    def _uses_in(self, node: Node, name: str = "") -> Iterator[Node]:
        """The places in an expression, in order, that say a definition: that of a name, or any."""
        stack = [node]
        while stack:
            one = stack.pop()
            text = self.scope.text(one) if one.kind == "name" else ""
            if text in self.scope.definitions and name in ("", text):
                yield one
            stack.extend(reversed(one.children))

    def _call(
        self, node: Node, definition: Definition, given: tuple[Node, ...], sorts: tuple[str, ...], env: Environment
    ) -> tuple[Any, str]:
        bound = {p: (a, env) for p, a in zip(definition.parameters, given, strict=True)}
        inner = Environment(bound, (*env.open, definition.name), definition.textual)
        self.keep.append(inner)
        body, sort = self._expression(definition.value, sorts, inner)
        if not is_dataclass(body) or isinstance(body, type):
            return body, sort
        value = self._twin(body)
        self.called[id(value)] = Called(definition.name, definition, sort, value, body, node, given, env, inner)
        return value, sort

    # ---- constructs ---------------------------------------------------------------------------

    def _apply_first(
        self, constructs: list[Construct], node: Node, given: tuple[Node, ...], env: Environment
    ) -> tuple[Any, str]:
        """The first signature that fits; where none does, the failure that came furthest."""
        furthest: tuple[int, Diagnostic] | None = None  # of the failure itself its frames would be kept
        for construct in constructs:
            try:
                return self._apply(construct, node, given, env), construct.sort
            except _Unfit as unfit:
                if furthest is None or unfit.depth > furthest[0]:
                    furthest = unfit.depth, unfit.diagnostic
        assert furthest is not None
        raise _Unfit(furthest[1], furthest[0])

    def _apply(self, construct: Construct, node: Node, given: tuple[Node, ...], env: Environment) -> Any:
        if not construct.brackets:
            return self._word(construct, node, env)
        signature = self.signatures.of(construct)
        nodes = self.binder.bind(signature, node, given)
        values: dict[str, Any] = {}
        for place in signature.places:
            name = place.name
            if name in nodes:
                if place.parameter.variadic:
                    values[name] = tuple([self._one(construct, place, n, env) for n in nodes[name]])
                else:
                    values[name] = self._one(construct, place, nodes[name][0], env)
            elif place.parameter.variadic:
                if not place.parameter.optional:
                    message = f"`{construct.name}` needs at least one {place.parameter.sorts[0]}"
                    raise self._fail("wrong-argument-count", node, message, "", 2)
                values[name] = ()
            elif place.default is not None:
                values[name] = place.default(values)
        value = self._meaning(signature, node, values)
        if type(value) in NODE_CLASSES:
            self._remember(value, Applied(construct, node, values, nodes, not env.bound))
        return value

    def _remember(self, value: Any, applied: Applied) -> None:
        """Notes where a value comes from; a wrapper answers for the layers that it adds."""
        made: list[Any] = [value]
        if isinstance(value, ir.Style):
            inner = [v for v in applied.values.values() if isinstance(v, ir.Style)]
            layers = [x for v in applied.values.values() if isinstance(v, tuple) for x in v]
            known = {id(s) for style in inner for s in style.sheets} | {id(x) for x in layers}
            made += [s for s in (*value.sheets, value.power) if s is not None and id(s) not in known]
        for one in made:
            self.keep.append(one)
            self._applied.setdefault(id(one), []).append(applied)

    def _word(self, construct: Construct, node: Node, env: Environment) -> Any:
        """A bare word: its meaning, or for a family of words (`css::*`) the one that is named."""
        word = self.signatures.bare(self.scope.text(node)).rpartition("::")[2]
        values = {"*": word} if construct.name.endswith("*") else {}
        self.words.add((construct.name, construct.compat, construct.through))
        value = self._meaning(self.signatures.of(construct), node, values)
        if isinstance(value, ir.Colour):
            self._remember(value, Applied(construct, node, values, {}, not env.bound))
        return value

    def _one(self, construct: Construct, place: Place, node: Node, env: Environment) -> Any:
        if place.unit is None:
            return self._expression(node, place.sorts, env)[0]
        if place.sorts and self.signatures.heads(self.binder.head(node), place.sorts):
            return self._expression(node, place.sorts, env)[0]
        return self._number(construct, place, node, env)

    # ---- numbers ------------------------------------------------------------------------------

    def _number(self, construct: Construct, place: Place, node: Node, env: Environment) -> Any:
        parameter, unit = place.parameter, place.unit
        assert unit is not None
        digits = self._digits(node, unit)
        if digits is not None:
            value = self.signatures.literal(self.scope.text(digits), place)
            if value is not None:
                return value
        texts: dict[int, str] = {}
        node, env = self._resolved(node, env, texts)
        if unit.kind == "css_name":
            return self._css_name(node)
        inner = self._unwrap(construct, unit, node, env)
        if inner is not node:
            texts.clear()  # what was named so far stood for the number with its unit
        inner, env = self._resolved(inner, env, texts)
        try:
            value = number(self.scope, inner, env)
        except NotANumber as error:
            message = f"`{parameter.name}` of `{construct.name}` must be a number: {error}"
            hint = self._words_hint(place.sorts, self.scope.text(node), "a number, ")
            raise self._fail("not-a-number", node, message, hint, 2) from None
        if isinstance(value, Fraction) and unit.whole:
            message = f"{self.generation.name} has no decimals: `{self.scope.text(node)}`"
            if self.generation.decimals:
                message = f"`{parameter.name}` of `{construct.name}` must be a whole number; it is {spelled(value)}"
            raise self._fail("no-decimals", node, message, f"`{round(value)}`", 2)
        low, high = place.low, place.high
        if (low is not None and value < low) or (high is not None and value > high):
            span = f"{spelled(low) if low is not None else ''} to {spelled(high) if high is not None else ''}".strip()
            message = f"`{parameter.name}` of `{construct.name}` must be {span}; it is {spelled(value)}"
            raise self._fail("out-of-range", node, message, "", 3)
        self._spelled(inner, env, texts)
        result = to_ir(value, unit)
        if isinstance(result, ir.Colour):
            self._tint(result, texts, inner)
        else:
            self.counted.update(NAMES.findall(texts.get(0, "")))
        return written(result, Spelt(value, texts), unit)

    def _digits(self, node: Node, unit: Unit) -> Node | None:
        """The number literal that says a number in a unit by itself, in the unit's wrapper if it has one."""
        if unit.spelled:
            wrapped = node.kind == "application" and len(node.children) == 2 and self.binder.head(node) == unit.spelled
            if not wrapped:
                return None
            node = node.children[1]
        return node if node.kind == "number" else None

    def _resolved(self, node: Node, env: Environment, texts: dict[int, str]) -> tuple[Node, Environment]:
        """What a parameter stands for in the end; notes by what name it goes in each environment on the way."""
        while node.kind == "name" and self.scope.text(node) in env.bound:
            texts[id(env)] = self.scope.text(node)
            self.read.add((id(env), texts[id(env)]))
            node, env = env.bound[self.scope.text(node)]
        return node, env

    def _spelled(self, node: Node, env: Environment, texts: dict[int, str]) -> None:
        """Notes an expression's own spelling, for the environments in which it can be said."""
        if node.kind == "number":
            return
        text = self.scope.text(node)
        if env.bound:
            texts[id(env)] = text
        if not any(name in env.bound for name in NAMES.findall(text)):
            texts[0] = text

    def _tint(self, colour: ir.Colour, texts: Mapping[int, str], node: Node) -> None:
        """Notes that a constant, by its name alone, was read as a whole colour."""
        self.keep.append(colour)
        name = texts.get(0, "")
        definition = self.scope.definitions.get(name)
        if node.kind == "name" and definition is not None and not definition.parameters:
            self.named[id(colour)] = Named(name, definition, "colour", colour)
            self.tinted.setdefault(name, []).append(colour)

    def _unwrap(self, construct: Construct, unit: Unit, node: Node, env: Environment) -> Node:
        if not unit.spelled:
            if node.kind == "application":
                message = f"`{self.scope.text(node)}` stands where a number is expected"
                raise self._fail("not-a-number", node, message, "", 1)
            return node
        name = self.scope.definitions.get(self.binder.head(node))
        if node.kind == "name" and name is not None and self.binder.head(node) not in env.open:
            return self._unwrap(construct, unit, name.value, env)
        inner = arguments(node)
        if node.kind != "application" or self.binder.head(node) != unit.spelled or len(inner) != 1:
            message = f"`{self.scope.text(node)}` stands where `{unit.spelled}<…>` is expected"
            raise self._fail("wrong-unit", node, message, f"write `{unit.spelled}<…>`", 1)
        return inner[0]

    def _css_name(self, node: Node) -> str:
        text = self.scope.text(node)
        if node.kind != "string":
            raise self._fail(
                "wrong-sort", node, f"`{text}` stands where a colour's name is expected", 'write `"white"`'
            )
        return text.strip().strip('"')

    # ---- meanings -----------------------------------------------------------------------------

    def _meaning(self, signature: Signature, node: Node, values: Mapping[str, Any]) -> Any:
        construct = signature.construct
        if not signature.meanings:
            return opaque(construct, values)
        for meaning in signature.meanings:
            if self._holds(signature, meaning, values):
                try:
                    value = meaning.build(values)
                except Meaningless as error:
                    raise self._fail(error.code, node, error.message, error.hint, _ALL_FIT) from None
                # Equal literals are one object; what a construct stands for is one of its own.
                return replace(value) if meaning.number and type(value) in NODE_CLASSES else value
        message = f"`{construct.name}` has no meaning with these arguments"
        raise self._fail("no-meaning", node, message, example(construct), _ALL_FIT)

    @staticmethod
    def _holds(signature: Signature, meaning: Meaning, values: Mapping[str, Any]) -> bool:
        if signature.optional and signature.optional & values.keys() != meaning.mentions:
            return False
        if meaning.guard is None:
            return True
        name, expected = meaning.guard
        return bool(values.get(name) == expected(values))
