"""The nester's request and its answer.

All lengths are integer micrometers. A sheet's origin is its top-left corner, y runs down; a roll is
a sheet whose height is the running length. Equal sizes are one `Piece` with a demand, so that the
cost of nesting follows the number of distinct sizes and never the quantity.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum

DEFAULT_EFFORT = 100
"""The effort of a nest that people ask for, and the most there is."""


class Turn(Enum):
    """How a piece may lie on the stock."""

    FREE = "free"
    """As given or turned by 90 degrees."""
    LOCKED = "locked"
    """As given (film grain, print direction)."""
    HALF = "half"
    """As given or turned by 180 degrees; takes the same room as `LOCKED`."""


class Cutting(Enum):
    """How the pieces are cut out of the stock."""

    GUILLOTINE = "guillotine"
    """Straight cuts, each from edge to edge of the panel being cut."""
    FREE = "free"
    """A contour cutter: any layout without overlap."""


@dataclass(frozen=True, slots=True)
class Piece:
    """One distinct size and its demand.

    A `round` piece is a disc of diameter `width_um`; `height_um` equals it. `lots` split the demand
    by other differences between the pieces, such as their print; empty: all are equal.
    """

    key: str
    width_um: int
    height_um: int
    demand: int
    turn: Turn = Turn.FREE
    round: bool = False
    lots: tuple[int, ...] = ()

    def __post_init__(self) -> None:
        if self.width_um <= 0 or self.height_um <= 0:
            raise ValueError(f"piece {self.key}: width and height must be above 0")
        if self.demand < 0:
            raise ValueError(f"piece {self.key}: demand must not be negative")
        if self.round and self.width_um != self.height_um:
            raise ValueError(f"piece {self.key}: a round piece is as high as wide")
        if self.lots and sum(self.lots) != self.demand:
            raise ValueError(f"piece {self.key}: the lots are not its demand")

    def times(self, demand: int) -> Piece:
        """The same size with another demand, all equal."""
        return replace(self, demand=demand, lots=())


@dataclass(frozen=True, slots=True)
class Margins:
    """Unprintable edges of a sheet or of a roll's frame."""

    left_um: int = 0
    top_um: int = 0
    right_um: int = 0
    bottom_um: int = 0


@dataclass(frozen=True, slots=True)
class KeepOut:
    """A rectangle of the sheet no piece may touch (clamp, registration mark)."""

    x_um: int
    y_um: int
    width_um: int
    height_um: int


@dataclass(frozen=True, slots=True)
class SheetStock:
    """Sheets of one size; `cost` in any whole unit, `limit` None when there are enough."""

    key: str
    width_um: int
    height_um: int
    margins: Margins = Margins()
    keep_outs: tuple[KeepOut, ...] = ()
    cost: int = 1
    limit: int | None = None


@dataclass(frozen=True, slots=True)
class RollStock:
    """A roll printed in frames no longer than `frame_um`, margins included.

    `leader_um` and `trailer_um` are blank film at the start and end of every frame and count in
    its length; a slot's y is measured from the frame's very start. `limit` counts frames. `cost`
    is per length, in any whole unit.
    """

    key: str
    width_um: int
    margins: Margins
    frame_um: int
    leader_um: int = 0
    trailer_um: int = 0
    keep_outs: tuple[KeepOut, ...] = ()
    cost: int = 1
    limit: int | None = None


@dataclass(frozen=True, slots=True)
class NestRequest:
    """Pieces to lay out on stocks, at least `gap_um` apart.

    `effort` is a budget of work from 0 to `DEFAULT_EFFORT`, never of time: 0 stops at the quick
    first answer. Less than the usual is for nests within nests, as of one area's markers.
    """

    pieces: tuple[Piece, ...]
    stocks: tuple[SheetStock | RollStock, ...]
    gap_um: int
    cutting: Cutting
    effort: int = DEFAULT_EFFORT
    seed: int = 0

    def __post_init__(self) -> None:
        if self.gap_um < 0:
            raise ValueError("gap_um must not be negative")
        if not 0 <= self.effort <= DEFAULT_EFFORT:
            raise ValueError(f"effort must be from 0 to {DEFAULT_EFFORT}")
        kinds = {type(stock) for stock in self.stocks}
        if len(kinds) > 1:
            raise ValueError("sheets and rolls cannot be mixed in one request")


