"""Printer profiles: what an ICC file says of itself, and whether it can be an output intent.

Only the header and the description are read (ICC.1:2010 and ICC.1:2022, clause 7.2 "Profile
header" and 7.3 "Tag table"; both cited from memory). Colors are computed elsewhere.
"""

from __future__ import annotations

import re
import struct
from pathlib import Path

from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.values import frozen
from render.files.intake import bytes_of

_HEADER = 128
_PADDING = 4  # zeros that some programs add, up to a whole word; they harm nothing
# Reference names of the ICC's registry of characterization data (www.color.org; from memory).
_REGISTERED = re.compile(
    r"FOGRA\d\d|CGATS TR 00[1-7]|CGATS21-2-CRPC[1-7]|IFRA\d\d|JC200\d{3}|PSR[A-Z0-9_-]+"
)
_CHANNELS = {"GRAY": 1, "RGB ": 3, "CMYK": 4}
_CLASSES = {
    "scnr": "an input device",
    "mntr": "a display",
    "prtr": "a printer",
    "link": "a link between devices",
    "spac": "a color space",
    "abst": "an abstract effect",
    "nmcl": "named colors",
}


@frozen
class IccHeader:
    """What the header and the tag table of an ICC profile say.

    ``device_class`` and ``space`` are the four-letter signatures; ``description`` is the
    profile's own name, empty where it has none that can be read.
    """

    size: int
    version: str
    device_class: str
    space: str
    connection: str
    description: str

    @property
    def channels(self) -> int | None:
        """Number of color channels, or None for a space that cannot be an output intent."""
        return _CHANNELS.get(self.space)


@frozen
class OutputProfile:
    """A printer profile that can be embedded as an output intent.

    ``condition`` identifies the printing condition; it is the profile's own description unless
    the printer file names one.
    """

    data: bytes
    channels: int
    condition: str

    @property
    def is_registered(self) -> bool:
        """Whether the condition is a name of the ICC's registry of characterization data."""
        return _REGISTERED.fullmatch(self.condition) is not None


def read_profile(path: Path, condition: str = "") -> OutputProfile:
    """The printer profile in a file.

    Raises:
        InputError: the file cannot be read, is broken, or is not a printer profile.
    """
    try:
        data = bytes_of(path)
    except OSError as error:
        raise _refusal(path.name, f"cannot be read ({error.strerror})") from error
    fault = intent_fault(data)
    if fault:
        raise _refusal(path.name, fault)
    header = icc_header(data)
    return OutputProfile(data, header.channels or 0, condition or header.description or path.stem)


def intent_fault(data: bytes) -> str:
    """Why a profile cannot be an output intent, as a clause; empty where it can."""
    try:
        header = icc_header(data)
    except ValueError as error:
        return str(error)
    if header.device_class != "prtr":
        kind = _CLASSES.get(header.device_class, "an unknown device")
        return f"is a profile of {kind} (class {header.device_class}), not of a printer"
    if header.channels is None:
        return f"has the color space {header.space.strip()}, not gray, RGB or CMYK"
    return ""


def icc_header(data: bytes) -> IccHeader:
    """Header and description of an ICC profile.

    Raises:
        ValueError: the bytes are not a profile, or are one that is cut short or damaged.
    """
    if len(data) < _HEADER + 4 or data[36:40] != b"acsp":
        raise ValueError("is not an ICC profile (no signature 'acsp')")
    (size,) = struct.unpack_from(">I", data, 0)
    if size > len(data) or data[size:].strip(b"\0") or len(data) > size + _PADDING:
        raise ValueError(f"is a damaged ICC profile ({len(data)} bytes, {size} by its header)")
    tags = _tags(data)
    if "desc" not in tags:
        raise ValueError("is a damaged ICC profile (no description tag)")
    return IccHeader(
        size=size,
        version=f"{data[8]}.{data[9] >> 4}",
        device_class=_signature(data, 12),
        space=_signature(data, 16),
        connection=_signature(data, 20),
        description=_description(data, tags["desc"]),
    )


def _tags(data: bytes) -> dict[str, int]:
    """Tag signatures with the offsets of their data."""
    (count,) = struct.unpack_from(">I", data, _HEADER)
    if _HEADER + 4 + 12 * count > len(data):
        raise ValueError(f"is a damaged ICC profile (a table of {count} tags cannot fit)")
    tags: dict[str, int] = {}
    for index in range(count):
        at = _HEADER + 4 + 12 * index
        offset, length = struct.unpack_from(">II", data, at + 4)
        if length < 8 or offset + length > len(data):
            raise ValueError(f"is a damaged ICC profile (tag {_signature(data, at)} lies outside)")
        tags[_signature(data, at)] = offset
    return tags


def _description(data: bytes, at: int) -> str:
    """The text of a description tag: 'desc' of version 2 or the first of an 'mluc'."""
    kind = _signature(data, at)
    try:
        if kind == "desc":
            (length,) = struct.unpack_from(">I", data, at + 8)
            return data[at + 12 : at + 12 + length].rstrip(b"\0").decode("ascii", "replace")
        if kind == "mluc":
            length, offset = struct.unpack_from(">II", data, at + 20)
            return data[at + offset : at + offset + length].decode("utf-16-be", "replace")
    except struct.error:
        pass
    return ""


def _signature(data: bytes, at: int) -> str:
    return data[at : at + 4].decode("latin-1")


def _refusal(name: str, fault: str) -> InputError:
    return InputError(
        [
            Finding(
                "profile-refused",
                Severity.UNREADABLE,
                f"the profile {fault}",
                "give the printer's own ICC profile (class prtr; gray, RGB or CMYK)",
                "ISO 15930-7:2010, output intent (cited from memory)",
                Place(file=name),
            )
        ]
    )


@frozen
class Cmyk:
    """Process values, each 0 to 1."""

    cyan: float
    magenta: float
    yellow: float
    black: float
