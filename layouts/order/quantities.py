"""Quantities and texts of an order, each read as the trade writes it and written with its unit."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from decimal import Decimal
from functools import lru_cache
from typing import Annotated, Any, TypeAlias

from pydantic import (
    BeforeValidator,
    InstanceOf,
    PlainSerializer,
    StringConstraints,
    WithJsonSchema,
)

from layouts.terms.pipes import PipeSize, parse_pipe
from layouts.terms.pressures import parse_pressure
from layouts.terms.synonyms import Words, choose, means_bare, read_position
from layouts.terms.units import LengthUnit, parse_length, parse_temperature
from layouts.terms.words import NormalPosition

LONGEST_TEXT = 120
_LONGEST = 1e6  # mm; nothing in a plant is longer than a kilometer


def plain(number: float) -> str:
    """The shortest digits that read back to the same number, never with an exponent."""
    return format(Decimal(repr(number)), "f")


def length_text(mm: float) -> str:
    """A length that reads back as it is."""
    return f"{plain(mm)} mm"


def _quantity(parse: Callable[[str | float], float], unit: str, examples: list[str]) -> Any:
    """A float in the inner unit that accepts the trade's writing and is written with its unit."""

    def read(value: object) -> object:
        if isinstance(value, bool) or not isinstance(value, str | int | float):
            raise ValueError(
                f"{value!r} is not a number; give one with its unit, as in {examples[0]}"
            )
        number = parse(value)
        if not math.isfinite(number) or (unit == "mm" and number > _LONGEST):
            raise ValueError(f"{value!r} is too large to be meant; give it as in {examples[0]}")
        return number

    return (
        BeforeValidator(read),
        PlainSerializer(lambda number: f"{plain(number)} {unit}", when_used="json"),
        WithJsonSchema({"type": ["string", "number"], "examples": examples}),
    )


def _parse_distance(value: str | float) -> float:
    return parse_length(value, LengthUnit.FOOT)


Length: TypeAlias = Annotated[
    float, *_quantity(parse_length, "mm", ["1-1/2 in", "114.3 mm", "20 ft"])
]

_THICK = re.compile(r"(?<=[\d\"\w])\s+(?:thk|thick|insulation|insul)\.?\s*$", re.IGNORECASE)


def _read_covering(value: object) -> object:
    """``bare``, ``none`` and the like mean no covering at all."""
    if not isinstance(value, str):
        return value
    return 0.0 if means_bare(value) else _THICK.sub("", value)


# Words first: pydantic runs the last of the validators before all others.
Covering: TypeAlias = Annotated[Length, BeforeValidator(_read_covering)]
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


@lru_cache(maxsize=1024)
def _pipe_text(pipe: PipeSize) -> str:
    """The first text that reads back to the same pipe; a label may be rounded."""
    od = f"{plain(pipe.od)} mm"
    texts = (pipe.label, od, f"tube {od}")
    return next((text for text in texts if _read_pipe(text) == pipe), od)


Designation: TypeAlias = Annotated[
    InstanceOf[PipeSize],
    BeforeValidator(_read_pipe),
    PlainSerializer(_pipe_text, when_used="json"),
    WithJsonSchema({"type": "string", "examples": ["NPS 4", "DN100", "114.3 mm", "tube 7/8 in"]}),
]
Text: TypeAlias = Annotated[str, StringConstraints(strip_whitespace=True, max_length=LONGEST_TEXT)]


def _reads(read: Callable[[str], object]) -> BeforeValidator:
    """Text in the trade's words; what is not text is left to pydantic."""
    return BeforeValidator(lambda value: read(value) if type(value) is str and value else value)


def spoken(words: Words) -> BeforeValidator:
    """Reads any of the trade's words for a closed vocabulary."""
    return _reads(lambda text: choose(text, words))


Stand: TypeAlias = Annotated[
    NormalPosition,
    _reads(read_position),
    WithJsonSchema({"type": "string", "examples": ["NO", "locked open", "CSC"]}),
]
