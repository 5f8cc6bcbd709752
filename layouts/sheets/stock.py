"""Stocks and the printer: what a shop prints and cuts on. All values come from its file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field, replace
from enum import StrEnum
from typing import Literal, TypeAlias

from layouts.drawing import Rect
from layouts.drawing.document import Step
from layouts.drawing.symbols import MarkShape
from layouts.schemes.making import Making
from layouts.sheets.name_patterns import SLUG, TITLES
from layouts.terms.values import frozen
from layouts.terms.words import PartRole

CutUnits: TypeAlias = Literal["mm", "in"]
# 14,400 points, the longest side of a PDF page in its own units (ISO 32000-1, annex C; from
# memory). Larger pages need UserUnit, which several readers ignore.
LONGEST_FRAME = 5080.0


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


class Surface(StrEnum):
    """Which side of clear film is printed: the side that is read, or mirrored behind it."""

    FIRST = "first"
    SECOND = "second"


class Turning(StrEnum):
    """How a piece may lie: turned by quarters, only by half a turn, or not at all."""

    QUARTER = "quarter"
    HALF = "half"
    NONE = "none"


class Spots(StrEnum):
    """How colored inks reach the press: as separate spot inks, or in its process inks."""

    SPOT = "spot"
    PROCESS = "process"


class NotesIn(StrEnum):
    """How a cut file carries its notes: as outlines, as text that no knife follows, or not."""

    OUTLINE = "outline"
    TEXT = "text"
    NONE = "none"


class CutFormat(StrEnum):
    """A kind of file that cuts; PDF is written in any case where something is printed."""

    PDF = "pdf"
    DXF = "dxf"
    SVG = "svg"


class MachineRole(StrEnum):
    """What a machine of the shop does."""

    PRESS = "press"
    FILM_CUTTER = "film cutter"
    ROUTER = "router"
    ENGRAVER = "engraver"


@frozen
class KnifeNote:
    """How a step is cut, in the words of the shop; ``passes`` is 0 where the file says nothing."""

    tool: str = ""
    speed: str = ""
    pressure: str = ""
    passes: int = 0

    @property
    def text(self) -> str:
        """All of it in one phrase."""
        passes = {0: "", 1: "1 pass"}.get(self.passes, f"{self.passes} passes")
        named = (("speed", self.speed), ("pressure", self.pressure))
        words = (self.tool, *(f"{name} {value}" for name, value in named if value), passes)
        return ", ".join(word for word in words if word)


@frozen
class Printer:
    """What the shop's machines expect of the files for one stock: press and cutter together.

    ``step_inks`` renames the ink of a cut or note step, ``step_layers`` its layer in cut files,
    and two steps may share a name. Bridges and the weeding frame are lengths in mm, zero for
    none. Marks lie at most ``mark_spacing`` mm apart along both sides, with ``quiet_zone`` mm
    around each that nothing of ours touches. White keeps ``white_choke`` mm inside the color
    over it. ``file`` names the shop's file where there is one.
    """

    title: str = "no printer file"
    marks: MarkShape | None = MarkShape.CROSS
    mark_size: float = 5.0
    mark_spacing: float = 600.0
    quiet_zone: float = 2.0
    cut_units: CutUnits = "mm"
    files: tuple[CutFormat, ...] = tuple(CutFormat)
    notes: NotesIn = NotesIn.OUTLINE
    merge_edges: bool = False
    bridge: float = 0.0
    bridge_spacing: float = 300.0
    weeding_frame: float = 0.0
    profile: str = ""
    condition: str = ""  # the printing condition's name; empty: the profile's own description
    spots: Spots = Spots.SPOT
    absolute: bool = True  # to the film's white or not, where spots become process inks
    white_choke: float = 0.0
    step_inks: Mapping[Step, str] = field(default_factory=dict)
    step_layers: Mapping[Step, str] = field(default_factory=dict)
    knives: Mapping[Step, KnifeNote] = field(default_factory=dict)
    print_names: str = "{group}"  # patterns, see ``name_patterns``
    cut_names: str = "{group}-{sheet}"
    titles: str = TITLES
    slug: str = SLUG
    sheet_codes: bool = False  # a QR code on each sheet that names its cut file
    file: str = ""

    def layer_names(self) -> Mapping[Step, str]:
        """The layer of every step in a cut file."""
        return {step: self.step_layers.get(step, step.title) for step in Step}


@frozen
class Stock:
    """One stock, in mm.

    ``length`` is the sheet's length or the roll's longest frame, and ``roll_length`` what one
    roll holds. ``border`` is what stays
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
    sheets: int | None  # sheets or frames that are left
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
    material: str = ""  # words of the build that it is made of; empty: of any
    adhesive: str = ""
    laminate: str = ""
    thickness: str = ""  # as the shop writes it; on ticket and bill
    roll_length: float = 0.0
    surface: Surface = Surface.FIRST
    printer: Printer = field(default_factory=Printer)

    @property
    def prints(self) -> bool:
        """Whether anything is printed on it, marks and slug included."""
        return not self.engraved

    @property
    def base_text(self) -> str:
        """What is unlike white film, in words; empty for white film."""
        named = {Base.CLEAR: "clear film", Base.DARK: "dark film", Base.WHITE: ""}
        text = named.get(self.base, f"{self.color} film".strip())
        return f"{text}, printed on the back" if self.surface is Surface.SECOND else text


@frozen
class Shop:
    """The stocks of one shop with the machines for each, and what is left of its stocks.

    ``printer`` holds for what is on no stock; ``by_role`` are the machines for parts of a role.
    ``making`` is what openings and two-faced tags are like.
    """

    stocks: Mapping[str, Stock]
    printer: Printer
    offcuts: tuple[Stock, ...] = ()
    by_role: Mapping[PartRole, Printer] = field(default_factory=dict)
    making: Making = field(default_factory=Making)

    def printer_for(self, role: PartRole) -> Printer:
        """The machines that make parts of a role where no stock is named."""
        return self.by_role.get(role, self.printer)

    def making_on(self, plate: str, tag: str) -> Making:
        """How it makes parts of plates and tags on stocks of these names."""
        plates, tags = (
            next((stock.thickness for stock in self.named(name)), "") for name in (plate, tag)
        )
        return Making(
            replace(self.making.tags, thickness=tags),
            replace(self.making.plates, thickness=plates),
        )

    def named(self, name: str) -> tuple[Stock, ...]:
        """The stock of a key, or all of a group; nothing where there is neither."""
        if name in self.stocks:
            return (self.stocks[name],)
        return tuple(stock for stock in self.stocks.values() if name and stock.group == name)

    def of_role(self, role: PartRole) -> tuple[Stock, ...]:
        """Every stock that takes parts of a role."""
        return tuple(stock for stock in self.stocks.values() if role in stock.roles)
