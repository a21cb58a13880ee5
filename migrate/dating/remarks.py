"""What the dating of a file gives to say: mixtures, conflicts, contradictions, unknown names, comments unused."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from difflib import get_close_matches

from migrate.concrete.parse import Parsed
from migrate.dating.ambiguity import changed_default
from migrate.dating.dating import Dating, PieceDating, Ruling
from migrate.dating.leave import Mark
from migrate.dating.sites import Piece, Site
from migrate.diagnostics import Diagnostic
from migrate.packs.model import Generation, Measure
from migrate.source import Span


@dataclass(frozen=True)
class Pick:
    """The styles and constructs to speak of, by name; empty for all."""

    styles: tuple[str, ...] = ()
    constructs: tuple[str, ...] = ()

    def piece(self, piece: Piece) -> bool:
        """Whether a piece is to be spoken of."""
        return not self.styles or piece.name in self.styles

    def site(self, site: Site) -> bool:
        """Whether a construct is to be spoken of."""
        return not self.constructs or site.name in self.constructs


def remarks(
    parsed: Parsed,
    dating: Dating,
    marks: tuple[Mark, ...],
    generations: Mapping[str, Generation],
    pick: Pick,
    damaged: frozenset[int] = frozenset(),
) -> tuple[list[Diagnostic], frozenset[int]]:
    """The diagnostics, with spans in the parsed text, and the starts of the pieces and constructs that are left alone.

    Of what is wrong inside a `damaged` piece (by its start) only unknown names are told: the parser has told the rest.
    """
    left = frozenset(m.target.start for m in marks if not m.read_as and m.target is not None)
    out: list[Diagnostic] = [*_names(dating, pick), *_declared(dating, parsed), *_comments(dating, marks, generations)]
    for piece in dating.pieces:
        if not pick.piece(piece.piece) or piece.piece.span.start in left:
            continue
        chosen = [r for r in piece.rulings if pick.site(r.site) and not _within(r.site, left, piece)]
        broken = piece.piece.span.start in damaged
        out += [d for r in chosen for d in _ruled(r, piece, dating, generations, broken)]
        out += _piece_told(piece, chosen, dating)
    out += _missing_headers(dating, left, generations)
    return out, left


def _within(site: Site, left: frozenset[int], piece: PieceDating) -> bool:
    """Whether a construct, or one that it stands in, is to be left alone."""
    return any(s.node.start in left and s.node.start <= site.node.start < s.node.end for s in piece.piece.sites)


def _names(dating: Dating, pick: Pick) -> Iterator[Diagnostic]:
    pieces = [p.piece.name for p in dating.pieces if p.piece.name]
    sites = [r.site.name for r in dating.rulings]
    for asked, there, what in ((pick.styles, pieces, "style"), (pick.constructs, sites, "construct")):
        for name in asked:
            if name not in there:
                near = get_close_matches(name, there, 2)
                hint = f"did you mean {' or '.join(f'`{n}`' for n in dict.fromkeys(near))}?" if near else ""
                yield Diagnostic("no-such-name", "warning", Span(0, 0), f"no {what} `{name}` in this file", hint)


def _declared(dating: Dating, parsed: Parsed) -> Iterator[Diagnostic]:
    declared = dating.declared
    stated = [d for d in declared.all if d.open]
    if declared.at_odds:
        first, second = stated[0], next(d for d in stated if d.generation != stated[0].generation)
        message = f"the {second.by} says {second.generation}, the {first.by} {first.generation}"
        hint = f"the file is read as {declared.today or dating.generation}: headers hold the names, a marker none"
        yield Diagnostic("declared-twice", "warning", second.span, message, hint)
    for one in {d.generation: d for d in reversed(stated)}.values():
        against = [p for p in dating.pieces if p.whole and one.generation not in p.whole]
        if against and (one.generation == declared.today or declared.at_odds):
            others = " or ".join(dict.fromkeys(g for p in against for g in p.whole))
            message = f"says {one.generation}, but {len(against)} of {len(dating.pieces)} definitions are only {others}"
            names = ", ".join(f"`{p.piece.name}`" for p in against if p.piece.name)
            yield Diagnostic("declared-contradicted", "warning", one.span, message, f"see {names}" if names else "")


def _comments(dating: Dating, marks: tuple[Mark, ...], generations: Mapping[str, Generation]) -> Iterator[Diagnostic]:
    for mark in marks:
        if mark.read_as and mark.read_as not in generations:
            hint = f"known are {', '.join(generations)}"
            yield Diagnostic("unknown-generation", "error", mark.comment, f"no generation `{mark.read_as}`", hint)
        elif mark.read_as and not _reads_otherwise(dating, mark):
            message = "this comment changes nothing: that is how it is read anyway"
            yield Diagnostic("unused-read-as", "warning", mark.comment, message, "take it out")
        elif not mark.read_as and not _leaves_something(dating, mark):
            message = "there is nothing here to leave alone"
            yield Diagnostic("unused-leave", "warning", mark.comment, message, "take it out")


def _reads_otherwise(dating: Dating, mark: Mark) -> bool:
    if mark.target is None or mark.inside:
        return False
    found = [p for p in dating.pieces if p.piece.span.start == mark.target.start]
    return any(dating.declared.today != mark.read_as for _ in found)


def _leaves_something(dating: Dating, mark: Mark) -> bool:
    """Whether a comment keeps anything: a construct that is not of the file's own generation, or of none."""
    if mark.target is None:
        return False
    return any(
        r.generation != dating.generation
        for r in dating.rulings
        if mark.target.start <= r.site.node.start < mark.target.end
    )


