"""Finds the grammars folder, in the source tree and in an installed wheel."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent
# A wheel carries the folder inside the package; in the source tree it lies beside it.
_GRAMMARS = _PACKAGE / "grammars" if (_PACKAGE / "grammars").is_dir() else _PACKAGE.parent / "grammars"


def grammar_path(*parts: str) -> Path:
    """The path of a file or folder below grammars/, whether or not it exists.

    >>> grammar_path("pack.peg").name
    'pack.peg'
    """
    return _GRAMMARS.joinpath(*parts)
