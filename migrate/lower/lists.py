"""Macros that stand for several arguments at once: kept where their parts still stand side by side."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from migrate.concrete.nodes import Node
from migrate.lower.target import Reference, Target

# The source nodes that a part of a target tree comes from.
Sources = Callable[[Any], Sequence[Node]]


@dataclass
class Lists:
    """Folds runs of parts into the names of the macros that list them.

    `parts` holds for each macro that stays its parts as target trees; the first run that is whole decides.
    """

    lists: Mapping[str, tuple[Node, ...]]
    sources: Sources
    printed: Callable[[Any], str]
    parts: dict[str, tuple[Any, ...]] = field(default_factory=dict)

    def folded(self, tree: Any) -> Any:
        """The tree with every whole run of a list's parts replaced by its name."""
        if not self.lists:
            return tree
        match tree:
            case tuple():
                return self._run(tuple(self.folded(item) for item in tree))
            case Reference():
                given = tuple(a if isinstance(a, str) else self.folded(a) for a in tree.arguments)
                return replace(tree, arguments=given) if given != tree.arguments else tree
            case Target():
                return replace(tree, arguments=tuple((p, self.folded(v)) for p, v in tree.arguments))
            case _:
                return tree

    def _run(self, items: tuple[Any, ...]) -> tuple[Any, ...]:
        out: list[Any] = []
        at = 0
        while at < len(items):
            name = next((n for n in self.lists if self._stands(n, items[at : at + len(self.lists[n])])), "")
            if name:
                out.append(Reference(name, None))
                at += len(self.lists[name])
            else:
                out.append(items[at])
                at += 1
        return tuple(out)

    def _stands(self, name: str, run: Sequence[Any]) -> bool:
        nodes = self.lists[name]
        if len(run) != len(nodes) or not all(map(self._comes_from, run, nodes)):
            return False
        texts = [self.printed(part) for part in run]
        known = self.parts.setdefault(name, tuple(run))
        return texts == [self.printed(part) for part in known]

    def _comes_from(self, part: Any, node: Node) -> bool:
        if not isinstance(part, (Target, Reference)) or part.value is None:
            return False
        return any((n.start, n.end) == (node.start, node.end) for n in self.sources(part.value))
