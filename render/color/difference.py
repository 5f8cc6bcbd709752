"""The color difference dE00.

G. Sharma, W. Wu and E. N. Dalal, "The CIEDE2000 color-difference formula: implementation notes,
supplementary test data, and mathematical observations", Color Research and Application 30, 2005;
also ISO/CIE 11664-6:2014 (cited from memory).
"""

from math import atan2, cos, degrees, exp, hypot, radians, sin, sqrt

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
    """Step and mean of two hue angles, the short way round; a gray has no hue of its own."""
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
