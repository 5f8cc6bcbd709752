"""Nesting: pieces onto sheets and rolls, with a proven bound.

`nest` lays out, `judge` checks a layout and its bound without knowing how they were found.
"""

from layouts.nest.engine import nest
from layouts.nest.judge import judge
from layouts.nest.model import (
    Arrangement,
    Bound,
    CutStep,
    Cutting,
    KeepOut,
    Margins,
    Nest,
    NestRequest,
    Piece,
    RollStock,
    SheetStock,
    Slot,
    Turn,
    Unplaced,
)

__all__ = [
    "Arrangement",
    "Bound",
    "CutStep",
    "Cutting",
    "KeepOut",
    "Margins",
    "Nest",
    "NestRequest",
    "Piece",
    "RollStock",
    "SheetStock",
    "Slot",
    "Turn",
    "Unplaced",
    "judge",
    "nest",
]
