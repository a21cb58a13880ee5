"""Moving pictures of a blade: APNG, WebP or GIF, looping."""

from __future__ import annotations

from itertools import pairwise
from os import PathLike, fspath
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from migrate.report.pictures import GROUND, light_image, srgb_codes

FORMATS = {".png": "PNG", ".apng": "PNG", ".webp": "WEBP", ".gif": "GIF"}

_HEIGHT, _CORE, _GLOW = 88, 9, 26  # of the picture, half the blade's thickness, the reach of its glow
_ROOT, _MARGIN, _LONG = 110, 30, 660  # where the blade begins, the room after its tip, its greatest length
_GLOW_SHARE = 0.30  # of the blade's light, just outside it
_DARK = ((np.array(GROUND) / 255 + 0.055) / 1.055) ** 2.4  # the ground's linear light: all its codes are above 10
_GRIP = np.array([(54, 50, 46), (78, 71, 62), (38, 36, 35)], dtype=np.uint8)  # body, ring, groove


def animate(
    frames: NDArray[np.uint8],
    rate: int,
    path: str | PathLike[str],
    exposure: float = 1.0,
    per_second: int = 25,
    after: NDArray[np.uint8] | None = None,
) -> None:
    """Write frames (T, N, 3) as a looping picture of a lit blade on dark ground, in the format of the path's suffix.

    With `after`, of the same shape, a second blade runs in step below the first.

    A picture is the mean light of the frames that it stands for: `per_second` of them a second, fewer where the rate
    is lower, each lasting a whole number of milliseconds, for GIF of hundredths. The core of the blade is its light as
    in the other pictures; the glow round it is decoration.

    Raises ValueError for another suffix, frames that are not (T, N, 3), or rates that are not above 0.
    """
    kind = FORMATS.get(Path(fspath(path)).suffix.lower())
    if kind is None:
        raise ValueError(f"no moving picture ends in {Path(fspath(path)).suffix!r}: use .png, .apng, .webp or .gif")
    if rate <= 0 or per_second <= 0:
        raise ValueError(f"rates must be above 0, not {rate} and {per_second}")
    light_image(frames[:1], exposure)  # raises for wrong frames
    grain = 10 if kind == "GIF" else 1
    lasting = max(grain, round(1000 / min(per_second, rate) / grain) * grain)
    pictures = [blade_image(light * exposure) for light in _exposures(frames, rate, lasting)]
    if after is not None:
        light_image(after[:1], exposure)
        if after.shape != frames.shape:
            raise ValueError(f"shapes do not agree: {frames.shape}, {after.shape}")
        below = [blade_image(light * exposure) for light in _exposures(after, rate, lasting)]
        pictures = [_stacked(one, other) for one, other in zip(pictures, below, strict=True)]
    if kind == "GIF":
        pictures = _with_one_palette(pictures)
    lossy: dict[str, int] = {"quality": 88, "method": 3} if kind == "WEBP" else {}
    pictures[0].save(path, kind, save_all=True, append_images=pictures[1:], duration=lasting, loop=0, **lossy)


def _exposures(frames: NDArray[np.uint8], rate: int, lasting: int) -> list[NDArray[np.float64]]:
    """The mean linear light (N, 3) of each span of `lasting` ms."""
    count = max(1, len(frames) * 1000 // (rate * lasting))
    edges = [k * lasting * rate // 1000 for k in range(count)] + [len(frames)]
    return [frames[a : max(b, a + 1)].mean(axis=0) / 255.0 for a, b in pairwise(edges)]


def blade_image(light: NDArray[np.float64]) -> Image.Image:
    """A blade lying hilt left, lit by linear light (N, 3): the core shows it exactly, softly edged, with a glow."""
    cell = max(1, _LONG // len(light))
    row = np.repeat(light, cell, axis=0)
    long = len(row)
    height = np.arange(_HEIGHT) - (_HEIGHT - 1) / 2
    place = np.arange(_ROOT + long + _MARGIN) - _ROOT
    # Both ends are rounded; the hilt covers the one at the root.
    beyond = np.maximum(0, place - (long - _CORE)) + np.maximum(0, -place)
    away = np.sqrt(height[:, None] ** 2 + beyond[None] ** 2.0)
    core = np.clip(_CORE + 0.5 - away, 0.0, 1.0)
    glow = _GLOW_SHARE * np.exp(-np.maximum(0.0, away - _CORE) / (_GLOW / 3.2))
    inside = np.clip(place, 0, long - 1)
    lit = core[..., None] * row[inside] + ((1 - core) * glow)[..., None] * _blurred(row)[inside]
    picture = srgb_codes(lit + (1 - core)[..., None] * _DARK)
    _draw_grip(picture)
    return Image.fromarray(picture)


def _stacked(upper: Image.Image, lower: Image.Image) -> Image.Image:
    both = Image.new("RGB", (upper.width, upper.height + lower.height), GROUND)
    both.paste(upper, (0, 0))
    both.paste(lower, (0, upper.height))
    return both


def _blurred(row: NDArray[np.float64]) -> NDArray[np.float64]:
    """The row (M, 3) averaged over the reach of the glow."""
    reach = min(_GLOW, len(row) // 2)
    long = np.concatenate([np.repeat(row[:1], reach + 1, axis=0), row, np.repeat(row[-1:], reach, axis=0)])
    total = np.cumsum(long, axis=0)
    width = 2 * reach + 1
    return np.asarray((total[width:] - total[:-width]) / width)


def _draw_grip(picture: NDArray[np.uint8]) -> None:
    """The hilt, from the left margin to a little over the blade's root."""
    middle, radius = _HEIGHT // 2, _CORE + 4
    left, right = 16, _ROOT + 2
    picture[middle - radius : middle + radius, left:right] = _GRIP[0]
    for x in range(left + 8, right - 24, 8):
        picture[middle - radius : middle + radius, x : x + 3] = _GRIP[2]
    for x, wide in ((left, 4), (right - 18, 4), (right - 6, 6)):
        picture[middle - radius - 2 : middle + radius + 2, x : x + wide] = _GRIP[1]


def _with_one_palette(pictures: list[Image.Image]) -> list[Image.Image]:
    """The pictures in 256 colours, the same for all and without dither, so that nothing crawls."""
    columns = np.concatenate([np.asarray(p)[::4] for p in pictures[:: max(1, len(pictures) // 24)]])
    palette = Image.fromarray(columns).quantize(256, Image.Quantize.MEDIANCUT)
    return [p.quantize(palette=palette, dither=Image.Dither.NONE) for p in pictures]
