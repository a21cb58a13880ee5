"""What a file says of its own generation: its marker and the header that it includes, with their places."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from migrate.branches import builds
from migrate.concrete.items import Conditional, Constant, Define, Include
from migrate.concrete.parse import Parsed
from migrate.host import path_of
from migrate.packs.model import Generation
from migrate.scope import NotANumber, Scope, number, scope_of
from migrate.source import Span


@dataclass(frozen=True)
class Declaration:
    """One statement of a file about itself: `by` is `marker` or `header`; `open` where no `#if` holds it."""

    generation: str
    by: str
    span: Span
    open: bool


@dataclass(frozen=True)
class Declared:
    """All of them. `today` is what the file compiles as: by its header, which holds the names; else its marker."""

    all: tuple[Declaration, ...]
    includes: frozenset[str]

    @property
    def today(self) -> str | None:
        """The one generation that the file compiles as, or None where it says nothing or several."""
        names = self.candidates
        return names[0] if len(names) == 1 else None

    @property
    def candidates(self) -> tuple[str, ...]:
        """The generations that the file may compile as; several where branches or headers differ."""
        headers = _names(d for d in self.all if d.by == "header")
        markers = _names(d for d in self.all if d.by == "marker")
        if len(headers) > 1 and len(markers) == 1 and markers[0] in headers:
            return markers
        return headers or markers

    @property
    def at_odds(self) -> bool:
        """Whether marker and header name different generations, outside of branches."""
        return len({d.generation for d in self.all if d.open}) > 1


def _names(found: Iterable[Declaration]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(d.generation for d in found))


def declared_of(parsed: Parsed, scope: Scope, generations: Mapping[str, Generation]) -> Declared:
    """Reads the statements of a file, in its order."""
    found: list[Declaration] = []
    includes: set[str] = set()
    depth = 0
    for item in parsed.items:
        if isinstance(item, Conditional):
            depth += item.kind.startswith("if") - (item.kind == "endif")
        elif isinstance(item, Include):
            includes.add(path_of(item))
            found += [Declaration(g.name, "header", item.span, depth == 0)
                      for g in generations.values() if g.header == path_of(item)]  # fmt: skip
        elif isinstance(item, (Define, Constant)) and item.value is not None:
            found += [Declaration(g.name, "marker", item.span, depth == 0)
                      for g in generations.values() if _marks(g, item, scope)]  # fmt: skip
    return Declared(tuple(found), frozenset(includes))


def branches(parsed: Parsed, scope: Scope, generations: Mapping[str, Generation]) -> dict[int, tuple[str, ...]]:
    """What the builds that read an item declare, by the item's start; empty where there is one build only."""
    every = builds(parsed.source, parsed.items)
    if len(every) < 2:
        return {}
    found: dict[int, tuple[str, ...]] = {}
    for build in every:
        items = build.items(parsed.items)
        said = declared_of(replace(parsed, items=items), scope_of(parsed.source, items), generations).candidates
        for item in items:
            found[item.span.start] = tuple(dict.fromkeys((*found.get(item.span.start, ()), *said)))
    return found


def _marks(generation: Generation, item: Define | Constant, scope: Scope) -> bool:
    if generation.marker is None or item.name != generation.marker[0] or item.value is None:
        return False
    try:
        return number(scope, item.value) == generation.marker[1]
    except NotANumber:
        return False
