"""A workbook's sheet ``Order``: what holds for the whole list is read, and written back."""

from __future__ import annotations

import datetime
import tempfile
from pathlib import Path

import openpyxl
from hypothesis import given, settings
from hypothesis import strategies as st

from layouts.order.order import Acceptance, Order, OrderHead, StockChoice
from layouts.schemes.loader import load_scheme, scheme_keys
from render.decide import decide
from render.options import Options
from render.read import CODES, Reading, read
from render.read.listwriter import write_list
from render.read.ordersheet import KEYS
from render.shop.shopfile import load_shop
from tests.helpers.lists import GOOD

TEXT = st.text(
    st.characters(exclude_categories=("C", "Z"), include_characters=" "), max_size=20
).map(str.strip)
WORDS = TEXT.filter(lambda text: len(text) >= 8)
HEADS = st.builds(
    OrderHead,
    title=TEXT.filter(bool),
    plant=TEXT,
    revision=TEXT,
    date=st.none() | st.dates().map(lambda day: day.isoformat()),
    scheme=st.sampled_from(scheme_keys()),
    spacing=st.sampled_from(["common-40ft", "nasa-gsfc-8006", "din-2403-10m"]),
    stocks=st.builds(StockChoice, film=TEXT.filter(bool), tag=TEXT.filter(bool)),
    accept=st.lists(
        st.builds(Acceptance, code=TEXT.filter(bool), reason=WORDS, marker=TEXT), max_size=3
    ).map(tuple),
)
SPANISH = 'extends = "ammonia-2014"\nkey = "ours"\ntitle = "Ours"\n[legend]\nlanguage = "Spanish"\n'


def book(path: Path, head: list[list[object]], rows: tuple[dict[str, str], ...] = (GOOD,)) -> Path:
    workbook = openpyxl.Workbook()
    sheet = workbook.active
    assert sheet is not None
    sheet.append(list(rows[0]))
    for row in rows:
        sheet.append(list(row.values()))
    order = workbook.create_sheet("Order")
    for cells in head:
        order.append(cells)
    workbook.save(path)
    return path


def head_of(order: Order | None) -> dict[str, object]:
    assert order is not None
    return {key: getattr(order, key) for key in OrderHead.model_fields}


def codes(reading: Reading) -> list[str]:
    return [finding.code for finding in reading.findings]


def test_every_key_of_an_orders_head_has_a_row() -> None:
    apart = {"version", "stocks", "accept", "colors", "cutoffs", "signs"}  # of several cells
    assert set(KEYS) == {*OrderHead.model_fields, *StockChoice.model_fields} - apart


def test_choices_of_the_plant_are_rows_and_survive(tmp_path: Path) -> None:
    rows: list[list[object]] = [
        ["color", "CO2", "purple"],
        ["color", "OIL = brown"],
        ["cutoff", "CO2", "300 psig"],
    ]
    order = read(book(tmp_path / "list.xlsx", rows)).order
    assert order is not None
    assert (order.colors, order.cutoffs) == ({"CO2": "purple", "OIL": "brown"}, {"CO2": 300.0})
    write_list(order, tmp_path / "again.xlsx")
    assert head_of(read(tmp_path / "again.xlsx").order) == head_of(order)


@settings(deadline=None, max_examples=60, derandomize=True)
@given(HEADS)
def test_the_head_of_an_order_survives_a_workbook(head: OrderHead) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder)
        items = read(book(path / "list.xlsx", [])).order
        assert items is not None
        order = Order(**head_of_model(head), items=items.items)
        write_list(order, path / "again.xlsx")
        assert head_of(read(path / "again.xlsx").order) == head_of(order)


def head_of_model(head: OrderHead) -> dict[str, object]:
    return {key: getattr(head, key) for key in OrderHead.model_fields}


def test_a_hand_filled_sheet(tmp_path: Path) -> None:
    """Titles and keys left empty say nothing; a date may be one of the spreadsheet's own."""
    head: list[list[object]] = [
        ["What holds for the whole list"],
        ["Plant", "Cámara fría Ñandú"],
        ["revision", 3],
        ["date", datetime.date(2026, 3, 1)],
        ["scheme", ""],
        ["Film", "roll-54in"],
        ["accept", "arrow-missing", "flows either way in a défrost", "HTRS"],
        ["accept", "small-pipe", "tags are in stock already"],
    ]
    order = read(book(tmp_path / "list.xlsx", head)).order
    assert order is not None
    assert (order.title, order.plant, order.revision) == ("list", "Cámara fría Ñandú", "3")
    assert (order.date, order.scheme, order.stocks.film) == (
        "2026-03-01",
        "ammonia-2014",
        "roll-54in",
    )
    assert [(each.code, each.reason, each.marker) for each in order.accept] == [
        ("arrow-missing", "flows either way in a défrost", "HTRS"),
        ("small-pipe", "tags are in stock already", ""),
    ]