@dataclass(frozen=True, slots=True, order=True)
class Slot:
    """A place for one piece: the top-left corner of its box in sheet coordinates."""

    piece: int
    x_um: int
    y_um: int
    turned: bool = False


@dataclass(frozen=True, slots=True)
class CutStep:
    """One straight cut through the panel in hand, from its edge to its opposite edge.

    `vertical`: the cut runs at x = `at_um` from y = `start_um` to `end_um`; else at y = `at_um`
    along x. `depth` is the number of cuts that had to come before it on the same panel.
    """

    depth: int
    vertical: bool
    at_um: int
    start_um: int
    end_um: int


@dataclass(frozen=True, slots=True)
class Arrangement:
    """A sheet layout and how many sheets are cut from it.

    `length_um` is the sheet's height, or the used length of a roll's frame with its margins,
    leader and trailer, and never less than a gap behind the last piece.
    """

    stock: str
    copies: int
    slots: tuple[Slot, ...]
    width_um: int
    length_um: int
    cuts: tuple[CutStep, ...] = ()


@dataclass(frozen=True, slots=True)
class Bound:
    """A proven minimum, with what it takes to recompute it.

    `cost` is the minimum in the stocks' cost (sheets times cost; for rolls micrometers times
    cost). `sheets` and `length_um` are the same in sheets or in roll length; over several
    stocks they hold for any mix of them, whatever it costs.

    kind `area`: by area. `bar`: `duals` holds four whole numbers for each piece: the worth
    of a micrometer of its height when upright (in bars across) and turned, then of its width when
    upright (in bars along) and turned. `guillotine`: `duals` holds one dual price for each piece,
    valid for guillotine layouts only. Sizes along bars and in the table of guillotine rooms are
    rounded down to whole `unit_um`.
    """

    kind: str
    sheets: int
    length_um: int
    cost: int
    duals: tuple[int, ...] = ()
    scale: int = 1
    unit_um: int = 1


class Lack(Enum):
    """Why a piece was not placed."""

    NO_STOCK = "no stock was given"
    TOO_LARGE = "larger than the printable room of every stock"
    USED_UP = "the stock is used up"


@dataclass(frozen=True, slots=True)
class Unplaced:
    """Unplaced pieces: the reason, and the smallest stock that would take one of them."""

    piece: int
    count: int
    reason: Lack
    width_um: int
    height_um: int


@dataclass(frozen=True, slots=True)
class StageRun:
    """One stage of the search: its name, the cost before and after it, and the work it took.

    Costs are in the stocks' cost, as in `Bound`; the first answer has none before it. `work` is in
    the stage's own unit (orientations tried at a place, or tables filled), the same on any machine.
    """

    name: str
    cost_before: int | None
    cost_after: int
    work: int


@dataclass(frozen=True, slots=True)
class Nest:
    """The answer: arrangements, what could not be placed, and how good it provably is.

    `bound` holds for the cutting asked for. `guillotine_bound`, when known, holds for guillotine
    layouts; a contour cutter may beat it. `stages` are those that ran, in order.
    """

    arrangements: tuple[Arrangement, ...]
    unplaced: tuple[Unplaced, ...]
    bound: Bound
    guillotine_bound: Bound | None = None
    used_um2: int = 0
    stock_um2: int = 0
    stages: tuple[StageRun, ...] = ()

    @property
    def sheets(self) -> int:
        """Sheets (or frames) in all."""
        return sum(arrangement.copies for arrangement in self.arrangements)

    @property
    def length_um(self) -> int:
        """Total length of all sheets or frames."""
        return sum(a.copies * a.length_um for a in self.arrangements)

    @property
    def utilization(self) -> tuple[int, int]:
        """Area of the pieces and area of the stock used, in square micrometers."""
        return self.used_um2, self.stock_um2

    @property
    def distinct(self) -> int:
        """Number of different arrangements."""
        return len(self.arrangements)
