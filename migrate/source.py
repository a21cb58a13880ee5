"""A source file as bytes, with what is needed to point into it: lines, columns, encoding, newline."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from functools import cached_property

_BOM = b"\xef\xbb\xbf"


@dataclass(frozen=True, slots=True, order=True)
class Span:
    """Half-open range of byte offsets."""

    start: int
    end: int


@dataclass(frozen=True)
class SourceFile:
    """Bytes as read. All offsets in the project are byte offsets into `data`."""

    name: str
    data: bytes

    @cached_property
    def encoding(self) -> str:
        """`utf-8` where the bytes are valid UTF-8 (with or without BOM), else `latin-1`."""
        try:
            self.data.decode("utf-8")
        except UnicodeDecodeError:
            return "latin-1"
        return "utf-8"

    @property
    def has_bom(self) -> bool:
        return self.data.startswith(_BOM)

    @cached_property
    def newline(self) -> str:
        """The newline that most lines end with: LF or CRLF."""
        crlf = self.data.count(b"\r\n")
        return "\r\n" if crlf * 2 > self.data.count(b"\n") else "\n"

    @cached_property
    def _line_starts(self) -> list[int]:
        starts, at = [0], self.data.find(b"\n")
        while at >= 0:
            starts.append(at + 1)
            at = self.data.find(b"\n", at + 1)
        return starts

    def text(self, span: Span) -> str:
        """The text of a span, decoded; never raises."""
        return self.slice(span.start, span.end)

    def slice(self, start: int, end: int) -> str:
        """The text between two byte offsets, decoded; never raises."""
        return self.data[start:end].decode(self.encoding, "replace")

    def place(self, offset: int) -> tuple[int, int]:
        """Line and column, from 1, of a byte offset; the column counts characters, and a BOM is none."""
        line = bisect_right(self._line_starts, max(0, min(offset, len(self.data)))) - 1
        start = self._line_starts[line]
        before = self.data[start:offset]
        if line == 0 and before.startswith(_BOM):
            before = before[len(_BOM) :]
        return line + 1, len(before.decode(self.encoding, "replace")) + 1

    def line_text(self, line: int) -> str:
        """The text of a line (from 1), without its newline or a BOM."""
        start = self._line_starts[line - 1]
        end = self._line_starts[line] if line < len(self._line_starts) else len(self.data)
        raw = self.data[start:end].rstrip(b"\r\n")
        if line == 1 and raw.startswith(_BOM):
            raw = raw[len(_BOM) :]
        return raw.decode(self.encoding, "replace")
