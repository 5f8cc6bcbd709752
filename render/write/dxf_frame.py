"""A DXF file without its entities: the same for all pages but for units, layers and size.

``blank.dxf`` is a drawing of R2000 as ezdxf writes it, with a word between @ signs at each place
that differs. A test compares frames with those that ezdxf makes; to load it for every order would
take longer than to write a hundred cut files.
"""

from __future__ import annotations

import codecs
import re
from collections.abc import Iterable, Mapping
from functools import cache
from importlib.resources import files

from layouts.terms.values import frozen

OWNER = "17"  # the handle of the blank's model space
_FIRST_FREE = 0x2F
_OWN_LAYERS = ("0", "Defpoints")
_HANDLES = 4  # that follow those of the entities
_INCHES = 1  # $INSUNITS (DXF Reference, HEADER section)
_HELD = re.compile("(@[A-Z0-9_]+@)")


@frozen
class Frame:
    """A file split at its placeholders; ``handle`` is free for the first entity."""

    parts: list[str]
    handle: int

    def around(self, entities: str, width: float, height: float, handle: int) -> bytes:
        """The whole file; ``handle`` is the first free one after the entities."""
        values = {"@WIDTH@": str(width), "@HEIGHT@": str(height), "@ENTITIES@": entities}
        values |= {f"@HANDLE{n}@": f"{handle + n:X}" for n in range(_HANDLES)}
        text = "".join(_filled(self.parts, values))
        # Python's own codec is many times faster than that of a code page.
        return text.encode("ascii" if text.isascii() else "cp1252", errors=_escape.__name__)


def frame(units: int, colors: Mapping[str, int]) -> Frame:
    """The frame of files in these ``$INSUNITS``; ``colors`` are numbers by the layer's name.

    Names that differ only in case are one layer, as in any DXF.
    """
    taken, names = {name.casefold() for name in _OWN_LAYERS}, []
    for name in colors:
        if name.casefold() not in taken:
            taken.add(name.casefold())
            names.append(name)
    rows = (
        _layer_row(handle, name, colors[name]) for handle, name in enumerate(names, _FIRST_FREE)
    )
    values = {
        "@UNITS@": str(units),
        "@METRIC@": "0" if units == _INCHES else "1",
        "@LAYERS@": str(len(_OWN_LAYERS) + len(names)),
        "@LAYER_ROWS@": "".join(rows),
    }
    return Frame(_filled(_blank(), values), _FIRST_FREE + len(names))


def _layer_row(handle: int, name: str, color: int) -> str:
    return (
        f"  0\nLAYER\n  5\n{handle:X}\n330\n1\n100\nAcDbSymbolTableRecord\n"
        f"100\nAcDbLayerTableRecord\n  2\n{name}\n 70\n0\n 62\n{color}\n  6\nContinuous\n"
        "370\n-3\n390\n13\n"
    )


def _filled(parts: Iterable[str], values: Mapping[str, str]) -> list[str]:
    return [values.get(part, part) for part in parts]


@cache
def _blank() -> list[str]:
    return _HELD.split(files("render.write").joinpath("blank.dxf").read_text("ascii"))


def _escape(error: UnicodeError) -> tuple[str, int]:
    """Signs that the code page lacks, as DXF writes them: ``\\U+03a9``."""
    assert isinstance(error, UnicodeEncodeError)
    lacking = map(ord, error.object[error.start : error.end])
    return "".join(f"\\U+{sign:04x}" for sign in lacking), error.end


codecs.register_error(_escape.__name__, _escape)
