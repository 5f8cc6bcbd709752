"""Files for machines: one print file per group of sheets, cut files per layout.

Sheets are assembled, judged and written one after another, and each is let go before the next.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from layouts.drawing.document import CUTS, Document, Page, Step
from layouts.drawing.lettering import Typeface
from layouts.drawing.typeset import Typesetter
from layouts.pages.back import back_page, register_faults
from layouts.pages.check import Sound, count_faults, sheet_faults
from layouts.pages.cuts import CutOptions, Known, prepared_page
from layouts.pages.margin import SheetText
from layouts.pages.sheet import SheetPages
from layouts.pages.weeding import refuse_frame
from layouts.sheets.sheetplan import BACK, Sheet, SheetPlan
from layouts.sheets.stock import CutFormat, NotesIn, Printer
from layouts.terms.errors import OutputError
from layouts.terms.values import frozen
from render.write import dxf, pdf, png, svg
from render.write.polylines import Repeated


@frozen
class Printing:
    """How a group's sheets are written.

    ``text`` is for their margins, in ``typeface``; ``press`` has the ink settings. With
    ``previews`` each sheet gets a PNG. ``pictures`` is a folder beside the job's that receives an
    SVG of each sheet's front, None for no pictures.
    """

    text: SheetText
    typeface: Typeface
    date: str | None
    press: pdf.Press
    previews: bool
    pictures: Path | None


class FaultySheetsError(OutputError):
    """The geometry of a group's sheets has faults; ``faults`` are all of them."""

    def __init__(self, faults: tuple[str, ...]) -> None:
        super().__init__(f"the sheets failed their inspection: {'; '.join(faults)}")
        self.faults = faults

    def __reduce__(self) -> tuple[type, tuple[tuple[str, ...]]]:
        """Come whole from the process that found them."""
        return type(self), (self.faults,)


def sheet_files(group: SheetPlan, how: Printing) -> Iterator[tuple[str, bytes]]:
    """Every file of one group, by its path in the job folder.

    Raises:
        InputError: the shop's marks or weeding frame do not fit.
        FaultySheetsError: the geometry of a sheet has a fault; all sheets have been looked at.
    """
    setter = Typesetter(how.typeface)
    pages = SheetPages(group, how.text, group.printer, setter)
    title = group.document_title(how.text.order)
    fronts = Document(group.key, title, (), pages.symbols, how.date)
    backs = replace(fronts, id=f"{group.key}-back", title=f"{title}, backs")
    front = _Side(group, fronts, how, "")
    back = _Side(group, backs, how, BACK) if group.two_faced else None
    known, options, sound = Known(), CutOptions.of(group.printer), Sound()
    faults = list(count_faults(group))
    for sheet in group.sheets:
        page = pages.page(sheet)
        refuse_frame(group, sheet, page, pages.symbols)
        behind = back_page(sheet, page, group, how.text, setter) if back else None
        page = prepared_page(page, pages.symbols, options, known)
        faults += sheet_faults(group, sheet, page, pages.symbols, sound)
        if behind is not None:
            faults += register_faults(group, sheet, page, behind, pages.symbols)
        if faults:
            continue  # nothing faulty is written, and every fault is told
        yield from front.files_of(sheet, page)
        if how.pictures is not None:
            front.draw_picture(how.pictures, sheet, page)
        if back is not None and behind is not None:
            yield from back.files_of(sheet, behind)
    if faults:
        raise FaultySheetsError(tuple(faults))
    for side in (front, back):
        if side is not None:
            yield from side.print_file()


class _Side:
    """The files of one side of all sheets; ``end`` ends their names."""

    def __init__(self, group: SheetPlan, document: Document, how: Printing, end: str) -> None:
        self._group, self._how, self._end = group, how, end
        self._symbols = document.symbols
        wanted = CutFormat.PDF in group.printer.files
        printed = wanted or any(part.art for part in group.parts.values())
        self._print = pdf.Writer(document, how.press) if printed else None
        self._cut_done: set[int] = set()
        self._texts, self._repeated = svg.PathTexts(), Repeated()

    def files_of(self, sheet: Sheet, page: Page) -> Iterator[tuple[str, bytes]]:
        """The files of one sheet; the print file takes its page."""
        group = self._group
        if self._print is not None:
            self._print.page(page)
        if self._how.previews:
            name = f"preview/{group.key}-{sheet.number}{self._end}.png"
            yield name, png.write(page, self._symbols, width_px=1600)
        if sheet.cut not in self._cut_done and _is_cut(page):
            self._cut_done.add(sheet.cut)
            name = f"cut/{group.cut_name(sheet.cut)}{self._end}"
            yield from _cut_files(name, page, group.printer, self._texts, self._repeated)

    def draw_picture(self, folder: Path, sheet: Sheet, page: Page) -> None:
        """Draw a sheet for a screen."""
        data = svg.write_page(page, self._symbols, self._texts)
        (folder / f"{self._group.key}-{sheet.number}.svg").write_bytes(data)

    def print_file(self) -> Iterator[tuple[str, bytes]]:
        """The print file, once it has every page."""
        if self._print is not None:
            yield f"print/{self._group.print_name()}{self._end}.pdf", self._print.save()


def _is_cut(page: Page) -> bool:
    """Whether a machine cuts or engraves anything; backs of printed sheets are only printed."""
    return any(layer.step in CUTS or layer.step is Step.ENGRAVE for layer in page.layers)


def _cut_files(
    name: str, page: Page, printer: Printer, texts: svg.PathTexts, repeated: Repeated
) -> Iterator[tuple[str, bytes]]:
    cuts = _cut_only(page, printer.notes)
    if CutFormat.DXF in printer.files:
        data = dxf.write(cuts, {}, printer.cut_units, printer.step_layers, repeated)
        yield f"{name}.dxf", data
    if CutFormat.SVG in printer.files:
        yield f"{name}.svg", svg.write_page(cuts, {}, texts, printer.step_layers)


def _cut_only(page: Page, notes: NotesIn) -> Page:
    """The page with only what the cutter or its operator reads."""
    left_out = {None, Step.WHITE}
    if notes is not NotesIn.OUTLINE:
        left_out.add(Step.NOTES)
    return replace(page, layers=tuple(each for each in page.layers if each.step not in left_out))
