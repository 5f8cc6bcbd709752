"""The template of a line list, read back by the reader of lists and by openpyxl."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from pathlib import Path

import openpyxl
import pytest
from openpyxl.worksheet.worksheet import Worksheet

from layouts.order.order import PipeMarker
from layouts.schemes.loader import load_scheme
from layouts.terms.words import Flow, Kind, State
from render.read import read
from render.read.columns import NAMES, Column
from render.read.ordersheet import ACCEPT, KEYS
from render.read.template import (
    choices_of,
    help_of,
    template,
    template_columns,
    template_xlsx,
)
from render.read.template_help import EXAMPLES, FIRST, HEAD_HELP, HELP, NEEDED


@pytest.fixture(scope="module")
def book() -> openpyxl.Workbook:
    return openpyxl.load_workbook(io.BytesIO(template_xlsx()))


def headings(sheet: Worksheet) -> list[str]:
    return [str(cell.value) for cell in sheet[5]]


def test_its_first_sheet_is_empty_and_its_examples_cannot_be_ordered(tmp_path: Path) -> None:
    """Only what somebody wrote into the first sheet is read, whatever the other sheets show."""
    path = tmp_path / "list.xlsx"
    template(path)
    assert [(each.code, each.place.row) for each in read(path).findings] == [("empty-list", 5)]
    book = openpyxl.load_workbook(path)
    assert book["Examples"].max_row == 5 + len(EXAMPLES)
    fill_row(book["Line list"], EXAMPLES[0])
    book.save(path)
    reading = read(path)
    assert reading.findings == ()
    assert reading.order is not None
    (item,) = reading.order.items
    assert isinstance(item.spec, PipeMarker)
    assert (item.spec.service, item.spec.state, item.spec.flow) == ("HTRS", State.BOTH, Flow.LEFT)
    assert item.spec.covering == pytest.approx(38.1)  # 1-1/2 in
    assert (item.quantity, item.positions[0].area) == (5, "Machinery room")


def fill_row(sheet: Worksheet, row: Mapping[str, str]) -> None:
    """Write a row below the headings, as a person would."""
    for column, name in enumerate(headings(sheet), start=1):
        if name in row:
            sheet.cell(6, column).value = row[name]


def test_what_is_needed_and_what_codes_stand_for_is_in_the_workbook(
    book: openpyxl.Workbook,
) -> None:
    needed = dict(zip(headings(book["Line list"]), book["Line list"][4], strict=True))
    assert {name: cell.value for name, cell in needed.items() if cell.value} == dict(NEEDED)
    codes = {str(row[0].value): str(row[1].value) for row in book["Services"].iter_rows(min_row=3)}
    assert codes == {c: s.meaning for c, s in load_scheme().services.items()}


def test_it_prints_on_tabloid_two_pages_wide_without_the_folded_columns(
    book: openpyxl.Workbook,
) -> None:
    """The width that prints is at most what two lying pages of 17 in hold at 60 percent."""
    sheet = book["Line list"]
    assert (sheet.page_setup.paperSize, sheet.page_setup.fitToWidth) == (3, 2)
    shown = [
        sheet.column_dimensions[cell.column_letter].width
        for cell in sheet[5]
        if not sheet.column_dimensions[cell.column_letter].hidden
    ]
    assert len(shown) < len(NAMES)
    # A character of 11 points is about 0.077 in wide; 16 in print on a page of 17.
    assert sum(shown) * 0.077 <= 2 * 16 / 0.6


def test_the_sheet_order_takes_every_key_of_an_order(tmp_path: Path) -> None:
    """Filled by hand in the cells beside the keys, it reads back as the order's head."""
    book = openpyxl.load_workbook(io.BytesIO(template_xlsx()))
    sheet = book["Order"]
    rows = {str(row[0].value): row[0].row for row in sheet.iter_rows() if row[0].value}
    assert set(KEYS) <= set(rows)
    assert set(HEAD_HELP) == {*KEYS, ACCEPT}
    values = {"plant": "Ours", "scheme": "ammonia-1991", "keep_together": "area", "film": "x"}
    for key, value in values.items():
        sheet.cell(rows[key], 2).value = value
    for column, value in enumerate(("small-pipe", "tags are in stock"), 2):
        sheet.cell(rows[ACCEPT], column).value = value
    fill_row(book["Line list"], EXAMPLES[0])
    book.save(tmp_path / "list.xlsx")
    order = read(tmp_path / "list.xlsx").order
    assert order is not None
    assert (order.title, order.plant, order.scheme, order.keep_together, order.stocks.film) == (
        "list",
        "Ours",
        "ammonia-1991",
        "area",
        "x",
    )
    assert [(each.code, each.reason) for each in order.accept] == [
        ("small-pipe", "tags are in stock")
    ]


