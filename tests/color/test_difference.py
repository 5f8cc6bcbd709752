"""dE00 and Lab, against published pairs and against colour-science."""

import random

import numpy as np
import pytest

from layouts.drawing.inks import Lab
from render.color.difference import adapt_white, delta_e_2000, lab_of, xyz_of
from render.color.facts import color_facts
from tests.helpers.color_reference import colour

# G. Sharma, W. Wu and E. N. Dalal 2005, Table 1: L, a, b of both colors and dE00. Typed from
# memory; the paper is not held.
PAIRS = """
50.0000   2.6772 -79.7751  50.0000   0.0000 -82.7485   2.0425
50.0000   3.1571 -77.2803  50.0000   0.0000 -82.7485   2.8615
50.0000   2.8361 -74.0200  50.0000   0.0000 -82.7485   3.4412
50.0000  -1.3802 -84.2814  50.0000   0.0000 -82.7485   1.0000
50.0000  -1.1848 -84.8006  50.0000   0.0000 -82.7485   1.0000
50.0000  -0.9009 -85.5211  50.0000   0.0000 -82.7485   1.0000
50.0000   0.0000   0.0000  50.0000  -1.0000   2.0000   2.3669
50.0000  -1.0000   2.0000  50.0000   0.0000   0.0000   2.3669
50.0000   2.4900  -0.0010  50.0000  -2.4900   0.0009   7.1792
50.0000   2.4900  -0.0010  50.0000  -2.4900   0.0010   7.1792
50.0000   2.4900  -0.0010  50.0000  -2.4900   0.0011   7.2195
50.0000   2.4900  -0.0010  50.0000  -2.4900   0.0012   7.2195
50.0000  -0.0010   2.4900  50.0000   0.0009  -2.4900   4.8045
50.0000  -0.0010   2.4900  50.0000   0.0010  -2.4900   4.8045
50.0000  -0.0010   2.4900  50.0000   0.0011  -2.4900   4.7461
50.0000   2.5000   0.0000  50.0000   0.0000  -2.5000   4.3065
50.0000   2.5000   0.0000  73.0000  25.0000 -18.0000  27.1492
50.0000   2.5000   0.0000  61.0000  -5.0000  29.0000  22.8977
50.0000   2.5000   0.0000  56.0000 -27.0000  -3.0000  31.9030
50.0000   2.5000   0.0000  58.0000  24.0000  15.0000  19.4535
50.0000   2.5000   0.0000  50.0000   3.1736   0.5854   1.0000
50.0000   2.5000   0.0000  50.0000   3.2972   0.0000   1.0000
50.0000   2.5000   0.0000  50.0000   1.8634   0.5757   1.0000
50.0000   2.5000   0.0000  50.0000   3.2592   0.3350   1.0000
60.2574 -34.0099  36.2677  60.4626 -34.1751  39.4387   1.2644
63.0109 -31.0961  -5.8663  62.8187 -29.7946  -4.0864   1.2630
61.2901   3.7196  -5.3901  61.4292   2.2480  -4.9620   1.8731
35.0831 -44.1164   3.7933  35.0232 -40.0716   1.5901   1.8645
22.7233  20.0904 -46.6940  23.0331  14.9730 -42.5619   2.0373
36.4612  47.8580  18.3852  36.2715  50.5065  21.2231   1.4146
90.8027  -2.0831   1.4410  91.1528  -1.6435   0.0447   1.4441
90.9257  -0.5406  -0.9208  88.6381  -0.8985  -0.7239   1.5381
 6.7747  -0.2908  -2.4247   5.8714  -0.0985  -2.2286   0.6377
 2.0776   0.0795  -1.1350   0.9033  -0.0636  -0.5514   0.9082
"""


@pytest.mark.parametrize("row", PAIRS.strip().splitlines())
def test_the_published_pairs(row: str) -> None:
    numbers = [float(each) for each in row.split()]
    one, other, wanted = Lab(*numbers[:3]), Lab(*numbers[3:6]), numbers[6]
    assert delta_e_2000(one, other) == pytest.approx(wanted, abs=5e-5)
    assert delta_e_2000(other, one) == pytest.approx(wanted, abs=5e-5)


def test_against_colour_science() -> None:
    """colour-science 0.4.7, ``colour.difference.delta_E_CIE2000``, 2000 pairs."""
    chance = random.Random(11)

    def lab() -> Lab:
        return Lab(chance.uniform(0, 100), chance.uniform(-110, 110), chance.uniform(-110, 110))

    pairs = [(lab(), lab()) for _ in range(2000)]
    ones = np.array([(p.lightness, p.a, p.b) for p, _ in pairs])
    others = np.array([(q.lightness, q.a, q.b) for _, q in pairs])
    wanted = colour.difference.delta_E_CIE2000(ones, others)
    found = [delta_e_2000(one, other) for one, other in pairs]
    assert np.abs(found - wanted).max() < 1e-9


def test_a_color_does_not_differ_from_itself() -> None:
    assert delta_e_2000(Lab(41, 59, 42), Lab(41, 59, 42)) == 0


@pytest.mark.parametrize("name", ["D50", "D65", "C", "A"])
def test_lab_and_adaptation_against_colour_science(name: str) -> None:
    """``colour.XYZ_to_Lab`` and ``chromatic_adaptation_VonKries`` by Bradford."""
    white = color_facts().whites[name].xyz
    d50 = color_facts().whites["D50"].xyz
    whites = [np.array(each) / 100 for each in (white, d50)]
    chance = random.Random(5)
    for _ in range(50):
        x, y, z = (chance.uniform(0.05, 95) for _ in range(3))
        xyz = (x, y, z)
        moved = adapt_white(xyz, white, d50)
        wanted = colour.adaptation.chromatic_adaptation_VonKries(
            np.array(xyz) / 100, whites[0], whites[1], transform="Bradford"
        )
        assert np.allclose(np.array(moved) / 100, wanted, atol=1e-9)
        lab = lab_of(moved, d50)
        chromaticity = colour.XYZ_to_xy(whites[1])
        wanted = colour.XYZ_to_Lab(np.array(moved) / 100, chromaticity)
        # colour-science scales the white to Y = 1 by its chromaticity: the same white.
        assert np.allclose((lab.lightness, lab.a, lab.b), wanted, atol=1e-6)
        assert xyz_of(lab, d50) == pytest.approx(moved)


def test_the_whites_against_colour_science() -> None:
    """Chromaticities of CIE 15 as colour-science holds them, to their four or five digits."""
    held = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]
    for name, white in color_facts().whites.items():
        assert np.allclose(colour.XYZ_to_xy(np.array(white.xyz)), held[name], atol=1e-4), name
