"""The typed order: what the reader of a file hands over, refused unless it makes sense.

A marker is split in two. Its *specification* holds what decides the face and the build; it is
validated once for each distinct one. A *position* holds what differs from place to place:
quantity, area, location, line, drawing, from and to. An ``Item`` is one specification with all
its positions.

Only the shape of the input is judged here. What a scheme needs beyond it (a state, a flow) is
judged by ``layouts.plan``, which knows the scheme.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated, Any, ClassVar, Literal, TypeAlias

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    InstanceOf,
    PlainSerializer,
    StringConstraints,
    WithJsonSchema,
    model_validator,
)

from layouts.design import Outline
from layouts.pipes import PipeSize, parse_pipe
from layouts.units import LengthUnit, parse_length, parse_pressure, parse_temperature
from layouts.words import Flow, Kind, Level, Run, Setting, Side, State

MOST_AT_A_PLACE = 10_000  # markers at one position; more is a slip of the column
LONGEST_TEXT = 120
LONGEST_PLACE_TEXT = 400
_LONGEST = 1e6  # mm; nothing on a plant is measured longer than a kilometer


def _plain(number: float) -> str:
    """The shortest digits that read back to the same number, never with an exponent."""
    return format(Decimal(repr(number)), "f")


def _quantity(parse: Callable[[str | float], float], unit: str, examples: list[str]) -> Any:
    """A float in the inner unit that accepts the trade's writing and is written with its unit."""

    def read(value: object) -> object:
        if isinstance(value, bool) or not isinstance(value, str | int | float):
            raise ValueError(f"{value!r} is no number; give one with its unit, as in {examples[0]}")
        number = parse(value)
        if not math.isfinite(number) or (unit == "mm" and number > _LONGEST):
            raise ValueError(f"{value!r} is too large to be meant; give it as in {examples[0]}")
        return number

    return (
        BeforeValidator(read),
        PlainSerializer(lambda number: f"{_plain(number)} {unit}", when_used="json"),
        WithJsonSchema({"type": ["string", "number"], "examples": examples}),
    )


def _parse_distance(value: str | float) -> float:
    return parse_length(value, LengthUnit.FOOT)


Length: TypeAlias = Annotated[
    float, *_quantity(parse_length, "mm", ["1-1/2 in", "114.3 mm", "20 ft"])
]
Distance: TypeAlias = Annotated[float, *_quantity(_parse_distance, "mm", ["20 ft", "6 m"])]
Pressure: TypeAlias = Annotated[
    float, *_quantity(parse_pressure, "psig", ["185 psig", "12 bar", "10 inHg vac"])
]
Temperature: TypeAlias = Annotated[float, *_quantity(parse_temperature, "F", ["-40 F", "95 C"])]


def _read_pipe(value: object) -> PipeSize:
    """One meaning, one value: ``4 in``, ``DN100`` and ``NPS 4`` are the same pipe."""
    try:
        size = value if isinstance(value, PipeSize) else parse_pipe(str(value))
    except OverflowError:
        size = None
    if size is None or not size.od <= _LONGEST:
        raise ValueError(f"pipe {value!r} is too large to be meant; write it as NPS 4 or DN100")
    by_label = parse_pipe(size.label)
    return by_label if by_label.od == size.od else size


def _written(pipe: PipeSize) -> str:
    """The first text that reads back to the same pipe; a label may be rounded."""
    od = f"{_plain(pipe.od)} mm"
    texts = (pipe.label, od, f"tube {od}")
    return next((text for text in texts if _read_pipe(text) == pipe), od)


Designation: TypeAlias = Annotated[
    InstanceOf[PipeSize],
    BeforeValidator(_read_pipe),
    PlainSerializer(_written, when_used="json"),
    WithJsonSchema({"type": "string", "examples": ["NPS 4", "DN100", "114.3 mm", "tube 7/8 in"]}),
]
Text: TypeAlias = Annotated[str, StringConstraints(strip_whitespace=True, max_length=LONGEST_TEXT)]