def test_the_examples_of_each_kind_are_read_without_a_finding(tmp_path: Path) -> None:
    path = tmp_path / "examples.csv"
    with path.open("w", newline="") as file:
        writer = csv.DictWriter(file, [column.name for column in template_columns()])
        writer.writeheader()
        writer.writerows(EXAMPLES)
    reading = read(path)
    assert reading.findings == ()
    assert reading.order is not None
    assert {item.spec.kind for item in reading.order.items} == set(Kind)


def test_every_heading_of_the_reader_is_there_once_with_its_help(book: openpyxl.Workbook) -> None:
    assert sorted(headings(book["Line list"])) == sorted(NAMES)
    assert headings(book["Examples"]) == headings(book["Line list"])
    told = {str(row[0].value): str(row[1].value) for row in book["Help"].iter_rows(min_row=3)}
    assert set(told) == set(NAMES)
    assert min(map(len, told.values())) > 4
    assert set(HELP) <= set(NAMES)
    assert set(FIRST) <= set(NAMES)


def test_every_choice_has_a_dropdown_of_words_that_the_reader_knows(
    book: openpyxl.Workbook,
) -> None:
    """Each word of each dropdown is in the help, and in the cells that the dropdown names."""
    sheet = book["Line list"]
    at = {name: index for index, name in enumerate(headings(sheet), start=1)}
    lists = {}
    for rule in sheet.data_validations.dataValidation:
        if rule.type == "list":
            (area,) = rule.sqref.ranges
            assert (area.min_row, area.max_row) == (6, 2005)
            lists[area.min_col] = rule.formula1
    wanted = {
        *("kind", "state", "level", "flow", "run", "side", "lines", "shape"),
        *("washdown", "wrap", "small", "emergency", "environment", "service"),
    }
    assert wanted <= {name for name, index in at.items() if index in lists}
    for column in template_columns():
        words = choices_of(column)
        if not words:
            assert at[column.name] not in lists
            continue
        name, _, cells = lists[at[column.name]].removeprefix("=").partition("!")
        found = [str(row[0].value) for row in book[name][cells.replace("$", "")]]
        assert tuple(found) == words


@pytest.mark.parametrize("column", template_columns(), ids=lambda column: column.name)
def test_words_of_a_dropdown_are_read(column: Column, tmp_path: Path) -> None:
    """Every word of every dropdown, in a row where it may stand, gives no refusal of that cell."""
    base = {"pipe": EXAMPLES[0], "equipment": EXAMPLES[1], "valve": EXAMPLES[2]}
    kinds = [kind for kind in Kind if kind in column.keys] or [Kind.PIPE]
    path = tmp_path / "words.csv"
    for word in choices_of(column):
        row = dict(base[word if column.name == "kind" else str(kinds[0])])
        row[column.name] = word
        with path.open("w", newline="") as file:
            writer = csv.DictWriter(file, list(row))
            writer.writeheader()
            writer.writerow(row)
        refused = [f for f in read(path).findings if f.place.field == column.name]
        assert refused == [], word


def test_hints_fit_the_limits_of_the_format(book: openpyxl.Workbook) -> None:
    """32 characters of title and 255 of message: XlsxWriter documentation, data validation."""
    for rule in book["Line list"].data_validations.dataValidation:
        assert 0 < len(rule.promptTitle) <= 32
        assert 0 < len(rule.prompt) <= 255
    assert all(len(help_of(column)) <= 255 for column in template_columns())


def test_the_same_bytes_each_time_and_no_clock(book: openpyxl.Workbook) -> None:
    assert template_xlsx() == template_xlsx()
    assert book.properties.created.isoformat() == "1980-01-01T00:00:00"
