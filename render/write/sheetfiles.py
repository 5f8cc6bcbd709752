"""Files for machines: one print file per group of sheets, cut files per layout."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from layouts.drawing.document import CUTS, Document, Page, Step
from layouts.pages.back import Sides
from layouts.sheets.sheetplan import BACK, SheetPlan
from layouts.sheets.stock import CutFormat, NotesIn, Printer
from render.write import dxf, pdf, png, svg
from render.write.polylines import Repeated


@dataclass(frozen=True, slots=True)
class Printing:
    """The press's ink settings, and whether each sheet gets a PNG."""

    press: pdf.Press
    previews: bool


def sheet_files(group: SheetPlan, sides: Sides, how: Printing) -> list[tuple[str, bytes]]:
    """Every file of one group, by its path in the job folder."""
    written = _side_files(group, sides.front, how, "")
    if sides.back is not None:
        written += _side_files(group, sides.back, how, BACK)
    return written


def _side_files(
    group: SheetPlan, document: Document, how: Printing, end: str
) -> list[tuple[str, bytes]]:
    """The files of one side of all sheets; ``end`` ends their names."""
    written: list[tuple[str, bytes]] = []
    if CutFormat.PDF in group.printer.files or any(part.art for part in group.parts.values()):
        written.append((f"print/{group.print_name()}{end}.pdf", pdf.write(document, how.press)))
    cut_done: set[int] = set()
    texts, repeated = svg.path_texts(), Repeated()
    for sheet, page in zip(group.sheets, document.pages, strict=True):
        if how.previews:
            name = f"preview/{group.key}-{sheet.number}{end}.png"
            written.append((name, png.write(page, document.symbols, width_px=1600)))
        if sheet.cut not in cut_done and _is_cut(page):
            cut_done.add(sheet.cut)
            name = f"cut/{group.cut_name(sheet.cut)}{end}"
            written += _cut_files(name, page, group.printer, texts, repeated)
    return written


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
