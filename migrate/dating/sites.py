"""The constructs of a file, each with the generations that accept it and the reasons of those that do not."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from migrate.concrete.items import Alias, Bare, Define, Item, Slots, StyleMacro
from migrate.concrete.nodes import Node, arguments
from migrate.dating.probe import Probe, wrappers_of
from migrate.diagnostics import Diagnostic
from migrate.host import named_slots
from migrate.packs.model import Construct, Generation
from migrate.scope import Scope
from migrate.source import Span


@dataclass(frozen=True)
class Site:
    """One construct in the text.

    accepts   generation -> the signature that accepts it
    rejects   generation -> why it does not
    known     whether any generation knows the name
    depth     how many constructs of the same piece it stands in
    """

    name: str
    node: Node
    accepts: Mapping[str, Construct]
    rejects: Mapping[str, Diagnostic]
    known: bool
    depth: int

    @property
    def span(self) -> Span:
        """The construct with its arguments."""
        return Span(self.node.start, self.node.end)

    @property
    def head(self) -> Span:
        """Its name alone."""
        node = self.node.children[0] if self.node.kind == "application" else self.node
        return Span(node.start, node.end)

    @property
    def origins(self) -> frozenset[str]:
        """The generations that it can have been written for: those whose own packs hold an accepting signature."""
        return frozenset(construct.origin for construct in self.accepts.values())


@dataclass(frozen=True)
class Piece:
    """One definition, fragment or style in a slot: its value, its constructs, and the definitions that it uses."""

    name: str
    kind: str
    value: Node
    span: Span
    name_span: Span
    parameters: tuple[str, ...]
    sites: tuple[Site, ...]
    uses: frozenset[str]


class Finder:
    """Finds and asks the constructs of one file; `every` are all generations where only some are to be asked."""

    def __init__(
        self, scope: Scope, generations: Mapping[str, Generation], every: Mapping[str, Generation] | None = None
    ) -> None:
        self.scope, self.generations = scope, generations
        # slot tables are the host's business: their words are no constructs
        known = (every or generations).values()
        self.tables = {w for g in known for w in re.findall(r"\b\w+(?=[<(])", f"{g.entry} {g.table}")}
        self.wrappers = frozenset(self.tables).union(*(wrappers_of(g) for g in known))
        self.probes = {name: Probe(scope, g, self.wrappers) for name, g in generations.items()}
        self.namespaces = {g.namespace for g in generations.values() if g.namespace}
        self._asked: dict[tuple[int, int, str], tuple[dict[str, Construct], dict[str, Diagnostic]]] = {}

    def pieces(self, items: tuple[Item, ...]) -> list[Piece]:
        """The pieces of a file, in its order; those that hold nothing of ours are left out."""
        found: list[Piece] = []
        slots = {slot.span.start: name for name, slot, _ in named_slots(items, self.scope)}
        for item in items:
            for name, kind, value, name_span, span, parameters in (*_values(item), *self._calls(item)):
                name = name or slots.get(span.start, "")
                piece = self.piece(name, kind, self._in_slot(value), span, name_span, parameters)
                if isinstance(item, StyleMacro) and item.macro in self.scope.declaring:
                    piece = replace(piece, uses=piece.uses | {item.macro})
                if self._of_ours(piece):
                    found.append(piece)
        return found

    def _of_ours(self, piece: Piece) -> bool:
        """Whether it holds a construct, or is made of names that stand for one; a fragment has one that is known."""
        if piece.kind == "fragment":
            return any(s.known for s in piece.sites)
        return bool(piece.sites) or any(self._stands_for_ours(word) for word in piece.uses)

    def _stands_for_ours(self, word: str) -> bool:
        """Whether a name of the file stands, by however many others, for something with a construct in it."""
        seen, stack = {word}, [word]
        while stack:
            for node in self._meant(stack.pop()):
                for inner, _, _ in _expressions(node):
                    name = self._word(inner)
                    if inner.kind != "macro_call" and any(self.knows(g, name) for g in self.generations.values()):
                        return True
                    if name not in seen and self._defined(name):
                        seen.add(name)
                        stack.append(name)
        return False

    def _meant(self, word: str) -> tuple[Node, ...]:
        """The values that a name of the file stands for."""
        definition, declaring = self.scope.definitions.get(word), self.scope.declaring.get(word)
        if definition is not None:
            return (definition.value,)
        if declaring is not None and declaring.declares is not None:
            return (declaring.declares.value,)
        return self.scope.lists.get(word, ())

    def _calls(self, item: Item) -> Iterator[tuple[str, str, Node, Span, Span, tuple[str, ...]]]:
        """The use of a macro that declares a style, by the name that it gives it; see `_values`."""
        if not isinstance(item, Bare) or item.value.kind != "macro_call":
            return
        macro, given = self.scope.declaring.get(self._word(item.value)), arguments(item.value)
        if macro is None or macro.declares is None:
            return
        parameters = macro.params or ()
        at = parameters.index(macro.declares.name) if macro.declares.name in parameters else len(given)
        if at < len(given) and given[at].kind == "name":
            named = Span(given[at].start, given[at].end)
            yield self.scope.text_of(named), "definition", item.value, named, item.span, ()
        elif at == len(given):
            yield macro.declares.name, "definition", item.value, item.span, item.span, ()

    def _word(self, node: Node) -> str:
        """The name of a construct, a macro's call or a word, bare."""
        head = node if node.kind == "name" else node.children[0]
        return self.bare(self.scope.text(head))

    def _in_slot(self, value: Node) -> Node:
        """What a slot holds, where a fragment is one: its table is somewhere else."""
        while value.kind == "application" and self.bare(self.scope.text(value.children[0])) in self.tables:
            inner = [c for c in value.children[1:] if c.kind in ("application", "name")]
            if not inner:
                break
            value = inner[0]
        return value

    def piece(
        self, name: str, kind: str, value: Node, span: Span, name_span: Span, parameters: tuple[str, ...] = ()
    ) -> Piece:
        """One piece with its constructs."""
        free = frozenset((*parameters, name)) if self._declares(value) else frozenset(parameters)
        for probe in self.probes.values():
            probe.free = free
        sites, uses = [], set()
        for node, depth, above in _expressions(value):
            word = self._word(node)
            if word in free or self._is_tag(node, word, above):
                continue
            if node.kind == "macro_call":
                uses |= {word} if self._defined(word) else set()
                continue
            accepts, rejects = self._ask(node)
            known = any(self.knows(g, word) for g in self.generations.values())
            if self._defined(word) and (not known or (node.kind == "name" and not accepts)):
                uses.add(word)
            elif known or not (node.kind == "application" and word in self.wrappers):
                sites.append(Site(word, node, accepts, rejects, known, depth))
        return Piece(name, kind, value, span, name_span, parameters, tuple(sites), frozenset(uses))

    def _declares(self, value: Node) -> bool:
        """Whether a value is the use of a macro that declares a style."""
        return value.kind == "macro_call" and self._word(value) in self.scope.declaring

    def _defined(self, word: str) -> bool:
        return word in self.scope.definitions or word in self.scope.lists or word in self.scope.declaring

    def _is_tag(self, node: Node, word: str, above: tuple[Node, ...]) -> bool:
        """Whether an application names an argument of what it stands in, though a construct has that name too."""
        if node.kind != "application" or word not in self.wrappers or not above:
            return False
        words = [self.bare(self.scope.text(a.children[0])) for a in above if a.kind == "application"]
        for generation in self.generations.values():
            for at, outer in enumerate(words):
                path = (*words[at + 1 :], word)
                for construct in generation.constructs.get(outer, ()):
                    if any(p.tag == path or p.tag[: len(path)] == path for p in construct.parameters):
                        return True
        return False

    def bare(self, text: str) -> str:
        """A name without blanks, a leading `::` and the namespace of any generation."""
        name = "".join(text.split()).removeprefix("::")
        for namespace in self.namespaces:
            name = name.removeprefix(f"{namespace}::")
        return name

    @staticmethod
    def knows(generation: Generation, name: str) -> bool:
        """Whether a generation has a construct of that name, alone or as one of a family of words."""
        family = f"{name.rpartition('::')[0]}::*"
        return name in generation.constructs or ("::" in name and family in generation.constructs)

    def _ask(self, node: Node) -> tuple[dict[str, Construct], dict[str, Diagnostic]]:
        key = (node.start, node.end, node.kind)
        if key not in self._asked:
            accepts: dict[str, Construct] = {}
            rejects: dict[str, Diagnostic] = {}
            for name, probe in self.probes.items():
                answer = probe.ask(node)
                if isinstance(answer, Diagnostic):
                    rejects[name] = answer
                else:
                    accepts[name] = answer
            self._asked[key] = accepts, rejects
        return self._asked[key]


