"""Print-ready markers for the pipes, equipment and valves of ammonia refrigeration plants.

Five lines draw a marker:

>>> import pipelegend
>>> drawn = pipelegend.marker(
...     "HTRS", state="both", psig=30, pipe="NPS 4", covering="1-1/2 in", flow="left"
... )
>>> drawn.words
'HTRS LIQ VAP AMMONIA LOW'
>>> data = drawn.pdf()  # or .svg(), .dxf(), .png(), .face_svg()

``marker``, ``equipment`` and ``valve`` take the options of the commands of the same name, as text
with or without a unit or as a number; a bare number means psig, inches, feet (``viewing``) or
degrees Fahrenheit. ``check``, ``order`` and ``preflight`` take files. ``python -m pipelegend`` is
the command.

Faults raise ``InputError`` or ``BlockedError``, whose ``findings`` name each one; ``OutputError``
says why a file cannot be written.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, TypedDict, Unpack

from layouts.terms.errors import BlockedError, InputError, OutputError, PipelegendError
from layouts.terms.findings import Finding, Severity

if TYPE_CHECKING:
    from render.batch.batch_run import Batch
    from render.job import JobFolder
    from render.lists import Checked, Given, Lists
    from render.one_marker import Drawing
    from render.preflight import Report

__all__ = [
    "BlockedError",
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
    "batch",
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
    """Options for every kind of marker."""

    environment: str  # indoor, outdoor, washdown, or two of them
    contents: str
    color: str  # the plant's color for contents that the scheme leaves to the plant
    cutoff: Amount  # the plant's cutoff pressure for such contents
    surface: Amount  # peak surface temperature, F
    operating: Amount  # operating temperature of the contents, F
    applied_at: Amount  # surface temperature at application, F
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
    accept: Mapping[str, str]  # why a blocked finding is right here, by its code
    paper: str  # tile over this paper: letter, a4 or another stock
    shop: StrPath
    font: StrPath
    profile: StrPath


class PipeWords(_Words, total=False):
    """Options for ``marker``."""

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
    od: Amount  # outside diameter over the insulation, in
    girth: Amount  # circumference over the insulation, in
    straight: Amount  # available straight run, in
    paint: str
    face: str  # full, compact
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
    """Options for ``equipment``."""

    tag: str
    psig: Amount
    level: str
    covering: Amount
    small: bool
    lines: int | str
    letter: Amount
    same_letter: Amount
    same_height: Amount
    same_length: Amount


class ValveWords(_Words, total=False):
    """Options for ``valve``."""

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

    _refuse_unknown(words, ["service", "name", "tag", *known.__annotations__], f"a marker ({kind})")
    given = dict(words)
    paper = str(given.pop("paper", ""))
    shop, font, profile = (_path(given.pop(name, None)) for name in ("shop", "font", "profile"))
    door = Door(str, lambda word, value: f'{word}="{value}"')
    return draw_words(Kind(kind), given, Files(shop, font, profile, paper), door)


def _path(given: object) -> Path | None:
    return None if given is None else Path(os.fspath(given))  # type: ignore[call-overload]


class OrderWords(TypedDict, total=False):
    """Options for orders: a shop's files, and choices that override the list's."""

    mapping: StrPath  # the plant's own list headings and words
    also: StrPath | Iterable[StrPath]  # further lists of the same order
    shop: StrPath
    font: StrPath
    profile: StrPath
    prices: StrPath
    approval: StrPath
    film: str  # stock or group of stocks
    plate: str
    tag: str
    offcut: str | Iterable[str]  # used first: "300x600mm", "plate 12x24in"
    keep_together: str  # none, area
    long_parts: str  # refuse, split
    face: str  # full, compact
    previews: bool


def check(path: StrPath, **words: Unpack[OrderWords]) -> Checked:
    """Check a line list or an order and return every finding; writes no files.

    ``.findings`` holds every finding, ``.markers`` is the number of markers, and ``.passed`` says
    whether they can be made.

    >>> checked = check("output_samples/order_example.toml")
    >>> checked.passed
    True

    Raises:
        InputError: a file named beside the list cannot be used.
        TypeError: a word is not one of ``OrderWords``.
    """
    from render.lists import check_lists

    return check_lists(_lists(path, words), _given(words))


def order(
    path: StrPath, folder: StrPath, *, force: bool = False, **words: Unpack[OrderWords]
) -> JobFolder:
    """Write the job folder for a line list or an order, complete or not at all.

    ``force`` replaces an old job folder. Returns the markers, the sheets, the findings, and
    every file by name, read from the folder when asked for.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as home:
    ...     job = order("output_samples/order_example.toml", f"{home}/job")
    >>> "proof.pdf" in job.files
    True

    Raises:
        InputError: something cannot be read or is impossible; every finding is carried.
        BlockedError: a marker must not be printed as it is and is not accepted.
        OutputError: the folder exists or cannot be written, or a file failed its inspection.
        TypeError: a word is not one of ``OrderWords``.
    """
    from render.files.atomic import StagedFiles
    from render.files.overwrite import refuse_taken
    from render.lists import make_job

    target = Path(folder)
    lists, given = _lists(path, words), _given(words)
    refuse_taken(target, force, (*lists.files, *given.files))
    with StagedFiles(target, force) as files:
        job = make_job(lists, given, files)
        files.move()
    return job


def batch(
    paths: Iterable[StrPath],
    folder: StrPath,
    *,
    force: bool = False,
    processes: int = 0,
    cluster: str = "",
    gang: bool = False,
    **words: Unpack[OrderWords],
) -> Batch:
    """Make many orders, each into its own folder in ``folder``. A failure does not stop the others.

    ``paths`` are lists, orders or folders of them. A folder that is as it was made, from the files
    and options of now, is kept. ``processes`` is how many orders are made at once (0: as many as
    fit); ``cluster`` is the address of a Dask scheduler. ``gang`` nests all orders together, with
    what they share in the folder ``gang``. Returns the outcome of each order.

    Raises:
        InputError: a file is missing, or one named beside the orders cannot be used.
        OutputError: the folder cannot be written, or the cluster cannot be reached.
        TypeError: a word is not one of ``OrderWords``, or is for one order only.
    """
    from render.batch.batch_run import BatchOptions, run_batch

    _refuse_unknown(words, OrderWords.__annotations__.keys() - _OF_ONE_ORDER, "a batch")
    mapping = _path(words.get("mapping"))
    asked = BatchOptions(force, processes, cluster, gang)
    return run_batch([Path(each) for each in paths], Path(folder), mapping, _given(words), asked)


_OF_ONE_ORDER = frozenset({"also", "approval", "offcut"})


def preflight(path: StrPath, *, plates: bool = False) -> Report:
    """Judge any PDF as a print file; ``plates`` measures its plates with Ghostscript.

    >>> preflight("output_samples/one_marker.pdf").verdict.value
    'pass'

    Raises:
        OSError: the file cannot be read.
    """
    from render.preflight import inspect

    return inspect(Path(path), with_plates=plates)


def _lists(path: StrPath, words: OrderWords) -> Lists:
    from render.lists import Lists

    also = words.get("also", ())
    more = [also] if isinstance(also, str | os.PathLike) else also
    return Lists(Path(path), _path(words.get("mapping")), tuple(map(Path, more)))


def _given(words: OrderWords) -> Given:
    from render.lists import Given
    from render.shop.offcuts import Choices

    _refuse_unknown(words, OrderWords.__annotations__, "an order")
    offcut = words.get("offcut", ())
    choices = Choices(
        words.get("film", ""),
        words.get("plate", ""),
        words.get("tag", ""),
        words.get("keep_together", ""),
        words.get("long_parts", ""),
        (offcut,) if isinstance(offcut, str) else tuple(offcut),
        words.get("face", ""),
    )
    return Given(
        shop=_path(words.get("shop")),
        font=_path(words.get("font")),
        profile=_path(words.get("profile")),
        prices=_path(words.get("prices")),
        approval=_path(words.get("approval")),
        choices=choices,
        previews=words.get("previews", False),
    )


def _refuse_unknown(words: Iterable[str], known: Iterable[str], taker: str) -> None:
    import difflib

    for word in set(words) - set(known):
        near = difflib.get_close_matches(word, list(known), n=1)
        hint = f"; did you mean {near[0]}?" if near else ""
        raise TypeError(f"{taker} takes no {word!r}{hint}")


if __name__ == "__main__":
    from render.cli import main

    main()
