"""Dates a file: which generations accept each construct, each piece and the whole, and what speaks for which."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

from migrate.concrete.items import Item
from migrate.concrete.parse import Parsed
from migrate.dating.declared import Declared, branches, declared_of
from migrate.dating.sites import Finder, Piece, Site
from migrate.diagnostics import Diagnostic
from migrate.packs.model import Generation
from migrate.scope import Scope
from migrate.source import Span

# What UTF-16 begins with, little end or big end first.
_TWO_BYTE_MARKS = (b"\xff\xfe", b"\xfe\xff")
NOTHING = Declared((), frozenset())
Certainty = Literal["sure", "by context", "ambiguous", "unknown", "accepted by none"]
Basis = Literal["comment", "option", "declared", "only reading", "surrounding code", ""]


@dataclass(frozen=True)
class Ruling:
    """What one construct is dated as: the generation that it was written for, and how sure that is."""

    site: Site
    generation: str | None
    certainty: Certainty


@dataclass(frozen=True)
class PieceDating:
    """One piece dated.

    whole     the generations that accept all of it, with the definitions it uses, oldest first
    conflict  where `whole` is empty: the smallest set of constructs that no one generation accepts together
    reading   the generation that it is read as, and on what `basis`; None where several are possible
    """

    piece: Piece
    whole: tuple[str, ...]
    conflict: tuple[Site, ...]
    reading: str | None
    basis: Basis
    rulings: tuple[Ruling, ...]

    @property
    def shares(self) -> dict[str, float]:
        """The share of each generation by dated constructs, 0 to 1; empty where nothing is dated."""
        return shares(self.rulings)


@dataclass(frozen=True)
class Evidence:
    """What speaks for a generation, or against it: where, how often, and why."""

    generation: str
    speaks: Literal["for", "against"]
    span: Span
    count: int
    reason: str


@dataclass(frozen=True)
class Rank:
    """One generation's standing: pieces and constructs that it accepts, and those of its own make."""

    generation: str
    pieces: int
    constructs: int
    own: int
    declared: bool


@dataclass(frozen=True)
class Dating:
    """The dating of a file. `generation` is the one it is read as."""

    generation: str
    declared: Declared = NOTHING
    pieces: tuple[PieceDating, ...] = ()
    ranking: tuple[Rank, ...] = ()
    evidence: tuple[Evidence, ...] = ()
    settled: bool = True

    @property
    def rulings(self) -> tuple[Ruling, ...]:
        """Every construct of the file, dated."""
        return tuple(r for piece in self.pieces for r in piece.rulings)

    @property
    def origins(self) -> tuple[str, ...]:
        """The generations that its constructs are dated as; more than one: it mixes them."""
        return tuple(dict.fromkeys(r.generation for r in self.rulings if r.generation is not None))


Alike = Callable[[str, str], bool]


def date(
    parsed: Parsed, scope: Scope, generations: Mapping[str, Generation], alike: Alike | None = None
) -> Dating | Diagnostic:
    """The one generation that a file is read as, or a diagnostic where that cannot be told.

    `alike(a, b)` says whether two readings of the whole file mean the same; then the choice does not matter.
    """
    dating = survey(parsed, scope, generations)
    if not dating.pieces and dating.declared.today is None:
        return _nothing_to_date(parsed, generations)
    if dating.settled:
        return dating
    common = [g for g in generations if dating.pieces and all(g in p.whole for p in dating.pieces)]
    if common and alike is not None and all(alike(dating.generation, g) for g in common if g != dating.generation):
        return dating
    first = dating.pieces[0].piece.name_span
    if common:
        message = f"this can be read as {' and as '.join(common)}, and means something else in each"
        return Diagnostic("undeclared-generation", "error", first, message, _say_which(common))
    message = "no one generation accepts all of this file"
    return Diagnostic("undeclared-generation", "error", first, message, _say_which(generations))


