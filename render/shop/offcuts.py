"""Offcuts of a stock, by size."""

from __future__ import annotations

import re
from dataclasses import replace

from layouts.order.order import Order
from layouts.sheets.stock import Shop, Stock, StockForm
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.units import parse_length
from layouts.terms.values import frozen
from layouts.terms.words import FaceForm, LongParts, PartRole, PieceId, PieceIdPer, Together

_SIZE = re.compile(r"([\d.]+)\s*([a-z\"]*)\s*[x×]\s*([\d.]+)\s*([a-z\"]+)", re.IGNORECASE)
_ASKED = re.compile(
    rf"(?:(?P<role>{'|'.join(PartRole)})\s+)?(?P<size>.*?)(?:\s+of\s+(?P<material>.+))?",
    re.IGNORECASE,
)
_RIGHT = "write width and length with their unit, as in 300x600mm or 12x24in"


def offcut_size(text: str) -> tuple[float, float]:
    """Width and length in mm of ``300x600mm``, ``12 x 24 in`` or ``12in x 24in``.

    Raises:
        InputError: it is not a size.
    """
    found = _SIZE.fullmatch(text.strip())
    try:
        if found is None:
            raise ValueError(text)
        first, unit, second, last = found.groups()
        size = parse_length(f"{first} {unit or last}"), parse_length(f"{second} {last}")
        if not all(0 < side < 1e5 for side in size):
            raise ValueError(text)
    except ValueError as error:
        raise InputError([_fault(f"{text!r} is not a size", _RIGHT)]) from error
    return size


def offcut_of(whole: Stock, key: str, width: float, length: float) -> Stock:
    """A sheet cut from a stock: the same margin and gaps in another size, without zones.

    Raises:
        InputError: the margin leaves no usable area.
    """
    if min(width, length) <= 2 * whole.margin:
        what = f"the offcut is all margin: {whole.margin:g} mm are kept on each side"
        raise InputError([_fault(what, "give a larger offcut")])
    return replace(
        whole,
        key=key,
        title=f"offcut {width:g} x {length:g} mm of {whole.title}",
        form=StockForm.SHEET,
        width=width,
        length=length,
        sheets=None,
        leader=0.0,
        trailer=0.0,
        keep_outs=(),
        group="",
        cost=None,
        offcut_of=whole.key,
    )


def with_offcuts(shop: Shop, order: Order, texts: tuple[str, ...]) -> Shop:
    """The shop with the command line's offcuts, one sheet each, to be used first.

    ``300x600mm`` is of the order's film, ``plate 300x600mm`` of its plate; ``of vinyl film``
    after it says which one if the order uses several.

    Raises:
        InputError: a text names no offcut.
    """
    offcuts = list(shop.offcuts)
    for number, text in enumerate(texts, start=1):
        found = _ASKED.fullmatch(text.strip())
        assert found is not None  # the size takes any text
        role = (found["role"] or PartRole.FILM).lower()
        width, length = offcut_size(found["size"])
        for whole in shop.named(getattr(order.stocks, role))[:1]:
            made = offcut_of(whole, f"offcut-{number} of the command", width, length)
            material = found["material"] or ""
            offcuts.append(
                replace(made, roles=(PartRole(role),), sheets=1, material=material.strip())
            )
    return replace(shop, offcuts=tuple(offcuts))


def _fault(what: str, right: str) -> Finding:
    return Finding("offcut-size", Severity.UNREADABLE, what, right, place=Place())


@frozen
class Choices:
    """Stocks by key or group, and words of the order; empty keeps the order's choice."""

    film: str = ""
    plate: str = ""
    tag: str = ""
    keep_together: str = ""
    long_parts: str = ""
    offcuts: tuple[str, ...] = ()
    face: str = ""
    piece_id: str = ""
    piece_id_per: str = ""


def with_choices(order: Order, shop: Shop, choices: Choices) -> tuple[Order, Shop]:
    """The order and the shop, with the command's choices replacing theirs.

    Raises:
        InputError: a text is not an offcut.
    """
    asked = {"film": choices.film, "plate": choices.plate, "tag": choices.tag}
    stocks = order.stocks.model_copy(update={key: name for key, name in asked.items() if name})
    words: dict[str, object] = {"stocks": stocks}
    if choices.keep_together:
        words["keep_together"] = Together(choices.keep_together)
    if choices.long_parts:
        words["long_parts"] = LongParts(choices.long_parts)
    if choices.piece_id:
        words["piece_id"] = PieceId(choices.piece_id)
    if choices.piece_id_per:
        words["piece_id_per"] = PieceIdPer(choices.piece_id_per)
    if choices.face:
        words["face"] = FaceForm(choices.face)
    chosen = order.model_copy(update=words)
    return chosen, with_offcuts(shop, chosen, choices.offcuts)
