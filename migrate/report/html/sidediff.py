"""A side-by-side view of two texts: lines paired by difflib, and within what changed, the words that did."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from itertools import groupby, zip_longest
from typing import Literal

from migrate.report.html.elements import Markup, el

_WORD = re.compile(r"[A-Za-z_][\w:]*|\d[\w.']*|\s+|.", re.DOTALL)
_NEAR = 3  # unchanged lines shown round a change
MOST_LINES = 4000  # of either side: more take difflib minutes

Part = tuple[str, bool]
"""A piece of a line, and whether it changed."""


@dataclass(frozen=True, slots=True)
class Row:
    """A line of each side with its number from 1; None where that side has none. `kind` says what the row is."""

    kind: Literal["equal", "change", "gap"]
    left: tuple[int, tuple[Part, ...]] | None
    right: tuple[int, tuple[Part, ...]] | None


def rows(before: str, after: str, first: tuple[int, int] = (1, 1), near: int | None = _NEAR) -> list[Row]:
    """The rows of two texts whose first lines are numbered `first`; `near` None keeps every unchanged line."""
    old, new = before.splitlines(), after.splitlines()
    if max(len(old), len(new)) > MOST_LINES:
        old, new = old[:MOST_LINES], new[:MOST_LINES]
    out: list[Row] = []
    # A blank line alone is no landmark: matching on it tears changed stretches apart.
    matcher = SequenceMatcher(lambda line: not line.strip(), old, new, autojunk=False)
    for kind, a, b, c, d in matcher.get_opcodes():
        if kind == "equal":
            out.extend(_equal(old, a, b, c, first, near, a == 0, b == len(old)))
        else:
            out.extend(_changed(old[a:b], new[c:d], a + first[0], c + first[1]))
    return out


def _equal(
    old: Sequence[str], a: int, b: int, c: int, first: tuple[int, int], near: int | None, begins: bool, ends: bool
) -> Iterator[Row]:
    head = 0 if begins else near or 0
    tail = 0 if ends else near or 0
    for k in range(a, b):
        if near is not None and b - a > head + tail + 1 and a + head <= k < b - tail:
            if k == a + head:
                yield Row("gap", None, None)
            continue
        parts = ((old[k], False),)
        yield Row("equal", (k + first[0], parts), (k - a + c + first[1], parts))


def _changed(old: Sequence[str], new: Sequence[str], at: int, other: int) -> Iterator[Row]:
    left, right = _marked("\n".join(old), "\n".join(new))
    pairs = zip_longest(_lines(left) if old else [], _lines(right) if new else [])
    for k, (one, two) in enumerate(pairs):
        yield Row("change", None if one is None else (at + k, one), None if two is None else (other + k, two))


def _marked(old: str, new: str) -> tuple[list[Part], list[Part]]:
    """Both texts in pieces, marked where their words differ; blanks and punctuation are left unmarked."""
    one, two = _WORD.findall(old), _WORD.findall(new)
    matcher = SequenceMatcher(lambda word: word.isspace() or word in ",<>", one, two, autojunk=False)
    left: list[Part] = []
    right: list[Part] = []
    for kind, a, b, c, d in matcher.get_opcodes():
        left.extend(_pieces(one[a:b], kind != "equal"))
        right.extend(_pieces(two[c:d], kind != "equal"))
    return left, right


def _pieces(words: Sequence[str], changed: bool) -> Iterator[Part]:
    if not changed:
        yield "".join(words), False
        return
    for told, group in groupby(words, key=lambda word: word[0].isalnum() or word[0] == "_"):
        yield "".join(group), told


def _lines(parts: Sequence[Part]) -> list[tuple[Part, ...]]:
    out: list[list[Part]] = [[]]
    for text, changed in parts:
        for k, piece in enumerate(text.split("\n")):
            if k:
                out.append([])
            if piece:
                out[-1].append((piece, changed))
    return [tuple(line) for line in out]


def table(found: Sequence[Row], names: tuple[str, str], caption: str) -> Markup:
    """The rows as a table that scrolls by itself where it is wide."""
    head = el(
        "tr",
        el("th", el("span", f"line in {names[0]}", class_="unseen"), scope="col"),
        el("th", names[0], scope="col"),
        el("th", el("span", f"line in {names[1]}", class_="unseen"), scope="col"),
        el("th", names[1], scope="col"),
    )
    body = el(
        "table",
        el("caption", caption, class_="unseen"),
        el("thead", head),
        el("tbody", [_row(row) for row in found]),
        class_="sides",
    )
    return el("div", body, class_="scroll", role="region", aria_label=caption, tabindex=0)


def _row(row: Row) -> Markup:
    if row.kind == "gap":
        return el("tr", el("td", "unchanged lines left out", colspan=4), class_="gap")
    cells = [cell for side, tag in ((row.left, "del"), (row.right, "ins")) for cell in _cells(side, tag)]
    return el("tr", cells, class_=row.kind)


def _cells(side: tuple[int, tuple[Part, ...]] | None, tag: str) -> list[Markup]:
    if side is None:
        return [el("td", class_="no"), el("td", class_="code none")]
    number, parts = side
    code = [el(tag, text) if changed else text for text, changed in parts]
    return [el("td", number, class_="no"), el("td", code, class_="code")]
