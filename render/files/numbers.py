"""The one way a number becomes text in SVG and PDF: fixed point, no exponent, no trailing zeros."""

from functools import lru_cache


@lru_cache(maxsize=1 << 14)  # the numbers of one sheet come back on the next
def plain(value: float, places: int = 4) -> str:
    """``value`` rounded to ``places`` decimals, as short as it can be written.

    Four places of a millimeter are a tenth of a micrometer, a hundred times finer than the
    tolerance between the formats.
    """
    text = f"{value:.{places}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
