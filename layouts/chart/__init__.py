"""What a plant's reference chart says: from the order, its markers and its schemes."""

from __future__ import annotations

from layouts.chart.anatomy import Named, anatomy, specimen
from layouts.chart.facts import (
    BandFact,
    EquipmentCode,
    FieldFact,
    PaintFact,
    band_facts,
    equipment_codes,
    field_facts,
    paint_facts,
)

__all__ = [
    "BandFact",
    "EquipmentCode",
    "FieldFact",
    "Named",
    "PaintFact",
    "anatomy",
    "band_facts",
    "equipment_codes",
    "field_facts",
    "paint_facts",
    "specimen",
]
