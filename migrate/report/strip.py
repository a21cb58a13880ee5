"""A strip of a blade's light for a terminal: time down, blade across, in true colour or in plain ASCII.

In true colour each character is an upper half block (U+2580) that shows two moments, the earlier in its foreground.
Without colour each character is one moment, shaded by its CIE lightness.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from migrate.report.pictures import Mark, srgb_codes

SHADES = " .:-=+*#%@"
_HALF, _RESET = "▀", "\x1b[0m"
_LUMINANCE = np.array([0.2126, 0.7152, 0.0722])  # of linear sRGB light, IEC 61966-2-1


def true_colour(environ: Mapping[str, str], terminal: bool, encoding: str | None) -> bool:
    """Whether to draw in true colour: a terminal that says so in COLORTERM, UTF-8, and no NO_COLOR set."""
    said = environ.get("COLORTERM", "").lower() in ("truecolor", "24bit")
    utf8 = (encoding or "").lower().replace("-", "").replace("_", "") == "utf8"
    return terminal and said and utf8 and not environ.get("NO_COLOR")


def strip(
    frames: NDArray[np.uint8],
    rate: int,
    width: int = 78,
    lines: int = 24,
    colour: bool = True,
    marks: Sequence[Mark] = (),
    exposure: float = 1.0,
) -> str:
    """Frames (T, N, 3) as at most `lines` lines of text of at most `width` columns, each ended by a newline.

    A line begins with its time in seconds and ends with the names of the events that begin in it, as far as they fit.
    Each character is the mean light of the cells that it covers.

    Raises ValueError if the frames are not (T, N, 3) with T and N above 0, or there is no room.
    """
    if frames.ndim != 3 or frames.shape[2] != 3 or not frames.size:
        raise ValueError(f"frames must be duties (T, N, 3), not {frames.shape}")
    names = max((len(name) for name, _, _ in marks), default=-1) + 1
    gutter = len(f"{len(frames) / rate:.2f} ")
    names = min(names, max(0, (width - gutter) // 3))
    across = min(frames.shape[1], width - gutter - names)
    if across < 1 or lines < 1:
        raise ValueError(f"no room for a blade in {width} columns and {lines} lines")
    each = 2 if colour else 1
    rows = min(lines, -(-len(frames) // each))
    light = _shrink(_shrink(frames / 255.0, rows * each, 0), across, 1) * exposure
    drawn = _in_colour(srgb_codes(light)) if colour else _in_shades(light)
    starts = [k * len(frames) / (rows * rate) for k in range(rows)]
    beside = _names(marks, starts, names)
    return "".join(
        f"{f'{start:.2f}':>{gutter - 1}} {blade}{f' {name}' if name else ''}\n"
        for start, blade, name in zip(starts, drawn, beside, strict=True)
    )


def _shrink(light: NDArray[np.float64], count: int, axis: int) -> NDArray[np.float64]:
    """The mean light of `count` even shares of an axis; a share without a cell of its own shows the cell it lies in."""
    length = light.shape[axis]
    edges = [k * length // count for k in range(count + 1)]
    parts = [np.take(light, range(a, max(b, a + 1)), axis).mean(axis) for a, b in pairwise(edges)]
    return np.stack(parts, axis)


def _in_colour(codes: NDArray[np.uint8]) -> list[str]:
    lines = []
    for upper, lower in zip(codes[::2].tolist(), codes[1::2].tolist(), strict=True):
        line, last = [], None
        for pair in zip(upper, lower, strict=True):
            if pair != last:
                (r, g, b), (x, y, z) = pair
                line.append(f"\x1b[38;2;{r};{g};{b};48;2;{x};{y};{z}m")
                last = pair
            line.append(_HALF)
        lines.append("".join(line) + _RESET)
    return lines


def _in_shades(light: NDArray[np.float64]) -> list[str]:
    y = np.clip(light, 0.0, 1.0) @ _LUMINANCE
    lightness = np.where(y > (6 / 29) ** 3, 116 * np.cbrt(y) - 16, y * (29 / 3) ** 3)  # CIE L*
    shade = np.floor(lightness / 100 * (len(SHADES) - 1) + 0.5).astype(int)
    return ["".join(SHADES[k] for k in row) for row in shade.tolist()]


def _names(marks: Sequence[Mark], starts: Sequence[float], room: int) -> list[str]:
    """For each line the names of the events that begin in it, cut to `room` less the space before them."""
    found: list[list[str]] = [[] for _ in starts]
    for name, start, _ in sorted(marks, key=lambda mark: mark[1]):
        line = max((k for k, at in enumerate(starts) if at <= start / 1e6 + 1e-9), default=0)
        found[line].append(name)
    return [" ".join(names)[: max(0, room - 1)] for names in found]
