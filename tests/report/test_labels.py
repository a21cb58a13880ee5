"""The label of a style is what its slot's last string says."""

from __future__ import annotations

from pathlib import Path

from migrate.pipeline import Options, Reading, read
from migrate.report.html.facts import labels_of
from migrate.source import SourceFile


def test_a_quote_and_a_backslash_in_a_label_stay() -> None:
    corpus = Path(__file__).resolve().parents[2] / "corpora" / "wick3"
    path = next(p for p in sorted(corpus.glob("*.h")) if labels_of(_read(p.read_bytes())))
    data = path.read_bytes()
    reading = _read(data)
    name, label = next(iter(labels_of(reading).items()))
    written = f'"{label}"'.encode()
    assert data.count(written) == 1
    again = _read(data.replace(written, rb'"the \"old\" bell \\ tide"'))
    assert labels_of(again)[name] == 'the "old" bell \\ tide'


def _read(data: bytes) -> Reading:
    found = read(SourceFile("a.h", data), Options("wick3", "wick3"))
    assert isinstance(found, Reading)
    return found
