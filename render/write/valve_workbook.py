"""Writes the valve schedule as a workbook, to filter and sort."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from layouts.order.order import Order
from layouts.papers.schedule import ValveRow
from layouts.schemes.model import Scheme
from render.files.xlsx import Book

_SHEET: tuple[tuple[str, float, Callable[[ValveRow], str]], ...] = (
    ("Emergency", 11, lambda row: "EMERGENCY" if row.emergency else ""),
    ("Valve no.", 13, lambda row: row.number),
    ("System", 9, lambda row: row.service),
    ("System means", 30, lambda row: row.meaning),
    ("Function", 28, lambda row: row.function),
    ("Location", 28, lambda row: row.location),
    ("Area", 18, lambda row: row.area),
    ("Size", 11, lambda row: row.size),
    ("Normal position", 16, lambda row: row.normal_position),
    ("Lockout", 10, lambda row: "yes" if row.lockout else ""),
    ("P&ID sheet", 12, lambda row: row.drawing),
    ("Notes", 34, lambda row: row.notes),
)
_HEAD_ROW = 2


def valves_xlsx(
    order: Order,
    rows: Sequence[ValveRow],
    schemes: Mapping[str, Scheme],
    date: str | None = None,
) -> bytes:
    """The schedule as a workbook: the same rows in the same order, to filter and sort."""
    day = order.date or date
    title = f"Valve schedule: {order.plant or order.title}"
    book = Book(title, day)
    sheet = book.sheet("Valves")
    about = [title, f"revision {order.revision}" if order.revision else "", day or ""]
    text = "   |   ".join(part for part in about if part)
    sheet.write_string(0, 0, text, book.style({"bold": True}))
    head = book.style({"bold": True, "bg_color": "#262626", "font_color": "#FFFFFF"})
    plain = book.style({"valign": "top", "text_wrap": True, "bottom": 4})
    red = schemes[order.scheme].inks["safety red"].preview
    urgent = book.style(
        {"valign": "top", "bold": True, "bottom": 4, "font_color": "#FFFFFF", "bg_color": red}
    )
    for column, (name, width, _) in enumerate(_SHEET):
        sheet.set_column(column, column, width)
        sheet.write_string(_HEAD_ROW, column, name, head)
    for index, row in enumerate(rows, start=_HEAD_ROW + 1):
        for column, (_, _, cell) in enumerate(_SHEET):
            style = urgent if row.emergency and column < 2 else plain
            text = cell(row)
            if text:
                sheet.write_string(index, column, text, style)
            else:
                sheet.write_blank(index, column, None, style)
    sheet.autofilter(_HEAD_ROW, 0, _HEAD_ROW + max(1, len(rows)), len(_SHEET) - 1)
    sheet.freeze_panes(_HEAD_ROW + 1, 2)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(_HEAD_ROW)
    return book.finish()
