"""What `rehilt spot` shows: a table, a marked listing of the source, one object of JSON."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from rich.console import Console
from rich.table import Table
from rich.text import Text

from migrate.diagnostics import explain
from migrate.report.data import diagnostic_entry
from migrate.report.diff import unified
from migrate.source import Span

if TYPE_CHECKING:
    from migrate.dating.dating import PieceDating, Ruling
    from migrate.spotting import Doubt, Spotted

# One colour for each generation in the order of their age; the letter says the same to those who see no colour.
COLOURS = ("cyan", "green", "yellow", "magenta", "blue", "red", "bright_cyan", "bright_green")
UNSURE = "?"
SEVERITIES = {"error": "red", "warning": "yellow", "note": "cyan"}


class Legend:
    """The letter and the colour of each generation."""

    def __init__(self, names: Iterable[str]) -> None:
        self.names = tuple(names)

    def letter(self, name: str | None) -> str:
        """`A` for the oldest, `B` for the next; `?` where nothing says which."""
        return chr(ord("A") + self.names.index(name)) if name in self.names else UNSURE

    def colour(self, name: str | None) -> str:
        """A rich style."""
        return COLOURS[self.names.index(name) % len(COLOURS)] if name in self.names else "bold red"

    def tagged(self, name: str | None) -> Text:
        """The letter of a generation and its name, coloured."""
        return Text(f"{self.letter(name)} {name or 'not dated'}", style=self.colour(name))


# ---- terminal ------------------------------------------------------------------------------------


def print_spot(console: Console, spotted: Spotted, legend: Legend, listing: bool = True) -> None:
    """The whole report on one file: the listing, the table, what there is to say."""
    if spotted.skipped:
        console.print(f"{spotted.source.name}: skipped, {spotted.skipped}", soft_wrap=True)
        return
    if listing:
        print_listing(console, spotted, legend)
    print_table(console, spotted, legend)
    for diagnostic in spotted.diagnostics:
        head, *rest = explain(spotted.source, diagnostic).split("\n")
        console.print(Text(head, style=SEVERITIES[diagnostic.severity]), soft_wrap=True)
        if diagnostic.severity == "note":
            continue  # a note is read where it matters; its line and hint are in --json
        for line in rest:
            console.print(Text(line), soft_wrap=True)
    console.print(Text(file_line(spotted)), soft_wrap=True)


def print_table(console: Console, spotted: Spotted, legend: Legend) -> None:
    """One row for each definition and fragment."""
    if not spotted.dating.pieces:
        return
    table = Table(box=None, pad_edge=False, header_style="bold")
    for heading in ("line", "name", "read as", "because", "accepted by", "constructs"):
        table.add_column(heading, justify="right" if heading == "line" else "left", overflow="fold")
    for piece in spotted.dating.pieces:
        table.add_row(
            str(line_of(spotted, piece)),
            Text(piece.piece.name or f"({piece.piece.kind})"),
            legend.tagged(piece.reading),
            Text("left alone" if piece.piece.span.start in spotted.left else piece.basis or "nothing says which"),
            Text(", ".join(piece.whole) or "none"),
            shares_told(piece, legend),
        )
    console.print(table)


def shares_told(piece: PieceDating, legend: Legend) -> Text:
    """`A 33 %, B 67 %`, each in its colour, and how many are not dated."""
    parts = [Text(f"{legend.letter(g)} {share:.0%}", style=legend.colour(g)) for g, share in piece.shares.items()]
    unsure = sum(r.generation is None for r in piece.rulings)
    if unsure:
        parts.append(Text(f"{UNSURE} {unsure} of {len(piece.rulings)}", style=legend.colour(None)))
    return Text(", ").join(parts)


def print_listing(console: Console, spotted: Spotted, legend: Legend) -> None:
    """The source with each construct in its generation's colour, and a row of letters below the lines that mix."""
    source = spotted.source
    marks = sorted(_marks(spotted), key=lambda m: (m[0].start, -m[0].end))
    count = source.data.count(b"\n") + (not source.data.endswith(b"\n"))
    width = len(str(count))
    by_line: dict[int, list[tuple[int, int, str | None]]] = {}
    for span, generation in marks:
        line, column = source.place(span.start)
        by_line.setdefault(line, []).append((column - 1, column - 1 + len(source.text(span)), generation))
    for line in range(1, count + 1):
        found = by_line.get(line, [])
        letters = "".join(dict.fromkeys(legend.letter(g) for _, _, g in found))
        text = Text(source.line_text(line).replace("\t", " "))
        for start, end, generation in found:
            text.stylize(legend.colour(generation), start, end)
        margin = ((f"{line:>{width}} ", "dim"), (f"{letters:<4}", "bold"), "│ ")
        console.print(Text.assemble(*margin, text), soft_wrap=True)
        if len(letters) > 1:
            console.print(Text(" " * (width + 5) + "│ " + _row(found, legend), style="dim"), soft_wrap=True)


def _row(found: list[tuple[int, int, str | None]], legend: Legend) -> str:
    row: list[str] = []
    for start, _, generation in found:
        row += [" "] * (start - len(row))
        row[start : start + 1] = [legend.letter(generation)]
    return "".join(row)


