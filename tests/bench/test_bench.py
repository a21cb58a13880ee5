"""The bench corpus covers every construct, is the same for the same seed, and means something."""

from __future__ import annotations

import sys
from itertools import islice
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from migrate.packs.library import library
from migrate.pipeline import Options, read
from migrate.source import SourceFile
from tests.bench.generate import Generator, config, distinct, write_realistic
from tests.bench.measure import exponent


@pytest.mark.parametrize("name", list(library()))
def test_a_thousand_styles_hold_every_construct_that_can_stand_in_one(name: str) -> None:
    generation = library()[name]
    generator = Generator(generation, 1)
    for _ in range(1000):
        generator.style()
    known = {(c.sort, c.name) for group in generation.constructs.values() for c in group}
    assert known - set(generator.used) == set()


@pytest.mark.parametrize("name", list(library()))
def test_what_is_generated_is_read_without_a_word_and_no_two_are_alike(name: str) -> None:
    styles = list(islice(distinct(name, 3), 40))
    assert len(set(styles)) == 40
    text = config(library()[name], [(f"s{n}", style) for n, style in enumerate(styles)])
    found = read(SourceFile("a.h", text.encode()), Options(name))
    assert not [d for d in found.diagnostics if d.severity == "error"]
    assert len(found.lifted) == 40  # type: ignore[union-attr]


def test_equal_seeds_make_equal_archives(tmp_path: Path) -> None:
    one, two = (write_realistic(tmp_path / part, 30) for part in ("one", "two"))
    assert [p.read_bytes() for p in one] == [p.read_bytes() for p in two]


def test_the_fitted_exponent_of_a_square_law_is_two() -> None:
    assert exponent([(n, 3 * n**2) for n in (1.0, 2.0, 5.0)]) == pytest.approx(2)
