"""Planning and judging an order: everything before nesting, shared by all commands."""

from __future__ import annotations

import datetime
import os
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

from layouts.drawing.inks import Ink
from layouts.drawing.typefaces import Typefaces
from layouts.markers.gather import Gathered, gather
from layouts.order.order import Order
from layouts.review import inspect_order
from layouts.schemes.loader import load_scheme, scheme_from_toml, scheme_keys
from layouts.schemes.model import Scheme
from layouts.sheets.stock import Shop, Spots
from layouts.terms.errors import BlockedError, InputError
from layouts.terms.findings import Finding, Place, Severity, weighed
from render.color.profile import OutputProfile, read_profile
from render.read.fonts import typefaces as load_typefaces
from render.write.pdf.press import Press

if TYPE_CHECKING:
    from layouts.drawing.ink_report import Intent
    from layouts.papers.materials import Prices
    from render.folder.approval import Approval

Progress = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Options:
    """What the command line adds to an order."""

    shop: Shop
    font: Path | None = None
    effort: int | None = None  # of the nester; None: its own measure
    prices: Prices | None = None
    approval: Approval | None = None
    profile: Path | None = None  # over the one that the printer file names
    folder: Path = field(default_factory=Path)  # where a scheme file named by the order lies
    previews: bool = False
    progress: Progress = lambda _: None


@dataclass(frozen=True, slots=True)
class Judged:
    """An order planned and composed, before anything is nested or written."""

    gathered: Gathered
    schemes: Mapping[str, Scheme]
    typefaces: Typefaces


def judge(order: Order, options: Options, file: str) -> Judged:
    """Plan and compose every marker of the order, and collect all findings.

    Raises:
        InputError: a scheme or the font cannot be read.
    """
    typefaces = load_typefaces(options.font)
    schemes = _schemes(order, options.folder)
    gathered = gather(order.items, schemes, order.scheme, typefaces, order.accept, file)
    inspected = (
        weighed(finding, file, order.accept)
        for finding in inspect_order(order.items, schemes, order.scheme)
    )
    gathered = replace(gathered, findings=(*gathered.findings, *inspected))
    return Judged(gathered, schemes, typefaces)


def approval_notes(judged: Judged, options: Options) -> tuple[Finding, ...]:
    """What the order's approval no longer covers, where one is given."""
    if options.approval is None:
        return ()
    from layouts.papers.proof.content import content_of
    from render.folder.approval import approval_findings

    gathered = judged.gathered
    content = content_of(gathered.markers, gathered.findings, judged.schemes)
    return approval_findings(options.approval, content)


def idle_acceptances(order: Order, findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """A note for each acceptance of the order that none of its findings asks for.

    One with a misspelled code or marker accepts nothing, and one that is no longer needed would
    let the next fault of its kind pass unseen.
    """
    found = {(each.code, each.place.marker) for each in findings if each.accepted}
    codes = {code for code, _ in found}
    return tuple(
        Finding(
            "accept-idle",
            Severity.NOTE,
            f"nothing was found that this accepts: {' for '.join(filter(None, asked))}",
            "correct its code or marker, or strike it",
            place=Place(field=f"accept {number}"),
        )
        for number, each in enumerate(order.accept, 1)
        if (asked := (each.code, each.marker)) not in found
        and (each.marker or each.code not in codes)
    )


def refuse_blocked(findings: Sequence[Finding]) -> None:
    """Raise for findings that keep the order from being printed; the impossible ones win."""
    if any(finding.severity is Severity.UNREADABLE for finding in findings):
        raise InputError(findings)
    if any(finding.blocks for finding in findings):
        raise BlockedError(findings)


def printed_date(given: str | None) -> str | None:
    """The order's date, else the day of SOURCE_DATE_EPOCH, else none; never the clock.

    Raises:
        InputError: SOURCE_DATE_EPOCH is no whole number of seconds.
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
                    f"SOURCE_DATE_EPOCH is {epoch!r}, which is no date",
                    "give whole seconds since 1970, or unset it",
                )
            ]
        ) from error
    return day.date().isoformat()


def _schemes(order: Order, folder: Path) -> dict[str, Scheme]:
    """Every scheme that the order names: built in, or a TOML file beside the order."""
    names = {order.scheme, *(item.spec.scheme for item in order.items if item.spec.scheme)}
    return {name: find_scheme(name, folder) for name in sorted(names)}


def find_scheme(name: str, folder: Path) -> Scheme:
    """A scheme by its key, or by its file.

    Raises:
        InputError: there is none of that name, or its file has faults.
    """
    if name in scheme_keys():
        return load_scheme(name)
    path = folder / name
    if path.suffix == ".toml" and path.is_file():
        return scheme_from_toml(path.read_text("utf-8"), path.name)
    raise InputError(
        [
            Finding(
                "scheme-unknown",
                Severity.UNREADABLE,
                f"there is no scheme {name!r}",
                f"use {', '.join(scheme_keys())}, or name a scheme file (.toml) beside the order",
                place=Place(field="scheme"),
            )
        ]
    )


def profile_of(options: Options) -> OutputProfile | None:
    """The printer's profile: the command's, else that of the printer file, else none.

    Raises:
        InputError: the profile is broken, or of a class that no printer has.
    """
    named = options.profile or (
        Path(options.shop.printer.profile) if options.shop.printer.profile else None
    )
    return read_profile(named) if named else None


def press_of(options: Options, inks: Iterable[Ink]) -> Press:
    """How PDF is written for the shop's printer.

    With its profile the file is PDF/X-4, without one it makes no claim; spots become process
    inks where the printer file says so.

    Raises:
        InputError: the profile cannot be used.
    """
    profile, printer = profile_of(options), options.shop.printer
    if profile is None or printer.spots is Spots.SPOT:
        return Press(profile=profile)
    from render.color.gamut import process_values

    return Press(profile=profile, process=process_values(inks, profile, intent_of(options)))


def intent_of(options: Options) -> Intent:
    """How colors meet the film's white, as the printer file says."""
    from layouts.drawing.ink_report import Intent

    return Intent.ABSOLUTE if options.shop.printer.absolute else Intent.RELATIVE
