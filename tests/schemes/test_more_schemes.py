"""DIN 2403, ISO 20560-1, ISO 14726 and MIL-STD-101C, against public texts named beside each."""

from __future__ import annotations

import pytest

from layouts.drawing.inks import InkRole
from layouts.schemes.loader import load_scheme, scheme_from_toml, scheme_keys
from layouts.schemes.model import Scheme
from layouts.terms.errors import InputError

OTHERS = ("din-2403", "iso-20560-1", "iso-14726", "mil-std-101c")

# RAL register names of the numbers, from memory: all of them are the "signal" colors.
RAL = {
    "1003": "yellow",
    "2010": "orange",
    "3001": "red",
    "4008": "purple",  # signal violet
    "5005": "blue",
    "6032": "green",
    "7004": "gray",
    "8002": "brown",
    "9003": "white",
    "9004": "black",
}
# TRGS 201 Annex 3 (public, 2014 grouping): group, field, second color, lettering by RAL number.
DIN_2403 = """
0 5005 - 9003
1 6032 - 9003
2 3001 - 9003
3 7004 - 9004
4 1003 3001 9004
5 1003 9004 9004
6 2010 - 9004
7 4008 - 9003
8 8002 3001 9003
9 8002 9004 9003
"""


def plain(ink: str) -> str:
    """The color's bare name."""
    return ink.split()[-1]


def test_they_are_built_in() -> None:
    assert set(OTHERS) < set(scheme_keys())
    # no basic colors of BS 1710 for refrigerants: its Annex E was not read
    assert not any("1710" in key for key in scheme_keys())


def test_din_groups() -> None:
    pairings = load_scheme("din-2403").pairings
    rows = [line.split() for line in DIN_2403.split("\n") if line]
    assert len(pairings) == len(rows)
    for pairing, (group, field, second, text) in zip(pairings, rows, strict=True):
        assert pairing.key.startswith(f"{group} ")
        assert plain(pairing.field) == RAL[field]
        assert plain(pairing.second) == RAL[second] if second != "-" else not pairing.second
        assert plain(pairing.legend) == RAL[text]


def colors(scheme: Scheme) -> dict[str, str]:
    return {pairing.key: pairing.field for pairing in scheme.pairings}


def test_iso_20560_1_colors() -> None:
    # ISO 20560-1:2020, free sample pages
    assert {key: plain(field) for key, field in colors(load_scheme("iso-20560-1")).items()} == {
        "hazardous": "yellow",
        "gas": "gray",
        "liquid or solid": "black",
        "acid": "orange",
        "alkali": "violet",
        "fire fighting": "red",
        "water": "green",
        "air": "blue",
    }


def test_iso_14726_main_colors() -> None:
    # ISO 14726:2008, free sample pages: the twelve main colors
    found = {key: plain(field) for key, field in colors(load_scheme("iso-14726")).items()}
    assert found == {
        "waste": "black",
        "fresh water": "blue",
        "fuel": "brown",
        "sea water": "green",
        "non-flammable gas": "gray",
        "air or sounding pipe": "maroon",
        "oil": "orange",
        "steam": "gray",  # silver, as a lighter gray
        "fire fighting": "red",
        "acid or alkali": "violet",
        "ventilation": "white",
        "flammable gas": "yellow",
    }
    inks = load_scheme("iso-14726").inks
    assert inks["silver gray"].lab.lightness > inks["medium gray"].lab.lightness + 15


def test_mil_std_101c_colors() -> None:
    # MIL-STD-101C (2014), public release
    assert {key: plain(field) for key, field in colors(load_scheme("mil-std-101c")).items()} == {
        "flammable": "yellow",
        "toxic": "brown",
        "harmful": "blue",
        "oxidizing": "green",
        "physically dangerous": "gray",
        "fire protection": "red",
    }


@pytest.mark.parametrize("key", OTHERS)
def test_each_says_what_it_is_made_of(key: str) -> None:
    scheme = load_scheme(key)
    assert "standard's own text" in scheme.missing or "belongs to which class" in scheme.missing
    assert "size" in scheme.missing
    assert "our own choice" in scheme.sizes.source
    assert "in place of" in scheme.sizes.title
    assert scheme.sizes.rows == load_scheme("asme-a13-1").sizes.rows
    assert scheme.caveats
    assert not any(caveat.blocking for caveat in scheme.caveats)
    assert not scheme.levels
    assert not scheme.states
    # values that no standard gives are never said to be confirmed
    own = set(scheme.inks) - set(load_scheme("ammonia-2014").inks)
    assert own
    assert all(scheme.inks[name].status != "confirmed" for name in own)
    assert all(ink.role is not InkRole.WHITE for ink in scheme.inks.values())


@pytest.mark.parametrize("key", [*OTHERS, "asme-a13-1"])
def test_contents_have_one_color_or_an_open_question(key: str) -> None:
    scheme = load_scheme(key)
    settled = [word for pairing in scheme.pairings for word in pairing.contents]
    asked = [word for each in scheme.unsettled for word in each.contents]
    assert len(settled + asked) == len(set(settled + asked))
    assert all(each.source and each.what and each.right for each in scheme.unsettled)


@pytest.mark.parametrize("key", ["din-2403", "iso-14726"])
def test_ammonia_is_left_to_the_plant(key: str) -> None:
    scheme = load_scheme(key)
    for name in ("AMMONIA", "NH3", "R-717", "anhydrous  ammonia"):
        assert scheme.pairing_for(name) is None
        assert scheme.unsettled_for(name) is not None


def test_a_plant_picks_the_group() -> None:
    scheme = scheme_from_toml(
        """
extends = "din-2403"
key = "plant"
[[pairings]]
key = "7 alkali"
contents = ["AMMONIA"]
source = "plant standard 7"
""",
        "plant.toml",
    )
    pairing = scheme.pairing_for("AMMONIA")
    assert pairing is not None
    assert pairing.field == "safety purple"


def test_a_plant_takes_the_rows_of_a_scheme() -> None:
    head = 'extends = "ammonia-2014"\nkey = "plant"\n[sizes]\n'
    scheme = scheme_from_toml(head + 'rows_of = "asme-a13-1"\ntitle = "ours"\n', "plant.toml")
    assert scheme.sizes.rows == load_scheme("asme-a13-1").sizes.rows
    assert scheme.sizes.title == "ours"
    assert scheme.sizes.tag_required
    with pytest.raises(InputError, match=r"there is no scheme 'en-1'"):
        scheme_from_toml(head + 'rows_of = "en-1"\n', "plant.toml")


def test_a_second_color_is_an_ink_other_than_the_field() -> None:
    head = 'extends = "din-2403"\nkey = "plant"\n[[pairings]]\nkey = "7 alkali"\n'
    for second, code in (("gold", "ink-unknown"), ("safety purple", "ink-on-itself")):
        with pytest.raises(InputError) as caught:
            scheme_from_toml(f'{head}second = "{second}"\n', "plant.toml")
        assert [finding.code for finding in caught.value.findings] == [f"scheme-{code}"]
