"""Asks a generation whether it accepts one construct: its name, its arguments' number, sorts, ranges and units.

The arguments' own inner parts are another construct's business: an argument whose head the generation does not
know is blamed on itself, not on what it stands in.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from migrate.concrete.nodes import Node, arguments
from migrate.diagnostics import Diagnostic
from migrate.ir.facts import Blade
from migrate.lift import Lifter, _Unfit
from migrate.packs.model import Construct, Generation
from migrate.packs.signature import Place, Signature
from migrate.scope import TOP, Environment, NotANumber, Scope, number

Sorts = frozenset[str]
_DEEPEST = 40


def wrappers_of(generation: Generation) -> frozenset[str]:
    """The words of a generation that name an argument or a unit, and are no constructs by themselves."""
    units = {u.spelled for u in generation.units.values() if u.spelled}
    tags = {tag for group in generation.constructs.values() for c in group for p in c.parameters for tag in p.tag}
    return frozenset(units | tags)


class _Unread:
    """Stands for an argument's value, which nobody has read."""


_UNREAD = _Unread()


class Probe(Lifter):
    """A lifter that reads one construct at a time and takes every argument's inner part for granted.

    `free` are names that may stand for anything: the parameters of the template or macro that is being read.
    `alien` are the words that name arguments or units in other generations: whoever holds one is not of this one.
    """

    def __init__(self, scope: Scope, generation: Generation, wrappers: frozenset[str] = frozenset()) -> None:
        super().__init__(scope, generation, Blade())
        self.free: frozenset[str] = frozenset()
        self.alien = wrappers - wrappers_of(generation)

    def ask(self, node: Node) -> Construct | Diagnostic:
        """The signature that accepts this application or word, or why none does."""
        name = self.signatures.bare(self._head_text(node))
        known = self.signatures.constructs(name)
        fitting = [c for c in known if c.brackets == (node.kind == "application")]
        given = arguments(node) if node.kind == "application" else ()
        furthest: tuple[int, Diagnostic] | None = None  # of the failure itself its frames would be kept
        for construct in fitting:
            try:
                self._apply(construct, node, given, TOP)
                return construct
            except _Unfit as unfit:
                if furthest is None or unfit.depth > furthest[0]:
                    furthest = unfit.depth, unfit.diagnostic
        return self._no_fit(node, name, known, ()).diagnostic if furthest is None else furthest[1]

    def sorts(self, node: Node, depth: int = 0) -> Sorts | None:
        """The sorts that an expression can have by its head alone; None where that cannot be told."""
        if node.kind in ("number", "string", "arithmetic"):
            return frozenset()
        if node.kind not in ("name", "application") or depth > _DEEPEST:
            return None
        name = self.signatures.bare(self._head_text(node))
        if name in self.free:
            return None
        known = self.signatures.constructs(name)
        if known:
            return frozenset(c.sort for c in known if c.brackets == (node.kind == "application")) or None
        definition = self.scope.definitions.get(name)
        if definition is None:
            return frozenset() if name in self.alien and node.kind == "application" else None
        if self._head_text(definition.value) in definition.parameters:
            return None
        return self.sorts(definition.value, depth + 1)

    def _head_text(self, node: Node) -> str:
        head = node.children[0] if node.kind == "application" else node
        return self.scope.text(head)

    # ---- what the lifter would read deeper is read by its head only ---------------------------

    def _expression(self, node: Node, sorts: tuple[str, ...], env: Environment) -> tuple[Any, str]:
        found = self.sorts(node)
        if node.kind in ("number", "string", "arithmetic"):
            self._not_an_expression(node, sorts)
        if found is None or not found.isdisjoint(sorts):
            return _UNREAD, sorts[0] if sorts else ""
        name = self.signatures.bare(self._head_text(node))
        raise self._no_fit(node, name, self.signatures.constructs(name), sorts)

    def _number(self, construct: Construct, place: Place, node: Node, env: Environment) -> Any:
        if self._open(node):
            return _UNREAD
        return super()._number(construct, place, node, env)

    def _open(self, node: Node) -> bool:
        """Whether a number hangs on a name that this file does not define, or on a parameter."""
        if node.kind in ("error", "missing"):
            return True
        if node.kind == "name":
            name = self.scope.text(node)
            if name in self.free:
                return True
            if name in self.scope.definitions or self.signatures.constructs(self.signatures.bare(name)):
                return False
            return "::" not in name
        if node.kind in ("arithmetic", "macro_call"):
            try:
                number(self.scope, node)
            except NotANumber:
                return any(self._open(child) for child in node.children if child.kind != "number")
        return node.kind == "application" and any(self._open(child) for child in arguments(node))

    def _meaning(self, signature: Signature, node: Node, values: Mapping[str, Any]) -> Any:
        parts = [p for v in values.values() for p in (v if isinstance(v, tuple) else (v,))]
        if any(isinstance(part, _Unread) for part in parts):
            return _UNREAD
        super()._meaning(signature, node, values)
        return _UNREAD
