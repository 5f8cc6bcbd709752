"""The headings of a line list, and the meaning of the cells below each."""

from __future__ import annotations

import re
from collections.abc import Iterator
from enum import Enum

from layouts.terms.synonyms import FLOW, LEVEL, LINES, RUN, SHAPE, SIDE, STATE, Words
from layouts.terms.values import frozen
from layouts.terms.words import Kind

REPLACE_BY = "replace_by"  # accepts a spreadsheet's date
_P, _E, _V = Kind.PIPE, Kind.EQUIPMENT, Kind.VALVE


class Measure(Enum):
    """The kind of value in a cell."""

    TEXT = "text"
    LENGTH = "length"
    PRESSURE = "pressure"
    TEMPERATURE = "temperature"
    PIPE = "pipe size"
    CHOICE = "one word of a list"
    FLAG = "yes or no"
    SETTING = "environment"
    ALONG = "a count, or places along the run"

    @property
    def sized(self) -> bool:
        """Whether the cell may hold a fraction, which a spreadsheet turns into a date."""
        return self in (Measure.LENGTH, Measure.PIPE)

    @property
    def is_number(self) -> bool:
        """Whether a comma in the cell can only be a decimal or thousands separator."""
        return self in (Measure.LENGTH, Measure.PRESSURE, Measure.TEMPERATURE, Measure.PIPE)


@frozen
class Column:
    """One column that the list may have.

    ``name`` is the heading; ``base`` is the heading without the unit, and ``unit`` applies where
    the heading names none. ``keys`` gives, for each kind of marker that uses the cell, the path of
    its key in the specification.
    """

    name: str
    measure: Measure
    keys: dict[Kind, str]
    words: Words | None = None
    base: str = ""
    unit: str = ""


@frozen
class Heading:
    """A column of a list: its index and the unit of its bare numbers.

    ``named`` says that the heading itself names the unit. ``comma`` says that the column writes
    decimals with a comma.
    """

    index: int
    column: Column
    unit: str
    named: bool = False
    comma: bool = False


_LENGTH_UNITS = {
    "in": "in",
    "inch": "in",
    "inches": "in",
    "ft": "ft",
    "feet": "ft",
    "foot": "ft",
    "mm": "mm",
    "cm": "cm",
    "m": "m",
    "meter": "m",
    "meters": "m",
}
UNITS: dict[Measure, dict[str, str]] = {
    Measure.LENGTH: _LENGTH_UNITS,
    Measure.PRESSURE: {
        "psig": "psig",
        "psi": "psig",
        "psia": "psia",
        "bar": "bar",
        "barg": "bar",
        "bara": "bar a",
        "kpa": "kPa",
        "kpag": "kPa",
        "mpa": "MPa",
    },
    Measure.TEMPERATURE: {"f": "F", "degf": "F", "c": "C", "degc": "C"},
    Measure.PIPE: {"nps": "nps", "dn": "dn", "in": "in", "inch": "in", "mm": "mm"},
}
_ALL = (_P, _E, _V)


def _all(key: str) -> dict[Kind, str]:
    return dict.fromkeys(_ALL, key)


def _length(name: str, keys: dict[Kind, str], base: str = "") -> Column:
    stem, unit = name.rsplit("_", 1)
    return Column(name, Measure.LENGTH, keys, base=base or stem, unit=unit)


