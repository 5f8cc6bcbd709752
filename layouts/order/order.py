"""The typed order: what the reader of a file hands over, refused unless it makes sense.

A marker is split in two. Its *specification* holds what decides the face and the build; it is
validated once for each distinct one. A *position* holds what differs from place to place:
quantity, area, location, line, drawing, from and to, and the run that it is on. An ``Item`` is
one specification with all its positions.

Only the shape of the input is checked here. What a scheme needs beyond it (a state, a flow) is
checked by ``layouts.plan``, which knows the scheme.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache
from typing import Annotated, Literal, TypeAlias

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    StringConstraints,
    model_validator,
)
from pydantic_core import PydanticCustomError

from layouts.order.position import (
    LONGEST_PLACE_TEXT,
    MOST_AT_A_PLACE,
    MeasuredRun,
    PlaceText,
    Position,
    RoomAlong,
)
from layouts.order.quantities import (
    LONGEST_TEXT,
    Covering,
    Designation,
    Distance,
    Length,
    Pressure,
    Stand,
    Temperature,
    Text,
    spoken,
)
from layouts.order.safety_sign import SafetySign
from layouts.terms.pipes import two_sizes
from layouts.terms.synonyms import (
    FACE,
    FLOW,
    LEVEL,
    LONG_PARTS,
    RUN,
    SHAPE,
    SIDE,
    STATE,
    TOGETHER,
    WordError,
    choose,
)
from layouts.terms.tags import expand_tags
from layouts.terms.values import frozen
from layouts.terms.words import (
    FaceForm,
    Flow,
    Kind,
    Level,
    LongParts,
    Outline,
    PieceId,
    PieceIdPer,
    Run,
    Setting,
    Side,
    State,
    Together,
)

__all__ = [
    "LONGEST_PLACE_TEXT",
    "LONGEST_TEXT",
    "MOST_AT_A_PLACE",
    "ORDER_VERSION",
    "Acceptance",
    "AnySpecification",
    "Designation",
    "Distance",
    "Environment",
    "EquipmentMarker",
    "Item",
    "Length",
    "MeasuredRun",
    "Neighbor",
    "Order",
    "OrderHead",
    "PipeMarker",
    "PlaceText",
    "Position",
    "Pressure",
    "RoomAlong",
    "Specification",
    "StockChoice",
    "Temperature",
    "Text",
    "ValveTag",
]
ORDER_VERSION = 1  # of the order's form; a newer one is refused


def _one_tag(tag: str) -> str:
    if tag and expand_tags(tag) != [" ".join(tag.split())]:
        raise ValueError(f"{tag!r} is more than one tag; give each its own tag")
    return tag


OneTag: TypeAlias = Annotated[Text, AfterValidator(_one_tag)]


class Strict(BaseModel):
    """Frozen, and an unknown key is refused rather than ignored."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    def model_post_init(self, _: object) -> None:
        """Share the set of given fields, half a kilobyte, with all rows that give the same ones."""
        given = _one_set(frozenset(self.model_fields_set))
        object.__setattr__(self, "__pydantic_fields_set__", given)


@lru_cache(maxsize=1024)
def _one_set(names: frozenset[str]) -> set[str]:
    return set(names)


class Environment(Strict):
    """The surroundings of a marker and the conditions it must withstand."""

    setting: Setting = Setting.INDOOR
    surface: Temperature | None = Field(None, description="peak surface temperature")
    frost: Length = Field(0.0, description="thickest frost expected on the surface")
    washdown: bool = False
    food_zone: bool = Field(False, description="over or beside food: nothing may come loose")
    applied_at: Temperature | None = Field(
        None, description="temperature of the surface when the marker is put on"
    )
    operating: Temperature | None = Field(
        None, description="operating temperature of the contents; never taken for a surface"
    )


@lru_cache(maxsize=1024)
def _one_environment(environment: Environment) -> Environment:
    """The first of all equal ones, so that many rows hold one."""
    return environment


Surroundings: TypeAlias = Annotated[Environment, AfterValidator(_one_environment)]


class Neighbor(Strict):
    """Sizes measured off an existing marker, to be repeated exactly."""

    letter_height: Length | None = None
    marker_height: Length | None = None
    length: Length | None = None


_METRIC = re.compile(r"\s*(?:dn\s*\d+|\d+\s*dn|.*\d\s*mm\.?)\s*", re.IGNORECASE)
_NO_UNIT = re.compile(r"\s*\d[\d\s./\-]*\s*")


