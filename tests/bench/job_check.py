"""Looks whether a job folder that was timed is whole and right, by its files and nothing else."""

from __future__ import annotations

import csv
import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pikepdf


class CheckError(Exception):
    """What a benchmark made is not what it should be."""


@dataclass(frozen=True, slots=True)
class Made:
    """What is in a job folder."""

    files: int
    megabytes: float
    markers: int
    distinct: int
    sheets: int
    meters: float  # of the rolls


def looked_over(folder: Path, markers: int, tags: Iterable[str] = (), twins: bool = True) -> Made:
    """What a folder holds.

    ``markers`` is what was ordered and ``tags`` are drawn on one marker each. With ``twins`` each
    marker is one printed piece, as in the lists made here.

    Raises:
        CheckError: a file is missing, spoiled or too much; a count, a tag or a page is wrong.
    """
    faults = [*_files(folder)]
    with (folder / "markers.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    total = sum(int(row["qty"]) for row in rows)
    if total != markers:
        faults.append(f"{total:,} markers in markers.csv where {markers:,} were ordered")
    drawn = {word for row in rows for word in row["legend"].split()}
    missing = sorted(set(tags) - drawn)
    if missing:
        faults.append(f"{len(missing)} tags are on no marker, {missing[0]} for one")
    groups = json.loads((folder / "nest.json").read_text())["groups"]
    faults += _groups(folder, groups)
    printed = sum(group["parts"] for group in groups if group["role"] in ("film", "tag"))
    if twins and printed != markers:
        faults.append(f"{printed:,} pieces of film and tags for {markers:,} markers")
    if faults:
        raise CheckError(f"{folder}: {'; '.join(faults[:5])}")
    paths = [path for path in folder.rglob("*") if path.is_file()]
    return Made(
        len(paths),
        sum(path.stat().st_size for path in paths) / 1e6,
        total,
        len(rows),
        sum(group["copies"] for group in groups),
        sum(group["used_length_mm"] or 0 for group in groups if group["role"] == "film") / 1000,
    )


def _files(folder: Path) -> Iterator[str]:
    """Faults of the files against the folder's manifest."""
    named = json.loads((folder / "manifest.json").read_text())["files"]
    there = {str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file()}
    for name in sorted(there ^ {*named, "manifest.json"}):
        yield f"{name} is {'not in the manifest' if name in there else 'missing'}"
    for name in sorted(there & set(named)):
        data = (folder / name).read_bytes()
        if hashlib.sha256(data).hexdigest() != named[name]["sha256"]:
            yield f"{name} differs from the manifest"
        if name.endswith(".pdf") and not data.startswith(b"%PDF-"):
            yield f"{name} is no PDF"


def _groups(folder: Path, groups: Iterable[Mapping[str, Any]]) -> Iterator[str]:
    """Faults of each group: pieces without a place, pages and cut files that are missing."""
    for group in groups:
        key, layouts = group["key"], group["arrangements"]
        placed = sum(each["copies"] * len(each["slots"].split()) for each in layouts)
        if group["unplaced"] or placed != group["parts"]:
            yield f"{key}: {placed:,} of {group['parts']:,} pieces are placed"
        with pikepdf.open(folder / "print" / f"{key}.pdf") as document:
            pages = len(document.pages)
        if pages != group["sheets"] or sum(each["copies"] for each in layouts) != group["copies"]:
            yield f"{key}: {pages} pages for {group['sheets']} sheets that differ"
        cuts = len(list((folder / "cut").glob(f"{key}-*.dxf")))
        if cuts != group["cut_files"]:
            yield f"{key}: {cuts} cut files where {group['cut_files']} are told"
