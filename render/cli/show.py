"""What the terminal shows: plain lines for people, JSON for programs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from layouts.schemes.loader import load_scheme, scheme_keys
from layouts.terms.counts import counted
from layouts.terms.findings import Finding, Severity
from layouts.terms.units import inches
from render.cli.findings import dump, finding_table, in_order, tally

if TYPE_CHECKING:
    from layouts.markers.gather import Marker
    from layouts.sheets.sheetplan import SheetPlan
    from render.color.color_report import ColorsTable
    from render.job import JobFolder
    from render.lists import Checked

_CAUTION = (
    "Trace each line to both ends and check it against the P&ID before you install its marker. "
    "Local codes and licensed practice decide."
)


def check_json(checked: Checked) -> str:
    """A checked file for programs."""
    findings = [finding_table(each) for each in in_order(checked.findings)]
    return dump({"markers": checked.markers, "findings": findings})


def check_lines(checked: Checked, file: Path) -> list[str]:
    """What a check counted, and what to do next."""
    lines = [f"{counted(checked.markers, 'marker')}: {tally(checked.findings)}"]
    if checked.passed and checked.markers:
        lines.append(f"next: pipelegend order {quote_path(file)} -o job")
    return lines


def quote_path(path: Path) -> str:
    """A path as a shell takes it."""
    return f'"{path}"' if " " in str(path) else str(path)


def group_text(group: SheetPlan, markers: Mapping[str, Marker]) -> str:
    """One group of sheets: what, how many, its waste, and how good that provably is."""
    from layouts.papers.amounts import (
        amount_text,
        counts_text,
        least_text,
        length_text,
        mix_text,
        price_text,
        shelf_text,
    )
    from layouts.papers.materials import group_waste

    nest = group.nest
    amount, least = amount_text(group), least_text(group)
    if group.is_roll:
        amount += f", {length_text(nest.length_um / 1000)}"
    texts = [
        f"{amount} (proven minimum {least})",
        f"{group_waste(group, markers).percent:.1f} % waste" if group.sheets else "empty",
        counts_text(group),
        mix_text(group),
        price_text(group),
        shelf_text(group),
    ]
    listed = "; ".join(text for text in texts if text)
    return f"{group.key}: {group.title}, {group.build}: {listed}"


def job_lines(job: JobFolder, output: Path, after: str) -> list[str]:
    """What a job folder holds, and what to do next."""
    total = sum(marker.quantity for marker in job.markers)
    size = sum(job.files.sizes.values())
    notes = sum(each.severity is Severity.NOTE for each in job.findings)
    by_id = {marker.id: marker for marker in job.markers}
    told = f" (notes: see {output / 'proof.pdf'})" if notes else ""
    return [
        f"{counted(total, 'marker')}, {len(job.markers)} distinct: {tally(job.findings)}{told}",
        *(f"  {group_text(group, by_id)}" for group in job.groups),
        f"{output}: {counted(len(job.files), 'file')}, {size / 1e6:.1f} MB",
        *(f"  {name}" for name in _folder_lines(job)),
        f"next: {after}",
        _CAUTION,
    ]


def _folder_lines(job: JobFolder) -> Iterator[str]:
    """Files at the top by name, folders by their count."""
    folders = Counter(name.split("/")[0] for name in job.files if "/" in name)
    yield from (f"{folder}/ ({count} files)" for folder, count in sorted(folders.items()))
    yield from sorted(name for name in job.files if "/" not in name)


def job_json(job: JobFolder, output: Path) -> str:
    """A job folder for programs."""
    return dump(
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
            "findings": [finding_table(each) for each in in_order(job.findings)],
        }
    )


def single_lines(markers: Sequence[Marker], output: Path) -> list[str]:
    """One drawn marker: what it says, its size, and the reason for each choice."""
    lines: list[str] = []
    for marker in markers:
        measures, plan = marker.face.measures, marker.plan
        lines += [
            f"{marker.id} {marker.face.words} {plan.hand}".rstrip(),
            f"  {inches(measures.length)} x {inches(measures.height)}, letters "
            f"{inches(measures.letter_height)}, {plan.scheme}",
            *dict.fromkeys(f"  {reason.topic}: {reason.text}" for reason in plan.reasons),
            f"  mounting: {plan.build.mount_text}",
        ]
    return [*lines, f"{output} written", f"next: print it at 100 %, never scaled. {_CAUTION}"]


def single_json(markers: Sequence[Marker], findings: Iterable[Finding], output: Path) -> str:
    """One drawn marker for programs."""
    return dump(
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
            "findings": [finding_table(each) for each in in_order(findings)],
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
    """The built-in schemes for programs."""
    listed = [load_scheme(key) for key in scheme_keys()]
    return dump(
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
