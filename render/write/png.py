"""Draws a page's SVG on white as PNG. Only this module deals in pixels."""

from collections.abc import Mapping

from layouts.drawing.document import Page, Symbol
from layouts.terms.errors import OutputError
from render.write.svg import write_page

_WIDEST_PX = 32767  # the longest side of a cairo image surface


def write(
    page: Page,
    symbols: Mapping[str, Symbol],
    *,
    width_px: int | None = None,
    dpi: float | None = None,
) -> bytes:
    """The page as a PNG file, either of a given width in pixels or at a given dpi.

    Raises:
        ValueError: neither or both of ``width_px`` and ``dpi`` are given.
        OutputError: the picture would be empty or wider or higher than 32767 pixels.
    """
    if width_px is None and dpi is not None:
        width_px = round(page.size.width / 25.4 * dpi)
    elif width_px is None or dpi is not None:
        raise ValueError("give either width_px or dpi")
    height_px = max(1, round(width_px * page.size.height / page.size.width))
    if not 1 <= width_px <= _WIDEST_PX or height_px > _WIDEST_PX:
        raise OutputError(
            f"{page.id}: a picture of {width_px} x {height_px} pixels cannot be drawn; "
            f"each side must have 1 to {_WIDEST_PX}"
        )
    return _rasterize(write_page(page, symbols), width_px, height_px)


def _rasterize(svg: bytes, width_px: int, height_px: int) -> bytes:
    """Typed wrapper of cairosvg, which takes a third of a second to load."""
    try:
        import cairosvg
    except OSError as error:  # the package is installed, but not the library that it calls
        raise OutputError(
            "pictures need the cairo library, which is not on this machine; install it (libcairo2 "
            "on Debian, cairo by Homebrew), or write .pdf or .svg",
            "no-cairo",
        ) from error

    picture: bytes = cairosvg.svg2png(
        bytestring=svg,
        output_width=width_px,
        output_height=height_px,
        background_color="#ffffff",
    )
    return picture