KIND = "kind"
TAG = "tag"
SPEC_COLUMNS: tuple[Column, ...] = (
    Column(KIND, Measure.TEXT, {}),
    Column("contents", Measure.TEXT, _all("contents")),
    Column("service", Measure.TEXT, {_P: "service", _V: "service"}),
    Column("meaning", Measure.TEXT, {_P: "meaning"}),
    Column("state", Measure.CHOICE, {_P: "state"}, STATE),
    Column(
        "pressure_psig",
        Measure.PRESSURE,
        {_P: "pressure", _E: "pressure"},
        base="pressure",
        unit="psig",
    ),
    Column("level", Measure.CHOICE, {_P: "level", _E: "level"}, LEVEL),
    Column("flow", Measure.CHOICE, {_P: "flow"}, FLOW),
    Column("run", Measure.CHOICE, {_P: "run"}, RUN),
    Column("side", Measure.CHOICE, {_P: "side", _V: "sides"}, SIDE),
    Column("pipe", Measure.PIPE, {_P: "pipe"}, base="pipe"),
    _length("covering_in", {_P: "covering", _E: "covering"}),
    _length("od_in", {_P: "od"}),
    _length("girth_in", {_P: "girth"}),
    Column("environment", Measure.SETTING, _all("environment")),
    Column("surface_f", Measure.TEMPERATURE, _all("environment.surface"), base="surface", unit="F"),
    Column(
        "applied_f", Measure.TEMPERATURE, _all("environment.applied_at"), base="applied", unit="F"
    ),
    Column(
        "operating_f",
        Measure.TEMPERATURE,
        _all("environment.operating"),
        base="operating",
        unit="F",
    ),
    _length("frost_in", _all("environment.frost")),
    Column("washdown", Measure.FLAG, _all("environment.washdown")),
    Column("food_zone", Measure.FLAG, _all("environment.food_zone")),
    _length("viewing_ft", _all("viewing_distance")),
    _length("straight_in", {_P: "straight"}),
    Column("paint", Measure.TEXT, {_P: "paint"}),
    Column("wrap", Measure.FLAG, {_P: "wrap"}),
    Column("lines", Measure.CHOICE, {_P: "lines", _E: "lines"}, LINES),
    Column(TAG, Measure.TEXT, {_E: "tag", _V: "tag"}),
    Column("function", Measure.TEXT, {_E: "name", _V: "function"}),
    Column("legend", Measure.TEXT, {_P: "legend", _E: "name"}),
    Column("small", Measure.FLAG, {_E: "small"}),
    Column("valve_size", Measure.PIPE, {_V: "valve_size"}, base="valvesize"),
    Column("normal_position", Measure.TEXT, {_V: "normal_position"}),
    Column("emergency", Measure.FLAG, {_V: "emergency"}),
    Column("lockout", Measure.FLAG, {_V: "lockout"}),
    Column(
        "set_pressure_psig",
        Measure.PRESSURE,
        {_V: "set_pressure"},
        base="setpressure",
        unit="psig",
    ),
    Column(REPLACE_BY, Measure.TEXT, {_V: "replace_by"}),
    Column("shape", Measure.CHOICE, {_V: "shape"}, SHAPE),
    _length("letter_in", {_P: "letter_height", _E: "letter_height"}),
    _length("length_in", {_P: "length"}),
    _length(
        "neighbor_letter_in", dict.fromkeys((_P, _E), "neighbor.letter_height"), "neighborletter"
    ),
    _length(
        "neighbor_height_in", dict.fromkeys((_P, _E), "neighbor.marker_height"), "neighborheight"
    ),
    _length("neighbor_length_in", dict.fromkeys((_P, _E), "neighbor.length"), "neighborlength"),
    Column("scheme", Measure.TEXT, _all("scheme")),
)
# Columns that vary by position, in the order of ``Position``'s fields.
POSITION_COLUMNS: tuple[Column, ...] = tuple(
    Column(name, Measure.TEXT, {})
    for name in ("qty", "area", "location", "line", "drawing", "from", "to", "note")
)
# Columns that describe a run; each gives a field of ``MeasuredRun`` or ``Position``.
RUN_COLUMNS: tuple[Column, ...] = (
    _length("length_ft", {}, "runlength"),
    Column("rooms", Measure.ALONG, {}),
    Column("turns", Measure.ALONG, {}),
    Column("branches", Measure.ALONG, {}),
    Column("valves", Measure.ALONG, {}),
    Column("penetrations", Measure.ALONG, {}),
    Column("spacing", Measure.TEXT, {}),
    _length("height_ft", {}),
    _length("distance_ft", {}),
    _length("at_ft", {}),
    Column("spot", Measure.TEXT, {}),
)
PLACE_COLUMNS = (*POSITION_COLUMNS, *RUN_COLUMNS)
ALIASES = {"quantity": "qty", "sides": "side", "pid": "drawing"}
BY_NAME = {column.name: column for column in (*SPEC_COLUMNS, *PLACE_COLUMNS)}
NAMES = tuple(column.name for column in (*SPEC_COLUMNS, *PLACE_COLUMNS))


def _plain(heading: str) -> str:
    return re.sub(r"[\W_]+", "", heading.casefold())


def _spellings() -> Iterator[tuple[str, tuple[Column, str, bool]]]:
    """Every spelling of every heading, without spaces and punctuation, with its unit."""
    for column in (*SPEC_COLUMNS, *PLACE_COLUMNS):
        if column.base:
            yield column.base, (column, column.unit, False)
        for suffix, unit in UNITS.get(column.measure, {}).items():
            yield column.base + suffix, (column, unit, True)
        yield _plain(column.name), (column, column.unit, bool(column.unit))
        for alias, name in ALIASES.items():
            if name == column.name:
                yield alias, (column, column.unit, False)


_SPELLINGS = dict(_spellings())
# ``length_in`` is the marker's, and what is measured in feet or meters is the run's.
_SPELLINGS |= {
    f"length{suffix}": (RUN_COLUMNS[0], unit, True)
    for suffix, unit in _LENGTH_UNITS.items()
    if unit in ("ft", "m")
}


def own_heading(index: int, text: str) -> Heading | None:
    """The column of a standard heading, None for any other."""
    spelled = _SPELLINGS.get(_plain(text))
    return Heading(index, *spelled) if spelled is not None else None


_BARE = re.compile(r"[+\-−–]?[\d\s./\-¼½¾⅛⅜⅝⅞]*\d[\d\s./\-¼½¾⅛⅜⅝⅞]*|[¼½¾⅛⅜⅝⅞]")


_ONE_NUMBER = re.compile(r"[+\-−–]?\s*(?:\d+\.?\d*|\.\d+)")


def with_unit(text: str, unit: str) -> str:
    """The text with the heading's unit added if it has none."""
    if not unit or not _BARE.fullmatch(text):
        return text
    if unit in UNITS[Measure.PRESSURE].values() and not _ONE_NUMBER.fullmatch(text):
        return text  # two pressures, reported as written
    if unit in ("nps", "dn"):
        return f"{unit.upper()} {text}"
    return f"{text} {unit}"


def column_letters(index: int) -> str:
    """``A`` for 0, ``AA`` for 26: a column's name in a spreadsheet."""
    text, rest = "", index + 1
    while rest:
        rest, letter = divmod(rest - 1, 26)
        text = chr(ord("A") + letter) + text
    return text
