"""Finds the expressions that more than one generation accepts and that may mean something else in each."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from migrate.concrete.nodes import Node
from migrate.dating.dating import PieceDating
from migrate.dating.sites import Site
from migrate.source import Span

_MOST_SITES = 2000


@dataclass(frozen=True)
class Doubtful:
    """An expression that several generations accept.

    reading   the generation that it is read as today, or None where nothing says
    others    the other generations that accept all of it, oldest first
    supports  the generation that the code in and around it speaks for, or None where nothing does
    """

    piece: PieceDating
    node: Node
    reading: str | None
    others: tuple[str, ...]
    supports: str | None

    @property
    def span(self) -> Span:
        """The expression."""
        return Span(self.node.start, self.node.end)

    @property
    def whole(self) -> bool:
        """Whether it is the whole value of its piece."""
        return self.node is self.piece.piece.value


def doubtful(piece: PieceDating, names: tuple[str, ...], every: bool = False) -> Iterator[Doubtful]:
    """The largest expressions of a piece that may be read in two ways.

    Where a reading is known, only older ones are asked for: what was pasted is older than what it was pasted
    into. `every` asks for the newer ones too.
    """
    sites = piece.piece.sites
    if piece.piece.parameters or len(sites) > _MOST_SITES:
        return
    reading = piece.reading
    order = {name: at for at, name in enumerate(names)}
    for node, inside in _largest(piece):
        accepted = [g for g in names if all(g in s.accepts for s in inside if s.known)]
        if reading is None:
            found = accepted
        else:
            if reading not in accepted:
                continue
            found = [g for g in accepted if g != reading and (every or order[g] < order[reading])]
            found = [g for g in found if any(_differs(s, g, reading) for s in inside)]
        if len(found) + (reading is not None) > 1:
            yield Doubtful(piece, node, reading, tuple(found), _support(node, inside, sites, accepted))


def _differs(site: Site, one: str, two: str) -> bool:
    return site.known and site.accepts[one] != site.accepts[two]


def _largest(piece: PieceDating) -> Iterator[tuple[Node, list[Site]]]:
    """The largest applications that at least two generations accept whole, with the constructs inside each."""
    if len(piece.whole) > 1:
        yield piece.piece.value, list(piece.piece.sites)
        return
    taken = -1
    sites = sorted(piece.piece.sites, key=lambda s: (s.node.start, -s.node.end))
    for at, site in enumerate(sites):
        if site.node.kind != "application" or site.node.start < taken or len(site.accepts) < 2:
            continue
        inside = []
        for other in sites[at:]:
            if other.node.start >= site.node.end:
                break
            inside.append(other)
        common = frozenset.intersection(*(frozenset(s.accepts) for s in inside if s.known))
        if len(common) > 1:
            taken = site.node.end
            yield site.node, inside


def _support(node: Node, inside: list[Site], sites: tuple[Site, ...], accepted: list[str]) -> str | None:
    """The generation whose own constructs stand inside the expression most often, else around it.

    Only constructs count that can be of one make alone.
    """
    around = [s for s in sites if not node.start <= s.node.start < node.end]
    for group in (inside, around):
        counts = Counter(next(iter(s.origins)) for s in group if len(s.origins) == 1)
        votes = [(n, g) for g, n in counts.items() if g in accepted]
        if votes:
            best = max(votes)
            return best[1] if sum(v[0] == best[0] for v in votes) == 1 else None
    return None
