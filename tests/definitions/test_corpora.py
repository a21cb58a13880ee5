from __future__ import annotations

from pathlib import Path

import pytest

from migrate.diagnostics import Diagnostic
from migrate.pipeline import Options, read, readings
from migrate.source import SourceFile
from tests.definitions.moving import reading_of

CORPORA = Path(__file__).resolve().parents[2] / "corpora"
FILES = sorted(p for n in (1, 2, 3, 4) for p in (CORPORA / f"wick{n}").glob("*.h"))


@pytest.mark.parametrize("path", FILES, ids=lambda p: f"{p.parent.name}/{p.stem}")
def test_every_corpus_file_lifts_in_each_of_its_builds(path: Path) -> None:
    found = readings(SourceFile(str(path), path.read_bytes()), Options("wick3"))
    said = [r if isinstance(r, Diagnostic) else r.diagnostics for r in found]
    assert said == [()] * len(found)
    slots = {name for r in found if not isinstance(r, Diagnostic) for name in r.host.in_slots}
    known = {name for r in found if not isinstance(r, Diagnostic) for name in r.lifted}
    assert slots and slots <= known


def test_the_corpora_hold_what_this_is_about() -> None:
    named = {p.stem for p in FILES}
    assert {"tollkeepers", "toll_bridge", "understudies", "company_library", "winter_matinee"} <= named
    source = SourceFile("x.h", (CORPORA / "wick2" / "toll_bridge.h").read_bytes())
    found = read(source, Options("wick3"))
    assert not isinstance(found, Diagnostic)
    assert {c.name for c in found.lifter.called.values()} == {"crowd_stick", "COIN"}


def test_an_empty_file_has_nothing_to_say_but_what_it_is() -> None:
    assert [d.code for d in reading_of("", "wick3")] == ["undeclared-generation"]
