"""Light to colour: integration over the eye's window, CIE XYZ, Lab, and the CIEDE2000 difference.

Exposure: a cell whose three duties are full is the white of the blade, so it is L* = 100, a* = b* = 0 (the eye is
taken to be adapted to the blade at full power, in a dark room). Light is proportional to duty; the primaries are
those of sRGB with white D65.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

# How long the eye adds light up: flicker above 50 to 60 Hz is not followed.
WINDOW_S = 0.020

# Linear sRGB to XYZ, D65: CSS Color Level 4, section "Sample code for Color Conversions".
XYZ_OF_RGB: NDArray[np.float64] = np.array(
    [
        [506752 / 1228815, 87881 / 245763, 12673 / 70218],
        [87098 / 409605, 175762 / 245763, 12673 / 175545],
        [7918 / 409605, 87881 / 737289, 1001167 / 1053270],
    ]
)
WHITE: NDArray[np.float64] = XYZ_OF_RGB.sum(axis=1)

_RELATIVE = (XYZ_OF_RGB / WHITE[:, None]).T
_LAB_OF_F = np.array([[0.0, 500.0, 0.0], [116.0, -500.0, 200.0], [0.0, 0.0, -200.0]])
_CHUNK = 4096  # cells at a time, so that the intermediate arrays stay in the cache
_GREY = 1e-9  # chroma below this is rounding and has no hue
_EPSILON = (6 / 29) ** 3
_25_TO_7 = 25.0**7


def window_frames(rate: int) -> int:
    """How many frames make the 20 ms window: the nearest whole number, at least one (5 at 250 frames a second)."""
    if rate <= 0:
        raise ValueError(f"the frame rate must be above 0, not {rate}")
    return max(1, round(rate * WINDOW_S))


def integrate(frames: NDArray[np.uint8], window: int) -> NDArray[np.int32]:
    """The sum of each cell's duties over `window` frames round its own: (T, N, 3) of 0 to 255 * window.

    The first and the last frame count as lasting, so that every sum has the same number of terms and stays an
    exact integer. A window of an even number of frames reaches one frame further forward than back.
    """
    before, after = (window - 1) // 2, window // 2
    long = np.concatenate([np.repeat(frames[:1], before, axis=0), frames, np.repeat(frames[-1:], after, axis=0)])
    total = np.zeros(frames.shape, dtype=np.int32)
    for first in range(window):
        total += long[first : first + len(frames)]
    return total


def lab_of_light(light: NDArray[np.float64]) -> NDArray[np.float64]:
    """CIE Lab (..., 3) of linear light (..., 3), 1 being full duty. CIE 15:2004, equations 8.3 to 8.11."""
    flat = light.reshape(-1, 3)
    lab = np.empty_like(flat, dtype=np.float64)
    for start in range(0, len(flat), _CHUNK):
        relative = flat[start : start + _CHUNK] @ _RELATIVE
        f = np.where(relative > _EPSILON, np.cbrt(relative), relative * (841 / 108) + 4 / 29)
        np.matmul(f, _LAB_OF_F, out=lab[start : start + _CHUNK])
    lab[:, 0] -= 16
    return lab.reshape(light.shape)


def _norm(x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(np.sqrt(x * x + y * y))  # np.hypot guards ranges that Lab never reaches, at five times the cost


def _root7(chroma: NDArray[np.float64]) -> NDArray[np.float64]:
    """sqrt(C^7 / (C^7 + 25^7)), the factor that the formula uses twice."""
    square = chroma * chroma
    seventh = square * square * square * chroma
    return np.asarray(np.sqrt(seventh / (seventh + _25_TO_7)))


def ciede2000(one: NDArray[np.float64], two: NDArray[np.float64]) -> NDArray[np.float64]:
    """The CIEDE2000 difference (...) of two arrays of Lab (..., 3), with kL = kC = kH = 1.

    Sharma, Wu, Dalal 2005, doi 10.1002/col.20070, equations 2 to 22. Hue angles are carried as unit vectors, which
    saves the case distinctions: the mean hue is the bisector on the shorter side, and where one colour is grey it is
    the other's hue. Hues exactly opposite have two bisectors; taken is the mean of both angles in 0 to 360 degrees, as
    the paper's equation 14 has it.
    """
    shape = np.broadcast_shapes(one.shape, two.shape)
    first = np.broadcast_to(one, shape).reshape(-1, 3)
    second = np.broadcast_to(two, shape).reshape(-1, 3)
    out = np.empty(len(first))
    for start in range(0, len(first), _CHUNK):
        end = start + _CHUNK
        out[start:end] = _ciede2000(first[start:end].T.copy(), second[start:end].T.copy())
    return out.reshape(shape[:-1])


def _ciede2000(one: NDArray[np.float64], two: NDArray[np.float64]) -> NDArray[np.float64]:
    """The difference (n) of Lab planes (3, n)."""
    (l1, a1, b1), (l2, a2, b2) = one, two
    stretch = 1.5 - 0.5 * _root7((_norm(a1, b1) + _norm(a2, b2)) / 2)
    a1, a2 = a1 * stretch, a2 * stretch
    c1, c2 = _norm(a1, b1), _norm(a2, b2)
    mean_c = (c1 + c2) / 2
    cos_h, sin_h = _bisector(a1, b1, c1, a2, b2, c2)
    # 2 sqrt(C1 C2) sin(dh / 2), through the square of the chord; its sign is that of the turn to the mean hue.
    delta_c = c2 - c1
    chord = (a2 - a1) ** 2 + (b2 - b1) ** 2 - delta_c * delta_c
    delta_h = np.copysign(np.sqrt(np.maximum(chord, 0.0)), a1 * sin_h - b1 * cos_h)

    level = ((l1 + l2) / 2 - 50) ** 2
    s_l = 1 + 0.015 * level / np.sqrt(20 + level)
    s_c = 1 + 0.045 * mean_c
    s_h = 1 + 0.015 * mean_c * _hue_weight(cos_h, sin_h)
    hue = np.degrees(np.arctan2(sin_h, cos_h)) % 360
    turn = 2 * (np.pi / 6) * np.exp(-(((hue - 275) / 25) ** 2))
    x, y, z = (l2 - l1) / s_l, delta_c / s_c, delta_h / s_h
    square = x * x + y * y + z * z - np.sin(turn) * 2 * _root7(mean_c) * y * z
    return np.asarray(np.sqrt(np.maximum(square, 0.0)))


def _bisector(
    a1: NDArray[np.float64],
    b1: NDArray[np.float64],
    c1: NDArray[np.float64],
    a2: NDArray[np.float64],
    b2: NDArray[np.float64],
    c2: NDArray[np.float64],
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Cosine and sine of the mean hue of (a1, b1) and (a2, b2), whose chromas are c1 and c2."""
    d1, d2 = np.where(c1 > _GREY, c1, np.inf), np.where(c2 > _GREY, c2, np.inf)
    x, y = a1 / d1 + a2 / d2, b1 / d1 + b2 / d2
    length = _norm(x, y)
    opposite = length < 1e-9
    if opposite.any():
        quarter = np.where((b1 > 0) | ((b1 == 0) & (a1 > 0)), 1.0, -1.0) / d1
        x, y = np.where(opposite, -b1 * quarter, x), np.where(opposite, a1 * quarter, y)
        length = _norm(x, y)
    grey = length == 0
    length = np.where(grey, 1.0, length)
    return np.where(grey, 1.0, x / length), y / length


def _hue_weight(c: NDArray[np.float64], s: NDArray[np.float64]) -> NDArray[np.float64]:
    """T of the formula, from cosine and sine of the mean hue by the multiple-angle identities."""
    c2, s2 = c * c - s * s, 2 * s * c
    c3, s3 = c2 * c - s2 * s, s2 * c + c2 * s
    c4, s4 = c2 * c2 - s2 * s2, 2 * s2 * c2
    d = np.radians([30.0, 6.0, 63.0])
    k, e = np.cos(d), np.sin(d)
    first = -0.17 * (c * k[0] + s * e[0]) + 0.24 * c2
    return np.asarray(1 + first + 0.32 * (c3 * k[1] - s3 * e[1]) - 0.20 * (c4 * k[2] + s4 * e[2]))
