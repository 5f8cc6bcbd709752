"""What the schemes say, against second-hand summaries of the editions."""

from __future__ import annotations

import pytest

from layouts.schemes.loader import DEFAULT_SCHEME, load_scheme, scheme_keys
from layouts.schemes.model import ElementKind, Scheme
from layouts.schemes.rows import STATUSES
from layouts.terms.words import Level, State

# The 17 abbreviations of 1991; the count is second-hand, the list matches it.
CODES_1991 = """
HPL CD LIC TSS TSR HSD HGD BD HSS LSS ES HTRL HTRS LTRL LTRS RV DC
"""
# 27 of the 28 of 2014; one is not proven.
CODES_2014 = """
BD BS CD ES HGD HPL HSD HSS HTRL HTRS HTS IPL LIC LSS LTRL LTRS LTS MTRL MTRS MTS OD PO RV SCL
TSR TSS TSV
"""


def rows_of(scheme: Scheme) -> list[tuple[str, str, str]]:
    """Name, source and status of every row that carries both."""
    bands = {band.word: band for bands in scheme.states.values() for band in bands}
    bands |= {band.word: band for band in scheme.levels.values()}
    equipment = scheme.equipment
    return [
        *((ink.name, ink.source, ink.status) for ink in scheme.inks.values()),
        *((pair.key, pair.source, pair.status) for pair in scheme.pairings),
        *((band.word, band.source, band.status) for band in bands.values()),
        *((each.code, each.source, each.status) for each in scheme.services.values()),
        *((row.label, row.source, row.status) for row in scheme.sizes.rows),
        *((paint.service, paint.source, paint.status) for paint in scheme.paints),
        ("equipment", equipment.source, equipment.status),
    ]


@pytest.mark.parametrize("key", scheme_keys())
def test_every_row_has_its_source_and_status(key: str) -> None:
    scheme = load_scheme(key)
    rows = rows_of(scheme)
    assert len(rows) > 20
    for name, source, status in rows:
        assert len(source) > 8, name
        assert not source.startswith("@"), name
        assert status in STATUSES, name
    others = [scheme.sizes.source, scheme.sizes.tag_source, scheme.face.source]
    others += [caveat.source for caveat in scheme.caveats]
    assert all(others)
    assert scheme.edition
    assert scheme.built_from
    assert scheme.missing


@pytest.mark.parametrize("key", scheme_keys())
def test_no_scheme_claims_conformity(key: str) -> None:
    scheme = load_scheme(key)
    text = " ".join((scheme.title, scheme.built_from, scheme.missing, scheme.standard)).lower()
    assert not any(word in text for word in ("complies", "compliant", "conform", "certified"))


def test_the_default_is_2014() -> None:
    assert DEFAULT_SCHEME == scheme_keys()[0] == load_scheme().key == "ammonia-2014"
    assert set(scheme_keys()) == {
        *("ammonia-2014", "ammonia-2018", "ammonia-1991", "asme-a13-1"),
        *("din-2403", "iso-20560-1", "iso-14726", "mil-std-101c"),
    }


def test_2014_content() -> None:
    scheme = load_scheme("ammonia-2014")
    bands = {band.word: (band.field, band.ink) for each in scheme.states.values() for band in each}
    bands |= {band.word: (band.field, band.ink) for band in scheme.levels.values()}
    assert bands == {
        "LIQ": ("safety yellow", "black"),
        "VAP": ("sky blue", "black"),
        "HIGH": ("safety red", "black"),
        "LOW": ("safety green", "black"),
    }
    assert [band.word for band in scheme.states[State.BOTH]] == ["LIQ", "VAP"]
    assert (scheme.pairings[0].field, scheme.pairings[0].legend) == ("safety orange", "black")
    assert scheme.cutoff_psig == 70
    assert scheme.equipment.pressure_band
    kinds = ElementKind
    assert scheme.face.order == (
        *(kinds.ARROW, kinds.SERVICE, kinds.STATE, kinds.LEGEND, kinds.LEVEL, kinds.ARROW),
    )
    assert scheme.face.band_letter_share >= 0.6
    assert scheme.face.length_step == pytest.approx(6.35)


def test_1991_content() -> None:
    scheme = load_scheme("ammonia-1991")
    assert scheme.pairings[0].field == "safety yellow"
    assert scheme.states[State.LIQUID][0].field == "safety orange"
    assert scheme.states[State.VAPOR][0].field == "safety blue"
    assert scheme.states[State.VAPOR][0].status == "memory"
    assert scheme.equipment.pressure_band
    assert {row.status for row in scheme.sizes.rows} == {"memory"}
    assert all("1991 figures not seen" in row.source for row in scheme.sizes.rows)
    assert sorted(scheme.services) == sorted(CODES_1991.split())
    assert not any(caveat.blocking for caveat in scheme.caveats)


