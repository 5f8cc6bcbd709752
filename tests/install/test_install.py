"""Installation packs: every position once, told in words that poppler and tesseract read back."""

from __future__ import annotations

import io
import math
import re
from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from layouts.drawing import Document, Placement
from layouts.geometry import Rect
from render import pdf
from render.install import NO_AREA, file_names, install
from render.preflight import Verdict, inspect
from tests.install.plant import ENGINE, ROOF, STORE, Plant, plant
from tests.install.reading import all_letters, squeezed
from tests.paper.reading import words


@pytest.fixture(scope="module")
def made() -> Plant:
    return plant()


@pytest.fixture(scope="module")
def packs(made: Plant) -> dict[str, Document]:
    return dict(install(made.order, made.markers, made.typefaces))


@pytest.fixture(scope="module")
def engine_text(packs: dict[str, Document]) -> str:
    file = pdf.write(packs[ENGINE])
    return " ".join(words(file, page + 1) for page in range(len(packs[ENGINE].pages)))


def faces(document: Document) -> Counter[str]:
    """Pictures of faces on all pages, by symbol."""
    return Counter(
        item.symbol
        for page in document.pages
        for layer in page.layers
        for item in layer.items
        if isinstance(item, Placement) and item.symbol.startswith("face-")
    )


def test_a_pack_an_area_in_the_order_of_names(packs: dict[str, Document]):
    assert list(packs) == [STORE, ENGINE, ROOF, NO_AREA]


def test_every_place_of_every_marker_is_pictured_once(made: Plant, packs: dict[str, Document]):
    wanted = Counter(
        (placing.position.area or NO_AREA, f"face-{marker.face.id}")
        for marker in made.markers
        for placing in marker.placings
    )
    found = Counter(
        {
            (area, face): count
            for area, document in packs.items()
            for face, count in faces(document).items()
        }
    )
    assert found == wanted
    # Counted by hand from the list: 2 + 1 lines of HSD, two hands of HPL, IPL, three bays of
    # LTRS, XQ, five machines, four valves.
    assert found.total() == 3 + 2 + 1 + 3 + 1 + 5 + 4


@pytest.mark.tools
def test_pieces_of_the_head_are_those_of_the_order(engine_text: str):
    """By hand: 3 + 15 + 1 HSD and 2 x 2 HPL; one machine; two tags for the king valve."""
    assert re.search(r"Positions Pieces Pipe markers Equipment markers Valve tags", engine_text)
    assert re.search(r"\b7 26 23 1 2\b", engine_text), engine_text


@pytest.mark.tools
def test_a_position_says_where_from_where_to_and_which_way(engine_text: str):
    for wanted in (
        "line HSD-4-1",
        "from C-1 to EC-1",
        "from HPR-1 to IC-1",
        "to EC-2",
        "HPL, right-hand",
        "HPL, left-hand",
        "flow to the right, toward IC-1",
        "flow to the left, toward IC-1",
        "riser, legend reading upward: flow up",
        "EMERGENCY VALVE",
        "seal it open",
        "P&ID R-1",
    ):
        assert wanted in engine_text, (wanted, engine_text)


@pytest.mark.tools
def test_straps_are_cut_to_girth_and_tail(engine_text: str):
    """Pi times 4.5 in and 3 in of tail, up to 1/4 in (common practice: a tail of 2 to 4 in)."""
    length = math.ceil((math.pi * 4.5 + 3) * 4) / 4
    assert length == 17.25
    assert "6 straps (2 each), cut to 17-1/4 in" in engine_text
    assert "2 straps, cut to 17-1/4 in" in engine_text
    # 19 plates of HSD with two straps each.
    assert re.search(r"strap 17-1/4 in long 38\b", engine_text), engine_text


@pytest.mark.tools
def test_what_a_crew_must_not_overlook_is_told(engine_text: str):
    for wanted in (
        "Trace each line to both ends and agree it with the P&ID",
        "Nothing pierces or crushes an insulation jacket or its vapor retarder",
        "no loose parts",
        "a change: follow the plant's procedure",
        "Ammonia: know the alarm",
        "Hot surfaces burn",
        "Work at height",
        "lockout and tagout",
        "Local codes and licensed practice decide",
        "Order of work",
        "50 F or warmer",  # general acrylic adhesive: common practice, no source
    ):
        assert wanted in engine_text, (wanted, engine_text)


