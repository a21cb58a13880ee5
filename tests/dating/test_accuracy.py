"""The dating accuracy that the issue asks for, on the labelled corpora."""

from __future__ import annotations

import pytest

from tests.dating_accuracy import labelled, measure


@pytest.mark.parametrize("strip", [False, True], ids=["as they are", "nothing declared"])
def test_nothing_is_dated_wrongly_with_confidence(strip: bool) -> None:
    tally = measure(strip)
    assert tally.wrong == []
    assert tally.constructs["one reading, right"] > 2000
    assert not tally.constructs["one reading, ambiguous"]
    assert sum(tally.files.values()) == len(labelled())


def test_what_a_file_declares_resolves_every_ambiguity() -> None:
    tally = measure(strip=False)
    assert not tally.constructs["several readings, ambiguous"]
    assert not tally.files["ambiguous"]
