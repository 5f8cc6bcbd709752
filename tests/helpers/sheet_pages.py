"""All sheets of a group at once, for tests that look at their pages side by side."""

from __future__ import annotations

from layouts.drawing.document import Document
from layouts.drawing.typeset import Typesetter
from layouts.pages.check import count_faults, sheet_faults
from layouts.pages.margin import SheetText
from layouts.pages.sheet import SheetPages
from layouts.sheets.sheetplan import SheetPlan
from layouts.sheets.stock import Printer


def assemble(plan: SheetPlan, text: SheetText, printer: Printer, setter: Typesetter) -> Document:
    """A document of every sheet of the group."""
    made = SheetPages(plan, text, printer, setter)
    pages = tuple(map(made.page, plan.sheets))
    return Document(plan.key, plan.document_title(text.order), pages, dict(made.symbols))


def check_sheets(plan: SheetPlan, document: Document) -> tuple[str, ...]:
    """Every fault that the judge of the geometry finds in the group's sheets."""
    faults = list(count_faults(plan))
    for sheet, page in zip(plan.sheets, document.pages, strict=True):
        faults += sheet_faults(plan, sheet, page, document.symbols)
    return tuple(faults)
