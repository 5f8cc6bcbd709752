"""Checks a whole list or order from its file, or makes it into a job folder.

The commands ``check`` and ``order`` and ``pipelegend.check`` and ``pipelegend.order`` are these.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import field, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from layouts.markers.content import content_of
from layouts.markers.drawn_ids import ids_text
from layouts.order.order import Order
from layouts.review.acceptances import idle_acceptances
from layouts.sheets.choice import misfits
from layouts.terms.errors import BlockedError, InputError, refuse_blocked
from layouts.terms.findings import Finding
from layouts.terms.values import frozen
from layouts.terms.words import PartRole
from render.decide import decide
from render.options import Options, Progress, no_progress
from render.read import Reading, read
from render.read.reading import ListOrigin
from render.shop.offcuts import Choices, with_choices
from render.shop.shopfile import load_shop

if TYPE_CHECKING:
    from layouts.markers.gather import Marker
    from render.files.atomic import JobFiles
    from render.folder.inventory import Inventory
    from render.job import JobFolder, NestedOrder


@frozen
class Lists:
    """The files of one order: a list or an order file, a mapping of headings, further lists."""

    path: Path
    mapping: Path | None = None
    also: tuple[Path, ...] = ()

    @property
    def files(self) -> tuple[Path | None, ...]:
        """The files that are read."""
        return (self.path, self.mapping, *self.also)

    def read(self) -> Reading:
        """The order that the files contain, with its findings."""
        return read(self.path, self.mapping, self.also)

    def order(self) -> Order:
        """The order of the files, or of a job folder.

        Raises:
            InputError: it cannot be read; the error holds every fault.
        """
        if self.path.is_dir():
            from render.folder.open import read_order

            return read_order(self.path)
        reading = self.read()
        if reading.order is None or any(finding.blocks for finding in reading.findings):
            raise InputError(reading.findings)
        return reading.order


@frozen
class Given:
    """Files and choices that a caller adds to a list or an order."""

    shop: Path | None = None
    font: Path | None = None
    profile: Path | None = None
    prices: Path | None = None
    approval: Path | None = None
    choices: Choices = field(default_factory=Choices)
    previews: bool = False
    progress: Progress = no_progress
    remnants: Inventory | None = None
    pictures: Path | None = None

    @property
    def files(self) -> tuple[Path | None, ...]:
        """The files to read, None for each that is not given."""
        return self.shop, self.font, self.profile, self.prices, self.approval

    def options(self, folder: Path) -> Options:
        """The options of a job whose files are in ``folder``, with every file read.

        Raises:
            InputError: one of the files cannot be used.
        """
        options = Options(
            load_shop(self.shop),
            font=self.font,
            profile=self.profile,
            folder=folder,
            previews=self.previews,
            pictures=self.pictures,
            progress=self.progress,
        )
        if self.prices is not None:
            from render.shop.prices import load_prices

            options = replace(options, prices=load_prices(self.prices))
        if self.approval is not None:
            from render.folder.approval import judged_by, read_approval

            approved = partial(judged_by, read_approval(self.approval))
            options = replace(options, approved=approved)
        return options

    def chosen(self, order: Order, folder: Path) -> tuple[Order, Options]:
        """The order and its options, with the caller's choices replacing theirs.

        Raises:
            InputError: a file cannot be used, or an offcut is not a size.
        """
        options = self.options(folder)
        wanted, shop = with_choices(order, options.shop, self.choices)
        if self.remnants is not None:
            shop = self.remnants.remnants.added_to(shop)
        return wanted, replace(options, shop=shop)

    def named(self, findings: Iterable[Finding]) -> tuple[Finding, ...]:
        """Findings about a stock that the caller chose, under the caller's name for it."""
        chosen = {
            f"stocks.{role}": f"--{role}"
            for role in ("film", "plate", "tag")
            if getattr(self.choices, role)
        }
        return tuple(
            replace(each, place=replace(each.place, field=chosen[each.place.field], heading=""))
            if each.place.field in chosen
            else each
            for each in findings
        )


