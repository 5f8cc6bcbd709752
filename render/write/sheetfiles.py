"""The files that run on machines: a print file a group of sheets, cut files an arrangement."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from layouts.drawing.document import Document, Page, Step
from layouts.pages.cuts import Bridges, CutOptions, prepared_page
from layouts.sheets.sheetplan import SheetPlan
from layouts.sheets.stock import Printer
from render.write import dxf, pdf, png, svg
from render.write.polylines import Repeated


@dataclass(frozen=True, slots=True)
class Printing:
    """The shop's machines, how its press takes inks, and whether each sheet is shown as PNG."""

    printer: Printer
    press: pdf.Press
    previews: bool


def sheet_files(group: SheetPlan, document: Document, how: Printing) -> list[tuple[str, bytes]]:
    """Every file of one group, by its path in the job folder."""
    written = [(f"print/{group.key}.pdf", pdf.write(document, how.press))]
    cut_done: set[int] = set()
    texts, repeated = svg.path_texts(), Repeated()
    for sheet, page in zip(group.sheets, document.pages, strict=True):
        if how.previews:
            name = f"preview/{group.key}-{sheet.number}.png"
            written.append((name, png.write(page, document.symbols, width_px=1600)))
        if sheet.cut not in cut_done:
            cut_done.add(sheet.cut)
            name = f"cut/{group.key}-{sheet.cut}"
            written += _cut_files(name, page, how.printer, texts, repeated)
    return written


def _cut_files(
    name: str, page: Page, printer: Printer, texts: svg.PathTexts, repeated: Repeated
) -> Iterator[tuple[str, bytes]]:
    cuts = _for_machine(_cut_only(page), _cut_options(printer))
    yield f"{name}.dxf", dxf.write(cuts, {}, printer.cut_units, printer.step_layers, repeated)
    yield f"{name}.svg", svg.write_page(cuts, {}, texts)


def _for_machine(page: Page, options: CutOptions) -> Page:
    """The page's cuts, already clean and in order, with what the shop's machine asks for."""
    return page if options == CutOptions() else prepared_page(page, {}, options)


def _cut_options(printer: Printer) -> CutOptions:
    """What the shop's machine asks for beyond clean contours in order."""
    return CutOptions(
        merge=printer.merge_edges,
        bridges=Bridges(printer.bridge, printer.bridge_spacing) if printer.bridge else None,
        weeding=printer.weeding_frame or None,
    )


def _cut_only(page: Page) -> Page:
    """The page with nothing but what a cutter or its operator reads."""
    prints = (None, Step.WHITE)
    return replace(page, layers=tuple(each for each in page.layers if each.step not in prints))
