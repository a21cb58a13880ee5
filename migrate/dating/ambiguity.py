"""Finds the pieces that more than one generation accepts, or accepts in part, and what their other readings are."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from migrate.dating.dating import PieceDating
from migrate.dating.sites import Site
from migrate.packs.model import Construct, Generation
from migrate.source import Span

_MOST_SITES = 2000


@dataclass(frozen=True)
class Doubtful:
    """A piece that can be read in several ways.

    reading   the generation that it is read as today, or None where nothing says
    others    the other generations: those that accept all of it where nothing says, else older ones that accept
              some of its constructs and mean something else by them
    supports  the generation whose own constructs stand in it most often, or None where none does
    span      the first construct that has two readings
    """

    piece: PieceDating
    reading: str | None
    others: tuple[str, ...]
    supports: str | None
    span: Span


def doubtful(piece: PieceDating, generations: Mapping[str, Generation], every: bool = False) -> Iterator[Doubtful]:
    """The piece, where it may be read in two ways.

    Where a reading is known, the generation before it is asked for, and the one that the piece's own constructs
    speak for: what was pasted is older than what it was pasted into. `every` asks for all, newer ones too.
    """
    sites = piece.piece.sites
    if piece.piece.parameters or len(sites) > _MOST_SITES:
        return
    supports = _support(sites)
    if piece.reading is None:
        alias = not sites and piece.piece.value.kind == "name"  # what it is another name of is asked by itself
        if len(piece.whole) > 1 and not alias:
            first = next((s for s in sites if len(s.origins) > 1), sites[0] if sites else None)
            span = Span(piece.piece.value.start, piece.piece.value.end) if first is None else first.span
            yield Doubtful(piece, None, piece.whole, supports, span)
        return
    reading = piece.reading
    names = tuple(generations)
    older = names[: names.index(reading)]
    near = {generations[reading].follows, supports}
    asked = [g for g in names if g != reading and (every or (g in older and g in near))]
    others = tuple(g for g in asked if any(_twofold(s, g, reading) for s in sites))
    if others:
        twofold = [s for s in sites if any(_twofold(s, g, reading) for g in others)]
        first = next((s for s in twofold if len(s.origins) > 1), twofold[0])
        yield Doubtful(piece, reading, others, supports, first.span)


def _twofold(site: Site, one: str, two: str) -> bool:
    """Whether two generations accept a construct by signatures that do not say the same."""
    first, second = site.accepts.get(one), site.accepts.get(two)
    return first is not None and second is not None and (
        first.origin != second.origin or _defaults(first) != _defaults(second)
    )  # fmt: skip


def _defaults(construct: Construct) -> tuple[object, ...]:
    return tuple(p.default for p in construct.parameters)


def _support(sites: tuple[Site, ...]) -> str | None:
    """The generation whose own constructs stand in a piece most often; only those of one make alone count."""
    counts = Counter(next(iter(s.origins)) for s in sites if len(s.origins) == 1)
    best = counts.most_common(2)
    if not best or (len(best) == 2 and best[0][1] == best[1][1]):
        return None
    return best[0][0]


def as_if(older: Generation, today: Generation) -> Generation:
    """Today's generation with the older one's signatures put before its own, for the names that both have.

    So a text is read as if whatever the older generation accepts in it had been written there.
    """
    constructs = {
        name: (*(_renamed(c, older) for c in older.constructs.get(name, ())), *group)
        for name, group in today.constructs.items()
    }
    units = {**today.units, **{f"{older.name}.{name}": unit for name, unit in older.units.items()}}
    sorts = {**older.sorts, **today.sorts}
    return replace(
        today,
        constructs=MappingProxyType(constructs),
        units=MappingProxyType(units),
        sorts=MappingProxyType(sorts),
    )


def _renamed(construct: Construct, older: Generation) -> Construct:
    """The signature with its units named as the older generation's."""
    parameters = tuple(
        replace(p, sorts=tuple(f"{older.name}.{s}" if s in older.units else s for s in p.sorts))
        for p in construct.parameters
    )
    return replace(construct, parameters=parameters)


def changed_default(
    site: Site, reading: str, generations: Mapping[str, Generation]
) -> tuple[str, object, object] | None:
    """A parameter that is left out and has another default where the construct comes from: name, here, there."""
    construct = site.accepts.get(reading)
    if construct is None or not construct.compat:
        return None
    own = generations[construct.origin].constructs.get(construct.name.rpartition("::")[2], ())
    given = len([c for c in site.node.children[1:] if c.kind != "comment"])
    for original in own:
        for at, (here, there) in enumerate(zip(construct.parameters, original.parameters, strict=False)):
            if here.name == there.name and here.default != there.default and at >= given:
                return here.name, here.default, there.default
    return None
