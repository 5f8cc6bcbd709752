"""The parts of a bill of materials: lines with amounts, waste, and the total."""

from __future__ import annotations

from enum import StrEnum

from layouts.terms.units import MM_PER_FOOT
from layouts.terms.values import frozen

MM_PER_METER = 1000.0
WASTE_RULE = (
    "Waste is stock area less finished marker area: borders, gaps, margins and bleed count as "
    "waste."
)


class Material(StrEnum):
    """What a line of the bill is about."""

    FILM = "film"
    LAMINATE = "laminate"
    INK = "ink"
    PLATE = "plate"
    TAG = "tag stock"
    STRAP = "strap"
    STAND_OFF = "stand-off"
    TAG_WIRE = "chain or wire"


class Unit(StrEnum):
    """What an amount is counted in."""

    SHEET = "sheet"
    SQUARE_FOOT = "ft2"
    SQUARE_METER = "m2"
    FOOT = "ft"
    METER = "m"
    PIECE = "each"
    MILLILITER = "ml"


@frozen
class Purchase:
    """An amount as it is ordered: a number of rolls, sheets, pieces or milliliters."""

    quantity: float
    unit: str


@frozen
class Line:
    """An amount of one material.

    ``item`` names it as a price does, ``size`` says of what size or kind, ``kind`` which kind of
    film. ``amounts`` is the same amount in every unit that a price may be for, the usual one
    first; ``purchase`` is the amount to order, ``specification`` what else to tell a supplier.
    ``price`` is per ``unit``; both and ``cost`` are None where no price is known, and ``lack``
    then says why.
    """

    material: Material
    item: str
    size: str
    amounts: tuple[tuple[Unit, float], ...]
    purchase: Purchase
    kind: str = ""
    specification: str = ""
    unit: Unit | None = None
    price: float | None = None
    cost: float | None = None
    lack: str = ""

    def amount(self, unit: Unit) -> float | None:
        """The amount in a unit; None if it is not measured in that unit."""
        return dict(self.amounts).get(unit)

    @property
    def name(self) -> str:
        """Material, item, kind and size in one text."""
        words = (str(self.material), self.item, self.kind, self.size)
        return ", ".join(dict.fromkeys(word for word in words if word))


@frozen
class Waste:
    """What is left over of one stock, or of one ``group`` of sheets on it; areas in mm2.

    ``finished`` is what the markers' outlines enclose, so that borders, gaps, margins and the
    bleed count as waste. Ticket and bill both use this.
    """

    item: str
    size: str
    stock: float
    finished: float
    group: str = ""

    @property
    def area(self) -> float:
        """Square millimeters thrown away."""
        return self.stock - self.finished

    @property
    def percent(self) -> float:
        """The share thrown away, 0 to 100."""
        return 100 * self.area / self.stock if self.stock else 0.0


@frozen
class Bill:
    """All lines in the order of ``Material``, waste by stock and by group, and the cost.

    ``total`` adds up the lines that have a cost, None where no prices were given; ``missing``
    names every line without one, so that a total is never taken for the whole.
    """

    lines: tuple[Line, ...]
    waste: tuple[Waste, ...]
    currency: str
    total: float | None
    missing: tuple[str, ...]
    group_waste: tuple[Waste, ...] = ()

    @property
    def total_text(self) -> str:
        """The total in words, naming what it leaves out; empty if no prices were given."""
        if self.total is None:
            return ""
        text = f"{self.currency} {self.total:,.2f}"
        if self.missing:
            text += f", without {'; '.join(self.missing)}"
        return text


def areas(area: float) -> tuple[tuple[Unit, float], ...]:
    """An area of mm2 in the units that it is bought in."""
    return (
        (Unit.SQUARE_FOOT, area / MM_PER_FOOT**2),
        (Unit.SQUARE_METER, area / MM_PER_METER**2),
    )


def lengths(length: float) -> tuple[tuple[Unit, float], ...]:
    """A length of mm in the units that it is bought in."""
    return (Unit.FOOT, length / MM_PER_FOOT), (Unit.METER, length / MM_PER_METER)