def _expressions(value: Node) -> Iterator[tuple[Node, int, tuple[Node, ...]]]:
    """Every application, macro call and bare word of a value, outermost first, with its depth and the two above it."""
    stack: list[tuple[Node, int, tuple[Node, ...]]] = [(value, 0, ())]
    while stack:
        node, depth, above = stack.pop()
        if node.kind in ("application", "macro_call", "name"):
            yield node, depth, above
        inner = node.children[1:] if node.kind in ("application", "macro_call") else node.children
        inside = [child for child in inner if child.kind not in ("number", "string", "comment", "missing")]
        stack.extend((child, depth + 1, (*above[-1:], node)) for child in reversed(inside))


def _values(item: Item) -> Iterator[tuple[str, str, Node, Span, Span, tuple[str, ...]]]:
    """Name, kind, value, name's span, whole span and parameters of what an item holds."""
    match item:
        case Alias() if item.value.kind in ("application", "macro_call", "name"):
            parameters = tuple(p.name for p in item.params)
            yield item.name, "definition", item.value, item.name_span, item.span, parameters
        case Alias() if item.value.kind == "error":
            yield item.name, "damaged", item.value, item.name_span, item.span, ()
        case Define() if item.value is not None and item.value.kind in ("application", "macro_call"):
            name = Span(item.span.start, item.value.start)
            yield item.name, "definition", item.value, name, item.span, item.params or ()
        case Define() if item.declares is not None:
            declared = item.declares
            yield item.name, "definition", declared.value, declared.name_span, item.span, item.params or ()
        case StyleMacro():
            yield item.name, "definition", item.value, item.name_span, item.span, ()
        case Bare() if item.value.kind == "application":
            yield "", "fragment", item.value, Span(item.value.start, item.value.start), item.span, ()
        case Slots():
            for slot in item.slots:
                if slot.style.kind in ("application", "macro_call"):
                    where = Span(slot.style.start, slot.style.start)
                    yield "", "in slot", slot.style, where, slot.span, ()
        case _:
            pass
