"""Prints a target tree as text, keeping the source's own text, layout and comments wherever they still hold."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Protocol

from migrate.concrete.nodes import Node
from migrate.lower.target import Number, Reference, Target, TargetValue, nodes
from migrate.packs.model import Construct, Generation, Parameter
from migrate.packs.units import spelled

WIDTH = 100


class Application(Protocol):
    """A construct as the source applied it."""

    @property
    def construct(self) -> Construct: ...
    @property
    def node(self) -> Node: ...
    @property
    def values(self) -> Mapping[str, Any]: ...
    @property
    def nodes(self) -> Mapping[str, tuple[Node, ...]]: ...
    @property
    def free(self) -> bool: ...


@dataclass(frozen=True)
class Origins:
    """Where IR values come from: the applications behind a value's id, and the text of a node."""

    applied: Mapping[int, Sequence[Application]]
    text: Callable[[Node], str]


@dataclass(frozen=True)
class Layout:
    """How a file is laid out."""

    indent: str = "  "
    newline: str = "\n"
    qualify: str = ""
    spaced_close: bool = False


@dataclass
class Writer:
    """Prints one expression."""

    generation: Generation
    layout: Layout
    origins: Origins
    comments: dict[int, list[str]] = field(default_factory=dict)
    _memo: dict[int, str | None] = field(default_factory=dict)
    _lines: dict[int, str | None] = field(default_factory=dict)

    def write(self, tree: Target | Reference, root: Node, column: int, margin: str) -> str:
        """The text of the tree that replaces the source expression `root`, which starts at `column`."""
        self._plan(tree, root)
        head = self._comments_before(0, margin + self.layout.indent)
        flat = self._flat(tree)
        one_line = "\n" not in self.origins.text(root)
        if flat is not None and not head and column + len(flat) <= (WIDTH + 10 if one_line else WIDTH - 20):
            return flat
        return head + self._broken(tree, margin + self.layout.indent, outermost=True)

    # ---- what can stay ------------------------------------------------------------------------

    def _application(self, tree: Target) -> Application | None:
        """The source application that says the same in the same form, so that its text can stay."""
        for found in self.origins.applied.get(id(tree.value), ()):
            construct, own = found.construct, tree.construct
            if construct.name != own.name or construct.compat != own.compat or found.node.kind != "application":
                continue
            tags = {p.name: p.tag for p in found.construct.parameters}
            shown = {p.name: p.tag for p, _ in tree.arguments}
            if {n: tags[n] for n in found.nodes} == shown:
                return found
        return None

    def _kept(self, tree: Target) -> str | None:
        """The source's text with only the changed arguments replaced, or None where it cannot stay."""
        if id(tree) not in self._memo:
            self._memo[id(tree)] = self._find_kept(tree)
        return self._memo[id(tree)]

    def _find_kept(self, tree: Target) -> str | None:
        found = self._application(tree)
        if found is None or any(p.tag and len(p.tag) > 1 for p, _ in tree.arguments):
            return None
        pieces: list[tuple[Node, str]] = []
        for parameter, value in tree.arguments:
            values = value if isinstance(value, tuple) else (value,)
            given = found.nodes[parameter.name]
            if len(values) != len(given):
                return None
            for node, one in zip(given, values, strict=True):
                text = self._argument_kept(parameter, one, node, found)
                if text is None:
                    return None
                pieces.append((node, text))
        places = [found.nodes[p.name][0].start for p, _ in tree.arguments if not p.tag and not p.floating]
        if places != sorted(places):
            return None  # the same name takes its arguments in another order here
        head = found.node.children[0]
        pieces.append((head, self._head_kept(head, tree)))
        return self._spliced(found.node, pieces)

    def _head_kept(self, head: Node, tree: Target) -> str:
        """The source's spelling of a construct's name, where the target has that namespace too."""
        text = self.origins.text(head)
        space = f"{self.generation.namespace}::" if self.generation.namespace else None
        bare = "".join(text.split()).removeprefix("::")
        return text if bare == tree.name or (space and bare == space + tree.name) else self._construct_name(tree)

    def _argument_kept(self, parameter: Parameter, value: TargetValue, node: Node, found: Application) -> str | None:
        if isinstance(value, Number):
            return self._number_kept(parameter, value, node, found)
        if isinstance(value, Reference):
            return self._reference(value)
        if isinstance(value, Target):
            kept = self._kept(value)
            return kept if kept is not None else self._flat(value)
        return None

    def _number_kept(self, parameter: Parameter, value: Number, node: Node, found: Application) -> str | None:
        unit = next((s for s in found.construct.parameters if s.name == parameter.name), parameter)
        if not found.free:
            return self._number(value)
        if self.generation.units.get(unit.sorts[-1]) == value.unit and found.construct.origin == self.generation.name:
            return self.origins.text(node)
        if value.spelling and value.spelling == self.origins.text(node) and not value.unit.spelled:
            return value.spelling
        return self._number(value)

    def _spliced(self, node: Node, pieces: Iterable[tuple[Node, str]]) -> str:
        out, at = [], node.start
        for child, new in sorted(pieces, key=lambda p: p[0].start):
            out += [self._between(at, child.start), new]
            at = child.end
        return "".join((*out, self._between(at, node.end)))

    def _between(self, start: int, end: int) -> str:
        return self.origins.text(Node("gap", start, end, ()))

    # ---- comments -----------------------------------------------------------------------------

    def _plan(self, tree: Target | Reference, root: Node) -> None:
        """Assigns each comment of the source that no kept text holds to the construct it stood by."""
        kept: set[int] = set()
        present: dict[int, int] = {}
        for node in nodes(tree):
            if isinstance(node, Target):
                present.setdefault(id(node.value), id(node))
                found = self._application(node)
                if found is not None and self._kept(node) is not None:
                    kept.add(found.node.start)
        owners: dict[int, list[int]] = {}
        for value, owner in present.items():
            for application in self.origins.applied.get(value, ()):
                owners.setdefault(application.node.start, []).append(owner)
        self._assign(root, kept, owners, 0)
        self._lines.clear()  # the comments have their places now

    def _assign(self, root: Node, kept: set[int], owners: Mapping[int, list[int]], top: int) -> None:
        stack: list[tuple[Node, int]] = [(root, top)]
        while stack:
            node, owner = stack.pop()
            owner = owners.get(node.start, [owner])[0] if node.kind == "application" else owner
            items = [c for c in node.children if c.kind != "name" or node.kind != "application"]
            for index, child in enumerate(items):
                if child.kind != "comment":
                    stack.append((child, owner))
                elif not (node.kind == "application" and node.start in kept):
                    beside = self._beside(items, index)
                    target = owners.get(beside.start, [owner])[0] if beside is not None else owner
                    self.comments.setdefault(target, []).append(self.origins.text(child).rstrip())

    def _beside(self, items: Sequence[Node], index: int) -> Node | None:
        """What a comment speaks of: what precedes it on its line, else what follows."""
        before = next((c for c in reversed(items[:index]) if c.kind != "comment"), None)
        after = next((c for c in items[index + 1 :] if c.kind != "comment"), None)
        if before is not None and "\n" not in self._between(before.end, items[index].start):
            return before
        return after or before

    def _comments_before(self, key: int, margin: str) -> str:
        out = ""
        for comment in self.comments.get(key, ()):
            line = comment.startswith("//")
            out += comment + (f"{self.layout.newline}{margin}" if line or "\n" in comment else " ")
        return out

    # ---- text ---------------------------------------------------------------------------------

    def _construct_name(self, tree: Target) -> str:
        return f"{self.layout.qualify}{tree.name}"

    def _number(self, value: Number) -> str:
        if isinstance(value.value, str):
            text = f'"{value.value}"'
        elif value.spelling:
            text = value.spelling
        elif value.unit.kind == "packed_duty":
            text = f"0x{int(value.value):06X}"
        else:
            text = spelled(value.value, self.generation.decimals)
        return f"{self.layout.qualify}{value.unit.spelled}<{text}>" if value.unit.spelled else text

    def _flat(self, tree: TargetValue) -> str | None:
        """One line, or None where a comment or a kept line break needs more."""
        if isinstance(tree, Number):
            return self._number(tree)
        if isinstance(tree, Reference):
            return self._reference(tree)
        if isinstance(tree, tuple):
            return self._joined([self._flat(item) for item in tree])
        if id(tree) not in self._lines:
            self._lines[id(tree)] = self._flat_target(tree)
        return self._lines[id(tree)]

    def _flat_target(self, tree: Target) -> str | None:
        comments = self.comments.get(id(tree), ())
        if any(c.startswith("//") or "\n" in c for c in comments):
            return None
        body = self._flat_body(tree)
        return body if body is None or not comments else self._comments_before(id(tree), "") + body

    def _flat_body(self, tree: Target) -> str | None:
        """The construct on one line, without the comments before it."""
        kept = self._kept(tree)
        if kept is not None:
            return None if "\n" in kept else kept
        if not tree.construct.brackets:
            return self._construct_name(tree)
        inner = self._joined(self._arguments(tree, self._flat))
        return None if inner is None else self._wrapped(self._construct_name(tree), inner)

    def _reference(self, tree: Reference) -> str | None:
        """A name, or None where an argument needs more than a line."""
        if not tree.arguments:
            return tree.name
        parts = [a if isinstance(a, str) else self._flat(a) for a in tree.arguments]
        inner = self._joined(parts)
        if inner is None or tree.brackets == "<>":
            return None if inner is None else self._wrapped(tree.name, inner)
        return f"{tree.name}({inner})"

    @staticmethod
    def _joined(parts: Sequence[str | None]) -> str | None:
        return None if any(p is None for p in parts) else ", ".join(p for p in parts if p)

    def _wrapped(self, name: str, inner: str) -> str:
        close = " >" if self.layout.spaced_close and inner.endswith(">") else ">"
        return f"{name}<{inner}{close}"

    def _tagged(self, tag: str, text: str) -> str:
        return self._wrapped(f"{self.layout.qualify}{tag}", text)

    def _arguments(self, tree: Target, show: Callable[[TargetValue], str | None]) -> list[str | None]:
        """The arguments' texts; those that share an outer tag stand in it together."""
        out: list[str | None] = []
        open_tags: dict[str, int] = {}
        for parameter, value in tree.arguments:
            if not parameter.tag:
                out.extend(show(v) for v in (value if isinstance(value, tuple) else (value,)))
                continue
            inner = show(value)
            if inner is not None and len(parameter.tag) > 1:
                inner = self._tagged(parameter.tag[1], inner)
            outer = parameter.tag[0]
            if outer in open_tags and len(parameter.tag) > 1:
                before = out[open_tags[outer]]
                joined = None if before is None or inner is None else f"{before[: before.rindex('>')]}, {inner}>"
                out[open_tags[outer]] = joined
            else:
                open_tags[outer] = len(out)
                out.append(None if inner is None else self._tagged(outer, inner))
        return out

    def _broken(self, tree: TargetValue, margin: str, outermost: bool = False) -> str:
        """Over several lines: each argument that does not fit beside its neighbours on a line of its own."""
        if not isinstance(tree, Target):
            return self._flat(tree) or ""
        before = self._comments_before(id(tree), margin)
        kept = self._kept(tree)
        flat = kept if kept is not None else None if outermost else self._flat_body(tree)
        if flat is not None and (kept is not None or len(margin) + len(flat) <= WIDTH):
            return before + flat
        deeper = margin + self.layout.indent if not outermost else margin
        lines = self._arguments(tree, lambda value: self._fitted(value, deeper))
        newline = self.layout.newline + deeper
        return before + self._wrapped(self._construct_name(tree), newline + f",{newline}".join(x or "" for x in lines))

    def _fitted(self, value: TargetValue, margin: str) -> str:
        flat = self._flat(value)
        return flat if flat is not None and len(margin) + len(flat) <= WIDTH else self._broken_value(value, margin)

    def _broken_value(self, value: TargetValue, margin: str) -> str:
        if isinstance(value, tuple):
            newline = f",{self.layout.newline}{margin}{self.layout.indent}"
            return newline.join(self._broken(v, margin + self.layout.indent) for v in value)
        return self._broken(value, margin)
