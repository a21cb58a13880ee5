"""Runs of frames in which something goes on."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Span = tuple[int, int]  # the first frame, and the frame after the last


def spans(going: NDArray[Any], block: int = 1) -> list[Span]:
    """The runs of frames, (T,), that are not 0, in whole blocks: each begins and ends at a multiple of `block`.

    One that reaches the last block ends with the last frame.
    """
    edges = np.zeros(-(-len(going) // block) + 2, np.bool_)
    padded = np.zeros((len(edges) - 2) * block, np.bool_)
    padded[: len(going)] = going
    edges[1:-1] = padded.reshape(-1, block).any(axis=1)
    found = (np.flatnonzero(edges[1:] != edges[:-1]) * block).tolist()
    return [(first, min(end, len(going))) for first, end in zip(found[::2], found[1::2], strict=True)]
