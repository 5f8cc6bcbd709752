"""Reading a shop's stocks and printer from a TOML file, every fault listed at once."""

from __future__ import annotations

import tomllib
from importlib.resources import files
from pathlib import Path
from typing import Annotated, Literal, TypeAlias

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError, model_validator

from layouts.drawing import Step
from layouts.errors import InputError
from layouts.face.model import PartRole
from layouts.findings import Finding, Place, Severity
from layouts.spec import Length, Text
from layouts.stock import Base, Knife, Printer, Shop, Spots, Stock, StockForm, Turning
from layouts.symbols import MarkShape

_BUILT_IN = "stocks.toml"


class _Table(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


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
    source: Annotated[Text, Field(min_length=1)] = "the shop's own file"

    @model_validator(mode="after")
    def _has_room(self) -> _StockTable:
        ends = self.leader + self.trailer
        if self.width <= 2 * self.margin or self.length <= 2 * self.margin + ends:
            raise ValueError("the margins leave no room; give a larger sheet or smaller margins")
        return self


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
    printer: _PrinterTable = _PrinterTable()


def load_shop(path: Path | None = None) -> Shop:
    """The built-in stocks, and the shop's own file over them where one is given.

    Raises:
        InputError: the file cannot be read, or a table of it makes no sense.
    """
    built_in = _parse(files("render").joinpath(_BUILT_IN).read_text("utf-8"), _BUILT_IN)
    if path is None:
        return _shop(built_in, built_in, "")
    try:
        text = path.read_text("utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise _refused(path.name, "", f"the shop file cannot be read ({error})") from error
    return _shop(built_in, _parse(text, path.name), str(path.parent))


def _shop(built_in: _ShopFile, own: _ShopFile, folder: str) -> Shop:
    stocks = {table.key: _stock(table) for table in (*built_in.stocks, *own.stocks)}
    table = own.printer
    profile = str(Path(folder, table.profile)) if table.profile else ""
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
    return Shop(stocks, printer)


def _stock(table: _StockTable) -> Stock:
    return Stock(**{name: getattr(table, name) for name in _StockTable.model_fields})


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


def _refused(name: str, field: str, what: str) -> InputError:
    return InputError(
        [Finding("shop-file", Severity.UNREADABLE, what, place=Place(name, field=field))]
    )