def _ruled(
    ruling: Ruling, piece: PieceDating, dating: Dating, generations: Mapping[str, Generation], broken: bool
) -> Iterator[Diagnostic]:
    site = ruling.site
    changed = changed_default(site, piece.reading, generations) if piece.reading is not None else None
    if changed is not None:
        name, here, there = (_in_words(c) for c in changed)
        origin = site.accepts[str(piece.reading)].origin
        message = f"`{name}` of `{site.name}` is left out: {here} here, {there} in {origin}"
        yield Diagnostic("changed-default", "note", site.head, message, "write it out to keep one of them")
    if ruling.certainty == "unknown":
        names = [n for g in generations.values() for n in g.constructs] + [p.piece.name for p in dating.pieces]
        near = list(dict.fromkeys(get_close_matches(site.name, names, 3, 0.75)))
        hint = f"did you mean {' or '.join(f'`{n}`' for n in near)}?" if near else "define it, or include its file"
        uses = sum(r.site.name == site.name for r in dating.rulings)
        if site is not next(r.site for r in dating.rulings if r.site.name == site.name):
            return
        message = f"`{site.name}` is no construct of any generation and no name of this file"
        message += f" ({uses} uses)" if uses > 1 else ""
        yield Diagnostic("unknown-name", "warning" if not near else "error", site.head, message, hint)
    elif ruling.certainty == "accepted by none" and not broken:
        yield _nearest_reason(site, piece, dating)


def _in_words(part: object) -> str:
    return f"{part.value} {part.unit}".strip() if isinstance(part, Measure) else str(part)


def _nearest_reason(site: Site, piece: PieceDating, dating: Dating) -> Diagnostic:
    """Of the reasons of all generations, that of the reading; else of one that at least knows the name."""
    order = [piece.reading, dating.declared.today, *(r.generation for r in dating.ranking)]
    reasons = [site.rejects[g] for g in order if g is not None and g in site.rejects]
    return next((r for r in reasons if r.code != "unknown-name"), reasons[0])


def _piece_told(piece: PieceDating, rulings: list[Ruling], dating: Dating) -> Iterator[Diagnostic]:
    where = piece.piece.name_span
    span = where if where.end > where.start else Span(piece.piece.value.start, piece.piece.value.end)
    name = f"`{piece.piece.name}`" if piece.piece.name else "this"
    if len(piece.conflict) > 1:
        words = " and ".join(f"`{s.name}` ({' or '.join(s.accepts)})" for s in piece.conflict)
        message = f"no one generation accepts all of {name}: {words}"
        yield Diagnostic("generations-conflict", "warning", piece.conflict[-1].head, message, "")
        return
    found = tuple(dict.fromkeys(r.generation for r in rulings if r.generation is not None))
    if len(found) > 1:
        parts = ", ".join(f"{piece.shares.get(g, 0):.0%} {g}" for g in found)
        old = next(r.site for r in rulings if r.generation not in (None, piece.reading or found[0]))
        hint = f"the first that is older: `{old.name}`" if old.name else ""
        yield Diagnostic("mixed-generations", "warning", span, f"{name} mixes generations: {parts}", hint)
    elif found and dating.generation not in found and len(dating.origins) > 1:
        message = f"{name} is {found[0]}'s, among code of {dating.generation}"
        yield Diagnostic("mixed-generations", "warning", span, message, "")


def _missing_headers(
    dating: Dating, left: frozenset[int], generations: Mapping[str, Generation]
) -> Iterator[Diagnostic]:
    """Compat headers that constructs need and the file does not include, each told once."""
    today = dating.declared.today
    if today is None or generations[today].header not in dating.declared.includes:
        return
    told: set[str] = set()
    for piece in dating.pieces:
        if piece.basis == "comment":
            continue
        for site in piece.piece.sites:
            construct = site.accepts.get(today)
            through = construct.through if construct is not None else ""
            if through and through not in dating.declared.includes and through not in told:
                told.add(through)
                message = f"`{site.name}` needs {through}, which the file does not include"
                yield Diagnostic("compat-header-missing", "warning", site.head, message, f"add `#include {through}`")
