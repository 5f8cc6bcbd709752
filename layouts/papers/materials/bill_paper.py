"""The bill of materials on paper and as a table, and the price file that gives it costs."""

from __future__ import annotations

import csv
import io

from layouts.drawing.document import Document
from layouts.drawing.inks import BLACK, Ink
from layouts.drawing.typefaces import Typefaces
from layouts.order.order import Order
from layouts.papers.kit.paper import Paper, Running, voices_of
from layouts.papers.kit.table import Column
from layouts.papers.materials import Bill, Line, Unit
from layouts.papers.proof import foot_line
from layouts.terms.units import MM_PER_FOOT

_HEADINGS = ("material", "item", "size", "amounts", "price", "cost", "remark")


def bill_csv(bill: Bill) -> bytes:
    """One row a line, the total last where there is one; UTF-8, RFC 4180 quoting."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(_HEADINGS)
    writer.writerows(_row(line) for line in bill.lines)
    if bill.total is not None:
        writer.writerow(("total", "", "", "", bill.currency, f"{bill.total:.2f}", bill.total_text))
    return text.getvalue().encode()


def bill_document(
    order: Order, bill: Bill, typefaces: Typefaces, date: str | None = None, ink: Ink = BLACK
) -> Document:
    """The bill on US letter pages: what is used, what is waste, and what it costs."""
    day = order.date or date
    revision = f"revision {order.revision}" if order.revision else ""
    about = "  |  ".join(part for part in (order.title, order.plant, revision) if part)
    paper = Paper(
        Running("Bill of materials", about, foot_line(order, day)), voices_of(typefaces), ink
    )
    paper.heading("Bill of materials")
    paper.paragraph(about)
    paper.space(2.0)
    costed = bill.total is not None
    columns = (
        Column("Material", 26.0),
        Column("Item", 62.0),
        Column("Size", 34.0),
        Column("Amount", paper.width - (170.0 if costed else 122.0), "right"),
        *((Column("Price", 24.0, "right"), Column("Cost", 24.0, "right")) if costed else ()),
    )
    rows = [_row(line)[: 6 if costed else 4] for line in bill.lines]
    paper.table(columns, rows)
    if costed:
        paper.space(2.0)
        paper.paragraph(f"Total: {bill.total_text}")
    paper.heading("Waste")
    waste = (Column("Stock", 90.0), Column("Area", 40.0, "right"), Column("Share", 24.0, "right"))
    paper.table(
        waste,
        [
            (
                ", ".join(part for part in (each.item, each.size) if part),
                f"{each.area / MM_PER_FOOT**2:.1f} sq ft",
                f"{each.percent:.1f} %",
            )
            for each in bill.waste
        ],
    )
    paper.space(2.0)
    paper.paragraph(
        "Borders, gaps, margins and bleed count as waste. Marks and slug lines are not counted "
        "as ink. Straps are cut to length on site from what the installation sheets say."
    )
    return Document(
        "materials",
        f"Bill of materials: {order.title}",
        paper.finish("materials", "Bill of materials"),
        paper.voices.symbols(),
        day,
    )


def _row(line: Line) -> tuple[str, ...]:
    amounts = " = ".join(_amount(unit, amount) for unit, amount in line.amounts)
    price = "" if line.price is None else f"{line.price:.2f} / {line.unit}"
    cost = "" if line.cost is None else f"{line.cost:.2f}"
    return str(line.material), line.item, line.size, amounts, price, cost, line.lack


def _amount(unit: Unit, amount: float) -> str:
    """``2 sheets``; a measure has no plural."""
    plural = "s" if unit is Unit.SHEET and amount != 1 else ""
    return f"{amount:,.4g} {unit}{plural}"
