"""How long markers last. Trade practice says outdoors 2 to 5 years bare and 5 to 8 under a UV
laminate (common practice, no source); the built-in rows take the shorter.
"""

from __future__ import annotations

import pytest

from layouts.schemes.lifetimes import Exposure, lifetime_of
from layouts.schemes.loader import lifetimes_from_toml, load_lifetimes
from layouts.terms.errors import InputError

OWN = """
[[lifetimes]]
exposure = "indoor"
film = "polyester"
laminate = "none"
years = 12
inspect_months = 36
source = "plant standard 12"
status = "confirmed"
"""


@pytest.mark.parametrize(("laminate", "low", "high"), [("", 2, 5), ("UV overlaminate", 5, 8)])
def test_outdoors_the_shorter_of_the_usual_times_is_taken(
    laminate: str, low: int, high: int
) -> None:
    found = lifetime_of(load_lifetimes(), "vinyl film", laminate, Exposure.OUTDOOR)
    assert found.years == low < high
    assert str(low) in found.source
    assert str(high) in found.source


@pytest.mark.parametrize("exposure", Exposure)
def test_every_exposure_has_a_time_with_its_status(exposure: Exposure) -> None:
    found = lifetime_of(load_lifetimes(), "anything", "anything", exposure)
    assert found.exposure is exposure
    assert found.status == "common practice"
    assert "common practice, no source" in found.source


def test_what_is_harder_on_a_marker_never_lasts_longer() -> None:
    years = [
        lifetime_of(load_lifetimes(), "vinyl film", "", each).years
        for each in (Exposure.OUTDOOR, Exposure.HOT, Exposure.WASHDOWN, Exposure.INDOOR)
    ]
    assert years == sorted(years)


def test_the_plants_own_goes_first_where_it_fits() -> None:
    lifetimes = lifetimes_from_toml(OWN, "own.toml")
    assert lifetime_of(lifetimes, "Polyester film", "", Exposure.INDOOR).years == 12
    assert lifetime_of(lifetimes, "polyester film", "UV overlaminate", Exposure.INDOOR).years == 10
    assert lifetime_of(lifetimes, "vinyl film", "", Exposure.INDOOR).years == 10


def test_every_fault_is_told_at_once() -> None:
    text = OWN.replace("years = 12", "years = 0").replace('status = "confirmed"\n', "")
    with pytest.raises(InputError) as raised:
        lifetimes_from_toml(text + 'color = "red"\n', "own.toml")
    assert {each.code for each in raised.value.findings} == {
        *("lifetimes-value", "lifetimes-status-unknown", "lifetimes-unknown-key"),
    }
