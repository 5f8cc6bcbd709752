"""Signs beside the pipes as an order asks for them: the plant's own words, steps and ratings.

Nothing a plant must decide has a default here: no rating, no step, no meaning of an alarm.
"""

from __future__ import annotations

import re
from typing import Annotated, Literal, TypeAlias

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    StringConstraints,
    WithJsonSchema,
    model_validator,
)
from pydantic_core import PydanticCustomError

from layouts.order.position import PlaceText
from layouts.order.quantities import Distance, Length
from layouts.terms.units import MM_PER_INCH
from layouts.terms.words import SignKind

MOST_STEPS = 12
RATINGS = ("health", "fire", "instability")
_LEAST_SIDE, _MOST_SIDE = 2.0, 96.0  # in; the longer is a usual plate (common practice)
_HIGHEST = 4  # NFPA 704 rates hazards from 0 to 4 (from memory)
_NUMBERED = re.compile(r"^\s*(?:step\s*)?\d{1,2}\s*[.):]\s*", re.IGNORECASE)


def _read_rating(value: object) -> object:
    text = value.strip() if isinstance(value, str) else value
    if text is None or text == "":
        return None
    if isinstance(text, str) and text.isdecimal() and len(text) < 3:
        text = int(text)
    if isinstance(text, bool) or not isinstance(text, int) or not 0 <= text <= _HIGHEST:
        raise ValueError(
            f"{value!r} is not a rating of an NFPA 704 diamond; write a whole number, 0 to "
            f"{_HIGHEST}"
        )
    return text


def _read_kind(value: object) -> object:
    """``Restricted entry`` and ``king_valve`` are the words with their hyphens."""
    return re.sub(r"[\s_]+", "-", value.strip().casefold()) if isinstance(value, str) else value


def _read_special(value: object) -> object:
    return value.strip().upper() if isinstance(value, str) else value


def _read_steps(value: object) -> object:
    """Steps as a list, or as one text with a step a line; their own numbers are left out."""
    lines = value.splitlines() if isinstance(value, str) else value
    if not isinstance(lines, list | tuple):
        return value
    if not all(isinstance(line, str) for line in lines):
        raise ValueError(f"{value!r} is not a list of steps; write each step as a text in quotes")
    return tuple(text for line in lines if (text := _NUMBERED.sub("", line).strip()))


Rating: TypeAlias = Annotated[
    int | None,
    BeforeValidator(_read_rating),
    WithJsonSchema({"type": ["integer", "null"], "minimum": 0, "maximum": _HIGHEST}),
]
StepText: TypeAlias = Annotated[
    str, StringConstraints(strip_whitespace=True, min_length=1, max_length=200)
]


class SafetySign(BaseModel):
    """One sign: what it says is the plant's."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    kind: Annotated[SignKind, BeforeValidator(_read_kind)]
    text: PlaceText = Field("", description="the sign's words; a king valve's own number")
    steps: Annotated[tuple[StepText, ...], BeforeValidator(_read_steps)] = Field(
        (), description="of a king valve placard, as the plant wrote them"
    )
    health: Rating = Field(None, description="NFPA 704, the plant's own, 0 to 4")
    fire: Rating = Field(None, description="NFPA 704, the plant's own, 0 to 4")
    instability: Rating = Field(None, description="NFPA 704, the plant's own, 0 to 4")
    special: Annotated[Literal["", "W", "OX", "SA"], BeforeValidator(_read_special)] = Field(
        "", description="NFPA 704 special hazard"
    )
    area: PlaceText = Field("", description="where it hangs")
    width: Length | None = Field(None, description="empty: the usual width of its kind")
    height: Length | None = Field(None, description="empty: the usual height of its kind")
    viewing_distance: Distance | None = Field(
        None, description="distance its large words are read from; a bare number is in feet"
    )

    @model_validator(mode="after")
    def _is_whole(self) -> SafetySign:
        for field, what, right in self._faults():
            raise PydanticCustomError("sign", f"{what}; {right}", {"field": field})
        return self

    def _faults(self) -> list[tuple[str, str, str]]:
        """Field, what is wrong and what would be right."""
        found: list[tuple[str, str, str]] = []
        diamond, king = self.kind is SignKind.DIAMOND, self.kind is SignKind.KING_VALVE
        missing = [name for name in RATINGS if getattr(self, name) is None]
        if diamond and missing and len(missing) < len(RATINGS):
            given = "of a diamond with other ratings is missing"
            found.append((missing[0], f"{missing[0]} {given}", "give all three, none is assumed"))
        extra = [name for name in (*RATINGS, "special") if getattr(self, name) not in (None, "")]
        if extra and not diamond:
            right = f"take it out, or write kind {SignKind.DIAMOND}"
            found.append((extra[0], f"a sign of kind {self.kind} has no {extra[0]}", right))
        if self.steps and not king:
            right = f"write them as text, or write kind {SignKind.KING_VALVE}"
            found.append(("steps", f"a sign of kind {self.kind} has no steps", right))
        if king and not self.steps:
            right = "write the plant's own steps, none is made up"
            found.append(("steps", "a king valve placard without steps", right))
        if len(self.steps) > MOST_STEPS:
            what = f"{len(self.steps)} steps are too many to read at a valve"
            found.append(("steps", what, f"use at most {MOST_STEPS}"))
        for field, side in (("width", self.width), ("height", self.height)):
            inches = None if side is None else round(side / MM_PER_INCH, 6)
            if inches is not None and not _LEAST_SIDE <= inches <= _MOST_SIDE:
                right = f"write {_LEAST_SIDE:g} in to {_MOST_SIDE:g} in, or leave it empty"
                found.append((field, f"{inches:g} in is not a size of a sign", right))
        if self.kind in _WORDED and not self.text:
            found.append(("text", f"{_WORDED[self.kind]} is missing", "write it as the plant does"))
        return found

    @property
    def ratings(self) -> tuple[int, int, int] | None:
        """Health, fire and instability; None where the plant gave none."""
        given = (self.health, self.fire, self.instability)
        health, fire, instability = given
        if health is None or fire is None or instability is None:
            return None
        return health, fire, instability


# Signs worded by the plant: the name of the words in a finding when they are missing.
_WORDED = {
    SignKind.REFRIGERANT: "the name of the refrigerant",
    SignKind.ALARM: "what the alarm means",
    SignKind.KING_VALVE: "the number of the king valve",
}
