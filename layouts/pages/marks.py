"""Marks that a cutter's camera looks for: along both sides, one more to tell the orientation.

Each keeps its quiet zone clear of the stock's keep-out zones; on film that is not white it lies
on white, or the camera would not see it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from layouts.drawing import Point, Rect, rectangle
from layouts.drawing.document import Fill, Layer, Step
from layouts.pages.steps import step_strokes
from layouts.sheets.film import WHITE
from layouts.sheets.sheetplan import Sheet
from layouts.sheets.stock import Base, Printer, Stock
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity

_HAIR = 0.01  # beyond a zone's edge, mm


def refuse_marks(stock: Stock, printer: Printer) -> None:
    """Marks must lie in the margin with their quiet zones.

    Raises:
        InputError: they do not; the shop's file and its key are named.
    """
    need = printer.mark_size + 2 * printer.quiet_zone
    if printer.marks is None or need <= stock.margin + 1e-9:
        return
    what = (
        f"marks of {printer.mark_size:g} mm with {printer.quiet_zone:g} mm of quiet zone on both "
        f"sides take {need:g} mm, and the margin of {stock.title} is {stock.margin:g} mm"
    )
    right = f"give smaller marks, or the stock a margin of {need:g} mm"
    place = Place(printer.file or "the built-in stocks", field="printer, mark_size")
    raise InputError([Finding("marks-margin", Severity.UNREADABLE, what, right, place=place)])


def marks_wanted(sheet: Sheet, printer: Printer) -> int:
    """How many marks a sheet of this length has where no zone is in the way."""
    return 2 * (_intervals(sheet, printer) + 1) + int(_has_turn_mark(sheet, printer))


def mark_places(sheet: Sheet, printer: Printer) -> tuple[Point, ...]:
    """Centers of the marks, in the middle of the margin.

    Four lie at the corners, or along the sides as near to them as the zones allow; further ones
    between them, evenly. The last is the one that tells the orientation: on the left side only,
    beside the first corner. A mark without a place is left out.
    """
    near = sheet.stock.margin / 2
    top, bottom = near, sheet.length - near
    count = _intervals(sheet, printer)
    reach = (bottom - top) / count / 2
    ys = [top + n * (bottom - top) / count for n in range(count + 1)]
    places = [
        Point(x, clear)
        for x in (near, sheet.width - near)
        for n, y in enumerate(ys)
        if (clear := _clear(sheet, printer, x, y, reach, _ways(n, count))) is not None
    ]
    if _has_turn_mark(sheet, printer):
        first = min((each.y for each in places if each.x == near), default=top)
        y = first + _turn_offset(printer)
        clear = _clear(sheet, printer, near, y, reach - _turn_offset(printer) / 2, (1,))
        places += [Point(near, clear)] if clear is not None else []
    return tuple(places)


def mark_boxes(sheet: Sheet, printer: Printer) -> Iterator[Rect]:
    """Every mark with its quiet zone."""
    if printer.marks is None:
        return
    for center in mark_places(sheet, printer):
        yield _box(center.x, center.y, printer)


def mark_centers(sheet: Sheet, printer: Printer) -> Layer:
    """A square of 1 mm around each mark's center, for the cutter's own file."""
    squares = (
        rectangle(Rect(center.x - 0.5, center.y - 0.5, 1.0, 1.0))
        for center in mark_places(sheet, printer)
    )
    return Layer(Step.MARKS.title, step_strokes(squares, Step.MARKS, printer), Step.MARKS)


def white_under(sheet: Sheet, printer: Printer, slug: Rect | None) -> Iterator[Fill]:
    """White under marks and slug on film that is not white."""
    if sheet.stock.base is Base.WHITE or not sheet.stock.prints:
        return
    media = Rect(0.0, 0.0, sheet.width, sheet.length)
    for box in (*mark_boxes(sheet, printer), *((slug,) if slug is not None else ())):
        left, top = max(box.x, media.x), max(box.y, media.y)
        right, bottom = min(box.right, media.right), min(box.bottom, media.bottom)
        yield Fill(rectangle(Rect(left, top, right - left, bottom - top)), WHITE, overprint=True)


def _intervals(sheet: Sheet, printer: Printer) -> int:
    return max(1, math.ceil((sheet.length - sheet.stock.margin) / printer.mark_spacing - 1e-9))


def _turn_offset(printer: Printer) -> float:
    """From a corner mark to the one that tells the orientation."""
    return 2 * (printer.mark_size + 2 * printer.quiet_zone)


def _has_turn_mark(sheet: Sheet, printer: Printer) -> bool:
    """Whether there is room for it before the next mark."""
    span = (sheet.length - sheet.stock.margin) / _intervals(sheet, printer)
    return span >= 2 * _turn_offset(printer)


def _ways(number: int, last: int) -> tuple[int, ...]:
    """Which ways a mark may give way: the first down, the last up, others both."""
    if number == 0:
        return (1,)
    return (-1,) if number == last else (1, -1)


def _clear(
    sheet: Sheet, printer: Printer, x: float, y: float, reach: float, ways: tuple[int, ...]
) -> float | None:
    """The y nearest to the preferred one, at most ``reach`` away, where a mark touches no zone."""
    found = [_shift_mark(sheet, printer, x, y, reach, way) for way in ways]
    return min(
        (each for each in found if each is not None), key=lambda at: abs(at - y), default=None
    )


def _shift_mark(
    sheet: Sheet, printer: Printer, x: float, y: float, reach: float, way: int
) -> float | None:
    at, half = y, printer.mark_size / 2 + printer.quiet_zone + _HAIR
    while abs(at - y) <= reach:
        box = _box(x, at, printer)
        zone = next((each for each in sheet.stock.keep_outs if _touch(box, each)), None)
        if zone is None:
            return at
        at = zone.bottom + half if way > 0 else zone.y - half
    return None


def _box(x: float, y: float, printer: Printer) -> Rect:
    half = printer.mark_size / 2 + printer.quiet_zone
    return Rect(x - half, y - half, 2 * half, 2 * half)


def _touch(box: Rect, zone: Rect) -> bool:
    return box.x < zone.right and zone.x < box.right and box.y < zone.bottom and zone.y < box.bottom
