"""Edits of a text: half-open ranges with what replaces them, applied all at once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, order=True)
class Edit:
    """Bytes `start` to `end` become `text`; with `start == end`, an insertion before that byte."""

    start: int
    end: int
    text: bytes


def apply_edits(data: bytes, edits: Iterable[Edit]) -> bytes:
    """The bytes with all edits made; every byte outside them is kept.

    Insertions at one place keep the order in which they are given.
    Raises ValueError where an edit lies outside the bytes or two overlap.

    >>> apply_edits(b"foam<1>", [Edit(5, 6, b"255"), Edit(0, 0, b"// ")])
    b'// foam<255>'
    """
    out: list[bytes] = []
    at = 0
    for edit in sorted(edits, key=lambda e: (e.start, e.end)):
        if not 0 <= edit.start <= edit.end <= len(data):
            raise ValueError(f"edit {edit.start}..{edit.end} lies outside of {len(data)} bytes")
        if edit.start < at:
            raise ValueError(f"edit {edit.start}..{edit.end} overlaps the one before it, which ends at {at}")
        out.append(data[at : edit.start])
        out.append(edit.text)
        at = edit.end
    out.append(data[at:])
    return b"".join(out)
