"""Tolerances of printed colors, from the packaged data file; each with source and status."""

import tomllib
from collections.abc import Sequence
from functools import cache
from importlib.resources import files
from itertools import product
from math import atan2, degrees, hypot
from typing import TypedDict

from layouts.drawing.inks import Lab
from layouts.terms.values import frozen
from render.color.difference import Triple


@frozen
class Limit:
    """A number with where it comes from."""

    value: float
    source: str
    status: str


@frozen
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


@frozen
class White:
    """The perfect white under an illuminant, X, Y and Z with Y = 100."""

    name: str
    xyz: tuple[float, float, float]
    source: str


@frozen
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


_SLACK = 0.002  # of a chip's distance, for the last place that chips are given to


def beyond(center: Lab, measured: Lab, chips: Sequence[Chip]) -> tuple[str, ...]:
    """Limit chips that the measured color lies beyond, each along its own axis.

    The way from the center is split into shares of the ways to the chips, one of each axis, on
    the side where the color lies: a loss of chroma that turns the hue a little in Lab, as it
    does at one Munsell hue, counts as chroma. A side without a chip is open.
    """
    sides = [_sides(axis, center, chips) for axis in ("value", "chroma", "hue")]
    way = _way(center, measured)
    # The right sides are those on which no share is negative, give or take rounding.
    shares, limits = max(
        ((_shares(way, [limit for _, limit in trial]), trial) for trial in product(*sides)),
        key=lambda tried: min(tried[0]),
    )
    return tuple(
        f"{chip.axis} beyond {chip.munsell}"
        for share, (chip, _) in zip(shares, limits, strict=True)
        if chip and share > 1 + _SLACK
    )


def _sides(axis: str, center: Lab, chips: Sequence[Chip]) -> list[tuple[Chip | None, Triple]]:
    """The chips of an axis with the way to each, and a mirrored way where a side has none."""
    found: list[tuple[Chip | None, Triple]] = [
        (chip, _way(center, chip.lab)) for chip in chips if chip.axis == axis
    ]
    if len(found) == 1:
        x, y, z = found[0][1]
        found.append((None, (-x, -y, -z)))
    return found


def _way(center: Lab, lab: Lab) -> Triple:
    """From a center to a color: lightness, chroma, and hue in degrees."""
    turn = degrees(atan2(lab.b, lab.a) - atan2(center.b, center.a))
    return (
        lab.lightness - center.lightness,
        hypot(lab.a, lab.b) - hypot(center.a, center.b),
        (turn + 180) % 360 - 180,
    )


def _shares(way: Triple, axes: Sequence[Triple]) -> Triple:
    """How much of each axis adds up to the way (Cramer's rule)."""
    one, two, three = axes
    whole = _determinant(one, two, three)
    return (
        _determinant(way, two, three) / whole,
        _determinant(one, way, three) / whole,
        _determinant(one, two, way) / whole,
    )


def _determinant(a: Triple, b: Triple, c: Triple) -> float:
    return (
        a[0] * (b[1] * c[2] - b[2] * c[1])
        - a[1] * (b[0] * c[2] - b[2] * c[0])
        + a[2] * (b[0] * c[1] - b[1] * c[0])
    )
