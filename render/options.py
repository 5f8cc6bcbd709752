"""Options that a command adds to an order, read once; each hop receives only its own."""

from __future__ import annotations

import datetime
import os
from collections.abc import Callable
from dataclasses import field
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from layouts.sheets.stock import Printer, Shop
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Severity
from layouts.terms.values import frozen
from render.color.profile import OutputProfile, read_profile

if TYPE_CHECKING:
    from layouts.markers.content import ContentIn
    from layouts.papers.materials import Prices


class Progress(Protocol):
    """Receives the hop at work and, where it has pieces, how many are done."""

    def __call__(self, hop: str, done: int = 0, total: int = 0) -> None:
        """``done`` of ``total`` pieces of the hop; zero of zero if they are not counted."""


def no_progress(hop: str, done: int = 0, total: int = 0) -> None:
    """Ignores progress."""


def _nothing_approved(_: ContentIn) -> tuple[Finding, ...]:
    return ()


@frozen
class Options:
    """Options that the command line adds to an order.

    ``approved`` compares the proof's contents with an approval, if one is given. ``profile``
    overrides the one that the printer file names. ``folder`` holds any scheme file that the order
    names. ``pictures`` is a folder beside the job's that receives an SVG of each sheet.
    """

    shop: Shop
    font: Path | None = None
    prices: Prices | None = None
    approved: Callable[[ContentIn], tuple[Finding, ...]] = _nothing_approved
    profile: Path | None = None
    folder: Path = field(default_factory=Path)
    previews: bool = False
    pictures: Path | None = None
    progress: Progress = no_progress

    def output_profile(self, printer: Printer | None = None) -> OutputProfile | None:
        """The press profile: the command's, otherwise the shop file's, otherwise none.

        Raises:
            InputError: the profile is broken, or its class is not a printer's.
        """
        printer = printer or self.shop.printer
        named = self.profile or (Path(printer.profile) if printer.profile else None)
        return read_profile(named, printer.condition) if named else None


def printed_date(given: str | None) -> str | None:
    """The order's date, otherwise that of SOURCE_DATE_EPOCH, otherwise none; never the clock.

    Raises:
        InputError: SOURCE_DATE_EPOCH is not a whole number of seconds.
    """
    if given is not None:
        return given
    epoch = os.environ.get("SOURCE_DATE_EPOCH")
    if not epoch:
        return None
    try:
        day = datetime.datetime.fromtimestamp(int(epoch), datetime.UTC)
    except (ValueError, OverflowError, OSError) as error:
        raise InputError(
            [
                Finding(
                    "source-date-epoch",
                    Severity.UNREADABLE,
                    f"SOURCE_DATE_EPOCH is {epoch!r}, which is not a date",
                    "give whole seconds since 1970, or unset it",
                )
            ]
        ) from error
    return day.date().isoformat()
