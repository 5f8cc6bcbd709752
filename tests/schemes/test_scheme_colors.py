"""Inks against colour-science, the published safety red, and the WCAG 2 formula."""

from __future__ import annotations

import warnings

import numpy as np
import pytest

from layouts.drawing.inks import Lab, contrast
from layouts.schemes.loader import load_scheme, scheme_keys

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # it warns of optional packages
    import colour

INKS = {ink.munsell: ink for key in scheme_keys() for ink in load_scheme(key).inks.values()}
WHITES = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]
# ASTM D1535 Y is 0.975 of Y on the scale of smoked magnesium oxide (1943 renotation).
MGO = 0.975


def xyy(munsell: str) -> np.ndarray:
    """Renotation under illuminant C, Y on the D1535 scale."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return np.asarray(colour.munsell_colour_to_xyY(munsell))


@pytest.mark.parametrize("munsell", sorted(filter(None, INKS)))
def test_lab_is_the_munsell_notation_under_d50(munsell: str) -> None:
    # colour-science 0.4: munsell_colour_to_xyY, Bradford adaptation C to D50, XYZ_to_Lab
    xyz = colour.chromatic_adaptation(
        colour.xyY_to_XYZ(xyy(munsell)),
        colour.xy_to_XYZ(WHITES["C"]),
        colour.xy_to_XYZ(WHITES["D50"]),
        method="Von Kries",
        transform="Bradford",
    )
    expected = colour.XYZ_to_Lab(xyz, WHITES["D50"])
    lab = INKS[munsell].lab
    assert (lab.lightness, lab.a, lab.b) == pytest.approx(tuple(expected), abs=0.011)


def test_the_published_red_is_on_the_older_scale() -> None:
    # 49 CFR 172 App. A Table 1, red, 7.5R 4/14: x .5959, y .3269, Y 12.00 on the MgO scale
    x, y, luminance = xyy("7.5R 4/14")
    assert (x, y) == pytest.approx((0.5959, 0.3269), abs=1e-4)
    assert 100 * luminance == pytest.approx(12.00 * MGO, abs=0.01)
    # the ink has the D1535 luminance; the adaptation to D50 moves Y of a saturated red a little
    assert load_scheme().inks["safety red"].lab.luminance == pytest.approx(luminance, abs=0.006)


def test_sky_blue_is_our_own_and_says_so() -> None:
    ink = load_scheme().inks["sky blue"]
    assert ink.munsell == "2.5PB 7/6"
    assert "our own choice" in ink.source


def wcag(one: str, other: str) -> float:
    """WCAG 2.1 contrast ratio by its own formula, from sRGB hex values."""

    def luminance(code: str) -> float:
        channels = [int(code[at : at + 2], 16) / 255 for at in (1, 3, 5)]
        linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
        return sum(w * c for w, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))

    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


# Ratios with the real chips, N9 white and N1.5 black: worked out beforehand with colour-science.
A13_RATIOS = {
    "fire quenching": 4.8,
    "toxic or corrosive": 5.0,
    "flammable or oxidizing": 9.1,
    "combustible": 7.8,
    "water": 4.9,
    "compressed air": 6.1,
    "user defined 1": 4.1,
    "user defined 2": 11.7,
    "user defined 3": 3.4,
    "user defined 4": 11.7,
}


@pytest.mark.parametrize(("key", "ratio"), A13_RATIOS.items())
def test_a13_1_contrast(key: str, ratio: float) -> None:
    scheme = load_scheme("asme-a13-1")
    pairing = next(pairing for pairing in scheme.pairings if pairing.key == key)
    field, legend = scheme.inks[pairing.field], scheme.inks[pairing.legend]
    # 0.12: the ratios were taken on Y under illuminant C, ours on Y under D50
    assert contrast(field.lab, legend.lab) == pytest.approx(ratio, abs=0.12)


def test_contrast_by_the_wcag_formula() -> None:
    inks = load_scheme("asme-a13-1").inks
    # colors inside sRGB, where the preview is not cut and the formula may be used on it
    for one in ("safety red", "safety purple", "safety brown", "safety gray"):
        for other in ("white", "black"):
            # 3 percent: sRGB takes Y under D65, Lab under D50, which differ for strong colors
            expected = wcag(inks[one].preview, inks[other].preview)
            assert contrast(inks[one].lab, inks[other].lab) == pytest.approx(expected, rel=0.03)


def test_contrast_of_the_extremes() -> None:
    assert contrast(Lab(100, 0, 0), Lab(0, 0, 0)) == pytest.approx(21)  # WCAG 2.1 definition
    black = Lab(0, 0, 0)
    inks = load_scheme().inks
    # the pressure bands: 3.3 with ideal black, 2.4 with N1.5; white would be 6.3; all of them
    # worked out on sRGB, hence the tolerance
    for name in ("safety red", "safety green"):
        assert contrast(inks[name].lab, black) == pytest.approx(3.3, rel=0.04)
        assert contrast(inks[name].lab, inks["black"].lab) == pytest.approx(2.4, rel=0.04)
        assert contrast(inks[name].lab, Lab(100, 0, 0)) == pytest.approx(6.3, rel=0.04)
