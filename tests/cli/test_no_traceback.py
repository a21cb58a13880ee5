"""No file of the corpora makes a traceback, whatever generation it is to be moved to."""

from __future__ import annotations

from pathlib import Path

import pytest

from migrate.packs.library import library
from migrate.pipeline import Options, move
from migrate.source import SourceFile

CORPORA = Path(__file__).resolve().parents[2] / "corpora"
FILES = [p for part in ("roundtrip", "mixed") for p in sorted((CORPORA / part).iterdir()) if p.suffix != ".json"]


@pytest.mark.parametrize("target", list(library()))
@pytest.mark.parametrize("path", FILES, ids=lambda p: p.name)
def test_a_move_ends_with_an_answer(path: Path, target: str) -> None:
    moved = move(SourceFile(str(path), path.read_bytes()), Options(target, prove=False))
    assert moved.exit in (0, 1, 2)
    # What could not be read at all stays as it is, and something says why.
    assert moved.origin is not None or (moved.text == moved.source.data and moved.diagnostics)
