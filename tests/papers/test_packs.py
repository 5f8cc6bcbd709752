"""Installation packs: every position once, told in words that poppler and tesseract read back."""

from __future__ import annotations

import io
import math
import re
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from layouts.drawing import Affine, Rect
from layouts.drawing.document import Document, Placement
from layouts.markers.positions import walks
from layouts.papers.packs import NO_AREA, file_names, install
from render.preflight import PAPERS, Verdict, inspect
from render.write import pdf
from tests.helpers.packs_plant import ENGINE, ROOF, STORE, Plant, pipe, plant
from tests.helpers.packs_reading import all_letters, boxes, list_rows, numbers, runs, squeezed
from tests.helpers.paper_reading import words


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


def pictured(document: Document) -> list[tuple[int, str]]:
    """Every position by its number, with the face that is pictured beside or above it."""
    found: list[tuple[int, str]] = []
    for page in document.pages:
        alone = replace(document, pages=(page,))
        items = [item for item in page.layers[0].items if isinstance(item, Placement)]
        faces = [
            (box.y, box.x, item.symbol.split("-")[1])
            for item in items
            if item.symbol.startswith("face-")
            for box in (item.at.rect(document.symbols[item.symbol].bounds),)
        ]
        ticks = [item.at for item in items if item.symbol == "tick"]
        starts = [
            at for at, before in zip(ticks, [None, *ticks], strict=False) if begins(at, before)
        ]
        for number, at in zip(numbers(alone), starts, strict=True):
            top = max(y for y, _, _ in faces if y < at.f)
            beside = [(x, face) for y, x, face in faces if y > top - 1.0 and y < at.f and x < at.e]
            found.append((number, max(beside)[1]))
    return found


def begins(box: Affine, before: Affine | None) -> bool:
    """Whether a box to tick is the first one of its position."""
    return before is None or not (
        (box.f == before.f and 0 < box.e - before.e < 4.0)
        or (box.e < before.e and 0 < box.f - before.f < 4.0)
    )


def test_a_pack_an_area_in_the_order_of_names(packs: dict[str, Document]) -> None:
    assert list(packs) == [STORE, ENGINE, ROOF, NO_AREA]


def test_every_place_of_every_marker_stands_once_with_its_picture(
    made: Plant, packs: dict[str, Document]
) -> None:
    wanted = walks(made.markers)
    assert packs.keys() == wanted.keys()
    for area, stops in wanted.items():
        assert pictured(packs[area]) == [(stop.number, stop.marker.face.id) for stop in stops]
        rows = [stop.placing.position.row for stop in stops]
        assert list_rows(packs[area]) == [row for row in rows if row is not None]
        assert boxes(packs[area]) == sum(stop.placing.count for stop in stops)
    # Counted by hand from the list: 2 + 1 lines of HSD, two hands of HPL, IPL, three bays of
    # LTRS, XQ, five machines, four valves.
    total = sum(len(numbers(document)) for document in packs.values())
    assert total == 3 + 2 + 1 + 3 + 1 + 5 + 4


def test_neighbors_share_a_picture_and_each_has_its_own_line(packs: dict[str, Document]) -> None:
    """Three bays of one line below one picture; four machines and three drains by their faces."""
    placed = [
        item.symbol
        for page in packs[STORE].pages
        for item in page.layers[0].items
        if isinstance(item, Placement) and item.symbol.startswith("face-")
    ]
    assert len(placed) == len(set(placed)) == 1 + 4 + 3
    found = runs(packs[STORE])
    (line,) = (at for at, run in enumerate(found) if run == "lineLTRS-8-21")
    told = [run for run in found[line:] if run.startswith("bay")]
    assert told == ["bay1", "bay9", "bay10"]


@pytest.mark.parametrize("count", [13, 150])
def test_a_stretch_goes_on_below_its_picture_on_the_next_page(made: Plant, count: int) -> None:
    marker = next(m for m in made.markers if m.plan.name == "LTRS")
    first = marker.placings[0]
    place = first.position
    placed = (
        replace(place, row=row, details=replace(place.details, spot=f"{row} ft along"))
        for row in range(1, count + 1)
    )
    spots = tuple(replace(first, position=each) for each in placed)
    many = replace(marker, placings=spots, quantity=count * first.count)
    document = install(made.order, [many], made.typefaces)[STORE]
    assert pictured(document) == [(n, marker.face.id) for n in range(1, count + 1)]
    assert list_rows(document) == [*range(1, count + 1)]


@pytest.mark.tools
def test_pieces_of_the_head_are_those_of_the_order(engine_text: str) -> None:
    """By hand: 3 + 15 + 1 HSD and 2 x 2 HPL; one machine; two tags for the king valve."""
    assert re.search(r"Positions Pieces Pipe markers Equipment markers Valve tags", engine_text)
    assert re.search(r"\b7 26 23 1 2\b", engine_text), engine_text


