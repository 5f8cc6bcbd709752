"""A QR code in a sheet's margin that names its cut file (ISO/IEC 18004; drawn by segno)."""

from __future__ import annotations

from collections.abc import Iterator

from layouts.drawing import Path, Rect, rectangle
from layouts.drawing.qr_code import QUIET, Modules, qr_modules
from layouts.sheets.sheetplan import Sheet, SheetPlan
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity

_LEAST = 0.25  # a module that a camera still reads, mm: common practice, no source


def sheet_code(sheet: Sheet, plan: SheetPlan, right: float) -> Path:
    """The code with the name of the sheet's cut file, without its suffix.

    With its quiet zone it is as high as the bottom margin, and ends at ``right`` (mm).

    Raises:
        InputError: the margin is too narrow for a code that can be read.
    """
    name, margin = plan.cut_name(sheet.cut), sheet.stock.margin
    rows = qr_modules(name)
    size = margin / (len(rows) + 2 * QUIET)
    if size < _LEAST:
        need = _LEAST * (len(rows) + 2 * QUIET)
        what = f"a code that names {name} needs a margin of {need:.1f} mm, and it is {margin:g} mm"
        remedy = f"give {sheet.stock.title} a larger margin, or cut files shorter names"
        place = Place(plan.printer.file, field="printer, sheet_codes")
        raise InputError([Finding("sheet-code", Severity.UNREADABLE, what, remedy, place=place)])
    left, top = right - margin + QUIET * size, sheet.length - margin + QUIET * size
    runs = (
        rectangle(Rect(left + start * size, top + row * size, count * size, size))
        for row, start, count in _runs(rows)
    )
    return Path(tuple(contour for run in runs for contour in run.contours))


def _runs(rows: Modules) -> Iterator[tuple[int, int, int]]:
    """Row, first column and length of every run of dark modules."""
    for number, row in enumerate(rows):
        start = None
        for column, dark in enumerate((*row, False)):
            if dark and start is None:
                start = column
            elif not dark and start is not None:
                yield number, start, column - start
                start = None