def _refuse_bare_covering(covering: object, pipe: object) -> None:
    """A bare number beside a pipe written in DN or mm may be millimeters as well as inches."""
    if not isinstance(pipe, str) or not _METRIC.fullmatch(pipe):
        return
    bare = isinstance(covering, int | float) and not isinstance(covering, bool)
    if bare or (isinstance(covering, str) and _NO_UNIT.fullmatch(covering)):
        text = str(covering).strip()
        if text.strip("0.") == "":
            return
        raise PydanticCustomError(
            "covering_unit",
            "the covering {text} has no unit, and the pipe {pipe} is metric; write {text} mm or "
            "{text} in",
            {"field": "covering", "text": text, "pipe": pipe.strip()},
        )


def runs_upright(flow: object) -> bool:
    """Whether a flow, as written, goes up or down, so that its pipe can only be vertical."""
    try:
        return isinstance(flow, str) and choose(flow, FLOW) in (Flow.UP, Flow.DOWN)
    except WordError:
        return False


class PipeMarker(Strict):
    """A marker for a pipe: what decides its face and its build."""

    kind: Literal[Kind.PIPE] = Kind.PIPE
    contents: Text = Field("", description="what is in the line; empty: the scheme's own")
    service: Text = Field("", description="service abbreviation, such as HTRS")
    meaning: Text = Field("", description="what a local abbreviation stands for")
    state: Annotated[State, spoken(STATE)] | None = None
    pressure: Pressure | None = Field(
        None, description="highest pressure in normal operation, defrost left out"
    )
    level: Annotated[Level, spoken(LEVEL)] | None = None
    flow: Annotated[Flow, spoken(FLOW)] | None = Field(None, description="facing the marker")
    run: Annotated[Run, spoken(RUN)] = Field(
        Run.HORIZONTAL, description="empty: vertical where the flow is up or down"
    )
    side: Annotated[Side, spoken(SIDE)] = Side.ONE
    pipe: Designation | None = None
    covering: Covering | None = Field(None, description="thickness of insulation and jacket")
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
    environment: Surroundings = Environment()
    neighbor: Neighbor | None = None
    scheme: Text = Field("", description="scheme of this marker; empty: the order's")

    @model_validator(mode="before")
    @classmethod
    def _as_written(cls, value: object) -> object:
        """Checks of one key against another, made while both are as written."""
        if not isinstance(value, dict):
            return value
        _refuse_bare_covering(value.get("covering"), value.get("pipe"))
        if value.get("run") in (None, "") and runs_upright(value.get("flow")):
            return {**value, "run": Run.VERTICAL}
        return value


class EquipmentMarker(Strict):
    """A marker for a vessel or a machine."""

    kind: Literal[Kind.EQUIPMENT]
    contents: Text = Field("", description="what is in it; empty: the scheme's own")
    covering: Length | None = Field(None, description="thickness of insulation and jacket")
    name: Text = Field("", description="such as HIGH PRESSURE RECEIVER")
    tag: OneTag = Field("", description="number, such as HPR-1")
    pressure: Pressure | None = None
    level: Annotated[Level, spoken(LEVEL)] | None = None
    lines: Literal[1, 2] | None = Field(None, description="empty: by the length of the name")
    viewing_distance: Distance | None = Field(
        None, description="distance it is read from; a bare number is in feet"
    )
    small: bool = Field(False, description="a small part: sized by reading distance only")
    letter_height: Length | None = None
    environment: Surroundings = Environment()
    neighbor: Neighbor | None = None
    scheme: Text = ""


class ValveTag(Strict):
    """A tag for a valve."""

    kind: Literal[Kind.VALVE]
    tag: Annotated[OneTag, StringConstraints(min_length=1)] = Field(description="valve number")
    contents: Text = Field("", description="what is in the line; empty: the scheme's own")
    service: Text = ""
    function: Text = ""
    valve_size: Designation | None = Field(
        None, description="of a relief valve inlet x outlet, as in 3/4x1"
    )
    valve_outlet: Designation | None = Field(None, description="where it differs from the inlet")
    normal_position: Stand | None = Field(
        None, description="NO, NC, locked open (LO), car-sealed closed (CSC), throttled ..."
    )
    emergency: bool = False
    lockout: bool = Field(False, description="a point where the line is isolated and locked out")
    set_pressure: Pressure | None = Field(None, description="of a relief valve")
    replace_by: Annotated[
        str, StringConstraints(strip_whitespace=True, pattern=r"^(\d{4}-\d{2}(-\d{2})?)?$")
    ] = Field("", description="of a relief valve, the plant's own: YYYY-MM-DD or YYYY-MM")
    sides: Literal[1, 2] = 1
    shape: Annotated[Outline, spoken(SHAPE)] = Outline.RECTANGLE
    viewing_distance: Distance | None = Field(
        None, description="distance it is read from; a bare number is in feet"
    )
    environment: Surroundings = Environment()
    scheme: Text = ""

    @model_validator(mode="before")
    @classmethod
    def _inlet_and_outlet(cls, value: object) -> object:
        """``3/4x1`` is two sizes."""
        size = value.get("valve_size") if isinstance(value, dict) else None
        pair = two_sizes(size) if isinstance(size, str) else None
        if pair is None or not isinstance(value, dict):
            return value
        return {**value, "valve_size": pair[0], "valve_outlet": pair[1]}

    @property
    def size_text(self) -> str:
        """``NPS 3``, or ``NPS 3/4 x 1`` of a relief valve; empty where no size is given."""
        if self.valve_size is None or self.valve_outlet is None:
            return self.valve_size.label if self.valve_size is not None else ""
        return f"{self.valve_size.label} x {self.valve_outlet.label.removeprefix('NPS ')}"


