"""The table of moves: what comes of every corpus style in every other generation.

    python -m tests.preservation [--list PAIR]

prints, for each ordered pair of generations, how many styles come out same, close, changed, kept and refused; how
many of those marked `// plain` are same or close one generation down; and what is lost, by how often.
"""

from __future__ import annotations

import re
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from migrate.packs.library import library
from migrate.pipeline import GRADES, Moved, Options, StyleMove, move
from migrate.source import SourceFile

ROOT = Path(__file__).resolve().parents[1]
GENERATIONS = tuple(g for g in library() if (ROOT / "corpora" / g).is_dir())
_PLAIN = re.compile(rb"^[ \t]*// plain[ \t]*\r?\n", re.M)


@dataclass
class Tally:
    """The outcome of one ordered pair."""

    grades: Counter[str] = field(default_factory=Counter)
    plain: Counter[str] = field(default_factory=Counter)
    losses: Counter[str] = field(default_factory=Counter)
    short: list[str] = field(default_factory=list)

    @property
    def total(self) -> int:
        return self.grades.total()

    @property
    def well(self) -> int:
        """How many came out same or close."""
        return self.grades["same"] + self.grades["close"]


def sources(generation: str) -> Iterator[SourceFile]:
    """The corpus files of a generation, in the order of their names."""
    for path in sorted((ROOT / "corpora" / generation).glob("*.h")):
        yield SourceFile(path.relative_to(ROOT).as_posix(), path.read_bytes())


def plain_lines(source: SourceFile) -> frozenset[int]:
    """The lines that stand directly below a `// plain` mark."""
    return frozenset(source.place(found.end())[0] for found in _PLAIN.finditer(source.data))


def tally(before: str, after: str) -> Tally:
    """Moves a whole corpus and counts."""
    result = Tally()
    for source in sources(before):
        marked = plain_lines(source)
        moved = move(source, Options(after))
        for style in moved.styles:
            count(result, moved, style, style.line in marked)
    return result


def count(result: Tally, moved: Moved, style: StyleMove, plain: bool) -> None:
    """Adds one style to a tally."""
    result.grades[style.grade] += 1
    if plain:
        result.plain[style.grade] += 1
    if style.grade in ("same", "close"):
        return
    figures = style.figures
    said = (
        f"dE 95 % {figures.p95:.2f}, largest {figures.largest:.2f}, edges {figures.edge_ms:.0f} ms" if figures else ""
    )
    mark = " (plain)" if plain else ""
    result.short.append(
        f"{moved.source.name}:{style.line} {style.name}{mark} {style.grade} {said} {'; '.join(style.notes)}"
    )
    for loss in style.notes:
        result.losses[re.sub(r"`[^`]*`", lambda m: m[0].split("<")[0].strip("`"), loss)] += 1


def table(tallies: dict[tuple[str, str], Tally]) -> str:
    """The table as the README shows it."""
    head = (
        "| from | to | styles | "
        + " | ".join(g for g in GRADES if g != "unmeasured")
        + " | same or close | plain ones |"
    )
    lines = [head, "| --- | --- | " + "--: | " * (len(GRADES) + 2)]
    for (before, after), found in tallies.items():
        counts = " | ".join(str(found.grades[g]) for g in GRADES if g != "unmeasured")
        plain = ""
        if GENERATIONS.index(before) - GENERATIONS.index(after) == 1:
            good = found.plain["same"] + found.plain["close"]
            plain = f"{good} of {found.plain.total()}"
        share = found.well / found.total
        lines.append(f"| {before} | {after} | {found.total} | {counts} | {share:.1%} | {plain} |")
    return "\n".join(lines)


def main(arguments: list[str]) -> None:
    """Prints the table, or the styles of one pair that are neither same nor close."""
    if arguments[:1] == ["--list"]:
        before, after = arguments[1].split(":")
        found = tally(before, after)
        print("\n".join(found.short))
        print(f"{found.well} of {found.total}")
        return
    tallies = {(a, b): tally(a, b) for a in GENERATIONS for b in GENERATIONS if a != b}
    print(table(tallies))
    for (before, after), found in tallies.items():
        if found.losses:
            print(f"\n{before} to {after}: " + ", ".join(f"{n} × {what}" for what, n in found.losses.most_common(12)))


if __name__ == "__main__":
    main(sys.argv[1:])
