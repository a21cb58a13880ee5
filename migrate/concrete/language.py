"""The tree-sitter grammar of style code, loaded once, and the mask that its input goes through."""

from __future__ import annotations

from tree_sitter import Language, Parser, Tree

from migrate import _style

LANGUAGE = Language(_style.language())

_BOM = b"\xef\xbb\xbf"
# The grammar reads ASCII. NUL is a blank, as compilers have it; a byte above 127 is part of a name (\x7f).
_MASK = bytes(0x20 if b == 0 else 0x7F if b > 0x7F else b for b in range(256))


def mask(data: bytes) -> bytes:
    """The bytes as the grammar reads them: the same length, so that every offset stands."""
    masked = data.translate(_MASK)
    return b"   " + masked[3:] if data.startswith(_BOM) else masked


def read(masked: bytes) -> Tree:
    """The tree-sitter tree of masked bytes."""
    return Parser(LANGUAGE).parse(masked)


def kinds(*names: str) -> frozenset[int]:
    """The numbers of named kinds in the grammar; LookupError for one that it does not have."""
    numbers = []
    for name in names:
        number = LANGUAGE.id_for_node_kind(name, True)
        if number is None:
            raise LookupError(f"the grammar has no kind {name}")
        numbers.append(number)
    return frozenset(numbers)
