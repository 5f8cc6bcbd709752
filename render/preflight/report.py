"""What a preflight says: points with stable codes, a verdict, plain text and a plain dict."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass
from enum import Enum

_MOST = 5  # points of one kind that the table shows


class Verdict(Enum):
    """How one point, or the whole file, was judged."""

    PASS = "pass"
    NOTE = "note"
    FAIL = "fail"
    UNREADABLE = "unreadable"


@dataclass(frozen=True, slots=True)
class Point:
    """One point of the report. ``right`` says what would be right where it fails."""

    code: str
    verdict: Verdict
    what: str
    where: str = ""
    right: str = ""

    def as_dict(self) -> dict[str, str]:
        """The point as JSON holds it; empty parts are left out."""
        parts = {
            "code": self.code,
            "verdict": self.verdict.value,
            "what": self.what,
            "where": self.where,
            "right": self.right,
        }
        return {key: value for key, value in parts.items() if value}


def fail(code: str, what: str, where: str = "", right: str = "") -> Point:
    """A point that makes the file unfit."""
    return Point(code, Verdict.FAIL, what, where, right)


def note(code: str, what: str, where: str = "") -> Point:
    """A point worth knowing that does not change the verdict."""
    return Point(code, Verdict.NOTE, what, where)


def counted(number: int, one: str, many: str = "") -> str:
    """A number with its noun: ``1 contour``, ``2 contours``."""
    return f"{number} {one if number == 1 else many or one + 's'}"


@dataclass(frozen=True, slots=True)
class PageFacts:
    """Sizes of a page in mm, as (x, y, width, height) with y counted from the page's top."""

    number: int
    width: float
    height: float
    trim: tuple[float, float, float, float] | None
    bleed: tuple[float, float, float, float] | None


@dataclass(frozen=True, slots=True)
class Report:
    """All points of a file, in the order in which they were looked at."""

    points: tuple[Point, ...]
    pages: tuple[PageFacts, ...] = ()
    inks: tuple[str, ...] = ()
    claim: str = ""

    @property
    def verdict(self) -> Verdict:
        """UNREADABLE or FAIL where any point says so, else PASS."""
        found = {point.verdict for point in self.points}
        for verdict in (Verdict.UNREADABLE, Verdict.FAIL):
            if verdict in found:
                return verdict
        return Verdict.PASS

    @property
    def failures(self) -> tuple[Point, ...]:
        """The points that keep the file from being sent."""
        bad = (Verdict.FAIL, Verdict.UNREADABLE)
        return tuple(point for point in self.points if point.verdict in bad)

    @property
    def codes(self) -> frozenset[str]:
        """The codes of all failures."""
        return frozenset(point.code for point in self.failures)


def as_dict(report: Report) -> dict[str, object]:
    """The report as JSON holds it, sizes in mm."""
    return {
        "verdict": report.verdict.value,
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


def as_text(report: Report, width: int = 100, passes: bool = True) -> str:
    """The report as a plain table: verdict, code, and what was found, wrapped to ``width``."""
    shown = _shortened(report.points if passes else _spoken(report))
    code_width = max((len(point.code) for point in shown), default=0)
    lead = 14 + code_width
    lines = []
    for point in shown:
        where = f"{point.where}: " if point.where else ""
        right = f"; {point.right}" if point.right else ""
        text = textwrap.wrap(f"{where}{point.what}{right}", max(20, width - lead)) or [""]
        lines.append(
            f"{point.verdict.value:<10}  {point.code:<{code_width}}{text[0]:>{len(text[0]) + 2}}"
        )
        lines += [" " * lead + more for more in text[1:]]
    lines += ["", *_summary(report)]
    return "\n".join(lines)


def _spoken(report: Report) -> tuple[Point, ...]:
    return tuple(point for point in report.points if point.verdict is not Verdict.PASS)


def _shortened(points: tuple[Point, ...]) -> list[Point]:
    """At most `_MOST` points of one code and verdict, and one that counts the others."""
    shown: list[Point] = []
    counts: dict[tuple[str, Verdict], int] = {}
    for point in points:
        key = (point.code, point.verdict)
        counts[key] = counts.get(key, 0) + 1
        if counts[key] <= _MOST:
            shown.append(point)
    for (code, verdict), count in counts.items():
        if count > _MOST:
            shown.append(Point(code, verdict, f"and {count - _MOST} more of these"))
    return shown


def _summary(report: Report) -> list[str]:
    lines = [
        f"page {page.number}: {page.width:.2f} x {page.height:.2f} mm" for page in report.pages[:3]
    ]
    if len(report.pages) > 3:
        lines.append(f"and {len(report.pages) - 3} more pages")
    if report.inks:
        lines.append("inks: " + ", ".join(report.inks))
    count = len(report.failures)
    faults = f", {counted(count, 'fault')}" if count else ""
    lines.append(f"verdict: {report.verdict.value}{faults}")
    return lines
