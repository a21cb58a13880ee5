"""The concrete tree: immutable nodes that point into the bytes, and lose none of them.

A node holds its kind, its span and its children. What lies between two children (blanks, commas, brackets,
operators) is not stored: it is read from the bytes. So `text(root, data) == data` for every input.

Kinds of expressions
--------------------
========== =====================================================================================
application ``name<…>``; children: the name, then arguments and comments in order
macro_call  ``NAME(…)``; the same
name        qualified or not, one token: ``tide``, ``quay::foam``, ``::quay::v3::foam``
number      one literal with its sign where it touches: ``-66``, ``0xFF'00u``, ``76.4``
string      one literal, raw or not, with prefix and quotes
arithmetic  two operands; or one behind a sign or in parentheses: see `operator`
comment     ``//`` to the end of its line, or ``/* … */``
error       what could not be read, with what could inside it; a diagnostic tells why
missing     empty: where a closing bracket should stand; a diagnostic tells which
========== =====================================================================================

Kinds of the host file are those of grammars/style/grammar.js; stages read `items` instead.
"""

from __future__ import annotations

from typing import NamedTuple

#: Expressions nested deeper than this are cut to an error node (ISO C++, annex B, asks no more of a compiler).
MAX_NESTING = 256

EXPRESSIONS = frozenset({"application", "macro_call", "name", "number", "string", "arithmetic"})


class Node(NamedTuple):
    """A node: `start` and `end` are byte offsets into the file, whatever part of it was parsed."""

    kind: str
    start: int
    end: int
    children: tuple[Node, ...]


def arguments(node: Node) -> tuple[Node, ...]:
    """The arguments of an application or a macro call, without its name and without comments."""
    return tuple(child for child in node.children[1:] if child.kind != "comment")


def operands(node: Node) -> tuple[Node, ...]:
    """The operands of an arithmetic node: one or two, without comments."""
    return tuple(child for child in node.children if child.kind != "comment")


def operator(node: Node, data: bytes) -> str:
    """The operator of an arithmetic node: ``+ - * / % << >> >`` between two operands; before one, a sign or ``(``.

    >>> operator(Node("arithmetic", 0, 5, (Node("number", 0, 1, ()), Node("number", 4, 5, ()))), b"1 + 2")
    '+'
    """
    parts = operands(node)
    first, last = (node.start, parts[0].start) if len(parts) == 1 else (parts[0].end, parts[1].start)
    skipped = [child for child in node.children if child.kind == "comment" and first <= child.start < last]
    gap = b""
    for comment in skipped:
        gap += data[first : comment.start]
        first = comment.end
    return (gap + data[first:last]).strip().decode("ascii", "replace")


def text(node: Node, data: bytes) -> bytes:
    """The text of a node, rebuilt from its leaves and the gaps between them, without recursion."""
    out: list[bytes] = []
    at = node.start
    stack = [node]
    while stack:
        top = stack.pop()
        if top.children:
            stack.append(Node("", top.end, top.end, ()))
            stack.extend(reversed(top.children))
            continue
        out.append(data[at : top.start])
        out.append(data[top.start : top.end])
        at = top.end
    return b"".join(out)
