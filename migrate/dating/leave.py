"""Comments that speak to the tool: `rehilt: leave`, and `rehilt: read as GEN`.

A comment on a line of its own speaks of what begins next; one behind code, of what ends last on its line.
Inside a style that is an argument, outside it a whole declaration.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from migrate.concrete.items import Slots
from migrate.concrete.nodes import Node
from migrate.concrete.parse import Parsed
from migrate.source import SourceFile, Span

_MARK = re.compile(r"\brehilt:\s*(?:(leave)\b|read\s+as\s+([\w.-]+))")
_MAY_SPEAK = re.compile(rb"rehilt:\W*(?:leave|read)")  # most files hold none, and need no walk


@dataclass(frozen=True)
class Mark:
    """`read_as` is empty for a comment that says to leave; `target` is None where nothing stands to speak of.

    `inside` tells a construct within a style from a whole declaration.
    """

    comment: Span
    read_as: str
    target: Span | None
    inside: bool


def marks(parsed: Parsed) -> list[Mark]:
    """The comments of a file that speak to the tool, in its order."""
    if not _MAY_SPEAK.search(parsed.source.data):
        return []
    found = []
    tables = [item for item in parsed.items if isinstance(item, Slots)]
    for comment, siblings, inside in _comments(parsed.root):
        span = Span(comment.start, comment.end)
        said = _MARK.search(parsed.source.text(span))
        if said is None:
            continue
        slots = next((t.slots for t in tables if t.span.start <= span.start < t.span.end), ())
        if slots and not any(s.style.start <= span.start < s.style.end for s in slots):
            siblings, inside = [], False  # within a table, a comment speaks of a slot
        places = siblings if inside else [s.span for s in slots] or [item.span for item in parsed.items]
        target = _target(parsed.source, span, places)
        found.append(Mark(span, said.group(2) or "", target, inside))
    return found


def readings(parsed: Parsed) -> dict[int, Mark]:
    """The `read as` comments by the start of the declaration that each speaks of."""
    return {m.target.start: m for m in marks(parsed) if m.read_as and m.target is not None and not m.inside}


def _comments(root: Node) -> Iterator[tuple[Node, list[Span], bool]]:
    """Every comment with what stands beside it, and whether that is inside an expression."""
    stack: list[tuple[Node, bool]] = [(root, False)]
    while stack:
        node, inside = stack.pop()
        solid = [Span(c.start, c.end) for c in node.children if c.kind not in ("comment", "missing")]
        within = inside or node.kind in ("application", "macro_call", "arithmetic")
        for child in node.children:
            if child.kind == "comment":
                yield child, solid[1:] if node.kind == "application" else solid, within
            elif child.children:
                stack.append((child, within))


def _target(source: SourceFile, comment: Span, places: list[Span]) -> Span | None:
    start = source.data.rfind(b"\n", 0, comment.start) + 1
    if source.data[start : comment.start].strip():
        before = [p for p in places if start < p.end <= comment.start]
        if before:
            return max(before, key=lambda p: p.end)
        around = [p for p in places if p.start <= comment.start < p.end]
        return around[-1] if around else None
    after = [p for p in places if p.start >= comment.end]
    return min(after, key=lambda p: p.start, default=None)


def line_of(source: SourceFile, comment: Span) -> Span:
    """What goes when a comment goes: its whole line where it stands alone, else it with the blanks before it."""
    data = source.data
    start = data.rfind(b"\n", 0, comment.start) + 1
    end = data.find(b"\n", comment.end)
    end = len(data) if end < 0 else end
    if not data[start : comment.start].strip() and not data[comment.end : end].strip():
        return Span(start, min(end + 1, len(data)))
    at = comment.start
    while at > start and data[at - 1 : at] in (b" ", b"\t"):
        at -= 1
    return Span(at, comment.end)
