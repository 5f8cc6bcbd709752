"""The tables of a shop's file as written: every key with its type and meaning."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

from layouts.drawing import Rect
from layouts.drawing.symbols import MarkShape
from layouts.order.order import Text
from layouts.sheets.name_patterns import SLUG, TITLES
from layouts.sheets.stock import (
    LONGEST_FRAME,
    Base,
    CutFormat,
    Knife,
    MachineRole,
    NotesIn,
    Spots,
    StockForm,
    Surface,
    Turning,
)
from layouts.terms.words import Backs, HoleAt, PartRole
from render.shop.table_values import Extent, HoleSize, Length, Name, StepName, by_pattern


class Table(BaseModel):
    """A table that refuses unknown keys."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)


class ZoneTable(Table):
    """A keep-out zone (clamp, gripper, printed mark), measured from the top-left corner."""

    x: Length
    y: Length
    width: Extent
    height: Extent

    @property
    def zone(self) -> Rect:
        """The zone in mm."""
        return Rect(self.x, self.y, self.width, self.height)


class StockTable(Table):
    """One ``[[stocks]]`` table."""

    key: Annotated[Name, Field(description="what an order and --film call it")]
    title: Annotated[Name, Field(description="what papers call it")]
    roles: Annotated[
        tuple[PartRole, ...], Field(min_length=1, description="the parts that it takes")
    ] = (PartRole.FILM,)
    form: StockForm
    width: Extent
    length: Annotated[Extent, Field(description="of a sheet; of a roll, all that is on it")]
    longest_frame: Annotated[
        Extent | None, Field(description="of a roll: the longest frame to print in one go")
    ] = None
    margin: Annotated[Length | None, Field(description="kept free along every edge")] = None
    border: Annotated[Length, Field(description="from a kiss cut to its through cut")] = 3.0
    gap: Annotated[Length, Field(description="between two through cuts")] = 2.0
    knife: Knife = Knife.CONTOUR
    turning: Turning = Turning.QUARTER
    sheets: Annotated[
        int | None, Field(ge=1, description="sheets or rolls that are left; none: enough")
    ] = None
    material: Annotated[Text, Field(description="words of the build that it is made of")] = ""
    adhesive: Text = ""
    laminate: Text = ""
    thickness: Text = ""
    base: Base = Base.WHITE
    color: Annotated[Text, Field(description="of colored film: the ink that it replaces")] = ""
    surface: Annotated[Surface, Field(description="of clear film: second is mirrored")] = (
        Surface.FIRST
    )
    engraved: Annotated[bool, Field(description="tags are engraved and not printed")] = False
    repeat: Annotated[Length, Field(description="frames end on a multiple of it")] = 0.0
    leader: Annotated[Length, Field(description="blank film before every frame")] = 0.0
    trailer: Annotated[Length, Field(description="blank film behind every frame")] = 0.0
    keep_outs: tuple[ZoneTable, ...] = ()
    group: Annotated[Text, Field(description="stocks taken together, the cheapest mix")] = ""
    cost: Annotated[
        float | None, Field(gt=0, description="of a sheet, or of a meter of a roll")
    ] = None
    press: Annotated[Text, Field(description="key of the press; none: the first one")] = ""
    machine: Annotated[Text, Field(description="key of the machine that cuts or engraves it")] = ""
    source: Name = "the shop's own file"

    @model_validator(mode="after")
    def _zones_on_it(self) -> StockTable:
        refuse_zones_off(self.keep_outs, self.width, self.frame)
        return self

    @model_validator(mode="after")
    def _length_is_made(self) -> StockTable:
        if self.form is StockForm.SHEET and self.longest_frame is not None:
            raise ValueError("a sheet has no frames; leave longest_frame out")
        if self.form is StockForm.SHEET and self.length > LONGEST_FRAME:
            raise ValueError(f"no sheet is longer than {LONGEST_FRAME:g} mm; make it a roll")
        if self.longest_frame is not None and self.longest_frame > LONGEST_FRAME:
            raise ValueError(
                f"no frame is longer than {LONGEST_FRAME:g} mm, the longest page of a PDF; "
                "give a shorter longest_frame"
            )
        if self.repeat > self.frame:
            raise ValueError("repeat is longer than the longest frame; give a shorter one")
        return self

    @model_validator(mode="after")
    def _base_is_made(self) -> StockTable:
        if self.base is Base.COLORED and not self.color:
            raise ValueError("colored film needs its color, as in color = 'safety orange'")
        if self.base is not Base.COLORED and self.color:
            raise ValueError("only colored film has a color; write base = 'colored' beside it")
        if self.surface is Surface.SECOND and self.base is not Base.CLEAR:
            raise ValueError("only clear film is printed on its back; write base = 'clear'")
        if self.engraved and self.roles != (PartRole.TAG,):
            raise ValueError("only tags are engraved; write roles = ['tag']")
        return self

    @property
    def frame(self) -> float:
        """The length of a sheet, or of a roll's longest frame."""
        if self.form is StockForm.SHEET:
            return self.length
        longest = min(self.longest_frame or LONGEST_FRAME, self.length, LONGEST_FRAME)
        return longest // self.repeat * self.repeat if 0 < self.repeat <= longest else longest

    @property
    def pieces_left(self) -> int | None:
        """Sheets in stock, or the frames that the rolls are certain to give."""
        if self.sheets is None or self.form is StockForm.SHEET:
            return self.sheets
        return self.sheets * max(1, int(self.length // self.frame))


class OffcutTable(Table):
    """One ``[[offcuts]]`` table: pieces of a stock, used before whole stock."""

    of: Annotated[Name, Field(description="key of the stock that it was cut from")]
    material: Annotated[Name, Field(description="words of the build that it is made of")]
    width: Extent
    length: Extent
    sheets: int = Field(1, ge=1)
    keep_outs: tuple[ZoneTable, ...] = ()

    @model_validator(mode="after")
    def _zones_on_it(self) -> OffcutTable:
        refuse_zones_off(self.keep_outs, self.width, self.length)
        return self


def refuse_zones_off(zones: tuple[ZoneTable, ...], width: float, length: float) -> None:
    """Check that no zone extends past the edge of its sheet.

    Raises:
        ValueError: a zone does.
    """
    sheet = Rect(0.0, 0.0, width, length)
    for number, table in enumerate(zones, start=1):
        if not sheet.contains(table.zone):
            raise ValueError(
                f"keep-out zone {number} is not on the sheet; measure it from the top-left corner"
            )


class KnifeTable(Table):
    """How one step is cut, in the shop's words."""

    tool: Text = ""
    speed: Text = ""
    pressure: Text = ""
    passes: int = Field(0, ge=0, le=99)


class PrinterTable(Table):
    """The ``[printer]`` table: defaults for all machines."""

    title: Name = "the shop's printer"
    marks: MarkShape | Literal["none"] = MarkShape.CROSS
    mark_size: Annotated[Extent, Field(description="across a mark")] = 5.0
    mark_spacing: Annotated[
        Extent, Field(description="most between two marks along a side, 100 mm or more")
    ] = 600.0
    quiet_zone: Annotated[Length, Field(description="kept free around each mark")] = 2.0
    cut_units: Annotated[Literal["mm", "in"], Field(description="of DXF files")] = "mm"
    files: Annotated[
        tuple[CutFormat, ...], Field(min_length=1, description="cut files to write")
    ] = tuple(CutFormat)
    notes: Annotated[NotesIn, Field(description="how cut files carry notes")] = NotesIn.OUTLINE
    merge_edges: Annotated[bool, Field(description="cut an edge of two neighbors once")] = False
    bridge: Annotated[
        Annotated[Length, Field(le=3.0)], Field(description="gap in a through cut, 0 for none")
    ] = 0.0
    bridge_spacing: Annotated[Extent, Field(description="most between two bridges")] = 300.0
    weeding_frame: Annotated[
        Length, Field(description="from the kiss cuts to a frame around all of them, 0 for none")
    ] = 0.0
    profile: Annotated[Text, Field(description="ICC file of the press, beside this file")] = ""
    condition: Annotated[Text, Field(description="name of the printing condition")] = ""
    spots: Spots = Spots.SPOT
    absolute: Annotated[bool, Field(description="colors as seen beside the film's white")] = True
    white_choke: Annotated[
        Annotated[Length, Field(le=1.0)], Field(description="white inside of the color over it")
    ] = 0.0
    step_inks: Annotated[dict[StepName, Name], Field(description="ink of a step in PDF")] = {}
    step_layers: Annotated[
        dict[StepName, Name], Field(description="layer of a step in cut files")
    ] = {}
    knives: Annotated[dict[StepName, KnifeTable], Field(description="how a step is cut")] = {}
    print_names: Annotated[
        Text, by_pattern("print_names", "group"), Field(description="names of print files")
    ] = "{group}"
    cut_names: Annotated[
        Text, by_pattern("cut_names", "group", "sheet"), Field(description="names of cut files")
    ] = "{group}-{sheet}"
    titles: Annotated[
        Text, by_pattern("titles"), Field(min_length=1, description="titles of print files")
    ] = TITLES
    slug: Annotated[
        Text, by_pattern("slug"), Field(min_length=1, description="the line below each sheet")
    ] = SLUG
    sheet_codes: Annotated[
        bool, Field(description="a QR code on each sheet that names its cut file")
    ] = False


class MachineTable(PrinterTable):
    """One ``[[machines]]`` table: a machine by what it does, with any key of ``[printer]``."""

    key: Name
    role: MachineRole
    margin: Annotated[Length | None, Field(description="of stocks that name no margin")] = None


class TagsTable(Table):
    """The ``[tags]`` table: holes and backs of tags."""

    hole: Annotated[HoleSize | None, Field(description="diameter; none: by practice")] = None
    hole_edge: Annotated[
        HoleSize | None, Field(description="from the tag's edge to the edge of its hole")
    ] = None
    hole_at: Annotated[HoleAt, Field(description="corners: two, for wire at both ends")] = (
        HoleAt.TOP
    )
    backs: Annotated[
        Backs, Field(description="a tag read from both sides: two tags, or one with two faces")
    ] = Backs.SECOND_TAG


class PlatesTable(Table):
    """The ``[plates]`` table: openings of plates."""

    slot_length: Annotated[HoleSize | None, Field(description="along the pipe, for straps")] = None
    slot_width: HoleSize | None = None
    screw_hole: Annotated[
        HoleSize | None, Field(description="diameter, for the posts of a stand-off")
    ] = None
    hole_edge: Annotated[
        HoleSize | None, Field(description="from the plate's edge to the edge of an opening")
    ] = None
    rivet: Annotated[
        Annotated[Length, Field(ge=0, le=10.0)],
        Field(description="diameter of a blind rivet in the middle of each ear, 0 for none"),
    ] = 0.0

    @model_validator(mode="after")
    def _slot_is_long(self) -> PlatesTable:
        if self.slot_length and self.slot_width and self.slot_length <= self.slot_width:
            raise ValueError("a slot is longer than wide; give a longer or a narrower one")
        return self


class ShopTables(Table):
    """A shop's file."""

    stocks: tuple[StockTable, ...] = ()
    offcuts: tuple[OffcutTable, ...] = ()
    printer: PrinterTable = PrinterTable()
    machines: tuple[MachineTable, ...] = ()
    tags: TagsTable = TagsTable()
    plates: PlatesTable = PlatesTable()
