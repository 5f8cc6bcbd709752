"""A scheme's inks beside what a printer makes of them and what was measured."""

from __future__ import annotations

from pathlib import Path

from layouts.drawing.document import Document
from layouts.drawing.ink_report import InkReport, Intent
from layouts.drawing.inks import Ink, InkRole, black_among
from layouts.drawing.lettering import Typeface
from layouts.drawing.typeset import Typesetter
from layouts.papers.color_target import patches_of, target_sheet
from layouts.schemes.model import Scheme
from layouts.terms.findings import Finding
from layouts.terms.values import frozen
from render.color.color_report import ColorsTable, colors_json, colors_table
from render.color.gamut import gamut_findings, ink_report, scheme_pairs
from render.color.profile import OutputProfile
from render.color.readings import read_readings
from render.color.verdict import ColorVerdict, judge

_PRINTED = (InkRole.COLOR, InkRole.BLACK, InkRole.PAPER)


@frozen
class Colors:
    """A scheme's inks and pairs, with what a profile and readings say about them."""

    inks: tuple[Ink, ...]
    pairs: tuple[tuple[Ink, Ink], ...]
    report: InkReport | None
    verdict: ColorVerdict | None

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Every finding about the profile and the readings."""
        printed = gamut_findings(self.report) if self.report else ()
        return (*printed, *(self.verdict.findings if self.verdict else ()))

    @property
    def passed(self) -> bool:
        """Whether the readings, if there are any, are within tolerance."""
        return self.verdict is None or self.verdict.passed

    def table(self) -> ColorsTable:
        """Headings and rows of text."""
        return colors_table(self.inks, self.pairs, self.report, self.verdict)

    def json(self) -> str:
        """The same report as JSON."""
        return colors_json(self.inks, self.pairs, self.report, self.verdict)


def used_inks(scheme: Scheme) -> tuple[Ink, ...]:
    """The inks that print the scheme's markers, paints excluded."""
    named = {ink.name for pair in scheme_pairs(scheme) for ink in pair}
    return tuple(ink for ink in scheme.inks.values() if ink.name in named and ink.role in _PRINTED)


def colors_of(
    scheme: Scheme, profile: OutputProfile | None, intent: Intent, readings: Path | None
) -> Colors:
    """A scheme's inks, how the profile reproduces them, and how readings compare.

    Raises:
        InputError: the readings cannot be used; the error holds every fault.
    """
    inks, pairs = used_inks(scheme), scheme_pairs(scheme)
    report = ink_report(inks, profile, intent, pairs) if profile else None
    verdict = None
    if readings is not None:
        verdict = judge(read_readings(readings), patches_of(inks, pairs), pairs)
    return Colors(inks, pairs, report, verdict)


def target(scheme: Scheme, typeface: Typeface) -> Document:
    """The target sheet for the shop to print and measure."""
    inks = used_inks(scheme)
    setter = Typesetter(typeface)
    title = f"Color target, {scheme.title}"
    return target_sheet(inks, setter, black_among(inks), scheme_pairs(scheme), title)
