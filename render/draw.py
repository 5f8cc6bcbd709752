"""Draws one marker, or its left- and right-hand pair, on one page for the technician."""

from __future__ import annotations

from layouts.drawing import Size
from layouts.drawing.document import Document
from layouts.drawing.lettering import Typeface
from layouts.drawing.typeset import Typesetter
from layouts.markers.gather import Marker
from layouts.order.order import Order
from layouts.pages.single import single
from layouts.pages.tiles import tile_markers
from layouts.sheets.stock import Shop
from layouts.terms.errors import InputError, OutputError, refuse_blocked
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.values import frozen
from layouts.terms.words import PartRole
from render.decide import decide
from render.options import Options, printed_date
from render.write.pdf.press import press_of


@frozen
class DecidedMarker:
    """A marker, or its left- and right-hand pair, before page layout; ``paper`` is in mm."""

    markers: tuple[Marker, ...]
    findings: tuple[Finding, ...]
    _text: Typeface
    _shop: Shop
    _date: str | None
    _paper: Size | None

    def document(self) -> Document:
        """A page with the parts at full size, or as many pages of the paper as they need."""
        setter = Typesetter(self._text)
        if self._paper is not None:
            return tile_markers(self.markers, self._paper, setter, self._date)
        printer = self._shop.printer_for(self.markers[0].face.parts[0].role)
        return single(self.markers, printer, setter, self._date)


def decide_marker(order: Order, options: Options, paper: str = "") -> DecidedMarker:
    """Decide one marker, up to its face; the page is laid out only when asked for.

    A line read from both sides gives two markers, below each other. With ``paper``, the key of
    a stock, the print is tiled at full size over as many of its sheets or frames as it needs.

    Raises:
        InputError: the marker is impossible.
        BlockedError: it must not be printed as it is.
    """
    decided = decide(order, options)
    refuse_blocked(decided.gathered.findings)
    return DecidedMarker(
        decided.gathered.markers,
        decided.gathered.findings,
        decided.typefaces.text,
        options.shop,
        printed_date(order.date),
        paper_size(paper, options.shop) if paper else None,
    )


def draw(
    order: Order, options: Options, paper: str = ""
) -> tuple[Document, tuple[Marker, ...], tuple[Finding, ...]]:
    """A page of one marker, the markers on it and their findings.

    Raises:
        InputError: as ``decide_marker``.
        BlockedError: as ``decide_marker``.
    """
    decided = decide_marker(order, options, paper)
    return decided.document(), decided.markers, decided.findings


def paper_size(key: str, shop: Shop) -> Size:
    """Width and length of a stock's sheet or longest frame.

    Raises:
        InputError: the shop does not have that stock.
    """
    stock = shop.stocks.get(key)
    if stock is None:
        what = f"there is no paper {key!r}"
        right = f"use letter or a4, or another stock: {', '.join(shop.stocks)}"
        fault = Finding(
            "stock-unknown", Severity.UNREADABLE, what, right, place=Place(field="paper")
        )
        raise InputError([fault])
    return Size(stock.width, stock.length)


def drawn_bytes(
    document: Document, suffix: str, options: Options, role: PartRole = PartRole.FILM
) -> bytes:
    """A one-page document in the format of a file suffix, for the machines of a role's parts.

    Raises:
        OutputError: the suffix is none of .pdf, .svg, .dxf and .png, or of a format that holds
            one page where there are more.
    """
    if len(document.pages) > 1 and suffix.lower() != ".pdf":
        raise OutputError(
            f"{len(document.pages)} pages need a PDF; end the file's name in .pdf", "bad-suffix"
        )
    page, printer = document.pages[0], options.shop.printer_for(role)
    match suffix.lower():
        case ".pdf":
            from render.write import pdf

            profile = options.output_profile(printer)
            return pdf.write(document, press_of(printer, profile, document.inks()))
        case ".svg":
            from render.write import svg

            return svg.write_page(page, document.symbols, names=printer.step_layers)
        case ".dxf":
            from render.write import dxf

            return dxf.write(page, document.symbols, printer.cut_units, printer.step_layers)
        case ".png":
            from render.write import png

            return png.write(page, document.symbols, dpi=150)
        case _:
            raise OutputError(
                (f"{suffix} is not a format" if suffix else "the output name needs a suffix")
                + "; end it in .pdf, .svg, .dxf or .png",
                "bad-suffix",
            )
