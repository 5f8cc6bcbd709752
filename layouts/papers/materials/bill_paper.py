"""The bill of materials on paper and as a table, and the price file that gives it costs."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from layouts.drawing.document import Document
from layouts.drawing.inks import BLACK, Ink
from layouts.drawing.typefaces import Typefaces
from layouts.order.order import Order
from layouts.papers.kit.paper import Paper, draw_title, running_lines, voices_of
from layouts.papers.kit.table import Column
from layouts.papers.materials import Bill, Line, Material, Unit, Waste
from layouts.papers.materials.model import WASTE_RULE, Purchase
from layouts.terms.units import MM_PER_FOOT

_HEADINGS = (
    *("material", "item", "specification", "size", "quantity", "unit", "used", "used_unit"),
    *("price", "price_unit", "cost", "currency", "remark"),
)
_NOTE = (
    f"{WASTE_RULE} The waste of a group is the one on the ticket. Marks and slug lines are not "
    "counted as ink. Straps are cut to length on site, as the installation packs say."
)


def bill_table(bill: Bill) -> list[tuple[str, ...]]:
    """A heading row, one row a line, the total last where there is one.

    One quantity and one unit a column: ``quantity`` in the unit that is ordered, ``used`` what
    the sheets and frames really take of it.
    """
    rows = [_HEADINGS, *(_csv_row(line, bill.currency) for line in _merged_inks(bill.lines))]
    if bill.total is not None:
        blank = ("",) * (len(_HEADINGS) - 4)
        total = f"{bill.total:.2f}"
        rows.append(("total", *blank, total, bill.currency, bill.total_text))
    return rows


def bill_document(
    order: Order, bill: Bill, typefaces: Typefaces, date: str | None = None, ink: Ink = BLACK
) -> Document:
    """The bill on US letter pages: amounts to order, waste, and cost."""
    day = order.date or date
    paper = Paper(running_lines(_TITLE, order, day), voices_of(typefaces), ink)
    paper.block(lambda at: draw_title(paper, order.plant or order.title, _TITLE, at))
    _draw_lines(paper, bill)
    _draw_waste(paper, bill)
    return Document(
        "materials",
        f"{_TITLE}: {order.title}",
        paper.finish("materials", _TITLE),
        paper.voices.symbols(),
        day,
    )


_TITLE = "Bill of materials"


def _draw_lines(paper: Paper, bill: Bill) -> None:
    """The amounts to order, with price and cost if known."""
    costed = bill.total is not None
    prices = (Column("Price", 22.0, "right"), Column("Cost", 20.0, "right")) if costed else ()
    columns = (
        Column("Material", 19.0),
        Column("Item and specification", paper.width - (140.0 if costed else 98.0)),
        Column("Size", 29.0),
        Column("Order", 30.0, "right"),
        Column("Used", 20.0, "right"),
        *prices,
    )
    paper.heading("Materials to order")
    paper.table(columns, [_paper_row(line, costed) for line in _merged_inks(bill.lines)])
    if costed:
        paper.space(2.0)
        paper.paragraph(f"Total: {bill.total_text}")


def _draw_waste(paper: Paper, bill: Bill) -> None:
    """Waste group by group, and of each stock that several groups share."""
    paper.heading("Waste")
    columns = (
        Column("Group", 22.0),
        Column("Stock", paper.width - 90.0),
        Column("Area", 40.0, "right"),
        Column("Share", 28.0, "right"),
    )
    shared = [each for each in bill.waste if _groups_of(each, bill) > 1]
    rows = [*map(_waste_row, bill.group_waste), *map(_waste_row, shared)]
    paper.table(columns, rows)
    paper.space(2.0)
    paper.paragraph(_NOTE)


def _groups_of(waste: Waste, bill: Bill) -> int:
    return sum((each.item, each.size) == (waste.item, waste.size) for each in bill.group_waste)


def _waste_row(waste: Waste) -> tuple[str, str, str, str]:
    stock = ", ".join(part for part in (waste.item, waste.size) if part)
    area = f"{waste.area / MM_PER_FOOT**2:.1f} sq ft"
    return waste.group or "together", stock, area, f"{waste.percent:.1f} %"


def _merged_inks(lines: Iterable[Line]) -> list[Line]:
    """The lines with each ink once, overprinted or not: it is one ink to order."""
    found: dict[tuple[object, ...], Line] = {}
    for line in lines:
        if line.material is not Material.INK:
            found[len(found), line.name] = line
            continue
        key = (Material.INK, line.item)
        before = found.get(key)
        found[key] = replace(line, size="") if before is None else _sum_of(before, line)
    return list(found.values())


def _sum_of(one: Line, other: Line) -> Line:
    amounts = tuple((unit, amount + (other.amount(unit) or 0.0)) for unit, amount in one.amounts)
    purchase = Purchase(one.purchase.quantity + other.purchase.quantity, one.purchase.unit)
    costs = [each.cost for each in (one, other) if each.cost is not None]
    cost = round(math.fsum(costs), 2) if costs else None
    return replace(one, amounts=amounts, purchase=purchase, cost=cost)


def _csv_row(line: Line, currency: str) -> tuple[str, ...]:
    used, unit = _used_text(line)
    cost = "" if line.cost is None else f"{line.cost:.2f}"
    price = "" if line.price is None else f"{line.price:.2f}"
    return (
        *(str(line.material), line.item, line.specification, line.size),
        *(_quantity_text(line), line.purchase.unit, used, unit),
        *(price, str(line.unit or ""), cost, currency if cost else "", line.lack),
    )


def _paper_row(line: Line, costed: bool) -> tuple[str, ...]:
    used, unit = _used_text(line)
    what = ", ".join(part for part in (line.item, line.specification) if part)
    cells = (str(line.material), what, line.size, _order_text(line), f"{used} {unit}".strip())
    if not costed:
        return cells
    price = "" if line.price is None else f"{line.price:.2f} / {line.unit}"
    return (*cells, price, "" if line.cost is None else f"{line.cost:.2f}")


def _quantity_text(line: Line) -> str:
    """A count as it is, a measure to three figures."""
    quantity = line.purchase.quantity
    return three_figures(quantity) if line.material is Material.INK else f"{quantity:g}"


def _order_text(line: Line) -> str:
    """``2 rolls of 150 ft``; milliliters have no plural."""
    unit, quantity = line.purchase.unit, line.purchase.quantity
    if quantity != 1 and line.material is not Material.INK:
        noun, _, rest = unit.partition(" ")
        unit = f"{noun}s {rest}".strip()
    return f"{_quantity_text(line)} {unit}"


_USED_IN = {
    Material.FILM: (Unit.FOOT, "ft"),
    Material.LAMINATE: (Unit.SQUARE_FOOT, "sq ft"),
    Material.INK: (Unit.SQUARE_FOOT, "sq ft"),
    Material.PLATE: (Unit.SQUARE_FOOT, "sq ft"),
    Material.TAG: (Unit.SQUARE_FOOT, "sq ft"),
}


def _used_text(line: Line) -> tuple[str, str]:
    """The amount actually used, to three figures, with its unit; empty for counted items."""
    found = _USED_IN.get(line.material)
    if found is None:
        return "", ""
    unit, text = found
    amount = line.amount(unit)
    if amount is None:  # film on sheets has no length
        unit, text = Unit.SQUARE_FOOT, "sq ft"
        amount = line.amount(unit) or 0.0
    return three_figures(amount), text


def three_figures(value: float) -> str:
    """``172``, ``9.29``, ``1240``: three figures, and no exponent."""
    if value <= 0:
        return "0"
    digits = 2 - math.floor(math.log10(value))
    return f"{round(value, digits):.{max(digits, 0)}f}"
