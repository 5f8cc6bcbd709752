"""What a command adds to an order, read once at the door; each hop is given its own value of it."""

from __future__ import annotations

import datetime
import os
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from layouts.sheets.stock import Printer, Shop
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Severity
from render.color.profile import OutputProfile, read_profile

if TYPE_CHECKING:
    from layouts.markers.content import ContentIn
    from layouts.papers.materials import Prices


class Progress(Protocol):
    """Is told which hop is at work, and how much of it is done where it comes in pieces."""

    def __call__(self, hop: str, done: int = 0, total: int = 0) -> None:
        """``done`` of ``total`` pieces of the hop; zero of zero where they are not counted."""


def no_progress(hop: str, done: int = 0, total: int = 0) -> None:
    """Progress that nobody watches."""


def _nothing_approved(_: ContentIn) -> tuple[Finding, ...]:
    return ()


@dataclass(frozen=True, slots=True)
class Options:
    """What the command line adds to an order.

    ``approved`` judges what a proof shows against an approval, where one is given. ``profile``
    goes before the one that the printer file names. ``folder`` is where a scheme file that the
    order names lies.
    """

    shop: Shop
    font: Path | None = None
    prices: Prices | None = None
    approved: Callable[[ContentIn], tuple[Finding, ...]] = _nothing_approved
    profile: Path | None = None
    folder: Path = field(default_factory=Path)
    previews: bool = False
    progress: Progress = no_progress

    def output_profile(self, printer: Printer | None = None) -> OutputProfile | None:
        """The profile of a press: the command's, else that of the shop's file, else none.

        Raises:
            InputError: the profile is broken, or of a class that no printer has.
        """
        printer = printer or self.shop.printer
        named = self.profile or (Path(printer.profile) if printer.profile else None)
        return read_profile(named, printer.condition) if named else None


def printed_date(given: str | None) -> str | None:
    """The order's date, else the day of SOURCE_DATE_EPOCH, else none; never the clock.

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