def test_2018_content_blocks_until_accepted() -> None:
    scheme = load_scheme("ammonia-2018")
    assert [caveat.code for caveat in scheme.caveats if caveat.blocking] == ["scheme-2018-unseen"]
    assert not scheme.equipment.pressure_band
    assert {"LLTRL", "LLTRS", "LLTS"} <= set(scheme.services)
    assert scheme.services["LLTRS"].status == "memory"
    paint = scheme.paint_for("AMMONIA", "BD", State.VAPOR, Level.LOW)
    assert paint is not None
    assert paint.color == "yellow"
    assert scheme.sizes.rows == load_scheme("ammonia-2014").sizes.rows
    assert "2018" in scheme.sizes.source


def test_editions_are_not_mixed() -> None:
    scheme = load_scheme("ammonia-2014")
    assert not {"LLTRL", "LLTRS", "LLTS"} & set(scheme.services)
    assert "purple" not in {paint.color for paint in scheme.paints}
    assert not any(caveat.blocking for caveat in scheme.caveats)


def test_2014_abbreviations() -> None:
    services = load_scheme("ammonia-2014").services
    local = {"DC", "EQ", "HG", "PU"}  # not proven to be in the edition, and marked so
    assert set(services) == set(CODES_2014.split()) | local
    assert all("not proven" in services[code].source + services[code].note for code in local)
    assert not any(services[code].status == "confirmed" for code in local)
    assert all(each.meaning for each in services.values())
    usual = [each for each in services.values() if each.usual_state or each.usual_level]
    assert {each.usual_status for each in usual} == {"memory"}
    assert [each.code for each in services.values() if not each.one_way] == ["EQ"]
    # a line that straddles the cutoff or has no settled state is asked for
    assert services["DC"].usual_state is None
    for code in ("DC", "OD", "PO", "EQ", "PU"):
        assert services[code].usual_level is None
    assert (services["HTRS"].usual_state, services["HTRS"].usual_level) == (State.BOTH, Level.LOW)


@pytest.mark.parametrize(
    ("contents", "key"),
    [
        ("AMMONIA", "toxic or corrosive"),
        ("ammonia ", "toxic or corrosive"),
        ("Condenser  water", "water"),
        ("GLYCOL", "water"),
        ("BRINE", "water"),
        ("COMPRESSED AIR", "compressed air"),
        ("FIRE WATER", "fire quenching"),
        ("R-290", "flammable or oxidizing"),  # ASHRAE 34 group A3
        ("R-454B", "flammable or oxidizing"),  # ASHRAE 34 group A2L
        ("CO2", None),  # the plant defines a color of its own
        ("CARBON DIOXIDE", None),
        ("OIL", None),
        ("STEAM", None),
        ("", None),
    ],
)
def test_a13_1_classes(contents: str, key: str | None) -> None:
    pairing = load_scheme("asme-a13-1").pairing_for(contents)
    assert (pairing.key if pairing else None) == key


def test_a13_1_has_ten_pairs_and_no_bands() -> None:
    scheme = load_scheme("asme-a13-1")
    # NASA GSFC-STD-8006 (2017) and second-hand summaries of A13.1-2015
    assert [(pair.field, pair.legend) for pair in scheme.pairings] == [
        ("safety red", "white"),
        ("safety orange", "black"),
        ("safety yellow", "black"),
        ("safety brown", "white"),
        ("safety green", "white"),
        ("safety blue", "white"),
        ("safety purple", "white"),
        ("white", "black"),
        ("safety gray", "white"),
        ("black", "white"),
    ]
    assert not scheme.states
    assert not scheme.levels
    assert not scheme.services
    assert scheme.cutoff_psig is None


def test_no_contents_belong_to_two_classes() -> None:
    words = [word for pair in load_scheme("asme-a13-1").pairings for word in pair.contents]
    assert len(words) == len(set(words))


@pytest.mark.parametrize(
    ("contents", "code", "state", "level", "color"),
    [
        # RETA magazine Jan-Feb 2020 on the voluntary color scheme
        ("AMMONIA", "HPL", State.LIQUID, Level.HIGH, "orange"),
        ("AMMONIA", "HGD", State.VAPOR, Level.HIGH, "yellow"),
        ("AMMONIA", "HTRL", State.LIQUID, Level.LOW, "light blue"),
        ("AMMONIA", "LTS", State.VAPOR, Level.LOW, "dark blue"),
        ("AMMONIA", "RV", State.VAPOR, Level.LOW, "gray"),
        ("GLYCOL", "", None, None, "water green"),
        ("AMMONIA", "PO", State.BOTH, Level.LOW, None),
        ("NITROGEN", "", State.VAPOR, Level.HIGH, None),
    ],
)
def test_paint(
    contents: str, code: str, state: State | None, level: Level | None, color: str | None
) -> None:
    rule = load_scheme().paint_for(contents, code, state, level)
    assert (rule.color if rule else None) == color
