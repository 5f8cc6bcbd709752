"""What a preflight finds: points with stable codes, and the verdict that follows from them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from enum import Enum
from typing import Any

from layouts.terms.values import frozen


class Verdict(Enum):
    """How one point, or the whole file, was judged; the worst of a file's points is the last."""

    PASS = "pass"  # noqa: S105  a verdict
    NOTE = "note"
    WARNING = "warning"
    FAIL = "fail"
    TOO_LARGE = "too large to judge"
    UNREADABLE = "unreadable"


_DECIDING = (Verdict.UNREADABLE, Verdict.TOO_LARGE, Verdict.FAIL)


@frozen
class Point:
    """One point of the report. ``right`` says what would be right where it fails.

    ``house`` marks a house rule: the standard that the file names would let it pass.
    """

    code: str
    verdict: Verdict
    what: str
    where: str = ""
    right: str = ""
    house: bool = False

    def as_dict(self) -> dict[str, object]:
        """The point as JSON holds it; empty parts are left out."""
        parts: dict[str, object] = asdict(self)
        parts["verdict"] = self.verdict.value
        return {key: value for key, value in parts.items() if value}


def fail(code: str, what: str, where: str = "", right: str = "", house: bool = False) -> Point:
    """A point that makes the file unfit; with ``house`` under house rules only."""
    return Point(code, Verdict.FAIL, what, where, right, house)


def warn(code: str, what: str, where: str = "", right: str = "") -> Point:
    """A point that may go wrong at the press and does not change the verdict."""
    return Point(code, Verdict.WARNING, what, where, right)


def note(code: str, what: str, where: str = "") -> Point:
    """A point worth knowing that does not change the verdict."""
    return Point(code, Verdict.NOTE, what, where)


def unreadable(code: str, what: str, right: str) -> Point:
    """The one point of a file that cannot be opened."""
    return Point(code, Verdict.UNREADABLE, what, right=right)


def too_large(code: str, what: str) -> Point:
    """A point that says why the file was not looked at in full."""
    right = "split the file, or flatten it with the program that made it"
    return Point(code, Verdict.TOO_LARGE, what, right=right)


@frozen
class PageFacts:
    """Sizes of a page in mm, as (x, y, width, height) with y counted from the page's top."""

    number: int
    width: float
    height: float
    trim: tuple[float, float, float, float] | None
    bleed: tuple[float, float, float, float] | None


@frozen
class Report:
    """All points of a file, in the order in which they were looked at.

    ``rules`` names what the file was held to: house or standard.
    """

    points: tuple[Point, ...]
    pages: tuple[PageFacts, ...] = ()
    inks: tuple[str, ...] = ()
    claim: str = ""
    rules: str = "house"

    @property
    def verdict(self) -> Verdict:
        """The worst of the points, where it is one that decides; else PASS."""
        found = {point.verdict for point in self.points}
        return next((verdict for verdict in _DECIDING if verdict in found), Verdict.PASS)

    @property
    def failures(self) -> tuple[Point, ...]:
        """The points that keep the file from being sent."""
        return tuple(point for point in self.points if point.verdict in _DECIDING)

    @property
    def codes(self) -> frozenset[str]:
        """The codes of all failures."""
        return frozenset(point.code for point in self.failures)


def as_dict(report: Report) -> dict[str, object]:
    """The report as JSON holds it, sizes in mm."""
    return {
        "verdict": report.verdict.value,
        "rules": report.rules,
        "claim": report.claim or None,
        "inks": list(report.inks),
        "pages": [
            {
                "number": page.number,
                "width_mm": page.width,
                "height_mm": page.height,
                "trim_mm": page.trim,
                "bleed_mm": page.bleed,
            }
            for page in report.pages
        ],
        "points": [point.as_dict() for point in report.points],
    }


def report_from(found: Mapping[str, Any]) -> Report:
    """The report that `as_dict` made a dict of."""

    def box(values: list[float] | None) -> tuple[float, float, float, float] | None:
        if values is None:
            return None
        x, y, width, height = values
        return (x, y, width, height)

    return Report(
        tuple(
            Point(**{**point, "verdict": Verdict(point["verdict"])}) for point in found["points"]
        ),
        tuple(
            PageFacts(
                page["number"],
                page["width_mm"],
                page["height_mm"],
                box(page["trim_mm"]),
                box(page["bleed_mm"]),
            )
            for page in found["pages"]
        ),
        tuple(found["inks"]),
        found["claim"] or "",
        found["rules"],
    )