def _nothing_to_date(parsed: Parsed, generations: Mapping[str, Generation]) -> Diagnostic:
    """Why a text without any construct, header or marker cannot be dated."""
    if parsed.source.data.startswith(_TWO_BYTE_MARKS):
        hint = "save it as UTF-8, for example with `iconv -f UTF-16 -t UTF-8 OLD > NEW`"
        return Diagnostic("not-text", "error", Span(0, 2), "this is UTF-16, which holds two bytes a character", hint)
    message = "no style is found here, and nothing says which generation this is"
    hint = f"give the file that holds the styles; where it is this one, {_say_which(generations)}"
    return Diagnostic("undeclared-generation", "error", Span(0, 0), message, hint)


def _say_which(generations: Iterable[str]) -> str:
    return f"say which with --read-as {' or --read-as '.join(generations)}, or add the generation's include"


def survey(
    parsed: Parsed,
    scope: Scope,
    generations: Mapping[str, Generation],
    read_as: str | None = None,
    marked: Mapping[int, str] | None = None,
    included: tuple[Item, ...] = (),
) -> Dating:
    """Dates everything. `read_as` overrules what the file says; `marked` holds comments, by a piece's start.

    `included` are the items of local includes: what a piece uses of them must be accepted with it.
    """
    finder = Finder(scope, generations)
    pieces = finder.pieces(parsed.items)
    declared = declared_of(parsed, scope, generations)
    every = [*pieces, *finder.pieces(included)]
    wholes = [_whole(piece, every, tuple(generations), frozenset()) for piece in pieces]
    around = _around(wholes, tuple(generations))
    branched = branches(parsed, scope, generations)
    dated = tuple(
        _date_piece(
            piece,
            whole,
            branched.get(piece.span.start, declared.candidates),
            around,
            read_as,
            (marked or {}).get(piece.span.start),
            declared.today,
        )
        for piece, whole in zip(pieces, wholes, strict=True)
    )
    ranking = _rank(dated, declared, tuple(generations))
    generation, settled = _choose(dated, declared, ranking, read_as)
    return Dating(generation, declared, dated, ranking, _evidence(dated, declared, generations), settled)


def _whole(piece: Piece, pieces: list[Piece], names: tuple[str, ...], seen: frozenset[str]) -> tuple[str, ...]:
    """The generations that accept a piece and all that it uses. A name that nobody knows is held against none."""
    left = [g for g in names if all(g in s.accepts for s in piece.sites if s.known)]
    for other in pieces:
        if other.name in piece.uses and other.name not in seen and other is not piece:
            inner = _whole(other, pieces, names, seen | {piece.name})
            left = [g for g in left if g in inner]
    return tuple(left)


def _around(wholes: list[tuple[str, ...]], names: tuple[str, ...]) -> str | None:
    """The one generation that every piece of a file can be, where there is just one."""
    common = [g for g in names if all(g in whole for whole in wholes)]
    return common[0] if len(common) == 1 and len(wholes) > 1 else None


def _date_piece(
    piece: Piece, whole: tuple[str, ...], said: tuple[str, ...], around: str | None, read_as: str | None,
    marked: str | None, today: str | None,
) -> PieceDating:  # fmt: skip
    stated = [g for g in said if g in whole]
    reading: str | None = None
    basis: Basis = ""
    if marked is not None:
        reading, basis = marked, "comment"
    elif read_as is not None:
        reading, basis = read_as, "option"
    elif len(stated) == 1:
        reading, basis = stated[0], "declared"
    elif len(whole) == 1:
        reading, basis = whole[0], "only reading"
    elif around is not None and around in whole and not said:
        reading, basis = around, "surrounding code"
    elif not whole and len(said) == 1:
        reading, basis = said[0], "declared"  # it is refused as that: no other reading is any better
    fallback = reading or today
    rulings = tuple(_rule(site, fallback) for site in piece.sites)
    conflict = () if whole else smallest_conflict(piece.sites)
    return PieceDating(piece, whole, conflict, reading, basis, rulings)


