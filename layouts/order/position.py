"""Where markers go: a position, and the run of pipe that it was measured on."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from typing import Annotated, ClassVar, TypeAlias

from pydantic import (
    BeforeValidator,
    ConfigDict,
    Field,
    GetCoreSchemaHandler,
    PlainSerializer,
    StringConstraints,
    WithJsonSchema,
)
from pydantic_core import core_schema

from layouts.order.quantities import Distance, Text, length_text
from layouts.terms.findings import Place
from layouts.terms.units import LengthUnit, parse_length
from layouts.terms.values import frozen

MOST_AT_A_PLACE = 10_000  # markers at one position; more means a wrong column
LONGEST_PLACE_TEXT = 400
_MOST_ALONG = 200  # fittings or rooms on one run

PlaceText: TypeAlias = Annotated[
    str, StringConstraints(strip_whitespace=True, max_length=LONGEST_PLACE_TEXT)
]
_ROOM = re.compile(r"(.*?)\s*(?:\(\s*(\d[^()]*)\))?", re.DOTALL)
_PARTED = re.compile(r"[,;]")


@frozen
class RoomAlong:
    """A room that a run passes, and how much of the run is in it, mm; None where not known."""

    name: str
    length: float | None = None


Along: TypeAlias = int | tuple[float, ...]
Rooms: TypeAlias = int | tuple[RoomAlong, ...]


def _count(value: object, least: int) -> int | None:
    """A whole number, None where the value is not a number at all."""
    if isinstance(value, str) and value.strip().isdecimal() and len(value) < 9:
        value = int(value)
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    whole = isinstance(value, int) or value.is_integer()
    if not (whole and least <= value <= _MOST_ALONG):
        raise ValueError(
            f"{value!r} is not a count; write a whole number, {least} to {_MOST_ALONG}"
        )
    return int(value)


def _parts(value: object, wanted: str) -> list[str]:
    """The texts of a list, or of a text with commas or semicolons."""
    parts = _PARTED.split(value) if isinstance(value, str) else value
    if not isinstance(parts, list | tuple) or not all(isinstance(part, str) for part in parts):
        raise ValueError(f"{value!r} is not a count; write {wanted}")
    texts = [part.strip() for part in parts]
    if not texts or not all(texts) or len(texts) > _MOST_ALONG:
        raise ValueError(f"{value!r} has an empty place in it or too many; write {wanted}")
    return texts


def _read_along(value: object) -> object:
    """A count, or places such as ``12 ft, 40 ft`` from the run's start."""
    count = _count(value, 0)
    if count is not None:
        return count
    if isinstance(value, tuple) and all(isinstance(place, float) for place in value):
        return value  # read already
    wanted = "a count such as 3, or places from the run's start such as 12 ft, 40 ft"
    texts = _parts(value, wanted)
    if any(text[-1].isdecimal() for text in texts):
        raise ValueError(f"{value!r} has a number without a unit; write {wanted}")
    return tuple(sorted(parse_length(text, LengthUnit.FOOT) for text in texts))


def _write_along(value: Along) -> int | str:
    return value if isinstance(value, int) else ", ".join(map(length_text, value))


def _read_rooms(value: object) -> object:
    """A count, or names such as ``engine room (40 ft), corridor``."""
    count = _count(value, 1)
    if count is not None:
        return count
    if isinstance(value, tuple) and all(isinstance(room, RoomAlong) for room in value):
        return value  # read already
    return tuple(
        map(_room, _parts(value, "a count such as 2, or names such as dock (40 ft), hall"))
    )


def _room(text: str) -> RoomAlong:
    found = _ROOM.fullmatch(text)
    if found is None or found[2] is None:
        return RoomAlong(text)
    return RoomAlong(found[1], parse_length(found[2], LengthUnit.FOOT))


def _write_rooms(value: Rooms) -> int | str:
    return value if isinstance(value, int) else ", ".join(map(_room_text, value))


def _room_text(room: RoomAlong) -> str:
    return room.name if room.length is None else f"{room.name} ({length_text(room.length)})".strip()


_COUNT_SCHEMA = {"type": ["integer", "string", "array"], "items": {"type": "string"}}
FittingsAlong: TypeAlias = Annotated[
    Along,
    BeforeValidator(_read_along),
    PlainSerializer(_write_along, when_used="json"),
    WithJsonSchema({**_COUNT_SCHEMA, "examples": [3, "12 ft, 40 ft"]}),
]
RoomsAlong: TypeAlias = Annotated[
    Rooms,
    BeforeValidator(_read_rooms),
    PlainSerializer(_write_rooms, when_used="json"),
    WithJsonSchema({**_COUNT_SCHEMA, "examples": [2, "engine room (40 ft), corridor"]}),
]