class _Model(BaseModel):
    """Frozen, and an unknown key is refused rather than ignored."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)


class Environment(_Model):
    """Where a marker lives and what it must stand."""

    setting: Setting = Setting.INDOOR
    surface: Temperature | None = Field(None, description="peak surface temperature")
    frost: Length = Field(0.0, description="thickest frost expected on the surface")
    washdown: bool = False
    applied_at: Temperature | None = Field(
        None, description="temperature of the surface when the marker is put on"
    )


class Neighbor(_Model):
    """Sizes measured off a marker that hangs there, to be repeated as they are."""

    letter_height: Length | None = None
    marker_height: Length | None = None
    length: Length | None = None


class PipeMarker(_Model):
    """A marker for a pipe: what decides its face and its build."""

    kind: Literal[Kind.PIPE] = Kind.PIPE
    contents: Text = Field("", description="what is in the line; empty: the scheme's own")
    service: Text = Field("", description="service abbreviation, such as HTRS")
    meaning: Text = Field("", description="what a local abbreviation stands for")
    state: State | None = None
    pressure: Pressure | None = Field(
        None, description="highest pressure in normal operation, defrost left out"
    )
    level: Level | None = None
    flow: Flow | None = Field(None, description="as the reader stands before the marker")
    run: Run = Run.HORIZONTAL
    side: Side = Side.ONE
    pipe: Designation | None = None
    covering: Length | None = Field(None, description="thickness of insulation and jacket")
    girth: Length | None = Field(None, description="a tape round the covering")
    od: Length | None = Field(None, description="outside diameter measured over the covering")
    viewing_distance: Distance | None = Field(
        None, description="distance it is read from; a bare number is in feet"
    )
    straight: Length | None = Field(None, description="straight run that the marker must fit on")
    paint: Text = Field("", description="color that the pipe or its jacket has")
    wrap: bool = Field(False, description="repeat the lines round a small pipe")
    lines: Literal[1, 2] = 1
    legend: Text = Field("", description="words in place of the contents")
    letter_height: Length | None = None
    length: Length | None = None
    environment: Environment = Environment()
    neighbor: Neighbor | None = None
    scheme: Text = Field("", description="scheme of this marker; empty: the order's")


class EquipmentMarker(_Model):
    """A marker for a vessel or a machine."""

    kind: Literal[Kind.EQUIPMENT]
    name: Text = Field("", description="such as HIGH PRESSURE RECEIVER")
    tag: Text = Field("", description="number, such as HPR-1")
    pressure: Pressure | None = None
    level: Level | None = None
    lines: Literal[1, 2] | None = Field(None, description="empty: by the length of the name")
    viewing_distance: Distance | None = Field(
        None, description="distance it is read from; a bare number is in feet"
    )
    small: bool = Field(False, description="a small part: sized by reading distance alone")
    letter_height: Length | None = None
    environment: Environment = Environment()
    neighbor: Neighbor | None = None
    scheme: Text = ""


class ValveTag(_Model):
    """A tag for a valve."""

    kind: Literal[Kind.VALVE]
    tag: Annotated[Text, StringConstraints(min_length=1)] = Field(description="valve number")
    service: Text = ""
    function: Text = ""
    valve_size: Designation | None = None
    normal_position: Text = ""
    emergency: bool = False
    sides: Literal[1, 2] = 1
    shape: Outline = Outline.RECTANGLE
    viewing_distance: Distance | None = Field(
        None, description="distance it is read from; a bare number is in feet"
    )
    environment: Environment = Environment()
    scheme: Text = ""


Specification: TypeAlias = PipeMarker | EquipmentMarker | ValveTag
AnySpecification: TypeAlias = Annotated[Specification, Field(discriminator="kind")]


PlaceText: TypeAlias = Annotated[
    str, StringConstraints(strip_whitespace=True, max_length=LONGEST_PLACE_TEXT)
]


@dataclass(frozen=True, slots=True)
class Position:
    """One place where a marker goes. ``row`` is the row of the list it came from, if any."""

    __pydantic_config__: ClassVar[ConfigDict] = ConfigDict(
        extra="forbid", populate_by_name=True, defer_build=True
    )

    quantity: Annotated[int, Field(ge=1, le=MOST_AT_A_PLACE, alias="qty", strict=True)] = 1
    area: PlaceText = ""
    location: PlaceText = ""
    line: PlaceText = ""
    drawing: Annotated[PlaceText, Field(description="P&ID sheet")] = ""
    from_: Annotated[PlaceText, Field(alias="from")] = ""
    to: PlaceText = ""
    note: PlaceText = ""
    row: Annotated[int | None, Field(ge=1, description="row of the list it came from")] = None


@dataclass(frozen=True, slots=True)
class Item:
    """One specification and every position that asks for it."""

    spec: Specification
    positions: tuple[Position, ...]

    @property
    def quantity(self) -> int:
        """Markers asked for, before a line seen from both sides doubles them."""
        return sum(position.quantity for position in self.positions)


class Acceptance(_Model):
    """A finding that the order accepts, with the reason that prints on the proof."""

    code: Annotated[Text, StringConstraints(min_length=1)]
    reason: Annotated[Text, StringConstraints(min_length=8)] = Field(
        description="why it is right here; prints on the proof"
    )
    marker: Text = Field("", description="service code, tag or legend; empty: every marker")


class StockChoice(_Model):
    """Stocks by their name in the stock file."""

    film: Text = "roll-54in"
    plate: Text = "plate-48x96in"
    tag: Text = "tag-24x48in"


class OrderHead(_Model):
    """All that holds for the whole order."""

    version: Literal[1] = 1
    title: Text = "Marker order"
    plant: Text = ""
    revision: Text = ""
    date: Annotated[str, StringConstraints(pattern=r"^\d{4}-\d{2}-\d{2}$")] | None = Field(
        None, description="printed date, YYYY-MM-DD; empty: SOURCE_DATE_EPOCH, else none"
    )
    scheme: Text = "ammonia-2014"
    stocks: StockChoice = StockChoice()
    accept: tuple[Acceptance, ...] = ()


class Order(OrderHead):
    """Markers with quantities, under one head."""

    items: tuple[Item, ...] = ()

    @model_validator(mode="after")
    def _has_markers(self) -> Order:
        if not self.items:
            raise ValueError("the order holds no marker; add at least one")
        return self

    @property
    def quantity(self) -> int:
        """Positions' quantities, all items together."""
        return sum(item.quantity for item in self.items)
