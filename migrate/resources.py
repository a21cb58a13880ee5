"""Finds what ships beside the code, in the source tree and in an installed wheel: the grammars and the demo."""

from __future__ import annotations

import os
from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def _shipped(inside: str, beside: str) -> Path:
    """A wheel carries the folder inside the package; in the source tree it lies beside it."""
    found = _PACKAGE / inside
    return found if found.is_dir() else _PACKAGE.parent / beside


# REHILT_GRAMMARS names another grammars folder: to try changes to packs, headers and scenes without touching these.
_GRAMMARS = (
    Path(os.environ["REHILT_GRAMMARS"]) if os.environ.get("REHILT_GRAMMARS") else _shipped("grammars", "grammars")
)
_DEMO = _shipped("demo", "corpora/demo")


def grammar_path(*parts: str) -> Path:
    """The path of a file or folder below grammars/, whether or not it exists.

    >>> grammar_path("pack.peg").name
    'pack.peg'
    """
    return _GRAMMARS.joinpath(*parts)


def demo_path(*parts: str) -> Path:
    """The path of a file of the demo, whether or not it exists.

    >>> demo_path("job.toml").parent.name
    'demo'
    """
    return _DEMO.joinpath(*parts)
