"""Print-ready markers for the pipes, equipment and valves of ammonia refrigeration plants.

Five lines draw a marker:

>>> import pipelegend
>>> drawn = pipelegend.marker(
...     "HTRS", state="both", psig=30, pipe="NPS 4", covering="1-1/2 in", flow="left"
... )
>>> drawn.words
'HTRS LIQ VAP AMMONIA LOW'
>>> data = drawn.pdf()  # or .svg(), .dxf(), .png(), .face_svg()

``marker``, ``equipment`` and ``valve`` take the words of the commands of the same name, as text
with or without a unit or as a number; a bare number means psig, inches, feet (``viewing``) or
degrees Fahrenheit. ``check``, ``order`` and ``preflight`` take files. ``python -m pipelegend`` is
the command.

What is wrong is raised as ``InputError`` or ``BlockedError``, whose ``findings`` name each fault;
``OutputError`` says why a file cannot be written.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, TypedDict, Unpack

from layouts.terms.errors import BlockedError, InputError, OutputError, PipelegendError
from layouts.terms.findings import Finding, Severity

if TYPE_CHECKING:
    from render.job import JobFolder
    from render.one_marker import Drawing
    from render.preflight import Report

__all__ = [
    "BlockedError",
    "Checked",
    "EquipmentWords",
    "Finding",
    "InputError",
    "OrderWords",
    "OutputError",
    "PipeWords",
    "PipelegendError",
    "Severity",
    "ValveWords",
    "__version__",
    "check",
    "equipment",
    "marker",
    "order",
    "preflight",
    "valve",
]
__version__ = "0.1.0"

Amount = str | float
"""A quantity: text such as "12 bar" or "1-1/2 in", or a number in the word's own unit."""
StrPath = str | os.PathLike[str]


class _Words(TypedDict, total=False):
    """Words of every kind of marker."""

    environment: str  # indoor, outdoor, washdown, or two of them
    surface: Amount  # peak surface temperature, F
    applied_at: Amount  # temperature of the surface when the marker goes on, F
    frost: Amount  # thickest frost expected, in
    washdown: bool
    food_zone: bool
    viewing: Amount  # reading distance, ft
    area: str
    location: str
    line: str
    drawing: str  # P&ID sheet
    note: str
    scheme: str
    paper: str  # tile over this paper: letter, a4 or another stock
    shop: StrPath
    font: StrPath
    profile: StrPath


class PipeWords(_Words, total=False):
    """Words of ``marker``."""

    contents: str
    meaning: str
    legend: str
    state: str  # liquid, vapor, both
    psig: Amount  # maximum normal operating pressure, defrost excluded
    level: str  # high, low
    flow: str  # right, left, up, down, reversing, none
    run: str  # horizontal, vertical
    side: str  # one, both
    pipe: str  # NPS 4, DN100, 114.3 mm, tube 7/8 in
    covering: Amount  # thickness of insulation and jacket, in
    od: Amount  # outside diameter over the covering, in
    girth: Amount  # circumference over the covering, in
    straight: Amount  # straight run that it must fit on, in
    paint: str
    wrap: bool
    lines: int | str
    letter: Amount  # letter height, in
    length: Amount  # in
    same_letter: Amount  # sizes of a neighbor, in
    same_height: Amount
    same_length: Amount
    from_: str
    to: str


class EquipmentWords(_Words, total=False):
    """Words of ``equipment``."""

    tag: str
    psig: Amount
    level: str
    small: bool
    lines: int | str
    letter: Amount
    same_letter: Amount
    same_height: Amount
    same_length: Amount


class ValveWords(_Words, total=False):
    """Words of ``valve``."""

    service: str
    function: str
    size: str  # NPS 3
    normal: str  # open, closed
    emergency: bool
    lockout: bool
    side: str
    shape: str  # rectangle, round


def marker(service: str = "", **words: Unpack[PipeWords]) -> Drawing:
    """A marker for a pipe; with ``side="both"`` one for each side.

    >>> drawn = marker("HPL", state="liquid", psig=185, girth="31 in", flow="right")
    >>> [round(side / 25.4, 2) for side in drawn.size]
    [53.25, 3.5]
    >>> drawn.face_svg()[:5]
    b'<?xml'

    Raises:
        InputError: a word cannot be read, or the marker is impossible.
        BlockedError: the marker must not be printed as it is.
        TypeError: a word is not one of ``PipeWords``.
    """
    return _drawn("pipe", {"service": service, **words}, PipeWords)


def equipment(name: str = "", **words: Unpack[EquipmentWords]) -> Drawing:
    """A marker for a vessel or a machine.

    >>> equipment("High pressure receiver", tag="HPR-1", level="high").words
    'HIGH PRESSURE RECEIVER HPR-1 HIGH'

    Raises:
        InputError: a word cannot be read, or the marker is impossible.
        BlockedError: the marker must not be printed as it is.
        TypeError: a word is not one of ``EquipmentWords``.
    """
    return _drawn("equipment", {"name": name, **words}, EquipmentWords)


def valve(tag: str, **words: Unpack[ValveWords]) -> Drawing:
    """A tag for a valve.

    >>> valve("HV-118", service="HPL", function="King valve", lockout=True).words
    'HPL HV-118 KING VALVE LOCKOUT POINT'

    Raises:
        InputError: a word cannot be read, or the tag is impossible.
        BlockedError: the tag must not be printed as it is.
        TypeError: a word is not one of ``ValveWords``.
    """
    return _drawn("valve", {"tag": tag, **words}, ValveWords)


def _drawn(kind: str, words: Mapping[str, object], known: type) -> Drawing:
    from layouts.terms.words import Kind
    from render.one_marker import Door, Files, draw_words

    allowed = {"service", "name", "tag", *known.__annotations__, *_Words.__annotations__}
    for word in words.keys() - allowed:
        import difflib

        near = difflib.get_close_matches(word, allowed, n=1)
        hint = f"; did you mean {near[0]}?" if near else ""
        raise TypeError(f"a marker of kind {kind} takes no {word!r}{hint}")
    given = dict(words)
    scheme, paper = str(given.pop("scheme", "")), str(given.pop("paper", ""))
    shop, font, profile = (_path(given.pop(name, None)) for name in ("shop", "font", "profile"))
    door = Door(str, lambda word, value: f'{word}="{value}"')
    return draw_words(Kind(kind), given, scheme, Files(shop, font, profile, paper), door)


def _path(given: object) -> Path | None:
    return None if given is None else Path(str(given))