def retagged(spec: EquipmentMarker | ValveTag, tag: str) -> EquipmentMarker | ValveTag:
    """The same machine or valve under another tag, which the caller knows to be a single one."""
    copied = spec.model_copy(update={"tag": tag})
    copied.model_post_init(None)
    return copied


Specification: TypeAlias = PipeMarker | EquipmentMarker | ValveTag
AnySpecification: TypeAlias = Annotated[Specification, Field(discriminator="kind")]


@frozen
class Item:
    """One specification and every position that asks for it."""

    spec: Specification
    positions: tuple[Position, ...]

    @property
    def quantity(self) -> int:
        """Markers asked for, before a line seen from both sides doubles them."""
        return sum(position.quantity for position in self.positions)


class Acceptance(Strict):
    """A finding that the order accepts, with the reason that prints on the proof."""

    code: Annotated[Text, StringConstraints(min_length=1)]
    reason: Annotated[Text, StringConstraints(min_length=8)] = Field(
        description="why it is right here; prints on the proof"
    )
    marker: Text = Field("", description="service code, tag or legend; empty: every marker")


class StockChoice(Strict):
    """Stocks by their name in the stock file."""

    film: Text = "roll-54in"
    plate: Text = "plate-48x96in"
    tag: Text = "tag-24x48in"


class OrderHead(Strict):
    """All that holds for the whole order."""

    version: Literal[1] = 1
    title: Text = "Marker order"
    plant: Text = ""
    revision: Text = ""
    date: Annotated[str, StringConstraints(pattern=r"^\d{4}-\d{2}-\d{2}$")] | None = Field(
        None, description="printed date, YYYY-MM-DD; empty: SOURCE_DATE_EPOCH, else none"
    )
    scheme: Text = "ammonia-2014"
    spacing: Text = Field(
        "common-40ft-fittings",
        description="spacing rule of runs: its key, or a TOML file beside the order",
    )
    stocks: StockChoice = StockChoice()
    keep_together: Annotated[Together, spoken(TOGETHER)] = Field(
        Together.NONE, description="nest the markers of each area together"
    )
    long_parts: Annotated[LongParts, spoken(LONG_PARTS)] = Field(
        LongParts.REFUSE, description="what to do with film longer than its stock"
    )
    face: Annotated[FaceForm, spoken(FACE)] = Field(
        FaceForm.FULL, description="compact: the shortest pipe markers that the scheme allows"
    )
    piece_id: PieceId = Field(
        PieceId.NONE, description="id on every piece: small text, a QR code, or both"
    )
    piece_id_per: PieceIdPer = Field(
        PieceIdPer.FACE, description="one id for each distinct face, or for each position"
    )
    piece_id_prefix: Annotated[Text, StringConstraints(pattern=r"^[A-Z0-9.]{0,6}$")] = Field(
        "", description="the plant's own letters before the id: up to 6 capitals, digits, dots"
    )
    piece_id_job: Annotated[Text, StringConstraints(pattern=r"^([0-9A-F]{4})?$")] = Field(
        "", description="four digits after the id; empty: made from the order"
    )
    accept: tuple[Acceptance, ...] = ()
    colors: Mapping[str, Text] = Field(
        default_factory=dict, description="contents that the plant has chosen a color for"
    )
    cutoffs: Mapping[str, Pressure] = Field(
        default_factory=dict, description="contents with a cutoff pressure of the plant's own"
    )
    signs: tuple[SafetySign, ...] = Field(
        (), description="signs beside the pipes: door signs, NFPA 704 diamond, king valve placard"
    )


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
