"""Colour arithmetic on single colours: sRGB coding, Oklab and Oklch, CSS names; plain Python, doubles.

Light is linear sRGB, each channel 0 to 1, proportional to a duty. Sources: IEC 61966-2-1 for the coding and CSS Color
Level 4 for the matrices and names; the order of evaluation is that of grammars/reference.md.
"""

from __future__ import annotations

import math
from functools import lru_cache

from migrate.ir.css_colours import CSS_COLOURS
from migrate.ir.nodes import Colour, Rational

Triple = tuple[float, float, float]
Matrix = tuple[Triple, Triple, Triple]

# CSS Color Level 4, sample code for colour conversions.
_RGB_TO_XYZ: Matrix = (
    (506752 / 1228815, 87881 / 245763, 12673 / 70218),
    (87098 / 409605, 175762 / 245763, 12673 / 175545),
    (7918 / 409605, 87881 / 737289, 1001167 / 1053270),
)
_XYZ_TO_RGB: Matrix = (
    (12831 / 3959, -329 / 214, -1974 / 3959),
    (-851781 / 878810, 1648619 / 878810, 36519 / 878810),
    (705 / 12673, -2585 / 12673, 705 / 667),
)
_XYZ_TO_LMS: Matrix = (
    (0.8190224379967030, 0.3619062600528904, -0.1288737815209879),
    (0.0329836539323885, 0.9292868615863434, 0.0361446663506424),
    (0.0481771893596242, 0.2642395317527308, 0.6335478284694309),
)
_LMS_TO_XYZ: Matrix = (
    (1.2268798758459243, -0.5578149944602171, 0.2813910456659647),
    (-0.0405757452148008, 1.1122868032803170, -0.0717110580655164),
    (-0.0763729366746601, -0.4214933324022432, 1.5869240198367816),
)
LMS_TO_OKLAB: Matrix = (
    (0.2104542683093140, 0.7936177747023054, -0.0040720430116193),
    (1.9779985324311684, -2.4285922420485799, 0.4505937096174110),
    (0.0259040424655478, 0.7827717124575296, -0.8086757549230774),
)
OKLAB_TO_LMS: Matrix = (
    (1.0, 0.3963377773761749, 0.2158037573099136),
    (1.0, -0.1055613458156586, -0.0638541728258133),
    (1.0, -0.0894841775298119, -1.2914855480194092),
)


def _times(a: Matrix, b: Matrix) -> Matrix:
    rows = [[sum(a[i][k] * b[k][j] for k in range(3)) for j in range(3)] for i in range(3)]
    return (
        (rows[0][0], rows[0][1], rows[0][2]),
        (rows[1][0], rows[1][1], rows[1][2]),
        (rows[2][0], rows[2][1], rows[2][2]),
    )


RGB_TO_LMS = _times(_XYZ_TO_LMS, _RGB_TO_XYZ)
LMS_TO_RGB = _times(_XYZ_TO_RGB, _LMS_TO_XYZ)


def _apply(matrix: Matrix, v: Triple) -> Triple:
    a, b, c = (row[0] * v[0] + row[1] * v[1] + row[2] * v[2] for row in matrix)
    return a, b, c


def srgb_decode(code: float) -> float:
    """Linear light of a coded channel, both 0 to 1 (IEC 61966-2-1)."""
    return code / 12.92 if code <= 0.04045 else ((code + 0.055) / 1.055) ** 2.4


def srgb_encode(light: float) -> float:
    """The coded channel of linear light, both 0 to 1 (IEC 61966-2-1, its inverse)."""
    return light * 12.92 if light <= 0.0031308 else 1.055 * light ** (1 / 2.4) - 0.055


def oklab_from_linear(light: Triple) -> Triple:
    """Oklab L, a, b of linear sRGB (CSS Color Level 4)."""
    a, b, c = (math.copysign(abs(v) ** (1 / 3), v) for v in _apply(RGB_TO_LMS, light))
    return _apply(LMS_TO_OKLAB, (a, b, c))


def linear_from_oklab(lab: Triple) -> Triple:
    """Linear sRGB of Oklab, unclipped (CSS Color Level 4)."""
    a, b, c = (v * v * v for v in _apply(OKLAB_TO_LMS, lab))
    return _apply(LMS_TO_RGB, (a, b, c))


def oklch_from_linear(light: Triple) -> Triple:
    """Oklch L, C and H in degrees 0 to 360 of linear sRGB."""
    lightness, a, b = oklab_from_linear(light)
    return lightness, math.hypot(a, b), math.degrees(math.atan2(b, a)) % 360.0


def linear_from_oklch(lch: Triple) -> Triple:
    """Linear sRGB of Oklch (H in degrees), each channel clipped to 0 to 1."""
    lightness, chroma, hue = lch
    turn = hue * math.pi / 180.0
    a, b, c = linear_from_oklab((lightness, chroma * math.cos(turn), chroma * math.sin(turn)))
    return clip(a), clip(b), clip(c)


def clip(value: float) -> float:
    """`value` held to 0 to 1."""
    return min(1.0, max(0.0, value))


def linear_light(colour: Colour) -> Triple:
    """The linear light of a colour node, each channel 0 to 1."""
    return _light(colour.encoding, colour.values)


@lru_cache(maxsize=4096)
def _light(encoding: str, values: tuple[Rational, Rational, Rational]) -> Triple:
    a, b, c = (float(v) for v in values)
    match encoding:
        case "duty":
            return a / 255.0, b / 255.0, c / 255.0
        case "srgb":
            return srgb_decode(a / 255.0), srgb_decode(b / 255.0), srgb_decode(c / 255.0)
        case _:
            return linear_from_oklch((a, b, c))


def duty_codes(colour: Colour) -> tuple[int, int, int]:
    """The three 8-bit duties that show a colour: a duty's own codes, else floor(255 v + 1/2) of linear light v."""
    if colour.encoding == "duty":
        a, b, c = (_rounded(v) for v in colour.values)
    else:
        a, b, c = (math.floor(255.0 * v + 0.5) for v in linear_light(colour))
    return a, b, c


def _rounded(code: Rational) -> int:
    return int((2 * code + 1) // 2)


def css_codes(name: str) -> tuple[int, int, int] | None:
    """The sRGB codes of a CSS colour name in lower case, or None where CSS Color Level 4 has no such name."""
    packed = CSS_COLOURS.get(name)
    return None if packed is None else (packed >> 16, packed >> 8 & 255, packed & 255)


def srgb_codes(colour: Colour) -> tuple[int, int, int]:
    """The sRGB-coded triple 0 to 255 nearest to a colour; the code itself for an `srgb` literal."""
    if colour.encoding == "srgb":
        return (_rounded(colour.values[0]), _rounded(colour.values[1]), _rounded(colour.values[2]))
    red, green, blue = (math.floor(255 * srgb_encode(c) + 0.5) for c in linear_light(colour))
    return red, green, blue
