"""Stocks and the printer: what a shop prints and cuts on. All values come from its file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Literal, TypeAlias

from layouts.drawing import Rect
from layouts.drawing.document import Step
from layouts.drawing.symbols import MarkShape
from layouts.terms.words import PartRole

CutUnits: TypeAlias = Literal["mm", "in"]


class StockForm(StrEnum):
    """A sheet has its own length; a roll is printed in frames up to a longest one."""

    SHEET = "sheet"
    ROLL = "roll"


class Knife(StrEnum):
    """How pieces are cut out: along any contour, or straight from edge to edge."""

    CONTOUR = "contour"
    STRAIGHT = "straight"


class Base(StrEnum):
    """What shows where nothing is printed."""

    WHITE = "white"
    CLEAR = "clear"
    DARK = "dark"
    COLORED = "colored"


class Turning(StrEnum):
    """How a piece may lie: turned by quarters, by half a turn alone, or not at all."""

    QUARTER = "quarter"
    HALF = "half"
    NONE = "none"


@dataclass(frozen=True, slots=True)
class Stock:
    """One stock, in mm.

    ``length`` is the sheet's length or the roll's longest frame. ``border`` is what stays
    around a film marker between its kiss cut and its through cut; ``gap`` is what stays between
    two through cuts. ``keep_outs`` are zones that nothing may touch, from the top-left corner.
    Stocks of one ``group`` are taken together, whichever come cheapest.
    """

    key: str
    title: str
    roles: tuple[PartRole, ...]
    form: StockForm
    width: float
    length: float
    margin: float
    border: float
    gap: float
    knife: Knife
    turning: Turning
    sheets: int | None
    source: str
    base: Base = Base.WHITE
    color: str = ""  # of colored film: the name of the ink that it replaces
    engraved: bool = False  # tag board whose words are cut into it and not printed
    repeat: float = 0.0  # a roll's frames end on a multiple of this, zero for any length
    leader: float = 0.0  # blank film at the start and the end of every frame of a roll
    trailer: float = 0.0
    keep_outs: tuple[Rect, ...] = ()
    group: str = ""
    cost: float | None = None  # of a sheet, or of a meter of a roll; none: by area
    offcut_of: str = ""  # the stock that it was cut from
    material: str = ""  # of an offcut: words of the build that it is made of


class Spots(StrEnum):
    """How colored inks reach the press: as spots of their own, or in its process inks."""

    SPOT = "spot"
    PROCESS = "process"


@dataclass(frozen=True, slots=True)
class Printer:
    """What the shop's machine expects.

    ``step_inks`` renames the ink of a cut or note step, ``step_layers`` its layer in cut files.
    Bridges and the weeding frame are lengths in mm, zero for none.
    """

    title: str = "no printer file"
    marks: MarkShape | None = MarkShape.CROSS
    mark_size: float = 5.0
    cut_units: CutUnits = "mm"
    merge_edges: bool = False
    bridge: float = 0.0
    bridge_spacing: float = 300.0
    weeding_frame: float = 0.0
    profile: str = ""
    spots: Spots = Spots.SPOT
    absolute: bool = True  # to the film's white or not, where spots become process inks
    step_inks: Mapping[Step, str] = field(default_factory=dict)
    step_layers: Mapping[Step, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Shop:
    """The stocks and the printer of one shop, and what is left of its stocks."""

    stocks: Mapping[str, Stock]
    printer: Printer
    offcuts: tuple[Stock, ...] = ()

    def named(self, name: str) -> tuple[Stock, ...]:
        """The stock of a key, or all of a group; nothing where there is neither."""
        if name in self.stocks:
            return (self.stocks[name],)
        return tuple(stock for stock in self.stocks.values() if name and stock.group == name)

    def of_role(self, role: PartRole) -> tuple[Stock, ...]:
        """Every stock that takes parts of a role."""
        return tuple(stock for stock in self.stocks.values() if role in stock.roles)
