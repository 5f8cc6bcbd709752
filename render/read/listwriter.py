"""Writes an order as a line list, a workbook that reads back to the same items."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from pydantic import TypeAdapter

from layouts.order.order import (
    Item,
    MeasuredRun,
    Order,
    PipeMarker,
    Position,
    Specification,
    ValveTag,
    runs_upright,
)
from layouts.order.quantities import length_text, plain
from layouts.terms.errors import InputError
from layouts.terms.units import LengthUnit, parse_length
from layouts.terms.words import Kind
from render.files.atomic import write_file
from render.files.xlsx import Book
from render.read.columns import KIND, PLACE_COLUMNS, SPEC_COLUMNS, Column, Measure
from render.read.ordersheet import HEAD_SHEET, head_rows
from render.read.runs import SpacingRules, set_viewing_distance, spots_of
from render.read.signsheet import SIGN_SHEET, sign_cells

Cells = dict[str, str]
_FIRST = ("line", KIND)
_ALWAYS = ("service", "pipe", "qty")
_COLUMNS = (*SPEC_COLUMNS, *PLACE_COLUMNS)
_SIDES = {"1": "one", "2": "both"}
_UNITS = {"in": LengthUnit.INCH, "ft": LengthUnit.FOOT}
_RUN = TypeAdapter(MeasuredRun)
_HEAD_ROW = 1


def write_list(order: Order, path: Path) -> None:
    """Write the order's markers as an XLSX line list; the same order gives the same bytes.

    Read back, the list gives an equal order except for row numbers: the order's head (scheme,
    stocks, accepted findings) is on a separate sheet. A run becomes one row again if the order's
    rule gives the same count; any other run becomes one row per spot.

    Raises:
        OutputError: the file cannot be written.
    """
    write_file(path, list_xlsx(order, path.parent))


def list_xlsx(order: Order, folder: Path) -> bytes:
    """The list as the bytes of a workbook; ``folder`` holds the plant's rules."""
    rows = list(_rows(order.items, SpacingRules(order.spacing, folder)))
    filled = {name for row in rows for name, text in row.items() if text}
    ordered = sorted(_COLUMNS, key=lambda column: column.name not in _FIRST)
    columns = [each for each in ordered if each.name in filled or each.name in _ALWAYS]
    book = Book(order.title, order.date)
    sheet = book.sheet("Line list")
    head = book.style({"bold": True, "bg_color": "#1F3A4D", "font_color": "#FFFFFF", "border": 1})
    text = book.style({"num_format": "@"})  # keeps 3/4 as text
    sheet.write_string(0, 0, order.title, book.style({"bold": True, "font_size": 14}))
    for index, column in enumerate(columns):
        widest = max((len(row.get(column.name, "")) for row in rows), default=0)
        sheet.set_column(index, index, min(40, max(widest, len(column.name)) + 2), text)
        sheet.write_string(_HEAD_ROW, index, column.name, head)
        for number, row in enumerate(rows, _HEAD_ROW + 1):
            if cell := row.get(column.name):
                sheet.write_string(number, index, cell, text)
    sheet.freeze_panes(_HEAD_ROW + 1, 1)
    sheet.autofilter(_HEAD_ROW, 0, _HEAD_ROW + len(rows), len(columns) - 1)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(_HEAD_ROW)
    _write_head(order, book)
    _write_signs(order, book)
    return book.finish()


def _write_head(order: Order, book: Book) -> None:
    """Write what applies to the whole order, one row per key."""
    sheet, text = book.sheet(HEAD_SHEET), book.style({"num_format": "@"})
    key = book.style({"bold": True})
    for column, width in enumerate((14, 40, 60, 24)):
        sheet.set_column(column, column, width, text)
    for row, (name, *values) in enumerate(head_rows(order)):
        sheet.write_string(row, 0, name, key)
        for column, value in enumerate(values, 1):
            sheet.write_string(row, column, value, text)


def _write_signs(order: Order, book: Book) -> None:
    """Write the signs, one row each, if the order has any."""
    rows = sign_cells(order)
    if not rows:
        return
    sheet, text = book.sheet(SIGN_SHEET), book.style({"num_format": "@"})
    key = book.style({"bold": True})
    for row, cells in enumerate(rows):
        for column, cell in enumerate(cells):
            sheet.write_string(row, column, cell, text if row else key)
    sheet.set_column(0, len(rows[0]) - 1, 20, text)
    sheet.freeze_panes(1, 1)


