"""Where a generation has decimals, a place that takes whole numbers only refuses one, as the header does."""

from __future__ import annotations

import pytest

from migrate.pipeline import Options, move
from migrate.source import SourceFile

CONFIG = """#define WICK_GENERATION 4
#include <wick/score.h>
#include <wick/compat3.h>
using namespace wick;
constexpr double warm = 12.5;
using lamp = score<ground<{paint}>>;
"""


@pytest.mark.parametrize(
    ("paint", "said"),
    [
        ("srgb<12.5, 120, 40>", "`red` of `srgb` must be a whole number; it is 12.5"),
        ("srgb<255, warm, 40>", "`green` of `srgb` must be a whole number; it is 12.5"),
        ("duty<255, 120, 40.25>", "`blue` of `duty` must be a whole number; it is 40.25"),
        ("rgb<12.5, 120, 40>", "`red` of `rgb` must be a whole number; it is 12.5"),
        ("v3::shade<rgb<255, 120, 40>, v3::k<500.5>>", "`level` of `v3::k` must be a whole number; it is 500.5"),
    ],
)
def test_a_decimal_where_the_header_takes_whole_numbers_is_refused(paint: str, said: str) -> None:
    moved = move(SourceFile("lamp.h", CONFIG.format(paint=paint).encode()), Options("wick3"))
    assert [(d.code, d.message) for d in moved.diagnostics if d.severity == "error"] == [("no-decimals", said)]


def test_a_decimal_that_is_a_whole_number_and_one_in_a_measure_are_read() -> None:
    for paint in ("srgb<12, 120, 40>", "shade<srgb<12, 120, 40>, by<k<pct<12.5>>>>"):
        moved = move(SourceFile("lamp.h", CONFIG.format(paint=paint).encode()), Options("wick3"))
        assert not [d for d in moved.diagnostics if d.severity == "error"]