@pytest.mark.tools
def test_a_position_says_where_from_where_to_and_which_way(engine_text: str) -> None:
    for wanted in (
        "line HSD-4-1",
        "from C-1 to EC-1",
        "from HPR-1 to IC-1",
        "to EC-2",
        "HPL, right-hand",
        "HPL, left-hand",
        "EMERGENCY VALVE",
        "seal it open",
        "P&ID R-1",
    ):
        assert wanted in engine_text, (wanted, engine_text)


def test_what_runs_over_lines_is_whole(packs: dict[str, Document]) -> None:
    text = all_letters(packs[ENGINE])
    for wanted in (
        "near side: flow right, to IC-1",
        "pipe OD 2-3/8 in",
        "far side: flow left, to IC-1",
        "riser, legend reads upward: flow up, to EC-2",
        "6 straps (2 each), cut to 17-1/4 in",
        "2 straps, cut to 17-1/4 in",
    ):
        assert squeezed(wanted) in text, wanted


@pytest.mark.tools
def test_straps_are_cut_to_girth_and_tail(engine_text: str) -> None:
    """Pi times 4.5 in and 3 in of tail, up to 1/4 in (common practice: a tail of 2 to 4 in)."""
    length = math.ceil((math.pi * 4.5 + 3) * 4) / 4
    assert length == 17.25
    assert "cut to 17-1/4 in" in engine_text
    # 19 plates of HSD with two straps each.
    assert re.search(r"17-1/4 in long 38\b", engine_text), engine_text


@pytest.mark.tools
def test_what_a_crew_must_not_overlook_is_told(engine_text: str) -> None:
    for wanted in (
        "Trace each line to both ends and check it against the P&ID",
        "management of change (MOC)",
        "Ammonia: know the alarm",
        "Hot surfaces burn",
        "not interchangeable",
        "Work at height",
        "lockout and tagout",
        "Local codes and licensed practice decide",
        "Order of work",
        "50 F or above",  # general acrylic adhesive: common practice, no source
    ):
        assert wanted in engine_text, (wanted, engine_text)


JACKET, FOOD, HOT, COLD = (
    squeezed(text)
    for text in (
        "Nothing pierces or crushes an insulation jacket or its vapor retarder",
        "no loose parts",
        "Hot surfaces burn",
        "Cold metal freezes to skin",
    )
)


def test_a_pack_prints_only_the_cautions_of_its_area(packs: dict[str, Document]) -> None:
    """By hand: bare pipe at 190 F in the engine room; insulation and cold coils in the store."""
    engine, store = all_letters(packs[ENGINE]), all_letters(packs[STORE])
    assert [text in engine for text in (JACKET, FOOD, HOT, COLD)] == [False, False, True, False]
    assert [text in store for text in (JACKET, FOOD, HOT, COLD)] == [True, False, False, True]


@pytest.mark.parametrize(
    ("environment", "wanted"),
    [
        ({"food_zone": True}, {FOOD, COLD}),
        ({"surface": "150 F"}, {HOT}),
        ({"surface": "-40 F", "frost": "1 in"}, {COLD}),
        ({"surface": "60 F"}, set()),
    ],
)
def test_cautions_follow_from_the_place(environment: dict[str, object], wanted: set[str]) -> None:
    """A bare suction line whose surface nobody gave is taken for cold."""
    spec = pipe(service="HTRS", state="both", pressure="9 psig", pipe="NPS 4")
    made = plant(items=[{"spec": spec | {"environment": environment}, "positions": [{}]}])
    (pack,) = install(made.order, made.markers, made.typefaces).values()
    text = all_letters(pack)
    assert {each for each in (JACKET, FOOD, HOT, COLD) if each in text} == wanted


def test_both_sides_of_a_line_share_one_entry(made: Plant) -> None:
    """Thirteen places marked on both sides: two pictures, and each number with its box once."""
    spec = pipe(service="HPL", state="liquid", pressure="181 psig", pipe="NPS 2", side="both")
    places = [{"area": ENGINE, "line": "HPL-2-9", "row": row} for row in range(1, 14)]
    made = plant(items=[{"spec": spec, "positions": places}])
    document = install(made.order, made.markers, made.typefaces)[ENGINE]
    placed = [
        item.symbol
        for page in document.pages
        for item in page.layers[0].items
        if isinstance(item, Placement) and item.symbol.startswith("face-")
    ]
    assert len(placed) == len(set(placed)) == 2
    assert numbers(document) == [*range(1, 27)]
    assert all_letters(document).count("nearside:") == 1


def test_ends_that_nobody_gave_are_left_to_be_traced(packs: dict[str, Document]) -> None:
    assert re.search(r"lineIPL-2-10.{0,40}from_+to_+", all_letters(packs[NO_AREA]))


