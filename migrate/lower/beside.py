"""What a move writes beside the code: the original of what it replaced, and notes for a human eye.

Going down, the original lines of every block that changes are kept above it in a comment, with a digest of what
replaced them, so that going up again restores them byte for byte unless a hand has changed the block since:

    // rehilt: was GENERATION LINES DIGEST
    //| the original lines
    the block, LINES lines long

A note is one line above a style: grade, why, how much, in which scene, from which frame.
"""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from migrate.concrete.edits import Edit, apply_edits
from migrate.source import SourceFile, Span

_WAS = re.compile(rb"[ \t]*// rehilt: was (\w+) (\d+) ([0-9a-f]{16})( base64)?\r?\n")
_LINE = re.compile(rb"//\|[^\n]*\n")
_NOTE = re.compile(rb"^[ \t]*// rehilt: (?:changed|kept|unmeasured)(?:;[^\n]*)?\n", re.M)


@dataclass(frozen=True, slots=True)
class Beside:
    """An original that stands beside what replaced it.

    comment   the comment's whole lines
    block     the lines that replaced the original
    intact    whether the block is still what the move wrote
    """

    generation: str
    original: bytes
    comment: Span
    block: Span
    intact: bool


def digest(block: bytes) -> str:
    """A short SHA-256 of a block."""
    return hashlib.sha256(block).hexdigest()[:16]


def find(data: bytes) -> list[Beside]:
    """Every original that stands beside its block, outermost ones only, in order."""
    out: list[Beside] = []
    at = 0
    while (head := _WAS.search(data, at)) is not None:
        if data[: head.start()].rpartition(b"\n")[2].strip():
            at = head.end()
            continue
        end, lines = head.end(), []
        while (line := _LINE.match(data, end)) is not None:
            lines.append(line.group(0)[3:])
            end = line.end()
        block = _lines(data, end, int(head.group(2)))
        original = _decoded(lines, bool(head.group(4)))
        at = block.end
        if original is not None:
            intact = digest(data[block.start : block.end]) == head.group(3).decode()
            out.append(Beside(head.group(1).decode(), original, Span(head.start(), end), block, intact))
        at = max(at, head.end())
    return out


def _lines(data: bytes, start: int, count: int) -> Span:
    end = start
    for _ in range(count):
        found = data.find(b"\n", end)
        end = len(data) if found < 0 else found + 1
    return Span(start, end)


def _decoded(lines: Sequence[bytes], coded: bool) -> bytes | None:
    if not coded:
        return b"".join(line[1:] if line.startswith(b" ") else line for line in lines)
    try:
        return base64.b64decode(b"".join(lines), validate=False)
    except ValueError:
        return None


def comment_for(generation: str, original: bytes, block: bytes, newline: str) -> bytes:
    """The comment that keeps an original above its block; both are whole lines."""
    end = newline.encode()
    count = block.count(b"\n") + (not block.endswith(b"\n") and bool(block))
    parts = original.split(end)
    plain = original.endswith(end) and b"\0" not in original and all(_plain(part) for part in parts)
    head = f"// rehilt: was {generation} {count} {digest(block)}"
    if plain:
        return b"".join((head.encode(), end, *(b"//| " + part + end for part in parts[:-1])))
    coded = base64.b64encode(original)
    chunks = [coded[i : i + 100] for i in range(0, len(coded), 100)] or [b""]
    return b"".join((head.encode(), b" base64", end, *(b"//|" + chunk + end for chunk in chunks)))


def _plain(line: bytes) -> bool:
    """Whether a line can stand in a `//` comment: no stray newline, and nothing that joins it to the next."""
    return not any(b in line for b in (b"\n", b"\r")) and not line.rstrip().endswith((b"\\", b"??/"))


@dataclass(frozen=True, slots=True)
class Block:
    """Whole lines of the source that edits touch, with what they become."""

    span: Span
    text: bytes


def blocks(source: SourceFile, edits: Sequence[Edit], units: Iterable[Span]) -> list[Block]:
    """The whole-line blocks that the edits touch, each with what it becomes; `units` are not to be cut."""
    data = source.data
    spans = [_whole_lines(data, e.start, e.end) for e in edits]
    spans += [s for u in units if (s := _whole_lines(data, u.start, u.end)) and _touched(s, spans)]
    merged: list[Span] = []
    for span in sorted(spans):
        if merged and span.start < merged[-1].end:
            merged[-1] = Span(merged[-1].start, max(merged[-1].end, span.end))
        else:
            merged.append(span)
    out = []
    for span in merged:
        inside = [e for e in edits if span.start <= e.start and e.end <= span.end and not _at_end(e, span, merged)]
        moved = [Edit(e.start - span.start, e.end - span.start, e.text) for e in inside]
        out.append(Block(span, apply_edits(data[span.start : span.end], moved)))
    return out


def _at_end(edit: Edit, span: Span, merged: Sequence[Span]) -> bool:
    """An insertion between two blocks belongs to the second."""
    return edit.start == edit.end == span.end and any(s.start == span.end for s in merged)


def _touched(span: Span, spans: Sequence[Span]) -> bool:
    return any(span.start < other.end and other.start < span.end for other in spans)


def _whole_lines(data: bytes, start: int, end: int) -> Span:
    first = data.rfind(b"\n", 0, start) + 1
    if end > start and data[end - 1 : end] == b"\n":
        return Span(first, end)
    last = data.find(b"\n", end)
    return Span(first, len(data) if last < 0 else last + 1)


def stale_notes(data: bytes) -> list[Edit]:
    """Edits that remove the notes of earlier moves."""
    return [Edit(found.start(), found.end(), b"") for found in _NOTE.finditer(data)]


def note_line(grade: str, parts: Sequence[str], margin: str, newline: str, encoding: str) -> bytes:
    """The note above a style: its grade, then why, how much, and where it first shows."""
    said = "; ".join(part.replace("\n", " ") for part in (grade, *parts))
    return f"{margin}// rehilt: {said}{newline}".encode(encoding, "replace")
