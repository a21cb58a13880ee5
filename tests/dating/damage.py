"""Ways to damage one style of a text, each with the place where it was done. Used by the mutation tests."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

TOKEN = re.compile(rb"//[^\n]*|/\*.*?\*/|\"[^\"\n]*\"|[\w:.']+|\S", re.DOTALL)


@dataclass(frozen=True)
class Damaged:
    """The text after the damage, the offset of the damage in it, and how it was done."""

    text: bytes
    at: int
    how: str


def tokens(text: bytes) -> list[tuple[int, int]]:
    """The spans of the tokens of C++, comments left out."""
    return [m.span() for m in TOKEN.finditer(text) if not m[0].startswith((b"//", b"/*"))]


def _cut(text: bytes, span: tuple[int, int], new: bytes, how: str) -> Damaged:
    return Damaged(text[: span[0]] + new + text[span[1] :], span[0], how)


def _of_kind(text: bytes, area: tuple[int, int], kind: bytes) -> list[tuple[int, int]]:
    found = [s for s in tokens(text) if area[0] <= s[0] and s[1] <= area[1]]
    return [s for s in found if re.fullmatch(kind, text[s[0] : s[1]])]


def choices(text: bytes, area: tuple[int, int]) -> list[Callable[[], Damaged]]:
    """Every damage that can be done to the value of a style, which spans `area` of the text."""
    out: list[Callable[[], Damaged]] = []

    def add(kind: bytes, new: Callable[[bytes], bytes], how: str) -> None:
        for span in _of_kind(text, area, kind):
            word = text[span[0] : span[1]]
            out.append(lambda span=span, word=word: _cut(text, span, new(word), how))

    add(rb">", lambda _: b"", "a > taken out")
    add(rb">", lambda _: b">>", "a > doubled")
    add(rb"<", lambda _: b"", "a < taken out")
    add(rb"<", lambda _: b"<<", "a < doubled")
    add(rb",", lambda _: b"", "a comma taken out")
    add(rb",", lambda _: b",,", "a comma doubled")
    add(rb">", lambda _: b",>", "a trailing comma")
    add(rb"[a-z]\w{3,}", lambda w: w[:-1], "a name cut short")
    add(rb"\d{2,}", lambda w: w[:-1] + b"o", "a digit made a letter")
    add(rb"\d{1,3}", lambda _: b"", "a number taken out")
    add(rb"[\w:]+", lambda _: b"#", "a word made a sign")
    return out
