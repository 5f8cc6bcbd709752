"""Tolerances of printed colors, from the packaged data file; each with source and status."""

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import TypedDict

from layouts.drawing.inks import Lab


@dataclass(frozen=True, slots=True)
class Limit:
    """A number with where it comes from."""

    value: float
    source: str
    status: str


@dataclass(frozen=True, slots=True)
class Chip:
    """The color at which an ink's tolerance ends along one Munsell axis: hue, value, chroma.

    It belongs to the ink of that name as long as its Munsell is ``center``.
    """

    ink: str
    center: str
    axis: str
    munsell: str
    lab: Lab
    source: str
    status: str


@dataclass(frozen=True, slots=True)
class White:
    """The perfect white under an illuminant, X, Y and Z with Y = 100."""

    name: str
    xyz: tuple[float, float, float]
    source: str


@dataclass(frozen=True, slots=True)
class ColorFacts:
    """What printed colors are judged by. ``chips`` by ink, ``whites`` by illuminant."""

    print_target: Limit
    in_gamut: Limit
    contrast_floor: Limit
    contrast_loss: Limit
    chips: dict[str, tuple[Chip, ...]]
    whites: dict[str, White]


class _Row(TypedDict, total=False):
    value: float
    ink: str
    center: str
    axis: str
    munsell: str
    lab: tuple[float, float, float]
    xyz: tuple[float, float, float]
    source: str
    status: str


class _File(TypedDict):
    sources: dict[str, str]
    limits: dict[str, _Row]
    whites: dict[str, _Row]
    chips: list[_Row]


@cache
def color_facts() -> ColorFacts:
    """The packaged tolerances."""
    text = files("layouts.schemes").joinpath("colors.toml").read_text(encoding="utf-8")
    data: _File = tomllib.loads(text)  # type: ignore[assignment]  # our own file, tested whole
    sources = data["sources"]

    def source(row: _Row) -> str:
        return sources[row["source"].removeprefix("@")]

    limits = {
        name: Limit(row["value"], source(row), row["status"])
        for name, row in data["limits"].items()
    }
    chips: dict[str, tuple[Chip, ...]] = {}
    for row in data["chips"]:
        chip = Chip(
            row["ink"],
            row["center"],
            row["axis"],
            row["munsell"],
            Lab(*row["lab"]),
            source(row),
            row["status"],
        )
        chips[chip.ink] = (*chips.get(chip.ink, ()), chip)
    whites = {name: White(name, row["xyz"], source(row)) for name, row in data["whites"].items()}
    return ColorFacts(**limits, chips=chips, whites=whites)
