"""Slot tables, told by their shape alone: no word of any generation is built in."""

from __future__ import annotations

from typing import Literal

from migrate.concrete.items import Slot, Slots
from migrate.concrete.nodes import Node, arguments
from migrate.source import SourceFile, Span


def braced_table(source: SourceFile, node: Node) -> tuple[Slots | None, list[Node]]:
    """``T NAME = {…}`` and ``T NAME[] = {…}`` with calls that hold a style and a string; None for any other list.

    The second value is what else stands in the table.
    """
    names = [child for child in node.children if child.kind == "name"][:2]
    form: Literal["braced", "array"] = "array" if any(c.kind == "dimension" for c in node.children) else "braced"
    first = node.children.index(names[1]) + 1
    entries = [child for child in node.children[first:] if child.kind not in ("comment", "dimension", "close")]
    read = [(entry, _entry(entry)) for entry in entries]
    slots = tuple(slot for _, slot in read if slot is not None)
    if not slots:
        return None, []
    name = source.text(Span(names[1].start, names[1].end))
    return Slots(form, name, slots, Span(node.start, node.end)), [entry for entry, slot in read if slot is None]


def _entry(node: Node) -> Slot | None:
    """``slot<STYLE>("…", "…")`` or ``SLOT(STYLE, "…")``."""
    if node.kind == "entry":
        styles = arguments(node.children[0])
        strings = node.children[1:]
    elif node.kind != "macro_call":
        return None
    else:
        inside = arguments(node)
        styles, strings = inside[:1], inside[1:]
    if len(styles) != 1 or styles[0].kind not in ("name", "application", "macro_call"):
        return None
    found = tuple(child for child in strings if child.kind == "string")
    return Slot(styles[0], found, Span(node.start, node.end)) if found else None


def template_table(source: SourceFile, name: str, value: Node, span: Span) -> Slots | None:
    """``using NAME = slots<slot<style<X>, sounds<"…">, label<"…">>, …>``.

    A table is an application whose every argument is one of the same singular name, which holds a one-argument
    application and, behind it, applications of one string each.
    """
    if value.kind != "application":
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
