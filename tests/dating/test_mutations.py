"""One random damage to one style of the corpora: no traceback, no edit elsewhere, a diagnostic near the damage.

`python -m tests.dating_mutations N` prints the share measured on N damages.
"""

from __future__ import annotations

import random

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from migrate.pipeline import Options, Reading, read
from migrate.source import SourceFile
from migrate.spotting import SpotOptions, spot
from tests.dating.damage import Damaged, choices
from tests.dating_mutations import STYLES, Style, distance, measure


@st.composite
def damages(draw: st.DrawFn) -> tuple[Style, Damaged]:
    style = draw(st.sampled_from(STYLES))
    return style, draw(st.sampled_from(choices(style.text, style.area)))()


@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(damages())
def test_a_repair_stays_inside_the_damaged_style(case: tuple[Style, Damaged]) -> None:
    style, damaged = case
    offer = spot(SourceFile("config.h", damaged.text), SpotOptions(measure=False)).offer
    grown = len(damaged.text) - len(style.text)
    before, after = damaged.text, offer.after.data
    # The declaration's own bracket or semicolon may be what is put back, just behind its value.
    assert after[: style.start] == before[: style.start]
    rest = before[style.end + grown :]
    assert after.endswith(rest)


@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(damages())
def test_a_damage_is_never_passed_over(case: tuple[Style, Damaged]) -> None:
    style, damaged = case
    assert distance(style, damaged) is not None or still_sound(style, damaged)


def still_sound(style: Style, damaged: Damaged) -> bool:
    """Whether the damage made other good code: `0xFF,15` without its comma is a colour too."""
    reading = read(SourceFile("config.h", damaged.text), Options(style.name.split("/")[0]))
    assert isinstance(reading, Reading)
    return style.name.split(" ")[1] in reading.lifted and not any(d.severity == "error" for d in reading.diagnostics)


def test_diagnostics_lie_within_five_tokens_of_the_damage() -> None:
    near, total, _ = measure(120, random.Random(4))
    assert total == 120
    assert near / total >= 0.95
