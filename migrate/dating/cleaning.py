"""Undoes what forums, mail programs and word processors do to code. Nothing here knows a construct by name.

Each step looks at the whole text and returns the edits that would undo one kind of harm, and what to say of them.
"""

from __future__ import annotations

import html
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from itertools import pairwise

from migrate.concrete.edits import Edit


@dataclass(frozen=True)
class Step:
    """One kind of harm: its code, what it is in words, and the edits that undo it."""

    code: str
    message: str
    edits: tuple[Edit, ...]


_PROTECTED = re.compile(r'//[^\n]*|/\*.*?(?:\*/|\Z)|"(?:[^"\\\n]|\\.)*"', re.DOTALL)
_STARTS = r"(?:using|typedef|template|constexpr|const|#\s*(?:define|include))\b"
_NUMBERED = re.compile(r"^([ \t]*)(\d{1,5})([:.|)]?)([ \t]*)(.*)$")
_QUOTED = re.compile(r"^((?:>[ \t]?)+)(.*)$")
_CLOSERS = re.compile(r"^[>\s;,)]*$")
_ENTITY = re.compile(r"&(?:#\d{1,6}|#[xX][0-9a-fA-F]{1,5}|[A-Za-z]{2,8});")
# Elements of the HTML standard that a page puts round or into pasted code.
_ELEMENTS = "p|br|b|i|u|em|strong|code|pre|span|div|tt|blockquote|li|ul|ol|a"
_TAG = re.compile(rf"</?(?:{_ELEMENTS})(?:\s+[\w-]+=\"[^\"]*\")*\s*/?>")
_JOINED = re.compile(rf"(?<=[\w.,!;:)\]] )(?={_STARTS}[ \t]+[\w<])")
_GLUED = re.compile(r"^([ \t]*)(using|typedef)(?=([A-Za-z_]\w*)([ \t]*[=<]))", re.MULTILINE)
_ALIKE = {
    "\u2039": "<", "\u203a": ">", "\uff1c": "<", "\uff1e": ">", "\u3008": "<", "\u3009": ">", "\u2329": "<",
    "\u232a": ">", "\uff0c": ",", "\u201a": ",", "\uff1b": ";", "\uff1d": "=", "\uff1a": ":", "\uff08": "(",
    "\uff09": ")", "\u2212": "-", "\u2013": "-", "\u2014": "-",
}  # fmt: skip
_QUOTES = frozenset("\u201c\u201d\u201e\u201f\u2018\u2019\u201b\u00ab\u00bb\u02ba\u2033")
_WIDE_BLANKS = frozenset("\u00a0\u2000\u2001\u2002\u2003\u2004\u2005\u2006\u2007\u2008\u2009\u200a\u202f\u3000")
_NO_WIDTH = frozenset("\u200b\u200c\u200d\u2060\ufeff")


def steps(encoding: str) -> Iterator[Callable[[bytes], Step | None]]:
    """The steps in the order in which they are tried, each on what the ones before it left."""
    whole = (_diff, _quote_marks, _line_numbers)
    for find in (*whole, _tags, _entities, _look_alikes, _odd_quotes, _blanks, _joined, _glued):
        yield partial(_run, find, encoding)


Found = tuple[str, str, list[tuple[int, int, str]]]


def _run(find: Callable[[str], Found | None], encoding: str, data: bytes) -> Step | None:
    """Runs one step on decoded text and gives its edits in bytes."""
    text = data.decode(encoding, "replace")
    found = find(text)
    if found is None or not found[2]:
        return None
    code, message, changes = found
    offsets = _byte_offsets(text, encoding)
    edits = tuple(Edit(offsets(a), offsets(b), new.encode(encoding, "replace")) for a, b, new in changes)
    return Step(code, message, edits)


def _byte_offsets(text: str, encoding: str) -> Callable[[int], int]:
    if encoding == "latin-1" or text.isascii():
        return lambda at: at
    sums = [0]
    for char in text:
        sums.append(sums[-1] + len(char.encode(encoding, "replace")))
    return lambda at: sums[at]


def open_spans(text: str) -> Iterator[tuple[int, int]]:
    """The stretches of a text outside of comments and strings."""
    at = 0
    for found in _PROTECTED.finditer(text):
        yield at, found.start()
        at = found.end()
    yield at, len(text)


def _lines(text: str) -> Iterator[tuple[int, str]]:
    at = 0
    for line in text.split("\n"):
        yield at, line.removesuffix("\r")
        at += len(line) + 1


def _diff(text: str) -> Found | None:
    """A unified diff: its new side."""
    lines = list(_lines(text))
    if not any(re.match(r"@@ -\d+(,\d+)? \+\d+(,\d+)? @@", line) for _, line in lines):
        return None
    changes = []
    for at, line in lines:
        end = min(at + len(line) + 1, len(text))
        if line.startswith(("@@", "-", "\\", "diff ", "index ", "+++")):
            changes.append((at, end, ""))
        elif line.startswith(("+", " ")):
            changes.append((at, at + 1, ""))
    return "pasted-diff", "this is a diff, read here as its new side", changes


