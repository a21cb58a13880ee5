"""Timing: medians of a few runs, over the same files, on one core."""

from __future__ import annotations

import gc
import statistics
import time
from collections.abc import Callable
from typing import Any


def median_seconds(work: Callable[[], Any], runs: int = 3) -> float:
    """The median wall time of `runs` calls, each after a full collection."""
    taken = []
    for _ in range(runs):
        gc.collect()
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return statistics.median(taken)
