"""Bill of materials: what an order uses, how much of it is waste, and what it costs."""

from __future__ import annotations

from layouts.papers.materials.bill import group_waste, materials
from layouts.papers.materials.ink_area import enclosed_area
from layouts.papers.materials.model import Bill, Line, Material, Unit, Waste
from layouts.papers.materials.prices import Price, Prices, build_prices

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
    "group_waste",
    "materials",
]