def _quote_marks(text: str) -> Found | None:
    lines = list(_lines(text))
    quoted = [bool((m := _QUOTED.match(line)) and m[2].strip() and not _CLOSERS.match(line)) for _, line in lines]
    if sum(quoted) < 2 and not any(re.match(rf"(?:>[ \t]?)+[ \t]*{_STARTS}", line) for _, line in lines):
        return None
    changes = []
    for i, (at, line) in enumerate(lines):
        mark = _QUOTED.match(line)
        between = 0 < i < len(lines) - 1 and quoted[i - 1] and (quoted[i + 1] or not lines[i + 1][1].strip())
        if mark and (quoted[i] or between):
            changes.append((at, at + len(mark[1]), ""))
    return "quote-marks", "the lines are quoted, as mail and forums do", changes


def _line_numbers(text: str) -> Found | None:
    full = [(at, _NUMBERED.match(line)) for at, line in _lines(text) if line.strip()]
    hits = [(at, m) for at, m in full if m]
    if len(hits) < 2 or len(hits) < 0.8 * len(full):
        return None
    numbers = [int(m[2]) for _, m in hits]
    if any(b - a not in range(1, 6) for a, b in pairwise(numbers)):
        return None
    gap = min((len(m[4]) for _, m in hits if m[5]), default=0)
    changes = [(at, at + len(m[1] + m[2] + m[3]) + min(gap, len(m[4])), "") for at, m in hits]
    return "line-numbers", "each line has its number before it", changes


def _tags(text: str) -> Found | None:
    if not _ENTITY.search(text):
        return None
    changes = [(m.start(), m.end(), "") for m in _TAG.finditer(text)]
    return "html-tags", "tags of a web page stand in the code", changes


def _entities(text: str) -> Found | None:
    changes = []
    for found in _ENTITY.finditer(text):
        plain = html.unescape(found[0]).replace("\u00a0", " ")
        if plain != found[0]:
            changes.append((found.start(), found.end(), plain))
    return "html-entities", "characters are spelled as a web page spells them", changes


def _replaced(text: str, table: Callable[[str], str | None]) -> list[tuple[int, int, str]]:
    changes = []
    for start, end in open_spans(text):
        for at in range(start, end):
            new = table(text[at])
            if new is not None:
                changes.append((at, at + 1, new))
    return changes


def _look_alikes(text: str) -> Found | None:
    if text.isascii():
        return None
    return "look-alikes", "characters that only look like brackets, commas or signs", _replaced(text, _ALIKE.get)


def _odd_quotes(text: str) -> Found | None:
    if text.isascii():
        return None
    found = _replaced(text, lambda c: '"' if c in _QUOTES else None)
    # A quote in prose is no harm: only what stands against a bracket, a comma or another such quote's word counts.
    changes = [c for c in found if _beside_code(text, c[0])]
    return "odd-quotes", "quotation marks of a word processor", changes


def _beside_code(text: str, at: int) -> bool:
    line_start = text.rfind("\n", 0, at) + 1
    line_end = text.find("\n", at)
    line = text[line_start : line_end if line_end >= 0 else len(text)]
    return bool(re.search(r"[<(,][ \t]*[\u2018-\u201f\u00ab\u00bb\u02ba\u2033]", line))


def _blanks(text: str) -> Found | None:
    if text.isascii():
        return None
    start = 1 if text.startswith("\ufeff") else 0
    found = _replaced(text, lambda c: " " if c in _WIDE_BLANKS else "" if c in _NO_WIDTH else None)
    return "odd-blank", "blanks that a C++ compiler does not take for any", [c for c in found if c[0] >= start]


def _joined(text: str) -> Found | None:
    """A comment that swallowed the code behind it when the line ends were lost."""
    changes = []
    for comment in _PROTECTED.finditer(text):
        if not comment[0].startswith("//"):
            continue
        code = _JOINED.search(text, comment.start(), comment.end())
        if code and re.search(r"\w<[^;]*>\s*;?\s*$|\w<[^;]*>;", text[code.start() : comment.end()]):
            changes.append((code.start(), code.start(), "\n"))
    return "lines-joined", "a comment runs on into code: a line end is lost", changes


def _glued(text: str) -> Found | None:
    changes = [(m.end(), m.end(), " ") for m in _GLUED.finditer(text) if not m[3].startswith("_")]
    if not changes:
        return None
    for m in re.finditer(r"^[ \t]*typedef\S[^\n]*>(?=[A-Za-z_]\w*;)", text, re.MULTILINE):
        changes.append((m.end(), m.end(), " "))
    return "blanks-eaten", "the blank behind a keyword is lost", changes
