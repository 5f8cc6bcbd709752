"""The demo line list: an invented two-stage ammonia plant, written as a workbook.

Example Ridge Cold Store does not exist. Its lines are in ``demo_lines`` and ``demo_wings``, its
machines and valves in ``demo_parts``.
"""

from __future__ import annotations

import datetime
from pathlib import Path

import xlsxwriter

from tests.samples import demo_lines, demo_parts, demo_wings
from tests.samples.demo_lines import Row

HERE = Path(__file__).resolve()
TARGET = HERE.parents[2] / "output_samples" / "demo_plant.xlsx"
# The page shows the same list, wherever the program is installed.
PACKED = HERE.parents[2] / "render" / "web" / "demo" / "demo_plant.xlsx"
TITLE = "Example Ridge Cold Store (invented plant): ammonia line list, revision C"
# What holds for the whole list, on a sheet of its own.
ORDER = (
    ("title", "Markers for the ammonia lines"),
    ("plant", "Example Ridge Cold Store (invented plant)"),
    ("revision", "C"),
    ("date", "2026-01-15"),
    (
        "accept",
        "run-short",
        "between these elbows two lines read well from the walkway; no longer run is in sight",
        "HPL",
    ),
)
# The headings of every list, then the optional ones that this plant needs.
HEADINGS = (
    *("line", "kind", "contents", "service", "state", "pressure_psig", "level", "flow", "run"),
    *("side", "from", "to", "pipe", "covering_in", "od_in", "girth_in", "environment"),
    *("surface_f", "frost_in", "viewing_ft", "tag", "function", "valve_size", "normal_position"),
    *("emergency", "drawing", "qty", "area", "location", "legend", "note"),
    *("straight_in", "applied_f", "paint", "wrap"),
    *("length_ft", "rooms", "turns", "penetrations", "height_ft", "distance_ft"),
    "spacing",
)
_WIDTHS = {
    **dict.fromkeys(("line", "function", "location"), 21),
    **dict.fromkeys(("from", "to", "environment", "area"), 15),
    **dict.fromkeys(("legend", "note"), 30),
    **dict.fromkeys(("kind", "pressure_psig", "valve_size", "normal_position"), 14),
    **dict.fromkeys(("tag", "spacing"), 17),
}
AREAS = {
    "Machinery room": ("R-101", "indoor"),
    "Rooftop": ("R-102", "outdoor"),
    "Freezer": ("R-103", "indoor"),
    "Dock": ("R-104", "indoor washdown"),
    "Pipe bridge": ("R-105", "outdoor"),
    "Receiver yard": ("R-106", "outdoor"),
    "Mezzanine": ("R-107", "indoor"),
    "Blast cells": ("R-108", "indoor"),
    "Cooler": ("R-109", "indoor"),
}
_LINES = (
    ("Machinery room", demo_lines.machinery_room),
    ("Rooftop", demo_lines.rooftop),
    ("Freezer", demo_lines.freezer),
    ("Dock", demo_lines.dock),
    ("Pipe bridge", demo_wings.pipe_bridge),
    ("Receiver yard", demo_wings.receiver_yard),
    ("Mezzanine", demo_wings.mezzanine),
    ("Blast cells", demo_wings.blast_cells),
    ("Cooler", demo_wings.cooler),
)


def rows() -> list[Row]:
    """Every row of the list: lines area by area, machines, valves."""
    found = [{"kind": "pipe", "area": area, **row} for area, lines in _LINES for row in lines()]
    found += [*demo_parts.equipment(), *demo_parts.valves()]
    for row in found:
        drawing, environment = AREAS[str(row["area"])]
        row["drawing"] = drawing
        row.setdefault("environment", environment)
    return found


def write(path: Path = TARGET) -> None:
    """Write the workbook; the same rows always give the same bytes."""
    book = xlsxwriter.Workbook(str(path))
    book.set_properties({"title": TITLE, "created": datetime.datetime(2026, 1, 1)})
    sheet = book.add_worksheet("Line list")
    title = book.add_format({"bold": True, "font_size": 14})
    heading = book.add_format(
        {"bold": True, "bg_color": "#1F3A4D", "font_color": "#FFFFFF", "border": 1, "rotation": 0}
    )
    number = book.add_format({"num_format": "General", "align": "right"})
    text = book.add_format({"num_format": "@"})  # so that 3/4 stays 3/4
    sheet.set_row(0, 24)
    sheet.write_string(0, 0, TITLE, title)
    for column, name in enumerate(HEADINGS):
        sheet.set_column(column, column, _WIDTHS.get(name, max(9, len(name) + 2)))
        sheet.write_string(1, column, name, heading)
    listed = rows()
    for index, row in enumerate(listed, 2):
        for column, name in enumerate(HEADINGS):
            value = row.get(name, "")
            if isinstance(value, str):
                if value:
                    sheet.write_string(index, column, value, text)
            else:
                sheet.write_number(index, column, value, number)
    sheet.freeze_panes(2, 1)
    sheet.autofilter(1, 0, len(listed) + 1, len(HEADINGS) - 1)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(1)
    _write_order(book, text)
    book.close()


def _write_order(book: xlsxwriter.Workbook, text: object) -> None:
    sheet = book.add_worksheet("Order")
    for column, width in enumerate((12, 40, 60, 12)):
        sheet.set_column(column, column, width)
    for number, cells in enumerate(ORDER):
        for column, cell in enumerate(cells):
            sheet.write_string(number, column, cell, text)


if __name__ == "__main__":
    write()
