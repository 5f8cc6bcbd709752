"""Bill of materials: what an order uses up, what of it is waste, and what it costs."""

from __future__ import annotations

from layouts.materials.area import enclosed_area
from layouts.materials.bill import materials
from layouts.materials.model import Bill, Line, Material, Unit, Waste
from layouts.materials.prices import Price, Prices, build_prices

__all__ = [
    "Bill",
    "Line",
    "Material",
    "Price",
    "Prices",
    "Unit",
    "Waste",
    "build_prices",
    "enclosed_area",
    "materials",
]
