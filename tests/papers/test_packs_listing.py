"""Orders of very many positions: a table an area in place of a paper, nothing lost or twice."""

from __future__ import annotations

import csv
import io
from collections import Counter
from dataclasses import replace

import pytest

from layouts.markers.positions import NO_AREA, walks
from layouts.papers.packs import file_names
from layouts.papers.packs.listing import COLUMNS, MOST_ON_PAPER, guide, is_long, tables
from render.preflight import PAPERS, Verdict, inspect
from render.write import pdf
from render.write.tables import csv_file
from tests.helpers.packs_plant import Plant, plant


@pytest.fixture(scope="module")
def made() -> Plant:
    return plant()


def read(data: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(data.decode(), newline="")))


def test_every_place_stands_once_in_the_table_of_its_area(made: Plant) -> None:
    found = {name: csv_file(rows) for name, rows in tables(made.markers)}
    names = file_names(walks(made.markers))
    assert found.keys() == {*names.values(), "_materials-to-bring"}
    wanted: dict[str, Counter[tuple[str, str, str, str]]] = {name: Counter() for name in names}
    for marker in made.markers:
        for placing in marker.placings:
            place = placing.position
            key = (marker.id, place.line, place.location, str(placing.count))
            wanted[place.area or NO_AREA][key] += 1
    for area, name in names.items():
        rows = read(found[name])
        assert tuple(rows[0]) == COLUMNS
        given = ((row["marker"], row["line"], row["location"], row["pieces"]) for row in rows)
        assert Counter(given) == wanted[area]
        assert [int(row["number"]) for row in rows] == [*range(1, len(rows) + 1)]
        assert not any(row["done"] for row in rows)


def test_a_row_says_what_the_paper_says(made: Plant) -> None:
    """By hand from the list: row 4 is 15 of HSD, to EC-2, flow to the right."""
    rows = read({name: csv_file(rows) for name, rows in tables(made.markers)}["engine-room"])
    (row,) = (row for row in rows if row["line"] == "HSD-4-2")
    assert (row["pieces"], row["from"], row["to"], row["row"]) == ("15", "C-2", "EC-2", "4")
    assert "flow right, to EC-2" in row["how"]
    (valve,) = (row for row in rows if row["name"] == "HV-101")
    assert {row["method"], valve["method"]} < set("ABCDEFGH")
    assert row["method"] != valve["method"], "film and a hung tag are put up in different ways"


def test_materials_to_bring_are_counted_by_area(made: Plant) -> None:
    rows = read(
        {name: csv_file(rows) for name, rows in tables(made.markers)}["_materials-to-bring"]
    )
    tags = Counter({r["area"]: int(r["pieces"]) for r in rows if r["part"].startswith("chain")})
    asked: Counter[str] = Counter()
    for marker in made.markers:
        if marker.plan.kind == "valve":
            for placing in marker.placings:
                asked[placing.position.area or NO_AREA] += placing.count
    assert tags == asked
    assert tags.total() > 0


def test_the_paper_for_all_areas_is_a_clean_paper(made: Plant) -> None:
    name, document = guide(made.order, made.markers, made.typefaces)
    assert name == "_all-areas"
    points = inspect(pdf.write(document), rules=PAPERS).points
    assert not [p for p in points if p.verdict in (Verdict.FAIL, Verdict.UNREADABLE)]


def test_papers_up_to_a_number_of_places_and_tables_beyond(made: Plant) -> None:
    marker = made.markers[0]
    first = marker.placings[0]
    many = replace(marker, placings=(first,) * MOST_ON_PAPER)
    assert not is_long([many])
    assert is_long([many, made.markers[1]])
