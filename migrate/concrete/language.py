"""The tree-sitter grammar of style code, loaded once, and the mask that its input goes through."""

from __future__ import annotations

import re

from tree_sitter import Language, Parser, Tree

from migrate import _style
from migrate.source import SourceFile, Span

LANGUAGE = Language(_style.language())

_BOM = b"\xef\xbb\xbf"
# The grammar reads ASCII. NUL is a blank, as compilers have it; a byte above 127 is part of a name (\x7f).
_MASK = bytes(0x20 if b == 0 else 0x7F if b > 0x7F else b for b in range(256))


# Blanks that web pages and word processors put in: no-break, thin, zero-width, ideographic, byte order mark.
_ODD_UTF8 = re.compile(rb"(?:\xc2\xa0|\xe2\x80[\x80-\x8b\xaf]|\xe3\x80\x80|\xef\xbb\xbf)+")
_ODD_LATIN1 = re.compile(rb"\xa0+")


def odd_blanks(source: SourceFile) -> list[Span]:
    """Runs of blanks that are none to a C++ compiler, a BOM at the start aside."""
    data = source.data
    if data.isascii():
        return []
    pattern = _ODD_UTF8 if source.encoding == "utf-8" else _ODD_LATIN1
    return [Span(*found.span()) for found in pattern.finditer(data, len(_BOM) if source.has_bom else 0)]


def mask(source: SourceFile) -> bytes:
    """The bytes as the grammar reads them: the same length, so that every offset stands."""
    data = source.data
    odd = odd_blanks(source)
    if source.has_bom:
        odd = [Span(0, len(_BOM)), *odd]
    if not odd:
        return data.translate(_MASK)
    masked = bytearray(data.translate(_MASK))
    for span in odd:
        masked[span.start : span.end] = b" " * (span.end - span.start)
    return bytes(masked)


def read(masked: bytes) -> Tree:
    """The tree-sitter tree of masked bytes."""
    return Parser(LANGUAGE).parse(masked)
