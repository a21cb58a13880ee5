"""From a file to its concrete tree, its items and what is wrong with it. Never raises."""

from __future__ import annotations

from dataclasses import dataclass

from migrate.concrete.build import Builder
from migrate.concrete.directives import parse_part
from migrate.concrete.host import HostReader
from migrate.concrete.items import Bare, Item
from migrate.concrete.language import mask, read
from migrate.concrete.nodes import Node
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
    masked = mask(source.data)
    builder = Builder(masked, 0)
    root = builder.build(read(masked))
    reader = HostReader(source, masked, builder.problems)
    reader.read(root)
    found = sorted(reader.kept, key=lambda d: (d.span.start, d.span.end, d.code))
    return Parsed(source, root, tuple(reader.items), tuple(found))


def parse_expression(source: SourceFile, span: Span) -> Parsed:
    """Reads a part of a file as one expression, with offsets in the file.

    `root` is the expression and `items` holds it as a Bare; where the part is no expression, `root` is an error
    node over the span, `items` is empty and a diagnostic says so.
    """
    found = parse_part(mask(source.data), span)
    if found is None:
        problem = Diagnostic("unreadable", "error", span, "this is not a style expression")
        return Parsed(source, Node("error", span.start, span.end, ()), (), (problem,))
    value, builder = found
    return Parsed(source, value, (Bare(value, Span(value.start, value.end)),), tuple(builder.problems))
