"""Findings as people read them, line by line or by row, and as programs do."""

from __future__ import annotations

import json
import re
import sys
import textwrap
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

import typer

from layouts.terms.findings import Finding, Place, Severity

WORDS = {
    Severity.UNREADABLE: "error",
    Severity.BLOCKING: "blocked",
    Severity.WARNING: "warning",
    Severity.NOTE: "note",
}
_COLORS = {"error": "red", "blocked": "red", "warning": "yellow", "accepted": "green"}
# Signs that a terminal obeys and JSON lets stand: C1 controls, marks of direction, line ends.
_OBEYED = re.compile("[\x7f-\x9f\u061c\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff]")
_LABEL = 9  # "accepted" and a space


def finding_lines(findings: Iterable[Finding]) -> list[str]:
    """Every finding as one line, the most severe first, each with its code."""
    return [_line(finding) for finding in in_order(findings)]


def in_order(findings: Iterable[Finding]) -> list[Finding]:
    """The most severe first, then by row."""
    return sorted(findings, key=lambda each: (-each.severity, each.place.row or 0, each.code))


def word_of(finding: Finding) -> str:
    """How a finding weighs, in a word."""
    return "accepted" if finding.accepted else WORDS[finding.severity]


def _line(finding: Finding) -> str:
    reason = f" (accepted: {finding.accepted})" if finding.accepted else ""
    return f"{word_of(finding)}: {finding.sentence()} [{finding.code}]{reason}"


def finding_blocks(findings: Iterable[Finding], width: int, color: bool) -> Iterator[str]:
    """Findings by the row that they are about, folded to a width.

    Equal findings of several rows come once. The remedy is on the line below the fault.
    """
    same: dict[Finding, list[Place]] = defaultdict(list)
    for finding in in_order(findings):
        key = Finding(
            finding.code,
            finding.severity,
            finding.what,
            finding.right,
            place=replace(finding.place, row=None, more=0, cell=""),
            accepted=finding.accepted,
        )
        same[key].append(finding.place)
    blocks: dict[str, list[Finding]] = defaultdict(list)
    for finding, places in same.items():
        only = places[0] if len(places) == 1 else finding.place
        blocks[_heading(places)].append(replace(finding, place=only))
    for heading, members in blocks.items():
        if heading:
            yield typer.style(heading, bold=True) if color else heading
        for finding in members:
            yield from _block(finding, width, color)
        yield ""


def _heading(places: Sequence[Place]) -> str:
    """``list.csv, rows 8, 9 and 10 (CD)``, without the field."""
    rows = sorted({place.row for place in places if place.row is not None})
    more = sum(place.more for place in places)
    sheet = f"sheet {places[0].sheet}" if places[0].sheet else ""
    text = ", ".join(part for part in (places[0].file, sheet) if part)
    if rows:
        shown = ", ".join(map(str, rows[:6]))
        hidden = len(rows) - 6 + more if len(rows) > 6 else more
        rest = f" and {hidden} more" if hidden else ""
        named = f"{'rows' if len(rows) > 1 or more else 'row'} {shown}{rest}"
        text = f"{text}, {named}" if text else named
    marker = places[0].marker
    return f"{text} ({marker})" if text and marker else text or marker


def _block(finding: Finding, width: int, color: bool) -> Iterator[str]:
    word = word_of(finding)
    about = _about(finding.place)
    label = f"  {word.ljust(_LABEL)}"
    lines = _fold_text(f"{about}{finding.what} [{finding.code}]", width, label)
    if color and word in _COLORS:
        lines[0] = lines[0].replace(word, typer.style(word, fg=_COLORS[word]), 1)
    yield from lines
    hang = " " * len(label)
    if finding.right:
        remedy = _fold_text(finding.right, width, f"{hang}> ")
        yield from (typer.style(line, fg="cyan") if color else line for line in remedy)
    if finding.accepted:
        yield from _fold_text(f"accepted: {finding.accepted}", width, hang)


def _about(place: Place) -> str:
    """``Oper. Press. (L12, pressure_psig): ``, as far as known."""
    own = place.field if place.heading not in ("", place.field) else ""
    inner = ", ".join(part for part in (place.cell, own) if part)
    named = place.heading or place.field
    return f"{named}{f' ({inner})' if inner else ''}: " if named else ""


def _fold_text(text: str, width: int, first: str) -> list[str]:
    return textwrap.wrap(
        text,
        width,
        initial_indent=first,
        subsequent_indent=" " * len(first),
        break_long_words=False,
        break_on_hyphens=False,
    )


def first_of_each(findings: Iterable[Finding], most: int) -> tuple[list[Finding], list[Finding]]:
    """The first findings of each weight in the order of reading, and the others."""
    told: list[Finding] = []
    untold: list[Finding] = []
    counts: Counter[str] = Counter()
    for each in in_order(findings):
        counts[word_of(each)] += 1
        (told if counts[word_of(each)] <= most else untold).append(each)
    return told, untold


def tally(findings: Iterable[Finding]) -> str:
    """How many of each weight."""
    counts = Counter(map(word_of, findings))
    if not counts:
        return "no findings"
    order = ("error", "blocked", "accepted", "warning", "note")
    plural = {"error": "errors", "warning": "warnings", "note": "notes"}
    return ", ".join(
        f"{counts[word]} {plural.get(word, word) if counts[word] != 1 else word}"
        for word in order
        if counts[word]
    )


def finding_table(finding: Finding) -> dict[str, object]:
    """A finding for programs; ``severity`` is the word that people see."""
    return {
        "code": finding.code,
        "severity": WORDS[finding.severity],
        "file": finding.place.file,
        "sheet": finding.place.sheet,
        "cell": finding.place.cell,
        "heading": finding.place.heading,
        "row": finding.place.row,
        "field": finding.place.field,
        "marker": finding.place.marker,
        "what": finding.what,
        "right": finding.right,
        "source": finding.source,
        "accepted": finding.accepted,
    }


def findings_json(findings: Iterable[Finding]) -> str:
    """Findings for programs, in the order in which people see them."""
    return dump({"findings": [finding_table(finding) for finding in in_order(findings)]})


def dump(table: object) -> str:
    """JSON that any console can show without a loss."""
    wide = (sys.stdout.encoding or "").lower().startswith("utf")
    return safe_json(json.dumps(table, indent=1, ensure_ascii=not wide))


def safe_json(text: str) -> str:
    """The same JSON, with an escape for every sign that a terminal would obey."""
    return _OBEYED.sub(lambda found: f"\\u{ord(found[0]):04x}", text)