def test_what_the_sheet_accepts_is_accepted(tmp_path: Path) -> None:
    row = {**GOOD, "letter_in": "0.5"}
    why = "as its neighbors until the shutdown"
    path = book(tmp_path / "list.xlsx", [["accept", "letter-below-row", why]], (row,))
    reading = read(path)
    assert reading.order is not None
    found = decide(reading.order, Options(load_shop()), reading.listed).gathered.findings
    assert [(each.code, each.accepted, each.blocks) for each in found] == [
        ("letter-below-row", why, False)
    ]


def test_faults_of_the_sheet_name_their_key(tmp_path: Path) -> None:
    head: list[list[object]] = [
        ["titel", "Plant"],
        ["date", "soon"],
        ["accept", "small-pipe", "why"],
        ["accept", "", "no code at all"],
    ]
    reading = read(book(tmp_path / "list.xlsx", head))
    assert reading.order is None
    assert {(finding.code, finding.place.field) for finding in reading.findings} == {
        ("unknown-key", "titel"),
        ("bad-date", "date"),
        ("missing-value", "accept 1, reason"),
        ("missing-value", "accept 2, code"),
    }
    assert all(finding.code in CODES and finding.right for finding in reading.findings)


def test_a_spacing_rule_of_the_sheet_counts_the_runs(tmp_path: Path) -> None:
    row = {**{key: text for key, text in GOOD.items() if key != "qty"}, "length_ft": "120"}
    path = book(tmp_path / "list.xlsx", [["spacing", "nasa-gsfc-8006"]], (row,))
    order = read(path).order
    assert order is not None
    assert order.quantity == 6


def test_a_second_language_with_its_accents_survives(tmp_path: Path) -> None:
    """The plant's scheme lies beside the list; its words come out on the marker as before."""
    (tmp_path / "ours.toml").write_text(SPANISH, "utf-8")
    path = book(tmp_path / "list.xlsx", [["scheme", "ours.toml"]], ({**GOOD, "note": "Señal"},))
    order = read(path).order
    assert order is not None
    write_list(order, tmp_path / "again.xlsx")
    second = read(tmp_path / "again.xlsx").order
    assert second is not None
    options = Options(load_shop(), folder=tmp_path)
    words = [
        [marker.face.words for marker in decide(each, options, "").gathered.markers]
        for each in (order, second)
    ]
    assert words[0] == words[1]
    assert "AMONÍACO" in words[0][0]
    assert [p.note for item in second.items for p in item.positions] == ["Señal"]


def test_a_list_on_a_sheet_called_order_is_a_list(tmp_path: Path) -> None:
    workbook = openpyxl.Workbook()
    sheet = workbook.active
    assert sheet is not None
    sheet.title = "Order"
    sheet.append(list(GOOD))
    sheet.append(list(GOOD.values()))
    workbook.save(tmp_path / "list.xlsx")
    reading = read(tmp_path / "list.xlsx")
    assert codes(reading) == []
    assert reading.order is not None
    assert load_scheme(reading.order.scheme).key == "ammonia-2014"


def test_an_order_file_speaks_instead_of_the_sheet_of_the_workbook_that_it_names(
    tmp_path: Path,
) -> None:
    book(tmp_path / "list.xlsx", [["title", "Orchard"], ["film", "roll-24in"]])
    (tmp_path / "order.toml").write_text('title = "Mill"\nline_list = "list.xlsx"\n')
    reading = read(tmp_path / "order.toml")
    (found,) = reading.findings
    assert (found.code, found.place.file, found.place.field) == (
        "order-sheet-unread",
        "list.xlsx",
        "Order",
    )
    assert "(title, stocks)" in found.what
    assert head_of(reading.order)["title"] == "Mill"
    assert not read(tmp_path / "list.xlsx").findings


def test_an_empty_sheet_order_beside_an_order_file_is_not_worth_a_word(tmp_path: Path) -> None:
    book(tmp_path / "list.xlsx", [["title", ""]])
    (tmp_path / "order.toml").write_text('line_list = "list.xlsx"\n')
    assert not read(tmp_path / "order.toml").findings
