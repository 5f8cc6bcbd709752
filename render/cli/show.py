"""What the terminal shows: plain lines for people, JSON for machines."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from layouts.schemes.loader import load_scheme, scheme_keys
from layouts.terms.findings import Finding, Severity
from layouts.terms.units import inches

if TYPE_CHECKING:
    from layouts.markers.gather import Marker
    from layouts.sheets.sheetplan import SheetPlan
    from render.color.color_report import ColorsTable
    from render.job import JobFolder
    from render.options import Progress

_WORDS = {
    Severity.UNREADABLE: "error",
    Severity.BLOCKING: "blocked",
    Severity.WARNING: "warning",
    Severity.NOTE: "note",
}
_CAUTION = (
    "Trace each line to both ends and agree it with the P&ID before fixing a marker; local codes "
    "and licensed practice decide."
)


def finding_lines(findings: Iterable[Finding]) -> list[str]:
    """Every finding as one line, the gravest first, each with its code."""
    ordered = sorted(findings, key=lambda each: (-each.severity, each.place.row or 0, each.code))
    return [_finding_line(finding) for finding in ordered]


def _finding_line(finding: Finding) -> str:
    word = "accepted" if finding.accepted else _WORDS[finding.severity]
    reason = f" (accepted: {finding.accepted})" if finding.accepted else ""
    return f"{word}: {finding.sentence()} [{finding.code}]{reason}"


def _finding_table(finding: Finding) -> dict[str, object]:
    return {
        "code": finding.code,
        "severity": finding.severity.name.lower(),
        "file": finding.place.file,
        "row": finding.place.row,
        "field": finding.place.field,
        "marker": finding.place.marker,
        "what": finding.what,
        "right": finding.right,
        "source": finding.source,
        "accepted": finding.accepted,
    }


def _dump(table: object) -> str:
    return json.dumps(table, indent=1, ensure_ascii=False)


def findings_json(findings: Iterable[Finding]) -> str:
    """Findings for machines."""
    return _dump({"findings": [_finding_table(finding) for finding in findings]})


def check_json(findings: Sequence[Finding], markers: int) -> str:
    """A checked file for machines."""
    return _dump({"markers": markers, "findings": [_finding_table(each) for each in findings]})


def check_lines(findings: Sequence[Finding], markers: int) -> list[str]:
    """A checked file for people: every finding, then the counts."""
    return [*finding_lines(findings), f"{markers} markers: {_tally(findings)}"]


def _tally(findings: Iterable[Finding]) -> str:
    counts = Counter(
        "accepted" if finding.accepted else _WORDS[finding.severity] for finding in findings
    )
    if not counts:
        return "nothing to remark"
    order = ("error", "blocked", "accepted", "warning", "note")
    plural = {"error": "errors", "warning": "warnings", "note": "notes"}
    return ", ".join(
        f"{counts[word]} {plural.get(word, word) if counts[word] != 1 else word}"
        for word in order
        if counts[word]
    )


def group_text(group: SheetPlan) -> str:
    """One group of sheets: what, how many, and how good that provably is."""
    from layouts.papers.amounts import (
        amount_text,
        counts_text,
        least_text,
        mix_text,
        price_text,
        shelf_text,
    )

    nest = group.nest
    used, stock = nest.utilization
    amount, least = amount_text(group), least_text(group)
    if group.is_roll:
        amount += f", {nest.length_um / 1e6:.2f} m"
    if group.is_roll and len(group.stocks) == 1:
        least = f"{nest.bound.length_um / 1e6:.2f} m"
    texts = [
        f"{amount} (proven minimum {least})",
        f"{100 * used / stock:.0f} % used" if stock else "empty",
        counts_text(group),
        mix_text(group),
        price_text(group),
        shelf_text(group),
    ]
    listed = "; ".join(text for text in texts if text)
    return f"{group.key}: {group.title}, {group.build}: {listed}"


def job_lines(job: JobFolder, output: Path) -> list[str]:
    """What a job folder holds, and what to look at."""
    total = sum(marker.quantity for marker in job.markers)
    size = sum(len(data) for data in job.files.values())
    return [
        *finding_lines(each for each in job.findings if each.severity >= Severity.WARNING),
        f"{total} markers, {len(job.markers)} distinct: {_tally(job.findings)}",
        *(f"  {group_text(group)}" for group in job.groups),
        f"{output}: {len(job.files)} files, {size / 1e6:.1f} MB",
        *(f"  {name}" for name in _folder_lines(job)),
        _CAUTION,
    ]


def _folder_lines(job: JobFolder) -> Iterator[str]:
    """Files at the top by name, folders by their count."""
    folders = Counter(name.split("/")[0] for name in job.files if "/" in name)
    yield from (f"{folder}/ ({count} files)" for folder, count in sorted(folders.items()))
    yield from sorted(name for name in job.files if "/" not in name)


def job_json(job: JobFolder, output: Path) -> str:
    """A job folder for machines."""
    return _dump(
        {
            "folder": str(output),
            "files": sorted(job.files),
            "markers": sum(marker.quantity for marker in job.markers),
            "distinct": len(job.markers),
            "groups": [
                {
                    "key": group.key,
                    "stock": group.stock.key,
                    "build": group.build,
                    "sheets": group.copies,
                    "distinct_sheets": len(group.sheets),
                    "distinct_sheets_by_rows": group.by_rows,
                    "cut_files": group.nest.distinct,
                    "length_mm": group.nest.length_um / 1000,
                    "bound": group.nest.bound.sheets,
                    "bound_length_mm": group.nest.bound.length_um / 1000,
                    "price_of_areas": (
                        None
                        if group.price is None
                        else {"sheets": group.price.sheets, "length_mm": group.price.length}
                    ),
                }
                for group in job.groups
            ],
            "findings": [_finding_table(finding) for finding in job.findings],
        }
    )


def single_lines(markers: Sequence[Marker], findings: Iterable[Finding], output: Path) -> list[str]:
    """One drawn marker: what it says, its size, and the reason of each choice."""
    lines = finding_lines(findings)
    for marker in markers:
        measures, plan = marker.face.measures, marker.plan
        lines += [
            f"{marker.id} {marker.face.words} {plan.hand}".rstrip(),
            f"  {inches(measures.length)} x {inches(measures.height)}, letters "
            f"{inches(measures.letter_height)}, {plan.scheme}",
            *dict.fromkeys(f"  {reason.topic}: {reason.text}" for reason in plan.reasons),
            f"  mounting: {plan.build.mount_text}",
        ]
    return [*lines, f"{output} written. {_CAUTION}"]


def single_json(markers: Sequence[Marker], findings: Iterable[Finding], output: Path) -> str:
    """One drawn marker for machines."""
    return _dump(
        {
            "file": str(output),
            "markers": [
                {
                    "id": marker.id,
                    "words": marker.face.words,
                    "length_mm": marker.face.measures.length,
                    "height_mm": marker.face.measures.height,
                    "letter_height_mm": marker.face.measures.letter_height,
                    "scheme": marker.plan.scheme,
                    "size_row": marker.plan.row,
                    "reasons": [
                        {"topic": each.topic, "text": each.text, "source": each.source}
                        for each in marker.plan.reasons
                    ],
                }
                for marker in markers
            ],
            "findings": [_finding_table(finding) for finding in findings],
        }
    )


def scheme_lines() -> list[str]:
    """The built-in schemes for people."""
    lines: list[str] = []
    for key in scheme_keys():
        scheme = load_scheme(key)
        lines += [
            f"{key}: {scheme.title}",
            f"  edition: {scheme.edition}",
            f"  built from: {scheme.built_from}",
            f"  missing: {scheme.missing or 'nothing known'}",
        ]
    return lines


def schemes_json() -> str:
    """The built-in schemes for machines."""
    listed = [load_scheme(key) for key in scheme_keys()]
    return _dump(
        [
            {
                "key": scheme.key,
                "title": scheme.title,
                "standard": scheme.standard,
                "edition": scheme.edition,
                "built_from": scheme.built_from,
                "missing": scheme.missing,
                "services": {code: each.meaning for code, each in scheme.services.items()},
            }
            for scheme in listed
        ]
    )


def color_lines(table: ColorsTable) -> list[str]:
    """Inks and pairs in aligned columns."""
    pairs = _columns(table.pair_headings, table.pair_rows) if table.pair_rows else []
    return [*_columns(table.headings, table.rows), "", *pairs]


def _columns(headings: Sequence[str], rows: Sequence[Sequence[str]]) -> list[str]:
    cells = [headings, *rows]
    widths = [max(len(row[column]) for row in cells) for column in range(len(headings))]
    return [
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in cells
    ]


@contextmanager
def progress(quiet: bool) -> Iterator[Progress]:
    """A spinner with the hop in hand, on a terminal alone."""
    from rich.console import Console

    console = Console(stderr=True)
    if quiet or not console.is_terminal:
        yield lambda _: None
        return
    with console.status("reading") as status:
        yield lambda hop: status.update(hop)