def _rows(items: Iterable[Item], rules: SpacingRules) -> Iterator[Cells]:
    """The cells of every row, in their original order."""
    placed = [
        ((position.source, position.row or 0), spec_cells, counted, position)
        for item in items
        for spec_cells, counted, position in _cells_of_places(item, rules)
    ]
    placed.sort(key=lambda each: (each[0][1] == 0, each[0]))
    for _row, spec_cells, counted, position in placed:
        yield {**spec_cells, **_place_cells(position, counted)}


def _cells_of_places(item: Item, rules: SpacingRules) -> Iterator[tuple[Cells, bool, Position]]:
    """Cells of the face, whether the rule counts the row's markers, and the position."""
    runs: dict[Position, list[Position]] = {}
    for position in item.positions:
        run = position.pipe_run
        on_run = run is not None and run.length is not None and position.at is not None
        whole = position
        if on_run:
            details = replace(position.details, at=None, spot="")
            whole = replace(position, quantity=1, details=details)
        runs.setdefault(whole, []).append(position)
    for whole, positions in runs.items():
        if positions[0] != whole and _is_counted_alike(item.spec, whole, positions, rules):
            yield _spec_cells(item.spec, whole), True, whole
            continue
        for position in positions:
            yield _spec_cells(item.spec, position), False, position


def _is_counted_alike(
    spec: Specification, whole: Position, positions: Sequence[Position], rules: SpacingRules
) -> bool:
    """Whether a row without a quantity would read back as these positions."""
    if not isinstance(spec, PipeMarker):
        return False
    try:
        return list(spots_of(spec, whole, rules)[0]) == list(positions)
    except InputError:
        return False


def _spec_cells(spec: Specification, position: Position) -> Cells:
    """The values that decide the face, each by its column."""
    if spec.viewing_distance is not None:
        unseen = spec.model_copy(update={"viewing_distance": None})
        if set_viewing_distance(unseen, position).viewing_distance == spec.viewing_distance:
            spec = unseen  # derived from height and distance
    dumped = spec.model_dump(mode="json", exclude_defaults=True)
    if isinstance(spec, PipeMarker) and runs_upright(dumped.get("flow")):
        dumped["run"] = str(spec.run)
    if isinstance(spec, ValveTag) and spec.valve_outlet is not None:
        dumped["valve_size"] = f"{dumped['valve_size']} x {dumped['valve_outlet']}"
    cells = {KIND: str(spec.kind)}
    for column in SPEC_COLUMNS:
        key = column.keys.get(spec.kind)
        if key is None or (spec.kind is Kind.EQUIPMENT and column.name == "function"):
            continue  # a machine's name is in the legend column
        value = _value(dumped, key)
        if column.measure is Measure.SETTING:
            cells[column.name] = str(spec.environment.setting)
        elif value is not None:
            cells[column.name] = _cell(column, value)
    return cells


def _value(dumped: object, key: str) -> object:
    """The value at a path such as ``environment.frost``, None if there is none."""
    for part in key.split("."):
        dumped = dumped.get(part) if isinstance(dumped, Mapping) else None
    return dumped


def _cell(column: Column, value: object) -> str:
    text = str(value)
    match column.measure:
        case Measure.LENGTH:
            return _length(parse_length(text), column.unit)
        case Measure.PRESSURE | Measure.TEMPERATURE:
            return text.removesuffix(f" {column.unit}").removesuffix(".0")
        case Measure.FLAG:
            return "yes" if value is True else ""
        case Measure.CHOICE if column.name == "side":
            return _SIDES.get(text, text)
    return text


def _length(mm: float, unit: str) -> str:
    """The length as a bare number in the column's unit if that reads back exactly."""
    text = plain(float(f"{mm / _UNITS[unit].millimeters:.9g}")).removesuffix(".0")
    return text if parse_length(text, _UNITS[unit]) == mm else length_text(mm)


def _place_cells(position: Position, counted: bool) -> Cells:
    """The cells of a position; a run counted by its rule has no quantity."""
    lengths = {
        "at_ft": position.at,
        "height_ft": position.height,
        "distance_ft": position.distance,
    }
    cells = {
        "qty": "" if counted else str(position.quantity),
        "area": position.area,
        "location": position.location,
        "line": position.line,
        "drawing": position.drawing,
        "from": position.from_,
        "to": position.to,
        "note": position.note,
        "spot": position.spot,
        **{name: _length(mm, "ft") for name, mm in lengths.items() if mm is not None},
    }
    if position.pipe_run is not None:
        fields: dict[str, object] = _RUN.dump_python(
            position.pipe_run, mode="json", exclude_defaults=True
        )
        if position.pipe_run.length is not None:
            fields.pop("length")
            cells["length_ft"] = _length(position.pipe_run.length, "ft")
        cells |= {name: str(value) for name, value in fields.items()}
    return cells