@frozen
class Checked:
    """The findings of a check, and the number of markers on the list, both sides counted.

    ``distinct`` are the markers of its rows. A row with a fault counts by its other cells.
    """

    findings: tuple[Finding, ...]
    markers: int
    _lists: Lists = field(repr=False)
    _reading: Reading = field(repr=False)
    distinct: tuple[Marker, ...] = field(default=(), repr=False)

    @property
    def origins(self) -> tuple[ListOrigin, ...]:
        """The lists that were read, with the column matched to each heading."""
        return tuple(self._reading.origins.values())

    def proposal(self) -> bytes:
        """A mapping of the list's headings, as TOML, to review and save."""
        return self._reading.proposal().encode()

    def marked(self) -> bytes:
        """The list's workbook with every finding in its cell.

        Raises:
            OutputError: the list is an order file, or its workbook cannot be opened.
        """
        from render.read.marked import marked_workbook

        return marked_workbook(self._lists.path, self._reading, self.findings)

    @property
    def passed(self) -> bool:
        """Whether the list can be made."""
        return not any(finding.blocks for finding in self.findings)


def check_lists(lists: Lists, given: Given) -> Checked:
    """Every finding of a list or an order; writes nothing.

    Raises:
        InputError: a file that the caller names beside the list cannot be used.
    """
    given.progress("reading")
    return _check_reading(lists, lists.read(), given)


def _check_reading(lists: Lists, reading: Reading, given: Given) -> Checked:
    """The findings of a list; rows with a fault are judged by their other cells."""
    findings = list(reading.findings)
    if reading.judged is None:
        return Checked(tuple(findings), 0, lists, reading)
    order, options = given.chosen(reading.judged, lists.path.parent)
    given.progress("planning")
    decided = decide(order, options, reading.listed)
    gathered = decided.gathered
    findings += reading.located(gathered.findings)
    findings += idle_acceptances(order, findings)
    try:
        misfit = misfits(gathered.markers, order, options.shop, reading.listed)
        findings += reading.located(misfit)
    except InputError as error:
        findings += error.findings
    findings += _profile_faults(options)
    findings += options.approved(
        partial(content_of, gathered.markers, gathered.findings, decided.schemes, ids_text(order))
    )
    total = sum(marker.quantity for marker in gathered.markers)
    counted = total if reading.order is not None else 0
    return Checked(given.named(findings), counted, lists, reading, gathered.markers)


def _profile_faults(options: Options) -> tuple[Finding, ...]:
    """What is wrong with the profile of any of the shop's printers."""
    try:
        for role in PartRole:
            options.output_profile(options.shop.printer_for(role))
    except InputError as error:
        return error.findings
    return ()


def make_job(lists: Lists, given: Given, files: JobFiles | None = None) -> JobFolder:
    """The job folder of a list or an order, put into ``files`` or held in memory.

    Raises:
        InputError: part of it cannot be read or is impossible; the error holds every finding.
        BlockedError: a marker must not be printed as it is and is not accepted.
        OutputError: a sheet or a file failed its own inspection, or cannot be written.
    """
    reading, order = _read_sound(lists, given)
    from render.job import build

    with _located(reading, given):
        order, options = given.chosen(order, lists.path.parent)
        return build(order, options, reading.listed, reading.findings, files)


def nest_lists(lists: Lists, given: Given) -> NestedOrder:
    """A list or an order after hop 4, nothing written.

    Raises:
        InputError: part of it cannot be read or is impossible; the error holds every finding.
        BlockedError: a marker must not be printed as it is and is not accepted.
        OutputError: a nest failed its judge.
    """
    reading, order = _read_sound(lists, given)
    from render.job import nest_order

    with _located(reading, given):
        order, options = given.chosen(order, lists.path.parent)
        return nest_order(order, options, reading.listed, reading.findings)


def _read_sound(lists: Lists, given: Given) -> tuple[Reading, Order]:
    """The lists as read, and their order.

    Raises:
        InputError: they cannot be read; the error holds every finding of a check as well.
        BlockedError: as before, of what can be read and must not be printed.
    """
    given.progress("reading")
    reading = lists.read()
    if reading.order is None or any(finding.blocks for finding in reading.findings):
        found = _check_reading(lists, reading, given).findings
        refuse_blocked(found)
        raise InputError(found)
    return reading, reading.order


@contextmanager
def _located(reading: Reading, given: Given) -> Iterator[None]:
    """Findings of an error at their cells, under the caller's names for stocks."""
    try:
        yield
    except (InputError, BlockedError) as error:
        raise type(error)(given.named(reading.located(error.findings))) from error
