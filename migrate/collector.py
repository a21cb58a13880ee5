"""The cycle collector, at rest where no rings of objects are made.

The values of a move are trees, and what is made on the way lets go of itself (tests/shared/test_no_rings.py), so a
search for rings costs time and finds nothing.
"""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def collector_rests() -> Iterator[None]:
    """No search for rings meanwhile; afterwards as before. Also a decorator."""
    enabled = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if enabled:
            gc.enable()
