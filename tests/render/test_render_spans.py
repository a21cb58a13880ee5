from __future__ import annotations

import numpy as np

from migrate.render.spans import spans


def test_spans_are_the_runs_that_are_not_nought() -> None:
    assert spans(np.array([0.0, 0.5, 1.0, 0.0, 0.0, 2.0])) == [(1, 3), (5, 6)]
    assert spans(np.array([True, True])) == [(0, 2)]
    assert spans(np.zeros(3)) == spans(np.zeros(0)) == []


def test_spans_of_whole_blocks_end_with_the_last_frame() -> None:
    going = np.array([0, 1, 0, 0, 0, 0, 0, 1, 1, 0])
    assert spans(going, 4) == [(0, 10)]
    assert spans(going, 3) == [(0, 3), (6, 9)]
    assert spans(going[:8], 3) == [(0, 3), (6, 8)]
