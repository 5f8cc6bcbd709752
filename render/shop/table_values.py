"""Values of a shop's file: lengths, names, steps and patterns, with our own error messages."""

from __future__ import annotations

import re
from functools import partial
from typing import Annotated, TypeAlias

from pydantic import (
    AfterValidator,
    BeforeValidator,
    Field,
    PlainSerializer,
    WithJsonSchema,
)

from layouts.drawing.document import Step
from layouts.order.order import Text
from layouts.order.quantities import length_text
from layouts.sheets.name_patterns import FIELDS, fields_of, plain_of
from layouts.terms.units import parse_length

_YARDS = re.compile(r"(.+?)\s*(?:yd|yds|yard|yards)\.?", re.IGNORECASE)
LONGEST_STOCK = 1e6  # mm


def _read_length(value: object) -> float:
    """Millimeters of a length as a shop writes it, yards included."""
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise ValueError(f"{value!r} is not a length; write it with its unit, as in 24 in")
    yards = _YARDS.fullmatch(value.strip()) if isinstance(value, str) else None
    mm = parse_length(yards[1] + " ft") * 3 if yards else parse_length(value)
    if mm > LONGEST_STOCK:
        raise ValueError(f"{value!r} is too large to be meant; write it as in 24 in")
    return mm


Length: TypeAlias = Annotated[
    float,
    BeforeValidator(_read_length),
    PlainSerializer(length_text, when_used="json"),
    WithJsonSchema({"type": ["string", "number"], "examples": ["24 in", "600 mm", "50 yd"]}),
]
Extent: TypeAlias = Annotated[Length, Field(gt=0)]
HoleSize: TypeAlias = Annotated[Length, Field(ge=1.0, le=30.0)]
Name: TypeAlias = Annotated[Text, Field(min_length=1)]


STEPS = {step.title: step for step in Step}


def _known_step(title: str) -> str:
    if title not in STEPS:
        raise ValueError(f"there is no step {title!r}; use one of {', '.join(STEPS)}")
    return title


StepName: TypeAlias = Annotated[str, AfterValidator(_known_step)]
_PLAIN = re.compile(r"[A-Za-z0-9._-]*")


def _pattern(key: str, needed: tuple[str, ...], text: str) -> str:
    fields = fields_of(text)
    is_name = key.endswith("_names")
    unknown = [name for name in fields if name not in FIELDS[key]]
    odd = not _PLAIN.fullmatch(plain_of(text)) if is_name else set("{}") & set(plain_of(text))
    if unknown or odd or any(name not in fields for name in needed):
        known = ", ".join(f"{{{name}}}" for name in FIELDS[key])
        must = " and ".join(f"{{{name}}}" for name in needed)
        right = (
            f"{must}, further fields of {known}, letters, figures, dots, dashes and underscores"
            if is_name
            else f"words and fields of {known}, with bars between phrases"
        )
        raise ValueError(f"{text!r} is not a pattern for {key}; write {right}")
    return text


def by_pattern(key: str, *needed: str) -> AfterValidator:
    """Checks that a text is a pattern for a key, with its required fields."""
    return AfterValidator(partial(_pattern, key, needed))
