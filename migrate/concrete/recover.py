"""Where a declaration that is never closed ends: at the next line that begins a declaration of its own.

The grammar ends a list at `;`, at a bracket `{` or `}`, at a directive and at a word that starts a declaration. What
it cannot tell by one word is a slot table, a macro that declares a style, or a function: a list that is still open
takes their first line for arguments. Here such lines are found in the tree, and the text is read again in pieces
that end before them, so that one missing bracket costs one style.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from tree_sitter import Tree

from migrate.concrete.build import Builder
from migrate.concrete.language import read
from migrate.concrete.nodes import Node
from migrate.diagnostics import Diagnostic

_ROUNDS = 8  # a piece that is read again may show one more; after so many, what is left stays as it was read
_WIDEST = 200  # blanks: what stands further right begins no declaration
_OPEN = frozenset({"alias", "typedef", "constant", "bare", "table", "other"})
_WORD = rb"(?:::)?[A-Za-z_\x7f][\w\x7f]*(?:::[A-Za-z_\x7f][\w\x7f]*)*"
# `TYPE NAME = {` and `TYPE<…> NAME[] = {`: whatever is open, this is no argument
_TABLE = re.compile(rb"%b(?:<[^;{}\r\n]*>)?[ \t]+%b[ \t]*(?:\[\w*\][ \t]*)?=\s*\{" % (_WORD, _WORD))
# two words in a row and what follows a name that is declared; and the words that begin a declaration in plain C++
_PLAIN = re.compile(
    rb"(?:%b[ \t]+)+[*&]*%b[ \t]*[;({=\[]|(?:struct|class|enum|union|extern|friend|static_assert)\b" % (_WORD, _WORD)
)
_CALL = re.compile(rb"%b[ \t]*\(" % _WORD)


@dataclass(frozen=True, slots=True)
class Read:
    """A file as nodes: the root, what is wrong with it, and the tree of the text read in one go."""

    root: Node
    problems: list[Diagnostic]
    tree: Tree


@dataclass(frozen=True, slots=True)
class _Piece:
    start: int
    end: int
    children: tuple[Node, ...]
    problems: list[Diagnostic]


def read_file(masked: bytes) -> Read:
    """The nodes of a masked file; a declaration that is left open ends before the next one."""
    tree = read(masked)
    pieces = [_piece(masked, 0, len(masked), tree)]
    fresh = pieces
    for _ in range(_ROUNDS):
        cuts = {piece.start: sorted(set(_cuts(masked, piece))) for piece in fresh}
        if not any(cuts.values()):
            break
        fresh = []
        parted: list[_Piece] = []
        for piece in pieces:
            bounds = [piece.start, *cuts.get(piece.start, ()), piece.end]
            again = [_piece(masked, a, b) for a, b in pairwise(bounds)] if bounds[1:-1] else []
            fresh += again
            parted += again or [piece]
        pieces = parted
    children = tuple(child for piece in pieces for child in piece.children)
    problems = [problem for piece in pieces for problem in piece.problems]
    return Read(Node("file", 0, len(masked), children), problems, tree)


def _piece(masked: bytes, start: int, end: int, tree: Tree | None = None) -> _Piece:
    part = masked[start:end]
    builder = Builder(part, start)
    root = builder.build(tree or read(part))
    return _Piece(start, end, root.children, builder.problems)


def _cuts(masked: bytes, piece: _Piece) -> Iterator[int]:
    """The starts of the lines in a piece at which a declaration begins that one left open had taken in."""
    missing = sorted(p.span.start for p in piece.problems if p.code == "missing-close")
    for node in piece.children:
        if node.kind in _OPEN and _left_open(masked, node, missing):
            yield from _beginnings(masked, node)


def _left_open(masked: bytes, node: Node, missing: Sequence[int]) -> bool:
    if missing:
        at = bisect_left(missing, node.start)
        if at < len(missing) and missing[at] <= node.end:
            return True
    kind, inside = node.kind, node.children
    if kind == "alias":  # `using NAME =`: what stands on the next line was taken for its value
        return len(inside) > 1 and b"\n" in masked[inside[0].end : inside[1].start]
    if kind == "table":
        return not any(child.kind == "close" for child in inside)
    # `typedef VALUE` and its name, which is not there: the next line's first word was taken for it
    return kind == "typedef" and masked[node.end - 1 : node.end] != b";"


def _beginnings(masked: bytes, item: Node) -> Iterator[int]:
    line = masked.rfind(b"\n", 0, item.start) + 1
    margin = _indent(masked, line, item.start) or 0
    first, seen = line, item.start
    solid = item.start  # the end of the last leaf that is no comment
    comments: list[tuple[int, int]] = []
    stack = [item]
    while stack:
        node = stack.pop()
        line, seen = max(line, masked.rfind(b"\n", seen, node.start) + 1), node.start
        if line > first and node.kind in ("name", "application", "macro_call"):
            indent = _indent(masked, line, node.start)
            if indent is not None:
                before = _gap(masked, solid, node.start, comments)
                if _begins(masked, node, item, indent <= margin, before):
                    yield line
        if node.children:
            stack.extend(reversed(node.children))
        elif node.kind == "comment":
            comments.append((node.start, node.end))
        elif node.kind != "missing":
            solid, comments = node.end, []


def _indent(masked: bytes, line: int, at: int) -> int | None:
    """The width of the blanks from a line's start to an offset; None where more than blanks stands there."""
    if at - line > _WIDEST:
        return None
    before = masked[line:at]
    return None if before.strip() else len(before.expandtabs(4))


def _gap(masked: bytes, start: int, end: int, comments: Sequence[tuple[int, int]]) -> bytes:
    """The signs between two leaves, without blanks and comments."""
    out, at = b"", start
    for first, last in comments:
        out, at = out + masked[at:first], last
    return (out + masked[at:end]).strip()


def _begins(masked: bytes, node: Node, item: Node, at_margin: bool, before: bytes) -> bool:
    """Whether a node at the start of a line begins a declaration; `before` are the signs that part it from the last."""
    if _TABLE.match(masked, node.start):
        return True
    if not at_margin:
        return False
    if _PLAIN.match(masked, node.start):
        return True
    if before and not before.endswith((b">", b")")):
        return False  # an argument: behind a comma, a bracket or an operator
    if node.kind == "macro_call":
        inside = [child for child in node.children[1:] if child.kind not in ("comment", "missing")]
        return len(inside) > 1 and inside[0].kind == "name" and inside[1].kind == "application"
    if item.kind == "typedef" and node.kind == "name":
        return _CALL.match(masked, node.start) is not None  # a macro's name was taken for the one that is not there
    return item.kind == "bare" and node.kind == "application"
