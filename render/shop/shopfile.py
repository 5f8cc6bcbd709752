"""Reading a shop's stocks and printer from a TOML file, every fault listed at once."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import replace
from importlib.resources import files
from pathlib import Path
from typing import Annotated, Literal, TypeAlias

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError, model_validator

from layouts.drawing import Rect
from layouts.drawing.document import Step
from layouts.drawing.symbols import MarkShape
from layouts.order.order import Length, Text
from layouts.sheets.stock import Base, Knife, Printer, Shop, Spots, Stock, StockForm, Turning
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.words import PartRole
from render.shop.offcuts import offcut_of

_BUILT_IN = "stocks.toml"


class _Table(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class _ZoneTable(_Table):
    """A zone to be kept free: clamp, gripper, printed mark; from the top-left corner."""

    x: Length
    y: Length
    width: Annotated[Length, Field(gt=0)]
    height: Annotated[Length, Field(gt=0)]

    @property
    def zone(self) -> Rect:
        return Rect(self.x, self.y, self.width, self.height)


class _StockTable(_Table):
    """One ``[[stocks]]`` table."""

    key: Annotated[Text, Field(min_length=1)]
    title: Annotated[Text, Field(min_length=1)]
    roles: tuple[PartRole, ...] = (PartRole.FILM,)
    form: StockForm
    width: Length
    length: Length
    margin: Length = 12.7
    border: Length = 3.0
    gap: Length = 2.0
    knife: Knife = Knife.CONTOUR
    turning: Turning = Turning.QUARTER
    sheets: int | None = Field(None, ge=1)
    base: Base = Base.WHITE
    color: Text = ""
    engraved: bool = False
    repeat: Length = 0.0
    leader: Length = 0.0
    trailer: Length = 0.0
    keep_outs: tuple[_ZoneTable, ...] = ()
    group: Text = ""
    cost: Annotated[float, Field(gt=0)] | None = None
    source: Annotated[Text, Field(min_length=1)] = "the shop's own file"

    @model_validator(mode="after")
    def _zones_on_it(self) -> _StockTable:
        _refuse_zones_off(self.keep_outs, self.width, self.length)
        return self

    @model_validator(mode="after")
    def _has_room(self) -> _StockTable:
        ends = self.leader + self.trailer
        if self.width <= 2 * self.margin or self.length <= 2 * self.margin + ends:
            raise ValueError("the margins leave no room; give a larger sheet or smaller margins")
        return self


class _OffcutTable(_Table):
    """One ``[[offcuts]]`` table: what is left of a stock, used before whole stock."""

    of: Annotated[Text, Field(min_length=1)]
    material: Annotated[Text, Field(min_length=1)]
    width: Length
    length: Length
    sheets: int = Field(1, ge=1)
    keep_outs: tuple[_ZoneTable, ...] = ()

    @model_validator(mode="after")
    def _zones_on_it(self) -> _OffcutTable:
        _refuse_zones_off(self.keep_outs, self.width, self.length)
        return self


def _refuse_zones_off(zones: tuple[_ZoneTable, ...], width: float, length: float) -> None:
    sheet = Rect(0.0, 0.0, width, length)
    for number, table in enumerate(zones, start=1):
        if not sheet.contains(table.zone):
            raise ValueError(
                f"keep-out zone {number} is not on the sheet; measure it from the top-left corner"
            )


def _known_step(title: str) -> str:
    titles = [step.title for step in Step]
    if title not in titles:
        raise ValueError(f"there is no step {title!r}; use one of {', '.join(titles)}")
    return title


_StepName: TypeAlias = Annotated[str, AfterValidator(_known_step)]


class _PrinterTable(_Table):
    """The ``[printer]`` table."""

    title: Text = "the shop's printer"
    marks: MarkShape | Literal["none"] = MarkShape.CROSS
    mark_size: Length = 5.0
    cut_units: Literal["mm", "in"] = "mm"
    merge_edges: bool = False
    bridge: Length = 0.0
    bridge_spacing: Length = 300.0
    weeding_frame: Length = 0.0
    profile: str = ""
    spots: Spots = Spots.SPOT
    absolute: bool = True
    step_inks: dict[_StepName, Text] = {}
    step_layers: dict[_StepName, Text] = {}

    @model_validator(mode="after")
    def _bridges_fit(self) -> _PrinterTable:
        if self.bridge and self.bridge >= self.bridge_spacing:
            raise ValueError("bridges must be shorter than the distance between them")
        return self

    @model_validator(mode="after")
    def _process_has_profile(self) -> _PrinterTable:
        if self.spots is Spots.PROCESS and not self.profile:
            raise ValueError("spots = 'process' needs the printer's profile; name its ICC file")
        return self


class _ShopFile(_Table):
    stocks: tuple[_StockTable, ...] = ()
    offcuts: tuple[_OffcutTable, ...] = ()
    printer: _PrinterTable = _PrinterTable()


def load_shop(path: Path | None = None) -> Shop:
    """The built-in stocks, and the shop's own file over them where one is given.

    Raises:
        InputError: the file cannot be read, or a table of it makes no sense.
    """
    built_in = _parse(files("render.shop").joinpath(_BUILT_IN).read_text("utf-8"), _BUILT_IN)
    if path is None:
        return _shop(built_in, built_in, Path(_BUILT_IN))
    try:
        text = path.read_text("utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise _refused(path.name, "", f"the shop file cannot be read ({error})") from error
    return _shop(built_in, _parse(text, path.name), path)


def _shop(built_in: _ShopFile, own: _ShopFile, path: Path) -> Shop:
    stocks = {table.key: _stock(table) for table in (*built_in.stocks, *own.stocks)}
    offcuts, faults = _offcuts(own.offcuts, stocks, path.name)
    faults += _group_faults(stocks, path.name)
    if faults:
        raise InputError(faults)
    table = own.printer
    profile = str(path.parent / table.profile) if table.profile else ""
    steps = {step.title: step for step in Step}
    printer = Printer(
        title=table.title,
        marks=None if table.marks == "none" else table.marks,
        mark_size=table.mark_size,
        cut_units=table.cut_units,
        merge_edges=table.merge_edges,
        bridge=table.bridge,
        bridge_spacing=table.bridge_spacing,
        weeding_frame=table.weeding_frame,
        profile=profile,
        spots=table.spots,
        absolute=table.absolute,
        step_inks={steps[title]: name for title, name in table.step_inks.items()},
        step_layers={steps[title]: name for title, name in table.step_layers.items()},
    )
    return Shop(stocks, printer, offcuts)


def _stock(table: _StockTable) -> Stock:
    fields = {name: getattr(table, name) for name in _StockTable.model_fields}
    return Stock(**{**fields, "keep_outs": tuple(each.zone for each in table.keep_outs)})


def _offcuts(
    tables: Iterable[_OffcutTable], stocks: Mapping[str, Stock], file: str
) -> tuple[tuple[Stock, ...], list[Finding]]:
    """The offcuts that make sense, and what is wrong with the others."""
    made: list[Stock] = []
    faults: list[Finding] = []
    for index, table in enumerate(tables):
        whole = stocks.get(table.of)
        if whole is None:
            right = f"name one of {', '.join(stocks)}"
            what = f"there is no stock {table.of!r}"
            faults.append(_fault(what, right, Place(file, field=f"offcuts.{index}.of")))
            continue
        try:
            offcut = offcut_of(whole, f"offcut-{index + 1}", table.width, table.length)
        except InputError as error:
            place = Place(file, field=f"offcuts.{index}")
            faults += [replace(each, place=place) for each in error.findings]
            continue
        zones = tuple(each.zone for each in table.keep_outs)
        made.append(replace(offcut, sheets=table.sheets, material=table.material, keep_outs=zones))
    return tuple(made), faults


def _parse(text: str, name: str) -> _ShopFile:
    try:
        tables = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _refused(name, "", f"this is not TOML: {error}") from error
    try:
        return _ShopFile.model_validate(tables)
    except ValidationError as error:
        raise InputError(
            [
                Finding(
                    "shop-file",
                    Severity.UNREADABLE,
                    fault["msg"].removeprefix("Value error, "),
                    "see `pipelegend stocks` for the built-in tables",
                    place=Place(name, field=".".join(str(part) for part in fault["loc"])),
                )
                for fault in error.errors()
            ]
        ) from error


_ALIKE = (
    *("form", "roles", "border", "gap", "knife", "turning", "base", "color", "engraved"),
    *("repeat", "leader", "trailer"),
)


def _group_faults(stocks: Mapping[str, Stock], file: str) -> list[Finding]:
    """Stocks of one group differ in size, margin, zones, number and cost alone."""
    faults: list[Finding] = []
    for key, stock in stocks.items():
        if not stock.group:
            continue
        place = Place(file, field=f"stock {key}, group")
        if stock.group in stocks:
            what = f"the group {stock.group!r} has the name of a stock"
            faults.append(_fault(what, "give the group another name", place))
        first = next(each for each in stocks.values() if each.group == stock.group)
        for name in _ALIKE:
            if getattr(first, name) != getattr(stock, name):
                what = f"{key} has another {name} than {first.key} of the group {stock.group!r}"
                faults.append(_fault(what, "give both the same, or two groups", place))
        if (first.cost is None) != (stock.cost is None):
            what = f"of {first.key} and {key} one has a cost and the other has none"
            faults.append(_fault(what, "give all stocks of a group a cost, or none", place))
    return faults


def _fault(what: str, right: str, place: Place) -> Finding:
    """A fault of the shop's file."""
    return Finding("shop-file", Severity.UNREADABLE, what, right, place=place)


def _refused(name: str, field: str, what: str) -> InputError:
    return InputError(
        [Finding("shop-file", Severity.UNREADABLE, what, place=Place(name, field=field))]
    )
