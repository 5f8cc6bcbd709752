"""Words a report for people: the verdict first, then the faults, then the notes."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from layouts.terms.counts import counted
from render.preflight.report import Point, Report, Verdict

_MOST = 5  # points of one kind that are listed
_ORDER = (Verdict.UNREADABLE, Verdict.TOO_LARGE, Verdict.FAIL, Verdict.WARNING, Verdict.NOTE)
_WORDS = {Verdict.TOO_LARGE: "too large"}
_LONGEST_WORD = 10


def as_text(report: Report, width: int = 100, passes: bool = True, name: str = "") -> str:
    """The report as plain lines, wrapped to ``width``.

    ``passes`` lists the points that are in order too; they are counted in any case. ``name``
    leads the first line, where several files are reported.
    """
    shown = _shorten(report.points, passes)
    code_width = max((len(point.code) for point in shown), default=0)
    lead = " " * (_LONGEST_WORD + code_width + 4)
    lines = [f"{name}: {verdict_line(report)}" if name else verdict_line(report), *_facts(report)]
    for point in shown:
        word = _WORDS.get(point.verdict, point.verdict.value)
        head = f"{word:<{_LONGEST_WORD}}  {point.code:<{code_width}}  "
        text = textwrap.wrap(sentence(point), max(20, width - len(lead))) or [""]
        lines += [head + text[0], *(lead + more for more in text[1:])]
    return "\n".join(lines)


def verdict_line(report: Report) -> str:
    """The verdict with its counts: ``verdict: fail, 2 faults and 1 warning (house rules)``."""
    counts = [counted(len(report.failures), "fault")] if report.failures else []
    for verdict in (Verdict.WARNING, Verdict.NOTE):
        number = sum(point.verdict is verdict for point in report.points)
        if number:
            counts.append(counted(number, verdict.value))
    passed = sum(point.verdict is Verdict.PASS for point in report.points)
    if passed:
        counts.append(f"{counted(passed, 'point')} in order")
    found = f", {', '.join(counts)}" if counts else ""
    return f"verdict: {report.verdict.value}{found} ({report.rules} rules)"


def sentence(point: Point) -> str:
    """Where, what, what would be right, and whether only the house asks for it."""
    where = f"{point.where}: " if point.where else ""
    right = f"; {point.right}" if point.right else ""
    return f"{where}{point.what}{right}{' [house rule]' if point.house else ''}"


def _facts(report: Report) -> list[str]:
    lines = [
        f"page {page.number}: {page.width:.2f} x {page.height:.2f} mm" for page in report.pages[:3]
    ]
    if len(report.pages) > 3:
        lines.append(f"and {len(report.pages) - 3} more pages")
    if report.claim:
        lines.append(f"claims {report.claim}")
    if report.inks:
        lines.append("inks: " + ", ".join(report.inks))
    return lines


def _shorten(points: Sequence[Point], passes: bool) -> list[Point]:
    """The worst first, and of one code and verdict at most `_MOST`, the others counted."""
    shown: list[Point] = []
    for verdict in (*_ORDER, *((Verdict.PASS,) if passes else ())):
        by_code: dict[str, list[Point]] = {}
        for point in points:
            if point.verdict is verdict:
                by_code.setdefault(point.code, []).append(point)
        for code, found in by_code.items():
            shown += found[:_MOST]
            if len(found) > _MOST:
                shown.append(Point(code, verdict, f"and {len(found) - _MOST} more of these"))
    return shown
