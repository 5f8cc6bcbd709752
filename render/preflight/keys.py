"""Keys that a print file needs: where, key, type, whether required, and the source of the rule.

The same rows judge any file in preflight and our own in the tests of the writer.

Sources: "Arlington" is the Arlington PDF Model of the PDF Association (a machine-readable table
of ISO 32000); ISO 15930-7:2010 (PDF/X-4) and ISO 32000-1:2008 are cited from memory.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from decimal import Decimal
from enum import Enum

from pikepdf import Array, Dictionary, Name, Object, Stream, String

from layouts.terms.values import frozen


class Need(Enum):
    """When a key must be there."""

    ALWAYS = "always"
    CLAIM = "where the file claims PDF/X"
    OPTIONAL = "may be there"


@frozen
class Key:
    """One row. ``types`` are joined by ``|``; ``value`` is what it must be, where it is fixed."""

    where: str
    key: str
    types: str
    need: Need
    code: str
    source: str
    value: str = ""


_ARLINGTON = "Arlington PDF Model"
_X4 = "ISO 15930-7:2010, from memory"
_INTENT = "ISO 32000-1, table 365, from memory"

KEYS = (
    Key("Page", "/MediaBox", "rectangle", Need.ALWAYS, "box-media", f"{_ARLINGTON}, PageObject"),
    Key("Page", "/CropBox", "rectangle", Need.OPTIONAL, "box-crop", f"{_ARLINGTON}, PageObject"),
    Key("Page", "/BleedBox", "rectangle", Need.OPTIONAL, "box-bleed", f"{_ARLINGTON}, PageObject"),
    Key("Page", "/TrimBox", "rectangle", Need.OPTIONAL, "box-trim", f"{_ARLINGTON}, PageObject"),
    Key("Page", "/ArtBox", "rectangle", Need.OPTIONAL, "box-trim", f"{_ARLINGTON}, PageObject"),
    Key("Page", "/UserUnit", "number", Need.OPTIONAL, "box-unit", f"{_ARLINGTON}, PageObject"),
    Key("Intent", "/S", "name", Need.ALWAYS, "intent-keys", f"{_ARLINGTON}, OutputIntents"),
    Key(
        "Intent",
        "/OutputConditionIdentifier",
        "string",
        Need.ALWAYS,
        "intent-keys",
        f"{_ARLINGTON}, OutputIntents",
    ),
    Key("Intent", "/RegistryName", "string", Need.OPTIONAL, "intent-keys", _INTENT),
    Key("Intent", "/Info", "string", Need.OPTIONAL, "intent-keys", _INTENT),
    Key("Intent", "/DestOutputProfile", "stream", Need.OPTIONAL, "intent-profile", _X4),
    Key(
        "Profile",
        "/N",
        "integer",
        Need.ALWAYS,
        "intent-channels",
        f"{_ARLINGTON}, ICCProfileStream",
    ),
    Key("Info", "/Title", "string", Need.OPTIONAL, "info-keys", _X4),
    Key("Info", "/CreationDate", "string", Need.OPTIONAL, "info-keys", _X4),
    Key("Info", "/ModDate", "string", Need.OPTIONAL, "info-keys", _X4),
    Key("Info", "/Trapped", "name", Need.OPTIONAL, "claim-trapped", _X4),
    Key(
        "Metadata",
        "/Type",
        "name",
        Need.ALWAYS,
        "claim-xmp",
        f"{_ARLINGTON}, Metadata",
        "/Metadata",
    ),
    Key(
        "Metadata", "/Subtype", "name", Need.ALWAYS, "claim-xmp", f"{_ARLINGTON}, Metadata", "/XML"
    ),
    Key(
        "Layers",
        "/OCGs",
        "array",
        Need.ALWAYS,
        "layers-list",
        f"{_ARLINGTON}, OptContentProperties",
    ),
    Key(
        "Layers",
        "/D",
        "dictionary",
        Need.ALWAYS,
        "layers-list",
        f"{_ARLINGTON}, OptContentProperties",
    ),
    Key("Group", "/Name", "string", Need.ALWAYS, "layers-list", f"{_ARLINGTON}, OptContentGroup"),
    Key("Config", "/Name", "string", Need.CLAIM, "layers-name", "veraPDF rules for PDF/A-2, 6.9"),
    Key(
        "Step",
        "/GTS_ProcStepsGroup",
        "name",
        Need.ALWAYS,
        "step-group",
        f"{_ARLINGTON}, GTS_ProcStepsGroup",
    ),
    Key(
        "Step",
        "/GTS_ProcStepsType",
        "name",
        Need.OPTIONAL,
        "step-type",
        f"{_ARLINGTON}, GTS_ProcStepsGroup",
    ),
)


@frozen
class KeyFault:
    """A key that is missing, of another type, or of another value than the table says."""

    row: Key
    what: str


def key_faults(where: str, found: Object | None, claims: bool) -> Iterator[KeyFault]:
    """Every fault of a dictionary or stream by the rows of one place."""
    for row in KEYS:
        if row.where != where:
            continue
        value = entry_of(found, row.key) if isinstance(found, Dictionary | Stream) else None
        if value is None:
            if row.need is Need.ALWAYS or (row.need is Need.CLAIM and claims):
                yield KeyFault(row, f"{row.key} is missing")
        elif not any(_TYPES[kind](value) for kind in row.types.split("|")):
            yield KeyFault(row, f"{row.key} is not a {row.types}")
        elif row.value and str(value) != row.value:
            yield KeyFault(row, f"{row.key} is {value}, not {row.value}")


def entry_of(found: Object, key: str) -> Object | None:
    """An entry that is often missing: to ask first takes a quarter of the time of a miss."""
    return found.get(key) if key in found else None


def number_of(value: object) -> float | None:
    """The value of an object that is a number, None for any other (a boolean is none)."""
    if isinstance(value, int | float | Decimal) and not isinstance(value, bool):
        return float(value)
    return None


def is_number(value: object) -> bool:
    """Whether an object is a number."""
    return number_of(value) is not None


def _is_rectangle(value: object) -> bool:
    return isinstance(value, Array) and len(value) == 4 and all(map(is_number, value))


_TYPES: dict[str, Callable[[object], bool]] = {
    "rectangle": _is_rectangle,
    "number": is_number,
    "integer": lambda value: isinstance(value, int) and not isinstance(value, bool),
    "name": lambda value: isinstance(value, Name),
    "string": lambda value: isinstance(value, String),
    "stream": lambda value: isinstance(value, Stream),
    "array": lambda value: isinstance(value, Array),
    "dictionary": lambda value: isinstance(value, Dictionary),
}