def _marks(spotted: Spotted) -> Iterator[tuple[Span, str | None]]:
    for ruling in spotted.dating.rulings:
        span = spotted.offer.origin_span(ruling.site.head)
        if span.end > span.start:
            yield span, ruling.generation


def line_of(spotted: Spotted, piece: PieceDating) -> int:
    """The line of a piece's name, in the text as it is."""
    span = piece.piece.name_span
    return spotted.source.place(spotted.offer.origin(span.start))[0]


def file_line(spotted: Spotted) -> str:
    """One line on a file: what it says it is, what its constructs are."""
    dating = spotted.dating
    declared = " and ".join(dict.fromkeys(d.generation for d in dating.declared.all)) or "nothing"
    counts = Counter(r.generation for r in dating.rulings if r.generation is not None)
    parts = ", ".join(f"{n} of {g}" for g, n in sorted(counts.items())) or "none dated"
    word = "mixed" if spotted.mixed else "of one generation" if counts else "not dated"
    return f"{spotted.source.name}: {word}; it declares {declared}; constructs: {parts}"


def summary(spotted: Iterable[Spotted]) -> str:
    """One line on many files: how many are mixed, how many were skipped and why."""
    every = list(spotted)
    skipped = Counter(s.skipped for s in every if s.skipped)
    read = [s for s in every if not s.skipped]
    mixed = sum(s.mixed for s in read)
    friends = sum(d.code == "false-friend" for s in read for d in s.diagnostics)
    said = f"{len(every)} {'file' if len(every) == 1 else 'files'}: {mixed} mixed, {len(read) - mixed} not"
    said += f"; {friends} false {'friend' if friends == 1 else 'friends'}"
    if skipped:
        said += f"; skipped {sum(skipped.values())}: " + ", ".join(f"{n} {why}" for why, n in sorted(skipped.items()))
    return said


def repair_diff(spotted: Spotted) -> bytes:
    """The offered repair as a unified diff; empty where there is none."""
    return unified(spotted.source.name, spotted.source.data, spotted.offer.after.data)


# ---- JSON ----------------------------------------------------------------------------------------


def spot_report(spotted: Spotted) -> dict[str, Any]:
    """The object that `rehilt spot --json` prints, described by grammars/schemas/spot.json."""
    dating = spotted.dating
    return {
        "file": spotted.source.name,
        "skipped": spotted.skipped,
        "declared": [
            {"generation": d.generation, "by": d.by, **_place(spotted, d.span)} for d in dating.declared.all
        ],
        "read_as": dating.generation if dating.settled and not spotted.skipped else "",
        "mixed": spotted.mixed,
        "ranking": [asdict(r) for r in dating.ranking],
        "evidence": [
            {"generation": e.generation, "speaks": e.speaks, "count": e.count, "reason": e.reason,
             **_place(spotted, e.span)}
            for e in dating.evidence
        ],
        "pieces": [_piece(spotted, p) for p in dating.pieces],
        "readings": [_doubt(spotted, d) for d in spotted.doubts],
        "repair": repair_diff(spotted).decode(spotted.source.encoding, "replace"),
        "diagnostics": [diagnostic_entry(spotted.source, d) for d in spotted.diagnostics],
        "exit": spotted.exit,
    }  # fmt: skip


def _place(spotted: Spotted, span: Span) -> dict[str, int]:
    line, column = spotted.source.place(spotted.offer.origin(span.start))
    return {"line": line, "column": column}


def _piece(spotted: Spotted, piece: PieceDating) -> dict[str, Any]:
    return {
        "name": piece.piece.name,
        "kind": piece.piece.kind,
        "line": line_of(spotted, piece),
        "whole": list(piece.whole),
        "read_as": piece.reading or "",
        "because": piece.basis,
        "left_alone": piece.piece.span.start in spotted.left,
        "shares": {g: round(share, 4) for g, share in piece.shares.items()},
        "conflict": [{"name": s.name, **_place(spotted, s.head)} for s in piece.conflict],
        "constructs": [_ruling(spotted, r) for r in piece.rulings],
    }


def _ruling(spotted: Spotted, ruling: Ruling) -> dict[str, Any]:
    site = ruling.site
    return {
        "name": site.name,
        **_place(spotted, site.head),
        "dated": ruling.generation or "",
        "certainty": ruling.certainty,
        "accepted_by": {g: c.through or ("native" if not c.compat else "compat") for g, c in site.accepts.items()},
    }


def _doubt(spotted: Spotted, doubt: Doubt) -> dict[str, Any]:
    found = doubt.found
    return {
        "name": found.piece.piece.name,
        **_place(spotted, found.span),
        "today": found.reading or "",
        "against": doubt.first,
        "supports": found.supports or "",
        "verdict": doubt.verdict,
        "pixels": doubt.blade.pixels,
        "others": [
            {"generation": a.generation, "equal": a.equal, "close": a.close, "figures": _figures(a.figures)}
            for a in doubt.against
        ],
    }


def _figures(figures: Any) -> dict[str, Any] | None:
    if figures is None:
        return None
    return {key: round(v, 2) if isinstance(v, float) else v for key, v in asdict(figures).items()}
