"""Mixing spaces over arrays: sRGB coding (IEC 61966-2-1) and Oklab (CSS Color Level 4), channels on axis 0."""

from __future__ import annotations

import numpy as np

from migrate.ir.colour import LMS_TO_OKLAB, LMS_TO_RGB, OKLAB_TO_LMS, RGB_TO_LMS, Matrix
from migrate.ir.nodes import Space
from migrate.render.dispatch import Light


def to_space(light: Light, space: Space) -> Light:
    """Linear light (3, ...), 0 to 1, in the coordinates of `space`."""
    if space == "srgb":
        return np.where(light <= 0.0031308, light * 12.92, 1.055 * np.power(light, 1 / 2.4) - 0.055)
    if space == "oklab":
        return _apply(LMS_TO_OKLAB, np.cbrt(_apply(RGB_TO_LMS, light)))
    return light


def from_space(value: Light, space: Space) -> Light:
    """Coordinates of `space` as linear light, unclipped."""
    if space == "srgb":
        return np.where(value <= 0.04045, value / 12.92, np.power((value + 0.055) / 1.055, 2.4))
    if space == "oklab":
        root = _apply(OKLAB_TO_LMS, value)
        return _apply(LMS_TO_RGB, root * root * root)
    return value


def _apply(matrix: Matrix, v: Light) -> Light:
    return np.stack([row[0] * v[0] + row[1] * v[1] + row[2] * v[2] for row in matrix])