def test_the_clock_position_is_told_where_it_is_known(packs: dict[str, Document]) -> None:
    """12 ft up is 7 ft over an eye at 5 ft (common practice, no source); 7 ft away that is
    atan(1), 45 degrees, half past four, and 9.9 ft of sight."""
    text = all_letters(packs[ROOF])
    for wanted in (
        "45 degrees below the horizontal",
        "4:30",
        "viewed from 9 ft",
        "two-headed: flow reverses",
        "40 ft along: within 2 ft of turn 1",
    ):
        assert squeezed(wanted) in text, wanted
    assert "degreesbelow" not in all_letters(packs[STORE])


def test_packs_pass_the_inspection_of_papers_and_stay_the_same(made: Plant) -> None:
    for date in (None, "2026-02-03"):
        first = install(made.order, made.markers, made.typefaces, date)
        again = install(made.order, made.markers, made.typefaces, date)
        for area, document in first.items():
            file = pdf.write(document)
            assert file == pdf.write(again[area])
            assert document.date == date
            points = inspect(file, rules=PAPERS).points
            assert {point.verdict for point in points} <= {Verdict.PASS, Verdict.NOTE}


def test_nothing_leaves_the_page(packs: dict[str, Document]) -> None:
    inner = Rect(10.0, 8.0, 215.9 - 20.0, 279.4 - 16.0)
    for document in packs.values():
        for page in document.pages:
            for item in page.layers[0].items:
                if isinstance(item, Placement):
                    box = item.at.rect(document.symbols[item.symbol].bounds)
                else:
                    box = item.path.bounds()
                assert inner.contains(box, 0.1), (page.id, item)


def test_a_hundred_positions_take_few_pages(made: Plant) -> None:
    """Thirty lines a page and more, and no fewer of the kind that stand alone."""
    marker = next(m for m in made.markers if m.plan.name == "HSD")
    other = next(m for m in made.markers if m.plan.name == "IPL")
    for neighbors, pages in (([marker], 4), ([marker, other], 7)):
        many = [
            replace(
                each,
                quantity=120 * each.placings[0].count,
                placings=tuple(
                    replace(
                        each.placings[0],
                        position=replace(
                            each.placings[0].position, area=ENGINE, row=row, location=f"bay {row}"
                        ),
                    )
                    for row in range(1 + at, 121, len(neighbors))
                ),
            )
            for at, each in enumerate(neighbors)
        ]
        document = install(made.order, many, made.typefaces)[ENGINE]
        assert numbers(document) == [*range(1, 121)]
        assert len(document.pages) <= pages
        assert len(PdfReader(io.BytesIO(pdf.write(document))).pages) == len(document.pages)


@settings(max_examples=10, deadline=None)
@given(st.lists(st.sampled_from(["A", "B", "", "a", "Ä b"]), min_size=1, max_size=12))
def test_positions_are_conserved_over_areas(areas: list[str]) -> None:
    """Whatever areas the places have: nothing lost, nothing twice."""
    spec = {"kind": "pipe", "service": "HPL", "state": "liquid", "pressure": "181 psig"}
    spec |= {"flow": "left", "pipe": "NPS 3", "covering": "0 in", "side": "both"}
    positions = [{"area": area, "row": row} for row, area in enumerate(areas, start=1)]
    made = plant(items=[{"spec": spec, "positions": positions}])
    packs = install(made.order, made.markers, made.typefaces)
    for area in set(areas):
        rows = [row for row, each in enumerate(areas, start=1) if each == area for _ in "LR"]
        assert list_rows(packs[area or NO_AREA]) == rows
        assert numbers(packs[area or NO_AREA]) == [*range(1, len(rows) + 1)]
    assert len(packs) == len(set(areas))


def test_file_names_differ_whatever_the_case_of_letters() -> None:
    areas = ["Roof", "roof", "ROOF!", "Cold store / 2", "Ä", "…", "roof-2"]
    names = file_names(areas)
    assert names["Cold store / 2"] == "cold-store-2"
    assert len({name.casefold() for name in names.values()}) == len(areas)
    assert all(re.fullmatch(r"[a-z0-9-]+", name) for name in names.values())


def test_file_names_are_spelled_in_ascii_and_none_is_a_device() -> None:
    """CON, AUX, NUL, COM1 ... are reserved whatever the suffix (Win32 naming conventions)."""
    areas = [
        "Kühlraum",
        "Straße 3",
        "冷库",
        "冷藏",
        "CON",
        "Aux",
        "nul",
        "com1",
        "LPT9",
        "Conveyor",
    ]
    names = file_names(areas)
    assert names["Kühlraum"] == "kuhlraum"
    assert names["Straße 3"] == "strasse-3"
    assert names["冷库"] != names["冷藏"]
    assert names["Conveyor"] == "conveyor"
    reserved = {"con", "prn", "aux", "nul", "com1", "lpt9"}
    assert not reserved & set(names.values())
    assert all(re.fullmatch(r"[a-z0-9-]+", name) for name in names.values())


def test_an_order_keeps_its_own_date(made: Plant) -> None:
    dated = made.order.model_copy(update={"date": "2026-01-05"})
    document = install(dated, made.markers, made.typefaces, "2026-02-03")[ENGINE]
    assert document.date == "2026-01-05"