def test_ends_that_nobody_gave_are_left_to_be_traced(packs: dict[str, Document]):
    assert re.search(r"lineIPL-2-10.{0,40}from_+to_+", all_letters(packs[NO_AREA]))


def test_bays_come_in_the_order_that_people_count(packs: dict[str, Document]):
    text = all_letters(packs[STORE])
    assert re.findall(r"bay(\d+?)(?=from|[^\d])", text) == ["1", "9", "10"]


def test_the_clock_position_is_told_where_it_is_known(packs: dict[str, Document]):
    """12 ft up is 7 ft over an eye at 5 ft (common practice, no source); 7 ft away that is
    atan(1), 45 degrees, half past four, and 9.9 ft of sight."""
    text = all_letters(packs[ROOF])
    for wanted in (
        "45 degrees below the horizontal",
        "4:30",
        "read from 9.9 ft",
        "arrows both ways: the flow reverses",
        "40 ft along: within 2 ft of turn 1",
    ):
        assert squeezed(wanted) in text, wanted
    assert "degreesbelow" not in all_letters(packs[STORE])


def test_packs_pass_the_inspection_of_print_files_and_stay_the_same(made: Plant):
    for date in (None, "2026-02-03"):
        first = install(made.order, made.markers, made.typefaces, date)
        again = install(made.order, made.markers, made.typefaces, date)
        for area, document in first.items():
            file = pdf.write(document)
            assert file == pdf.write(again[area])
            assert document.date == date
            assert {point.verdict for point in inspect(file).points} <= {Verdict.PASS, Verdict.NOTE}


def test_nothing_leaves_the_page(packs: dict[str, Document]):
    inner = Rect(10.0, 8.0, 215.9 - 20.0, 279.4 - 16.0)
    for document in packs.values():
        for page in document.pages:
            for item in page.layers[0].items:
                if isinstance(item, Placement):
                    box = item.at.rect(document.symbols[item.symbol].bounds)
                else:
                    box = item.path.bounds()
                assert inner.contains(box, 0.1), (page.id, item)


def test_a_hundred_positions_take_a_dozen_pages_at_most(made: Plant):
    """Compact: ten and more positions a page, front page included."""
    marker = next(m for m in made.markers if m.plan.name == "HSD")
    first = marker.placings[0]
    placings = tuple(
        replace(first, position=replace(first.position, row=row, location=f"bay {row}"))
        for row in range(1, 121)
    )
    many = replace(marker, placings=placings, quantity=120 * first.count)
    document = install(made.order, [many], made.typefaces)[ENGINE]
    assert faces(document).total() == 120
    assert len(document.pages) <= 10
    assert len(PdfReader(io.BytesIO(pdf.write(document))).pages) == len(document.pages)


@settings(max_examples=10, deadline=None)
@given(st.lists(st.sampled_from(["A", "B", "", "a", "Ä b"]), min_size=1, max_size=12))
def test_positions_are_conserved_over_areas(areas: list[str]):
    """Whatever areas the places have: nothing lost, nothing twice."""
    spec = {"kind": "pipe", "service": "HPL", "state": "liquid", "pressure": "181 psig"}
    spec |= {"flow": "left", "pipe": "NPS 3", "covering": "0 in", "side": "both"}
    positions = [{"area": area, "row": row} for row, area in enumerate(areas, start=1)]
    made = plant(items=[{"spec": spec, "positions": positions}])
    packs = install(made.order, made.markers, made.typefaces)
    counts = {area: faces(document).total() for area, document in packs.items()}
    assert counts == {area or NO_AREA: 2 * areas.count(area) for area in set(areas)}


def test_file_names_differ_whatever_the_case_of_letters():
    areas = ["Roof", "roof", "ROOF!", "Cold store / 2", "Ä", "…", "roof-2"]
    names = file_names(areas)
    assert names["Cold store / 2"] == "cold-store-2"
    assert len({name.casefold() for name in names.values()}) == len(areas)
    assert all(re.fullmatch(r"[a-z0-9-]+", name) for name in names.values())


def test_an_order_keeps_its_own_date(made: Plant):
    dated = made.order.model_copy(update={"date": "2026-01-05"})
    document = install(dated, made.markers, made.typefaces, "2026-02-03")[ENGINE]
    assert document.date == "2026-01-05"