def _rule(site: Site, reading: str | None) -> Ruling:
    if not site.known:
        return Ruling(site, None, "unknown")
    if not site.accepts:
        return Ruling(site, None, "accepted by none")
    if len(site.origins) == 1:
        return Ruling(site, next(iter(site.origins)), "sure")
    if reading is not None and reading in site.accepts:
        return Ruling(site, site.accepts[reading].origin, "by context")
    return Ruling(site, None, "ambiguous")


def smallest_conflict(sites: tuple[Site, ...]) -> tuple[Site, ...]:
    """The fewest constructs that no one generation accepts together; of several such sets, the first in the text.

    Constructs that are accepted alike stand for each other, so at most 2^generations kinds are tried.
    """
    kinds: dict[frozenset[str], Site] = {}
    for site in sites:
        if site.known:
            kinds.setdefault(frozenset(site.accepts), site)
    for size in range(1, len(kinds) + 1):
        for group in combinations(kinds.items(), size):
            if not frozenset.intersection(*(accepts for accepts, _ in group)):
                return tuple(sorted((site for _, site in group), key=lambda s: s.node.start))
    return ()


def shares(rulings: tuple[Ruling, ...]) -> dict[str, float]:
    """The share of each generation among the constructs that are dated."""
    counts = Counter(r.generation for r in rulings if r.generation is not None)
    total = sum(counts.values())
    return {g: n / total for g, n in sorted(counts.items())}


# ---- the whole file ------------------------------------------------------------------------------


def _rank(pieces: tuple[PieceDating, ...], declared: Declared, names: tuple[str, ...]) -> tuple[Rank, ...]:
    said = {d.generation for d in declared.all}
    sites = [s for p in pieces for s in p.piece.sites if s.known]
    ranks = [
        Rank(
            g,
            sum(g in p.whole for p in pieces),
            sum(g in s.accepts for s in sites),
            sum(g in s.accepts and s.accepts[g].origin == g for s in sites),
            g in said,
        )
        for g in names
    ]
    return tuple(sorted(ranks, key=lambda r: (-r.pieces, -r.constructs, -r.own, -r.declared)))


def _choose(
    pieces: tuple[PieceDating, ...], declared: Declared, ranking: tuple[Rank, ...], read_as: str | None
) -> tuple[str, bool]:
    """The generation of a file, and whether anything but the ranking says so."""
    if read_as is not None:
        return read_as, True
    accepted = {r.generation: r.pieces for r in ranking}
    stated = [g for g in declared.candidates if accepted[g]] or list(declared.candidates if not pieces else ())
    if len(stated) == 1:
        return stated[0], True
    readings = {p.reading for p in pieces}
    if len(readings) == 1 and None not in readings:
        return str(next(iter(readings))), True
    if len(stated) > 1:
        return next(r.generation for r in ranking if r.generation in stated), False
    return ranking[0].generation, False


def _evidence(
    pieces: tuple[PieceDating, ...], declared: Declared, generations: Mapping[str, Generation]
) -> tuple[Evidence, ...]:
    found = [Evidence(d.generation, "for", d.span, 1, f"the {d.by} says so") for d in declared.all]
    sure: dict[tuple[str, str], list[Site]] = {}
    against: dict[tuple[str, str, str], list[tuple[Site, Diagnostic]]] = {}
    for site in (s for p in pieces for s in p.piece.sites if s.known):
        if len(site.origins) == 1:
            sure.setdefault((next(iter(site.origins)), site.name), []).append(site)
        for name, why in site.rejects.items():
            against.setdefault((name, site.name, why.code), []).append((site, why))
    for (generation, name), sites in sure.items():
        through = [f"{g} reads it through {c.through}" for g, c in sites[0].accepts.items() if c.compat and c.through]
        reason = "; ".join((f"`{name}` is of its own make", *through))
        found.append(Evidence(generation, "for", sites[0].span, len(sites), reason))
    for (generation, _, _), refused in against.items():
        site, why = refused[0]
        found.append(Evidence(generation, "against", why.span, len(refused), why.message))
    order = {name: at for at, name in enumerate(generations)}
    return tuple(sorted(found, key=lambda e: (order[e.generation], e.speaks == "against", -e.count, e.span)))
