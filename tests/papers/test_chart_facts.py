"""What a chart says of a plant, against lists made by hand from the order in tests/install."""

from __future__ import annotations

import numpy as np
import pytest

from layouts.drawing import Affine, Rect
from layouts.drawing.document import Document, Layer, Page, Placement
from layouts.papers.abbreviations import abbreviations
from layouts.papers.chart.anatomy import anatomy, specimen
from layouts.papers.chart.facts import (
    band_facts,
    equipment_codes,
    field_facts,
    paint_facts,
    tags_text,
)
from layouts.papers.kit.figure import face_symbol, printed_part
from layouts.schemes.loader import load_scheme
from layouts.schemes.model import ElementKind
from render.write import pdf
from tests.helpers.packs_plant import Plant, pipe, plant
from tests.helpers.paper_reading import raster


@pytest.fixture(scope="module")
def made() -> Plant:
    return plant()


def test_abbreviations_are_those_in_use_with_the_plants_own_meaning_first(made: Plant) -> None:
    found = {
        each.code: (each.meaning, each.local) for each in abbreviations(made.order, made.schemes)
    }
    # Lists of 1991 and 2014 for all but XQ, which the order explains itself.
    assert found == {
        "HPL": ("high pressure liquid", False),
        "HSD": ("high stage discharge", False),
        "IPL": ("intermediate pressure liquid", False),
        "LTRS": ("low temperature recirculated suction", False),
        "XQ": ("crossover to the test stand", True),
    }


def test_two_meanings_of_one_code_are_both_told() -> None:
    one = {"spec": pipe(service="QX", meaning="quench", pressure="9 psig", pipe="NPS 2")}
    two = {"spec": pipe(service="QX", meaning="Quarter loop", pressure="9 psig", pipe="NPS 3")}
    made = plant(items=[item | {"positions": [{}]} for item in (one, two)])
    (code,) = abbreviations(made.order, made.schemes)
    assert sorted(code.meanings) == ["Quarter loop", "quench"]


def test_bands_are_those_on_the_markers(made: Plant) -> None:
    facts = band_facts(made.markers, made.schemes.values())
    # 2014 edition, second-hand: LIQ yellow, VAP sky blue, HIGH red above 70 psig, LOW green.
    assert [(each.word, each.field.name.lower(), each.meaning) for each in facts] == [
        ("LIQ", "safety yellow", "liquid"),
        ("VAP", "sky blue", "vapor"),
        ("HIGH", "safety red", "above 70 psig"),
        ("LOW", "safety green", "70 psig or less"),
    ]
    only = [m for m in made.markers if m.plan.name == "HSD"]
    assert [each.word for each in band_facts(only, made.schemes.values())] == ["VAP", "HIGH"]


def test_the_most_frequent_field_comes_first() -> None:
    ammonia = {"spec": pipe(service="HPL", state="liquid", pressure="181 psig", pipe="NPS 2")}
    a13 = {"contents": "City water", "scheme": "asme-a13-1", "service": ""}
    water = {"spec": pipe(**a13, pipe="NPS 2"), "positions": [{"qty": 9}]}
    made = plant(items=[ammonia | {"positions": [{}]}, water], with_schemes=("asme-a13-1",))
    facts = field_facts(made.markers, made.schemes.values())
    assert [each.words for each in facts] == [("CITY WATER",), ("AMMONIA",)]
    # NASA GSFC-STD-8006 (2017): other water green with white, ammonia orange with black.
    assert ["green" in facts[0].field.name.lower(), "orange" in facts[1].field.name.lower()] == [
        True,
        True,
    ]


def test_paints_follow_the_articles_and_say_what_is_our_own_reading(made: Plant) -> None:
    """RETA magazine 2020: liquid above 70 psig orange, vapor above it yellow, LTRL and LTS dark
    blue; LTRS is not named there. IPL at 33.5 psig and XQ have no color."""
    facts = {each.color: (each.sure, each.read) for each in paint_facts(made.order, made.schemes)}
    assert facts == {
        "orange": (("HPL",), ()),
        "yellow": (("HSD",), ()),
        "dark blue": ((), ("LTRS",)),
    }


def test_equipment_codes_gather_the_machines_of_a_name(made: Plant) -> None:
    codes = equipment_codes(made.order)
    assert [(each.code, each.name, each.tags) for each in codes] == [
        ("FEU", "Evaporator", "FEU-1 to 3, 10"),
        ("HPR", "High pressure receiver", "HPR-1"),
    ]


@pytest.mark.parametrize(
    ("tags", "text"),
    [
        (("EC-1", "EC-2"), "EC-1, 2"),
        (("P-1", "P-2", "P-3", "P-5"), "P-1 to 3, 5"),
        (("P-1A", "P-2A", "P-3A"), "P-1A to 3A"),
        (("P-9", "P-10", "P-11"), "P-9 to 11"),
        (("A1", "PUMP"), "A1, PUMP"),
        (("1", "2", "3"), "1 to 3"),
    ],
)
def test_tags_are_shortened_without_doubt(tags: tuple[str, ...], text: str) -> None:
    assert tags_text(tags) == text


def test_the_specimen_shows_every_kind_of_part(made: Plant) -> None:
    marker = specimen(made.markers)
    assert marker is not None
    parts = anatomy(marker)
    assert {part.kind for part in parts} == set(ElementKind)
    lefts = [part.box.x for part in parts]
    assert lefts == sorted(lefts)
    trim = printed_part(marker.face).size
    assert all(0 <= part.box.x < part.box.right <= trim.width for part in parts)


def test_a_wrap_is_no_specimen_and_is_refused() -> None:
    spec = pipe(service="HPL", state="liquid", pressure="181 psig", pipe="NPS 2", wrap=True)
    made = plant(items=[{"spec": spec, "positions": [{}]}])
    assert specimen(made.markers) is None
    with pytest.raises(ValueError, match="not a flat face of one line"):
        anatomy(made.markers[0])


@pytest.mark.tools
def test_boxes_of_bands_are_where_poppler_paints_them(made: Plant) -> None:
    """The face drawn 2:1 on a page of its own; a band's box holds its color up to its edges."""
    marker = specimen(made.markers)
    assert marker is not None
    symbol, size, dpi = face_symbol(marker.face), printed_part(marker.face).size, 100
    whole = Rect(0.0, 0.0, 2 * size.width, 2 * size.height)
    layer = Layer("Face", (Placement(symbol.id, Affine.scale(2.0)),))
    page = Page("face", "face", whole.size, whole, whole, (layer,))
    seen = raster(pdf.write(Document("face", "face", (page,), {symbol.id: symbol})), 1, dpi)
    scheme = load_scheme("ammonia-2014")
    inks = {
        band.word: scheme.inks[band.field] for bands in scheme.states.values() for band in bands
    } | {band.word: scheme.inks[band.field] for band in scheme.levels.values()}
    row = seen[round(0.06 * whole.height / 25.4 * dpi)].astype(int)
    bands = [
        part for part in anatomy(marker) if part.kind in (ElementKind.STATE, ElementKind.LEVEL)
    ]
    assert bands
    for part in bands:
        left, right = (round(2 * x / 25.4 * dpi) for x in (part.box.x, part.box.right))
        wanted = np.array([int(inks[part.words[0]].preview[i : i + 2], 16) for i in (1, 3, 5)])
        at_left, at_right, before = row[left + 2], row[right - 3], row[left - 4]
        assert np.abs(at_left - wanted).max() < 30, (part, at_left, wanted)
        if len(part.words) == 1:
            assert np.abs(at_right - wanted).max() < 30
        assert np.abs(before - wanted).max() > 30
