"""The sheet ``Order`` of a workbook, with the settings for the whole list.

A row is a key of the order file and its value: ``title``, ``plant``, ``scheme`` and so on, the
stocks by their role. A row ``accept`` has code, reason and, if it is for one marker only, that
marker; rows ``color`` and ``cutoff`` have contents and the plant's choice for them (``color``,
``CO2``, ``purple``, or ``CO2 = purple`` in one cell). Rows without a value are ignored.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from layouts.order.order import OrderHead, StockChoice
from render.read.cells import Cell, CellFault
from render.read.mapping import is_mapping_row

HEAD_SHEET = "Order"
STOCKS = tuple(StockChoice.model_fields)
# The keys in the order in which people fill them in; the program sets ``version``.
KEYS = (
    *(
        key
        for key in OrderHead.model_fields
        if key not in ("version", "stocks", "accept", "colors", "cutoffs", "signs")
    ),
    *STOCKS,
)
ACCEPT = "accept"
_ACCEPTED = ("code", "reason", "marker")
CHOICES = {"color": "colors", "cutoff": "cutoffs"}  # one row each, and the key of the order


def head_tables(rows: Iterable[Sequence[Cell]]) -> dict[str, object]:
    """The rows as the tables of an order file; each key is checked as it is there."""
    tables: dict[str, object] = {}
    stocks: dict[str, str] = {}
    accepted: list[dict[str, str]] = []
    chosen: dict[str, dict[str, str]] = {}
    for cells in rows:
        name, *values = (_text(cell) for cell in cells)
        key = "_".join(name.casefold().split())
        if not any(values) or is_mapping_row(key):
            continue  # a title, a key that nobody filled, or how the plant writes its lists
        if key == ACCEPT:
            pairs = zip(_ACCEPTED, values, strict=False)
            accepted.append({field: value for field, value in pairs if value})
        elif key.removesuffix("s") in CHOICES:
            contents, choice = _choice(values)
            chosen.setdefault(CHOICES[key.removesuffix("s")], {})[contents] = choice
        elif key in STOCKS:
            stocks[key] = values[0]
        else:
            tables[key] = values[0]
    if stocks:
        tables["stocks"] = stocks
    if accepted:
        tables["accept"] = accepted
    return {**tables, **chosen}


def _choice(values: Sequence[str]) -> tuple[str, str]:
    """Contents and the choice for them, from two cells or from ``CO2 = purple`` in one."""
    first, *more = values
    second = next(filter(None, more), "")
    if "=" in first and not second:
        first, _, second = first.partition("=")
    return first.strip(), second.strip()


def head_rows(head: OrderHead) -> Iterator[tuple[str, ...]]:
    """The rows that read back to the head, without default values."""
    given = head.model_dump(mode="json", include={*KEYS}, exclude_defaults=True)
    stocks = head.stocks.model_dump(mode="json", exclude_defaults=True)
    texts: Mapping[str, object] = {"title": head.title, **given, **stocks}
    yield from ((key, str(texts[key])) for key in KEYS if key in texts)
    dumped = head.model_dump(mode="json", include={*CHOICES.values()})
    for row, key in CHOICES.items():
        yield from ((row, contents, str(choice)) for contents, choice in dumped[key].items())
    for each in head.accept:
        yield ACCEPT, each.code, each.reason, each.marker


def _text(cell: Cell) -> str:
    """The cell as text; a date becomes its ISO form."""
    return cell.date if isinstance(cell, CellFault) else cell.strip()
