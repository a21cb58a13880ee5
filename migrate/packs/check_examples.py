"""Checks the examples of a pack: that each parses, lifts, and shows its own construct."""

from __future__ import annotations

from collections.abc import Iterator

from migrate.concrete.items import Alias
from migrate.concrete.parse import parse
from migrate.diagnostics import Diagnostic
from migrate.ir.facts import Blade
from migrate.lift import Lifter
from migrate.packs.findings import Book, Finding
from migrate.packs.model import Construct, Generation
from migrate.scope import scope_of
from migrate.source import SourceFile

_HEAD = "using example = "


def check_examples(book: Book, generation: Generation, constructs: list[Construct]) -> Iterator[Finding]:
    """Every finding about the examples of these constructs."""
    for construct in constructs:
        if construct.brackets and not construct.examples:
            message = f"`{construct.name}` has no example"
            hint = f"add `example {construct.name}<…>`: tests and pages are made of it"
            yield book.finding("pack-no-example", (*construct.place, 1), construct.name, message, hint)
        line = construct.place[1]
        for example in construct.examples:
            at = book.find(construct.place[0], line, 1, "example")
            line, column = at[0], at[1] + len("example")
            text = book.lines[construct.place[0]][line - 1]
            start = column + len(text[column - 1 :]) - len(text[column - 1 :].lstrip())
            yield from _example(book, generation, construct, example, (construct.place[0], line, start))
            line += 1


def _example(
    book: Book, generation: Generation, construct: Construct, example: str, place: tuple[str, int, int]
) -> Iterator[Finding]:
    def at(diagnostic: Diagnostic, code: str, message: str) -> Finding:
        column = place[2] + max(0, min(diagnostic.span.start - len(_HEAD), len(example)))
        hint = "" if f"`{example}`" in diagnostic.hint else diagnostic.hint
        return Finding(book.path(place[0]), place[1], column, code, message, hint)

    source = SourceFile("example", f"{_HEAD}{example};".encode())
    parsed = parse(source)
    wrong = [d for d in parsed.diagnostics if d.severity == "error"]
    if wrong:
        yield at(wrong[0], "pack-example-unreadable", f"this example does not parse: {wrong[0].message}")
        return
    item = next((i for i in parsed.items if isinstance(i, Alias)), None)
    if item is None or len(parsed.items) != 1:
        yield book.finding("pack-example-unreadable", place, "", "this example is no single expression")
        return
    lifter = Lifter(scope_of(source, parsed.items), generation, Blade(132, 144))
    found = lifter.lift(item.value, (construct.sort,))
    if isinstance(found, Diagnostic):
        yield at(found, "pack-example-refused", f"this example does not lift: {found.message}")
        return
    if construct.brackets and not any(_same(a.construct, construct) for made in lifter.applied.values() for a in made):
        head = example.split("<")[0].strip()
        which = "another signature of that name" if head == construct.name else f"`{head}`"
        message = f"this example of `{construct.name}` shows {which}"
        yield book.finding("pack-example-other", place, "", message, "give each signature an example of its own")


def _same(one: Construct, other: Construct) -> bool:
    return (one.name, one.place, one.origin) == (other.name, other.place, other.origin)
