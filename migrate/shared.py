"""Definitions that hang on nothing of their file: read once, in whichever file and layout they stand.

An archive is full of copies, most of them laid out anew or with other comments. What such a definition means, and what
becomes of it, follows from its tokens alone; so its IR is kept, and with it all that is known by the IR's identity.
Whether a definition was kept or read can be told by the time that it took and by nothing else.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from migrate.concrete.nodes import Node
from migrate.diagnostics import Diagnostic
from migrate.ir.normal import Normaliser
from migrate.lift import Applied, Lifter
from migrate.packs.model import Generation
from migrate.recent import Recent
from migrate.scope import Scope
from migrate.uses import NAMES

MOST = 2048
_BLANKS = re.compile(rb"\s+|//[^\n]*|/\*.*?\*/", re.S)
_TOKENS = re.compile(rb'(?:[\w:<>,.\'-]|"\w*")+')
_BLANK_IN_TEXT = re.compile(rb'"[^"\n]*[\s/][^"\n]*"')


@dataclass(frozen=True, slots=True)
class Shape:
    """A tree without its comments: its nodes from the root down in the text's order, and how they hang together."""

    nodes: tuple[Node, ...]
    kinds: tuple[tuple[int, str], ...]  # the depth and the kind of each: together they are the tree


@dataclass(frozen=True, slots=True)
class Kept:
    """A definition as it was first read: its tree, its IR, and what reading and normalising it noted."""

    generation: Generation
    shape: Shape
    names: frozenset[str]
    raw: Any
    sort: str
    normal: Any
    applied: Mapping[int, list[Applied]]
    words: frozenset[tuple[str, bool, str]]
    done: Mapping[int, tuple[Any, Any]]
    keep: tuple[Any, ...]  # whatever else is known by its id


class Shared:
    """Lifts the definitions of one file, those that hang on nothing of it from what is kept."""

    def __init__(self, lifter: Lifter, normaliser: Normaliser) -> None:
        self.lifter, self.normaliser = lifter, normaliser
        self._own = own_names(lifter.scope)
        self._used: dict[bytes, bytes] = {}

    def lift(self, node: Node, sorts: tuple[str, ...]) -> Kept | None:
        """What is kept of a definition, or None where it is to be read by itself.

        Of two equal definitions of one file that are laid out in two ways, each keeps its own text and comments: so
        only the first is taken from here.
        """
        source = self.lifter.scope.source
        text = source.data[node.start : node.end]
        tokens = tokens_of(text)
        if tokens is None or (tokens in self._used and (b"/" in text or self._used[tokens] != text)):
            return None
        key = id(self.lifter.generation), tokens, sorts
        kept, shape = _KEPT.known(key), _shape_of(node)
        if kept is None:
            kept = self._read(node, shape, tokens, sorts)
            if kept is None:
                return None
            _KEPT.get(key, lambda: kept)
        # Blanks can part what without them is one.
        elif not kept.names.isdisjoint(self._own) or shape.kinds != kept.shape.kinds:
            return None
        self._used[tokens] = text
        self._adopt(kept, shape)
        return kept

    def _adopt(self, kept: Kept, here: Shape) -> None:
        """Makes known here what was noted of a definition when it was read."""
        self.lifter.later.append(lambda: _at_home(kept, here))
        self.lifter.words |= kept.words
        self.lifter.keep.append(kept)
        self.normaliser.done.update(kept.done)

    def _read(self, node: Node, shape: Shape, tokens: bytes, sorts: tuple[str, ...]) -> Kept | None:
        names = frozenset(NAMES.findall(tokens.decode("ascii", "replace")))
        if not names.isdisjoint(self._own):
            return None
        alone, normaliser = Lifter(self.lifter.scope, self.lifter.generation, self.lifter.blade), Normaliser(False)
        found = alone.lift(node, sorts)
        if isinstance(found, Diagnostic):
            return None
        raw, sort = found
        return Kept(
            alone.generation, shape, names, raw, sort, normaliser(raw), alone.applied, frozenset(alone.words),
            normaliser.done, tuple(alone.keep),
        )  # fmt: skip


def own_names(scope: Scope) -> frozenset[str]:
    """Every name that a file gives a meaning of its own."""
    return frozenset((*scope.definitions, *scope.lists, *scope.declaring))


def tokens_of(text: bytes) -> bytes | None:
    """An expression without blanks and comments, or None where more than names, brackets and literals is in it."""
    if b'"' in text and _BLANK_IN_TEXT.search(text):
        return None
    tokens = _BLANKS.sub(b"", text)
    return tokens if _TOKENS.fullmatch(tokens) and b"--" not in tokens else None


def in_one_line(text: str) -> str:
    """An expression as a message says it: the same for all of its layouts."""
    bare = tokens_of(text.encode())
    return " ".join(text.split()) if bare is None else bare.decode().replace(",", ", ")


def _shape_of(root: Node) -> Shape:
    """The shape of a tree."""
    nodes: list[Node] = []
    kinds: list[tuple[int, str]] = []
    stack = [(0, root)]
    while stack:
        depth, node = stack.pop()
        nodes.append(node)
        kinds.append((depth, node.kind))
        for child in reversed(node.children):
            if child.kind != "comment":
                stack.append((depth + 1, child))
    return Shape(tuple(nodes), tuple(kinds))


def _at_home(kept: Kept, here: Shape) -> dict[int, list[Applied]]:
    """The applications of a definition at their places in another text."""
    twins = {(mine.start, mine.end): there for mine, there in zip(kept.shape.nodes, here.nodes, strict=True)}

    def moved(applied: Applied) -> Applied:
        nodes = {name: tuple([twins[n.start, n.end] for n in given]) for name, given in applied.nodes.items()}
        place = twins[applied.node.start, applied.node.end]
        return Applied(applied.construct, place, applied.values, nodes, applied.free)

    return {value: [moved(a) for a in found] for value, found in kept.applied.items()}


_KEPT: Recent[tuple[int, bytes, tuple[str, ...]], Kept] = Recent(MOST)
