"""Slot tables, told by their shape alone: no word of any generation is built in."""

from __future__ import annotations

from typing import Literal

from migrate.concrete.items import Slot, Slots
from migrate.concrete.nodes import Node, arguments
from migrate.source import SourceFile, Span

_STYLES = frozenset({"name", "application", "macro_call"})


def braced_table(source: SourceFile, node: Node) -> tuple[Slots | None, list[Node]]:
    """``T NAME = {…}`` and ``T NAME[] = {…}`` with calls that hold a style and a string; None for any other list.

    The second value is what else stands in the table.
    """
    names = [child for child in node.children if child.kind == "name"][:2]
    form: Literal["braced", "array"] = "array" if any(c.kind == "dimension" for c in node.children) else "braced"
    first = node.children.index(names[1]) + 1
    entries = [child for child in node.children[first:] if child.kind not in ("comment", "dimension", "close")]
    if not any(_shaped(entry) for entry in entries):
        return None, []
    slots = tuple(_slot(entry) for entry in entries if _whole(entry))
    name = source.text(Span(names[1].start, names[1].end))
    return Slots(form, name, slots, Span(node.start, node.end)), [entry for entry in entries if not _whole(entry)]


def _parts(entry: Node) -> tuple[tuple[Node, ...], tuple[Node, ...]]:
    """The styles and the rest of ``row<STYLE>("…", "…")`` or ``ROW(STYLE, "…")``."""
    if entry.kind == "entry":
        return arguments(entry.children[0]), tuple(part for part in entry.children[1:] if part.kind != "comment")
    inside = arguments(entry) if entry.kind == "macro_call" else ()
    return inside[:1], inside[1:]


def _shaped(entry: Node) -> bool:
    """Whether an entry looks like a slot, damaged or not."""
    if entry.kind == "application" and entry.children[-1].kind == "missing":
        # row<STYLE("…", "…"): the bracket is missing, and STYLE(…) was read as a call, or STYLE<…>(…) as a slip
        return any(
            part.kind in ("macro_call", "error") and any(inner.kind == "string" for inner in _within(part))
            for part in entry.children
        )
    styles, rest = _parts(entry)
    return len(styles) == 1 and styles[0].kind in _STYLES and any(part.kind == "string" for part in rest)


def _within(part: Node) -> tuple[Node, ...]:
    """What a part holds; what could not be read lies in a node of its own."""
    return tuple(
        inner for child in part.children for inner in (child, *(child.children if child.kind == "error" else ()))
    )


def _whole(entry: Node) -> bool:
    return _shaped(entry) and entry.kind != "application" and all(p.kind == "string" for p in _parts(entry)[1])


def _slot(entry: Node) -> Slot:
    styles, strings = _parts(entry)
    return Slot(styles[0], strings, Span(entry.start, entry.end))


def template_table(source: SourceFile, name: str, value: Node, span: Span) -> Slots | None:
    """``using NAME = rows<row<of<X>, first<"…">, second<"…">>, …>``, whatever the words are.

    A table is an application whose every argument is one of the same singular name, which holds a one-argument
    application and, behind it, applications of one string each.
    """
    if value.kind != "application" or not source.data.endswith(b"s", 0, value.children[0].end):
        return None
    entries = arguments(value)
    plural = _last_word(source, value)
    slots = [_template_entry(source, plural, entry) for entry in entries]
    whole = tuple(slot for slot in slots if slot is not None)
    # one damaged entry leaves a table with the others, and a diagnostic of its own
    damaged = sum(1 for entry in entries if entry.kind in ("error", "missing"))
    return Slots("template", name, whole, span) if whole and len(whole) + damaged == len(slots) else None


def _template_entry(source: SourceFile, plural: str, entry: Node) -> Slot | None:
    if entry.kind != "application" or _last_word(source, entry) + "s" != plural:
        return None
    style, *rest = arguments(entry) or (entry,)
    styles = arguments(style) if style.kind == "application" else ()
    if len(styles) != 1 or not rest:
        return None
    strings: list[Node] = []
    for part in rest:
        inside = arguments(part) if part.kind == "application" else ()
        if len(inside) != 1 or inside[0].kind != "string":
            return None
        strings.append(inside[0])
    return Slot(styles[0], tuple(strings), Span(entry.start, entry.end))


def _last_word(source: SourceFile, node: Node) -> str:
    head = node.children[0]
    return source.text(Span(head.start, head.end)).rpartition(":")[2].strip()
