"""From a file to its concrete tree, its items and what is wrong with it. Never raises."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from tree_sitter import Tree

from migrate.concrete.directives import parse_part
from migrate.concrete.host import HostReader
from migrate.concrete.items import Bare, Item
from migrate.concrete.language import mask, odd_blanks
from migrate.concrete.nodes import Node
from migrate.concrete.recover import read_file
from migrate.diagnostics import Diagnostic
from migrate.source import SourceFile, Span


@dataclass(frozen=True)
class Parsed:
    """A file, or a part of it, as read: `text(root, source.data)` gives the bytes of the root's span back."""

    source: SourceFile
    root: Node
    items: tuple[Item, ...]
    diagnostics: tuple[Diagnostic, ...]


def parse(source: SourceFile) -> Parsed:
    """Reads a whole host file. What is wrong is in `diagnostics`, in the order of the text; nothing is raised."""
    masked = mask(source)
    whole = read_file(masked)
    reader = HostReader(source, masked, whole.problems)
    reader.read(whole.root)
    found = sorted((*reader.kept, *_odd_blanks(source, whole.tree)), key=lambda d: (d.span.start, d.span.end, d.code))
    return Parsed(source, whole.root, tuple(reader.items), tuple(found))


# where any byte may stand
_FREE = frozenset({"comment", "unterminated_comment", "string", "unterminated_string", "directive", "conditional"})


def _odd_blanks(source: SourceFile, tree: Tree) -> Iterator[Diagnostic]:
    """One diagnostic for all of a file's, at the first: pasted text has hundreds."""
    found = []
    for span in odd_blanks(source):
        holder = tree.root_node.descendant_for_byte_range(span.start, span.end)
        if holder is None or holder.type not in _FREE:
            found.append(span)
    if found:
        yield Diagnostic(
            "odd-blank",
            "warning",
            found[0],
            f"a blank that a C++ compiler does not take for one ({len(found)} such in the file)",
            "replace them all with plain blanks",
        )


def parse_expression(source: SourceFile, span: Span) -> Parsed:
    """Reads a part of a file as one expression, with offsets in the file.

    `root` is the expression and `items` holds it as a Bare; where the part is no expression, `root` is an error
    node over the span, `items` is empty and a diagnostic says so.
    """
    part = SourceFile(source.name, source.data[span.start : span.end])
    found = parse_part(mask(part), span.start)
    if found is None:
        problem = Diagnostic("unreadable", "error", span, "this is not a style expression")
        return Parsed(source, Node("error", span.start, span.end, ()), (), (problem,))
    value, builder = found
    return Parsed(source, value, (Bare(value, Span(value.start, value.end)),), tuple(builder.problems))