@frozen
class MeasuredRun:
    """A run of pipe as a list describes it, in mm; all markers of a run share one.

    Without a quantity its markers are counted and placed by the spacing rule, whose key (or
    file, beside the order) is ``spacing``; empty: the order's.
    """

    __pydantic_config__: ClassVar[ConfigDict] = ConfigDict(extra="forbid", defer_build=True)

    length: Annotated[Distance | None, Field(description="length of the run along the pipe")] = None
    rooms: Annotated[RoomsAlong, Field(description="rooms that it passes")] = 1
    turns: FittingsAlong = 0
    branches: FittingsAlong = 0
    valves: FittingsAlong = 0
    penetrations: Annotated[
        FittingsAlong | None,
        Field(description="walls, floors and roofs passed; empty: a wall between two rooms"),
    ] = None
    spacing: Annotated[Text, Field(description="spacing rule; empty: the order's")] = ""


@frozen
class PlaceDetails:
    """What only some lists tell of a place; equal ones can be one object."""

    drawing: str = ""
    from_: str = ""
    to: str = ""
    note: str = ""
    source: str = ""
    spot: str = ""
    at: float | None = None
    height: float | None = None
    distance: float | None = None
    pipe_run: MeasuredRun | None = None
    pieces: tuple[str, ...] = ()


NO_DETAILS = PlaceDetails()


@frozen
class Position:
    """One place where a marker goes, read from the flat table that ``_Table`` describes.

    A long list has a million of them, so what only some lists tell is behind one field.
    """

    quantity: int = 1
    area: str = ""
    location: str = ""
    line: str = ""
    row: int | None = None
    details: PlaceDetails = NO_DETAILS

    @classmethod
    def __get_pydantic_core_schema__(
        cls, _source: object, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        table = handler.generate_schema(_Table)
        return core_schema.no_info_wrap_validator_function(_read_position, table)

    @property
    def drawing(self) -> str:
        """The P&ID sheet."""
        return self.details.drawing

    @property
    def from_(self) -> str:
        """Where the line comes from."""
        return self.details.from_

    @property
    def to(self) -> str:
        """Where the line goes."""
        return self.details.to

    @property
    def note(self) -> str:
        """The list's note."""
        return self.details.note

    @property
    def source(self) -> str:
        """The sheet or file of the row; empty: the order's only list."""
        return self.details.source

    @property
    def spot(self) -> str:
        """Where on its run, and why there."""
        return self.details.spot

    @property
    def at(self) -> float | None:
        """Distance from the run's start, mm."""
        return self.details.at

    @property
    def height(self) -> float | None:
        """Height above the floor, mm."""
        return self.details.height

    @property
    def distance(self) -> float | None:
        """From the reader to the pipe along the floor, mm."""
        return self.details.distance

    @property
    def pipe_run(self) -> MeasuredRun | None:
        """The run of pipe that the markers are for."""
        return self.details.pipe_run

    @property
    def pieces(self) -> tuple[str, ...]:
        """Ids of the pieces that the order makes; empty: all of the place."""
        return self.details.pieces


@frozen
class _Table:
    """One place where a marker goes. ``row`` is the row of the list it came from, if any.

    A place that the takeoff found says where and why in ``spot``, and how far from the run's
    start in ``at`` (mm). ``height`` above the floor and ``distance`` from the reader, along the
    floor, are mm as well. An order for some pieces of a place only, as a survey or a round asks
    for, names them in ``pieces``.
    """

    __pydantic_config__: ClassVar[ConfigDict] = ConfigDict(
        title="Position", extra="forbid", populate_by_name=True, defer_build=True
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
    source: Annotated[
        PlaceText, Field(description="sheet or file of that row; empty: the order's only list")
    ] = ""
    spot: Annotated[PlaceText, Field(description="where on its run, and why there")] = ""
    at: Annotated[Distance | None, Field(description="distance from the run's start")] = None
    height: Annotated[Distance | None, Field(description="height above the floor")] = None
    distance: Annotated[
        Distance | None, Field(description="from the reader to the pipe along the floor")
    ] = None
    pipe_run: Annotated[
        MeasuredRun | None, Field(description="the run of pipe that the markers are for")
    ] = None
    pieces: Annotated[
        tuple[PlaceText, ...],
        Field(description="ids of the pieces that this order makes; empty: all of the place"),
    ] = ()

    @property
    def position(self) -> Position:
        """The position that the table describes."""
        details = PlaceDetails(
            self.drawing,
            self.from_,
            self.to,
            self.note,
            self.source,
            self.spot,
            self.at,
            self.height,
            self.distance,
            self.pipe_run,
            self.pieces,
        )
        place = (self.quantity, self.area, self.location, self.line, self.row)
        return Position(*place, NO_DETAILS if details == NO_DETAILS else details)


def _read_position(value: object, table: Callable[[object], _Table]) -> Position:
    return value if isinstance(value, Position) else table(value).position


def first_place(positions: Iterable[Position], field: str, marker: str) -> Place:
    """The first row of some positions, and how many more there are."""
    rows = sorted({(each.source, each.row) for each in positions if each.row is not None})
    source, row = rows[0] if rows else ("", None)
    return Place(row=row, field=field, marker=marker, more=max(0, len(rows) - 1), sheet=source)
