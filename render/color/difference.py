"""The color difference dE00.

G. Sharma, W. Wu and E. N. Dalal, "The CIEDE2000 color-difference formula: implementation notes,
supplementary test data, and mathematical observations", Color Research and Application 30, 2005;
also ISO/CIE 11664-6:2014 (cited from memory).
"""

from math import atan2, cos, degrees, exp, hypot, radians, sin, sqrt
from typing import TypeAlias

from layouts.drawing.inks import Lab

_25_POW_7 = 25.0**7


def delta_e_2000(one: Lab, other: Lab) -> float:
    """dE00 of two colors with all weights one."""
    chroma_mean = (hypot(one.a, one.b) + hypot(other.a, other.b)) / 2
    stretch = 1.5 - 0.5 * sqrt(chroma_mean**7 / (chroma_mean**7 + _25_POW_7))
    c1, h1 = _polar(stretch * one.a, one.b)
    c2, h2 = _polar(stretch * other.a, other.b)
    hue_step, hue_mean = _hues(h1, h2, c1 * c2)
    lightness_mean = (one.lightness + other.lightness) / 2
    c_mean = (c1 + c2) / 2

    d_lightness = other.lightness - one.lightness
    d_chroma = c2 - c1
    d_hue = 2 * sqrt(c1 * c2) * sin(radians(hue_step) / 2)

    bow = (lightness_mean - 50) ** 2
    s_lightness = 1 + 0.015 * bow / sqrt(20 + bow)
    s_chroma = 1 + 0.045 * c_mean
    s_hue = 1 + 0.015 * c_mean * _hue_weight(hue_mean)
    turn = -sin(radians(60 * exp(-(((hue_mean - 275) / 25) ** 2)))) * (
        2 * sqrt(c_mean**7 / (c_mean**7 + _25_POW_7))
    )
    lightness, chroma, hue = d_lightness / s_lightness, d_chroma / s_chroma, d_hue / s_hue
    return sqrt(lightness**2 + chroma**2 + hue**2 + turn * chroma * hue)


def _polar(a: float, b: float) -> tuple[float, float]:
    """Chroma and hue angle, 0 to 360 degrees."""
    return hypot(a, b), degrees(atan2(b, a)) % 360


def _hues(h1: float, h2: float, product: float) -> tuple[float, float]:
    """Step and mean of two hue angles, the short way round; a gray has no hue."""
    if product == 0:
        return 0.0, h1 + h2
    step = h2 - h1
    if abs(step) <= 180:
        return step, (h1 + h2) / 2
    step += 360 if step < 0 else -360
    mean = (h1 + h2) / 2
    return step, mean + 180 if h1 + h2 < 360 else mean - 180


def _hue_weight(hue: float) -> float:
    return (
        1
        - 0.17 * cos(radians(hue - 30))
        + 0.24 * cos(radians(2 * hue))
        + 0.32 * cos(radians(3 * hue + 6))
        - 0.20 * cos(radians(4 * hue - 63))
    )


Triple: TypeAlias = tuple[float, float, float]
_Matrix: TypeAlias = tuple[Triple, Triple, Triple]

_BRADFORD: _Matrix = (
    (0.8951, 0.2664, -0.1614),
    (-0.7502, 1.7135, 0.0367),
    (0.0389, -0.0685, 1.0296),
)
# Its inverse, to the last place of a float.
_BRADFORD_BACK: _Matrix = (
    (0.9869929054667123, -0.14705425642099013, 0.15996265166373125),
    (0.43230526972339456, 0.5183602715367776, 0.0492912282128556),
    (-0.008528664575177328, 0.04004282165408487, 0.96848669578755),
)
_EDGE = 6 / 29


def lab_of(xyz: Triple, white: Triple) -> Lab:
    """Lab of a color and the white it is seen by, both on one scale."""
    x, y, z = (_curve(value / most) for value, most in zip(xyz, white, strict=True))
    return Lab(116 * y - 16, 500 * (x - y), 200 * (y - z))


def xyz_of(lab: Lab, white: Triple) -> Triple:
    """XYZ of a Lab under a white, on the white's scale."""
    y = (lab.lightness + 16) / 116
    x, z = y + lab.a / 500, y - lab.b / 200
    return (white[0] * _cube(x), white[1] * _cube(y), white[2] * _cube(z))


def adapt_white(xyz: Triple, white: Triple, to: Triple) -> Triple:
    """The color that under ``to`` looks as this one does under ``white`` (Bradford)."""
    cone, before, after = (_times(_BRADFORD, each) for each in (xyz, white, to))
    scaled = (
        cone[0] * after[0] / before[0],
        cone[1] * after[1] / before[1],
        cone[2] * after[2] / before[2],
    )
    return _times(_BRADFORD_BACK, scaled)


def _times(matrix: _Matrix, vector: Triple) -> Triple:
    x, y, z = (row[0] * vector[0] + row[1] * vector[1] + row[2] * vector[2] for row in matrix)
    return x, y, z


def _curve(t: float) -> float:
    return float(t ** (1 / 3)) if t > _EDGE**3 else t / (3 * _EDGE**2) + 4 / 29


def _cube(t: float) -> float:
    return t * t * t if t > _EDGE else 3 * _EDGE**2 * (t - 4 / 29)
