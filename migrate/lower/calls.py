"""What becomes of definitions with parameters: one body for all uses that agree on it, the others written out.

A body is not lifted with its parameters left open. Each use is lifted with its own arguments, and the covering of
the body keeps the places where a parameter stood; what it prints there is the parameter's name. Uses whose bodies
print alike share the definition.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Any

from migrate.concrete.nodes import Node
from migrate.diagnostics import Diagnostic
from migrate.ir.nodes import Rational
from migrate.ir.walk import children
from migrate.lower.cost import Cover
from migrate.lower.cover import Coverer
from migrate.lower.settle import numbers, settled, speller, text_in
from migrate.lower.target import Number, Reference, Target, Use, nodes
from migrate.packs.model import Unit
from migrate.packs.units import Spelt
from migrate.scope import TOP, Definition, NotANumber, Scope, number
from migrate.source import Span
from migrate.uses import NAMES, Called, Held, Uses

# Both coverers, the exact and the near one, for a set of names.
Coverers = Callable[[Mapping[int, Use]], tuple[Coverer, Coverer]]
_BARE = Unit("", "plain")


@dataclass(frozen=True)
class Body:
    """A definition's new body: printed in `environment`, with its parameters' numbers as one use has them."""

    definition: Definition
    tree: Any
    environment: int
    values: Mapping[str, Rational]
    text: str
    decimals: frozenset[str]


@dataclass(frozen=True)
class _Try:
    """One use with the body that it would have, and how the use itself would be written."""

    call: Called
    body: Body
    use: Use


@dataclass
class Calls:
    """Plans the definitions with parameters of one file, one after the other."""

    lifter: Uses
    normal: Callable[[Any], Any]
    scope: Scope
    coverers: Coverers
    sorts_of: Callable[[str], tuple[str, ...]]
    printer: Callable[[Any, Node], str]
    templates: bool
    bodies: dict[str, Body] = field(default_factory=dict)
    notes: list[Diagnostic] = field(default_factory=list)
    _live: set[int] = field(default_factory=set)
    _keep: list[Any] = field(default_factory=list)

    def see(self, values: Iterable[Any]) -> None:
        """Notes which IR objects are in use; uses that only a failed reading made are none."""
        if not self.lifter.called:
            return
        bodies: dict[int, list[Any]] = {}
        for call in self.lifter.called.values():
            bodies.setdefault(id(self.normal(call.value)), []).append(self.normal(call.body))
        stack = [self.normal(v) for v in values]
        while stack:
            value = stack.pop()
            if id(value) not in self._live:
                self._live.add(id(value))
                stack.extend((*children(value), *bodies.get(id(value), ())))

    def of(self, definition: Definition) -> list[Called]:
        """The uses of a definition, in the order of the text."""
        found = [
            c for c in self.lifter.called.values()
            if c.definition.span == definition.span and id(self.normal(c.value)) in self._live
        ]  # fmt: skip
        return sorted(found, key=lambda c: (self.top(c).start, c.node.start))

    def top(self, call: Called) -> Node:
        """The outermost use that a use stands in: where it is in the text."""
        while call.outer is not TOP:
            outer = next((c for c in self.lifter.called.values() if c.inner is call.outer), None)
            if outer is None:
                break
            call = outer
        return call.node

    def plan(self, definition: Definition, named: dict[int, Use]) -> None:
        """Chooses the body that most uses agree on, and names these uses."""
        calls = self.of(definition)
        tries = [t for t in (self._try(c, named) for c in calls) if t is not None]
        groups: dict[str, list[_Try]] = {}
        for one in tries:
            groups.setdefault(one.body.text, []).append(one)
        if not groups:
            self._say_dropped(definition)
            return
        best = max(groups.values(), key=len)
        decimals = frozenset().union(*(t.body.decimals for t in best))
        self.bodies[definition.name] = replace(best[0].body, decimals=decimals)
        for one in best:
            named[id(self.normal(one.call.value))] = one.use
        kept = {id(t.call) for t in best}
        written_out = {self.top(c).start: c for c in calls if id(c) not in kept}
        for call in written_out.values():
            message = f"`{definition.name}` is written out here: what it stands for differs from its other uses"
            self.notes.append(Diagnostic("definition-written-out", "note", _span(self.top(call)), message))

    def _say_dropped(self, definition: Definition) -> None:
        used = any(c.definition.span == definition.span for c in self.lifter.called.values())
        why = "every use of it was written out" if used else "nothing in this file uses it"
        message = f"`{definition.name}` cannot be said in the target as one definition; {why}"
        self.notes.append(Diagnostic("definition-dropped", "note", definition.span, message))

    # ---- one use ------------------------------------------------------------------------------

    def _try(self, call: Called, named: dict[int, Use]) -> _Try | None:
        if not self.templates and not call.definition.textual:
            return None
        held = [h for h in self.lifter.held.values() if h.environment is call.inner]
        inner: dict[int, Use] = dict(named)
        arguments: dict[str, tuple[Any, tuple[str, ...]]] = {}
        for one in held:
            argument = self._argument(one, named)
            if argument is None:
                return None
            inner[id(self.normal(one.value))] = Use(one.name, argument[1][0])
            arguments[one.name] = argument
        cover = self._covered(self.normal(call.body), self.sorts_of(call.sort), inner)
        plain = self._covered(self.normal(call.value), self.sorts_of(call.sort), named)
        if cover is None or (plain is not None and plain.cost.loss < cover.cost.loss):
            return None
        return self._body(call, cover.tree, arguments, named)

    def _covered(self, value: Any, sorts: tuple[str, ...], named: Mapping[int, Use]) -> Cover | None:
        _, near = self.coverers(named)
        self._keep.append(near)
        return near.cover(value, sorts)

    def _argument(self, held: Held, named: Mapping[int, Use]) -> tuple[Any, tuple[str, ...]] | None:
        value = self.normal(held.given)
        cover = self._covered(value, self.sorts_of(held.sort), named)
        if cover is None:
            return None
        use = named.get(id(value))
        if isinstance(cover.tree, Target):
            return value, (cover.tree.construct.sort,)
        return (value, (use.sort,)) if isinstance(cover.tree, Reference) and use else None

    def _body(
        self, call: Called, tree: Any, arguments: Mapping[str, tuple[Any, tuple[str, ...]]], named: Mapping[int, Use]
    ) -> _Try | None:  # fmt: skip
        """The body and the use, or None where a parameter's place was lost on the way."""
        parameters, environment = call.definition.parameters, id(call.inner)
        values: dict[str, Rational] = {}
        for found in numbers(tree):
            text = text_in(found, environment)
            if text in parameters and values.setdefault(text, found.value) != found.value:  # type: ignore[arg-type]
                return None
        self._as_given(call, tree, values)
        tree = settled(tree, speller(self.scope, environment, values))
        if not self._complete(call, tree, environment):
            return None
        text = self.printer(tree, call.definition.value)
        given = []
        for name, node in zip(parameters, call.given, strict=True):
            given.append(self._given(name, node, arguments, values, call, tree))
        decimals = frozenset(n for n, v in values.items() if isinstance(v, Fraction))
        use_sort = tree.construct.sort if isinstance(tree, Target) else self.sorts_of(call.sort)[0]
        macro = call.definition.textual
        use = Use(call.name, use_sort, tuple(given), "()" if macro else "<>")
        if macro and any(self._has_comma(*pair, call, named) for pair in zip(given, call.given, strict=True)):
            return None
        return _Try(call, Body(call.definition, tree, environment, values, text, decimals), use)

    def _has_comma(self, given: Any, node: Node, call: Called, named: Mapping[int, Use]) -> bool:
        """Whether an argument's text would fall apart at a comma, since a macro does not know `<>` as brackets."""
        if not isinstance(given, tuple) or self.scope.text(node) in call.outer.bound:
            return False
        cover = self._covered(given[0], given[1], named)
        return cover is None or "," in self.printer(cover.tree, node)

    def _given(
        self, name: str, node: Node, arguments: Mapping[str, Any], values: Mapping[str, Rational], call: Called,
        tree: Any,
    ) -> Any:  # fmt: skip
        if name in arguments:
            return arguments[name]
        if name not in values:
            return self.scope.text(node)
        lone = next((n for n in numbers(tree) if text_in(n, id(call.inner)) == name), None)
        spelt = lone.spelt if lone is not None else self._spelt(node, call, values[name])
        return Number(values[name], _BARE, "", spelt)

    def _spelt(self, node: Node, call: Called, value: Rational) -> Spelt:
        """How an argument is spelled where the use stands, and also outside of it if no parameter is in it."""
        text = self.scope.text(node)
        inside = any(name in call.outer.bound for name in NAMES.findall(text))
        return Spelt(value, {id(call.outer): text} if inside else {id(call.outer): text, 0: text})

    def _as_given(self, call: Called, tree: Any, values: dict[str, Rational]) -> None:
        """Parameters that stand in arithmetic only keep the number that they were given."""
        mentioned = {name for n in numbers(tree) for name in NAMES.findall(text_in(n, id(call.inner)))}
        for name, node in zip(call.definition.parameters, call.given, strict=True):
            if name in mentioned and name not in values:
                try:
                    values[name] = number(self.scope, node, call.outer)
                except NotANumber:
                    continue

    def _complete(self, call: Called, tree: Any, environment: int) -> bool:
        """Whether every parameter that was read is said in the body, and every number that hung on one too."""
        said = {n.name for n in nodes(tree) if isinstance(n, Reference)}
        for found in numbers(tree):
            text = text_in(found, environment)
            mentioned = set(NAMES.findall(text)) & set(call.definition.parameters)
            if mentioned and found.spelling != text:
                return False
            said |= mentioned
        read = {name for env, name in self.lifter.read if env == environment}
        return read <= said


def _span(node: Node) -> Span:
    return Span(node.start, node.end)
