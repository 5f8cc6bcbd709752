"""The tolerance data: whole, sourced, and true to Munsell."""

import warnings

import numpy as np
import pytest

from layouts.drawing.inks import Lab
from layouts.schemes.loader import load_scheme
from render.color.difference import delta_e_2000
from render.color.facts import Chip, Limit, color_facts
from tests.helpers.color_reference import colour

STATUSES = {"confirmed", "common practice", "memory"}
CHIPS = [chip for chips in color_facts().chips.values() for chip in chips]


def test_every_row_has_source_and_status() -> None:
    facts = color_facts()
    limits = (facts.print_target, facts.in_gamut, facts.contrast_floor, facts.contrast_loss)
    assert len(CHIPS) == 34
    rows: tuple[Limit | Chip, ...] = (*limits, *CHIPS)
    for row in rows:
        assert row.source
        assert row.status in STATUSES
    assert all(white.source for white in facts.whites.values())


def test_chips_belong_to_inks_of_the_palette() -> None:
    inks = load_scheme().inks
    for name, chips in color_facts().chips.items():
        assert {chip.center for chip in chips} == {inks[name].munsell}


@pytest.mark.parametrize("chip", CHIPS, ids=lambda chip: chip.munsell)
def test_a_chip_differs_from_its_center_along_its_axis_alone(chip: Chip) -> None:
    def parts(text: str) -> dict[str, str]:
        hue, rest = text.split()
        value, chroma = rest.split("/")
        return {"hue": hue, "value": value, "chroma": chroma}

    one, other = parts(chip.munsell), parts(chip.center)
    assert [axis for axis in one if one[axis] != other[axis]] == [chip.axis]


@pytest.mark.parametrize("chip", CHIPS, ids=lambda chip: chip.munsell)
def test_lab_of_the_chips_against_colour_science(chip: Chip) -> None:
    """Munsell renotation (colour-science 0.4.7) under C, adapted to D50 by Bradford."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        xyy = colour.munsell_colour_to_xyY(chip.munsell)
    held = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]
    c, d50 = (colour.xy_to_XYZ(held[name]) for name in ("C", "D50"))
    xyz = colour.adaptation.chromatic_adaptation_VonKries(
        colour.xyY_to_XYZ(xyy), c, d50, transform="Bradford"
    )
    wanted = Lab(*(float(each) for each in colour.XYZ_to_Lab(xyz, held["D50"])))
    assert np.allclose(
        (chip.lab.lightness, chip.lab.a, chip.lab.b),
        (wanted.lightness, wanted.a, wanted.b),
        atol=0.06,
    )
    assert delta_e_2000(chip.lab, wanted) < 0.05
