"""A check in its child process: findings first, then a picture of every distinct marker."""

from __future__ import annotations

import json
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path

from layouts.markers.gather import Marker
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.units import inches
from render.cli.findings import finding_table, in_order
from render.files.atomic import write_file
from render.lists import Checked, Given, Lists, check_lists
from render.options import Progress
from render.read import PlantMapping, SheetRows, list_rows, read_mapping
from render.read.codes import FileError, fault
from render.read.columns import column_letters
from render.read.delimited import encoding_of
from render.read.marked import correction
from render.read.orderfile import parse_order
from render.read.reading import ListOrigin
from render.web.edits import prepared
from render.web.tasks import Task

FOUND, FACES = "found.json", "faces"


def check_list(folder: Path, task: Task, progress: Progress) -> None:
    """Check the list of a folder, and write the findings for the page to show."""
    lists = prepared(folder, task)
    refuse_outside(lists.path)
    checked = check_lists(lists, Given(shop=task.path("shop"), progress=progress))
    write_file(folder / FOUND, json.dumps(_found(lists, checked)).encode())
    progress("drawing", 0, len(checked.distinct))
    draw_faces(folder, checked.distinct, progress)


def refuse_outside(path: Path) -> None:
    """Check that an uploaded order file names only files that came with it.

    Raises:
        InputError: it names a file by a path.
    """
    if path.suffix.lower() not in (".toml", ".json"):
        return
    try:
        text = path.read_text(encoding=encoding_of(path)[0])
        tables = parse_order(path.name, text, path.suffix.lower())
    except (FileError, OSError, UnicodeError):
        return  # the reader reports what is wrong with it
    refuse_paths(tables, path.name)


def refuse_paths(tables: Mapping[str, object], file: str = "") -> None:
    """Refuse any file named by a path in the tables of an order file.

    Raises:
        InputError: something does.
    """
    for name in _named_files(tables):
        if "/" in name or "\\" in name or name.startswith("."):
            what = "the order names a file by a path"
            right = "give the file itself with it, and write its name"
            raise InputError([fault("bad-line-list", what, right, Place(file))])


def _named_files(tables: Mapping[str, object]) -> Iterator[str]:
    """Every value in an order file that may name another file."""
    markers = tables.get("markers")
    rows = markers if isinstance(markers, list) else []
    lists = tables.get("line_list")
    named = [tables.get("scheme"), *(each.get("scheme") for each in rows if isinstance(each, dict))]
    named += lists if isinstance(lists, list) else [lists]
    yield from (each for each in named if isinstance(each, str))


def draw_faces(folder: Path, markers: Sequence[Marker], progress: Progress) -> None:
    """The face of each marker as SVG, by its id."""
    from render.one_marker import face_picture

    (folder / FACES).mkdir(exist_ok=True)
    for done, marker in enumerate(markers, 1):
        (folder / FACES / f"{marker.id}.svg").write_bytes(face_picture(marker))
        progress("drawing", done, len(markers))


def pictures(markers: Iterable[Marker]) -> list[dict[str, object]]:
    """The data shown with the picture of each marker."""
    return [
        {
            "id": marker.id,
            "words": marker.face.words,
            "quantity": marker.quantity,
            "kind": str(marker.plan.kind),
            "length": marker.face.measures.length,
            "height": marker.face.measures.height,
            "size": f"{inches(marker.face.measures.length)} x "
            f"{inches(marker.face.measures.height)}",
            "scheme": marker.plan.scheme,
            "mounting": marker.plan.build.mount_text,
            "rows": sorted({p.position.row for p in marker.placings if p.position.row})[:12],
        }
        for marker in markers
    ]


def area_counts(markers: Iterable[Marker]) -> list[tuple[str, int]]:
    """Markers by area, in the order of their names."""
    counts: Counter[str] = Counter()
    for marker in markers:
        for placing in marker.placings:
            counts[placing.position.area] += placing.count
    return sorted(counts.items())


def _found(lists: Lists, checked: Checked) -> dict[str, object]:
    """Everything that the page shows of a check."""
    tables = list(_tables(lists, checked.origins))
    by_place = {(table["file"], table["shown"]): at for at, table in enumerate(tables)}
    findings = in_order(checked.findings)
    return {
        "markers": checked.markers,
        "passed": checked.passed,
        "areas": area_counts(checked.distinct),
        "pictures": pictures(checked.distinct),
        "tables": tables,
        "findings": [_finding(each, tables, by_place) for each in findings],
    }


def _finding(
    finding: Finding,
    tables: Sequence[Mapping[str, object]],
    by_place: Mapping[tuple[object, object], int],
) -> dict[str, object]:
    """A finding with its table, its column, and the rows whose cell holds the same text."""
    place = finding.place
    table = by_place.get((place.file, place.sheet))
    letters = place.cell.rstrip("0123456789")
    found: dict[str, object] = {
        **finding_table(finding),
        "weight": int(finding.severity),
        "blocks": finding.blocks,
        "acceptable": finding.severity is Severity.BLOCKING and not finding.accepted,
        "write": correction(finding),
        "more": place.more,
        "table": table,
        "letters": letters,
        "alike": [],
    }
    if table is not None and letters and finding.severity > Severity.NOTE:
        column = _column(letters)
        rows = tables[table]["rows"]
        assert isinstance(rows, list)
        texts = {number: cells[column] if column < len(cells) else "" for number, cells in rows}
        text = texts.get(place.row or 0, "")
        found["alike"] = [
            n for n, each in texts.items() if text and each == text and n != place.row
        ]
    return found


def _column(letters: str) -> int:
    at = 0
    for letter in letters:
        at = at * 26 + ord(letter) - ord("A") + 1
    return at - 1


def _tables(lists: Lists, origins: Iterable[ListOrigin]) -> Iterator[dict[str, object]]:
    """Every list as written, with the matches of its headings."""
    plant = read_mapping(lists.mapping) if lists.mapping else PlantMapping()
    by_file: dict[str, list[ListOrigin]] = defaultdict(list)
    for origin in origins:
        by_file[origin.file].append(origin)
    for file, ones in by_file.items():
        rows = {each.sheet: each for each in list_rows(lists.path.parent / file, plant)}
        for origin in ones:
            if origin.book_sheet in rows:
                yield _table(origin, rows[origin.book_sheet])


def _table(origin: ListOrigin, sheet: SheetRows) -> dict[str, object]:
    headings = [
        {
            "index": each.index,
            "letters": column_letters(each.index),
            "heading": " ".join(each.heading.split()),
            "column": each.column,
            "how": each.how,
            "right": each.right,
        }
        for each in origin.mapped
    ]
    return {
        "file": origin.file,
        "sheet": origin.book_sheet,
        "shown": origin.sheet,
        "kind": str(origin.kind or ""),
        "headings": headings,
        "rows": [
            [number, list(cells)]
            for number, cells in sheet.rows
            if number > sheet.heading and any(cells)
        ],
    }
