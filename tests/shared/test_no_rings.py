"""A move makes no rings of objects, so that all it made goes when it is over, without the cycle collector."""

from __future__ import annotations

import gc
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from migrate.packs.library import library
from migrate.pipeline import Options, move
from migrate.source import SourceFile
from migrate.spotting import SpotOptions, spot

CORPORA = Path(__file__).resolve().parents[2] / "corpora"
NAMES = tuple(library())
FILES = sorted(p for p in CORPORA.rglob("*.h") if p.stat().st_size < 20_000)


@contextmanager
def rings_kept() -> Iterator[Callable[[], Counter[str]]]:
    """What the collector finds is kept for a look."""
    gc.collect()
    gc.set_debug(gc.DEBUG_SAVEALL)

    def found() -> Counter[str]:
        gc.collect()
        return Counter(type(o).__name__ for o in gc.garbage)

    try:
        yield found
    finally:
        gc.set_debug(0)
        gc.garbage.clear()
        gc.collect()


@pytest.mark.parametrize("target", NAMES)
def test_what_a_move_made_goes_by_itself(target: str) -> None:
    sources = [SourceFile(str(p), p.read_bytes()) for p in FILES]
    for source in sources:  # what is made once and kept is no part of a move
        move(source, Options(target, prove=False))
    with rings_kept() as found:
        for source in sources:
            move(source, Options(target, prove=False))
        assert found() == Counter()


def test_what_dating_made_goes_by_itself() -> None:
    sources = [SourceFile(str(p), p.read_bytes()) for p in FILES]
    for source in sources:
        spot(source, SpotOptions(measure=False))
    with rings_kept() as found:
        for source in sources:
            spot(source, SpotOptions(measure=False))
        assert found() == Counter()


def test_a_proof_goes_by_itself() -> None:
    texts = [(f"using a = score<ground<blend<srgb<{red}, 20, 60>, srgb<0, 90, 200>, by<lfo<sine, period<ms<900>>>>, "
              "in<oklab>>>>;\n") for red in (10, 250)]  # fmt: skip
    sources = [SourceFile("a.h", f"#define WICK_GENERATION 4\n{text}".encode()) for text in texts]
    move(sources[0], Options("wick3"))
    with rings_kept() as found:
        (style,) = move(sources[1], Options("wick3")).styles
        assert style.figures is not None and found() == Counter()


def test_a_ring_would_be_found() -> None:
    with rings_kept() as found:
        ring: list[object] = []
        ring.append(ring)
        del ring
        assert found() == Counter({"list": 1})
