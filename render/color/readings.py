"""Readings of a printed target: CGATS.17 / ISO 28178 text, or CSV.

The text format is read as Little CMS documents it in its own reader (cmscgats.c): keywords with
values, BEGIN_DATA_FORMAT, BEGIN_DATA; a CSV needs a heading with a name or id and L, a, b or X,
Y, Z, and may have columns for illuminant, observer and geometry.
"""

from __future__ import annotations

import csv
import re
import xml.etree.ElementTree as ET
from collections.abc import Iterable, Mapping
from math import isfinite
from pathlib import Path

from defusedxml.common import DefusedXmlException
from defusedxml.ElementTree import fromstring

from layouts.drawing.inks import Lab
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.values import frozen
from render.color.conditions import Conditions, condition_findings, conditions_from, white_of
from render.color.difference import Triple, adapt_white, lab_of, xyz_of
from render.color.facts import White, color_facts
from render.files.intake import MB, bytes_of

_LAB, _XYZ = ("l", "a", "b"), ("x", "y", "z")
# Headings as they come, without case and punctuation, by what they mean.
_COLUMNS = {
    **dict.fromkeys(("samplename", "name", "ink", "patch", "sample"), "name"),
    **dict.fromkeys(("sampleid", "id", "sampleno", "no"), "id"),
    **{alias: "lab"[n] for n in range(3) for alias in ("lab"[n], f"lab{'lab'[n]}")},
    **{alias: "xyz"[n] for n in range(3) for alias in ("xyz"[n], f"xyz{'xyz'[n]}")},
    **{name: name for name in ("illuminant", "observer", "geometry", "polarization", "mode")},
}
_CONDITIONS = ("illuminant", "observer", "geometry", "polarization", "mode")


@frozen
class Reading:
    """One measured patch, in Lab under D50; ``row`` is its line in the file."""

    name: str
    id: str
    lab: Lab
    row: int


@frozen
class Readings:
    """All of a file's patches, and notes on what was converted or assumed."""

    file: str
    rows: tuple[Reading, ...]
    notes: tuple[Finding, ...]


@frozen
class _Table:
    headings: list[str]
    rows: list[tuple[int, list[str]]]  # line number and cells
    conditions: Conditions


_MOST_ROWS = 20_000  # patches that any chart has


def read_readings(path: Path) -> Readings:
    """The readings in a file.

    Raises:
        InputError: the file cannot be read, or its readings cannot be used; every fault is named.
    """
    try:
        data = bytes_of(path, 16 * MB)
    except OSError as error:
        raise InputError([_fault(path.name, f"cannot be read ({error.strerror})")]) from error
    return parse_readings(data, path.name)


def parse_readings(data: bytes, file: str) -> Readings:
    """The readings in a file's bytes; ``file`` is the name for findings. Raises as above."""
    table = _table(_text(data, file), file)
    if len(table.rows) > _MOST_ROWS:
        what = f"holds {len(table.rows):,} readings"
        raise InputError([_fault(file, what, f"give at most {_MOST_ROWS:,}")])
    columns = _columns(table, file)
    found = condition_findings(table.conditions, file)
    _refuse_share(table, columns, file)
    rows: list[Reading] = []
    white = white_of(table.conditions)
    for line, cells in table.rows:
        result = _row(line, cells, columns, white or color_facts().whites["D50"], file)
        if isinstance(result, Finding):
            found.append(result)
        else:
            rows.append(result)
    if not table.rows:
        found.append(_fault(file, "holds no readings"))
    faults = [finding for finding in found if finding.severity is Severity.UNREADABLE]
    if faults:
        raise InputError(faults)
    return Readings(file, tuple(rows), tuple(found))


def _text(data: bytes, file: str) -> str:
    """The file's text: UTF-16 by its byte order mark, otherwise UTF-8."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        try:
            return data.decode("utf-16")
        except UnicodeDecodeError as error:
            what, right = (
                "is damaged UTF-16 text",
                "export it again, as UTF-8 where there is a choice",
            )
            raise InputError([_fault(file, what, right)]) from error
    return data.decode("utf-8-sig", "replace")


def _table(text: str, file: str) -> _Table:
    if text.lstrip().startswith("<"):
        return _cxf(text, file)
    if re.search(r"(?m)^\s*BEGIN_DATA", text):
        return _cgats(text, file)
    return _csv(text, file)


def _cxf(text: str, file: str) -> _Table:
    """The objects of a CxF file that have a Lab color (ISO 17972-1, from memory)."""
    try:
        root: ET.Element = fromstring(text, forbid_dtd=True)
    except (ET.ParseError, DefusedXmlException) as error:
        raise InputError([_fault(file, f"is not XML that can be read ({error})")]) from error
    if _local(root) != "CxF":
        right = "give CGATS text, CSV or CxF"
        raise InputError([_fault(file, f"is XML of another kind ({_local(root)})", right)])
    rows: list[tuple[int, list[str]]] = []
    for number, item in enumerate((each for each in root.iter() if _local(each) == "Object"), 1):
        for color in (each for each in item.iter() if _local(each) == "ColorCIELab"):
            values = {_local(each): (each.text or "").strip() for each in color}
            cells = [values.get(name, "") for name in ("L", "A", "B")]
            rows.append((number, [item.get("Name", ""), item.get("Id", ""), *cells]))
    if not rows:
        right = "export colors as CIELab, D50, 2 degrees; spectra are not computed"
        raise InputError([_fault(file, "holds no object with a CIELab color", right)])
    conditions = {
        _local(each).upper(): (each.text or "").strip()
        for each in root.iter()
        if _local(each) in ("Illuminant", "Observer", "Geometry")
    }
    found = Conditions(conditions.get("ILLUMINANT", ""), conditions.get("OBSERVER", ""))
    return _Table(["SAMPLE_NAME", "SAMPLE_ID", "LAB_L", "LAB_A", "LAB_B"], rows, found)


def _local(element: ET.Element) -> str:
    """An element's name without its namespace."""
    return element.tag.rpartition("}")[2]


def _refuse_share(table: _Table, columns: Mapping[str, int], file: str) -> None:
    """XYZ of 0 to 1 would be read as nearly black.

    Raises:
        InputError: no value of X, Y and Z is above 1.2.
    """
    if _has(columns, _LAB) or not table.rows:
        return
    cells = [
        row[columns[name]] for _, row in table.rows for name in _XYZ if len(row) > columns[name]
    ]
    try:
        highest = max(map(float, cells), default=100.0)
    except ValueError:
        return  # the row says so
    if highest <= 1.2:
        what = f"has XYZ of 0 to 1 (none is above {highest:g})"
        raise InputError([_fault(file, what, "export XYZ of 0 to 100, or Lab")])


def _cgats(text: str, file: str) -> _Table:
    keywords: dict[str, str] = {}
    headings: list[str] = []
    rows: list[tuple[int, list[str]]] = []
    tables, section = 0, ""
    for number, line in enumerate(text.splitlines(), start=1):
        # Comments begin with a number sign outside quotes (ISO 28178, from memory).
        tokens = _tokens(line, section)
        tokens = tokens[: next((n for n, each in enumerate(tokens) if each[:1] == "#"), None)]
        if not tokens:
            continue
        word = tokens[0].upper()
        if word in ("BEGIN_DATA_FORMAT", "BEGIN_DATA"):
            section = word
            tables += word == "BEGIN_DATA"
        elif word in ("END_DATA_FORMAT", "END_DATA"):
            section = ""
        elif section == "BEGIN_DATA_FORMAT":
            headings += tokens
        elif section == "BEGIN_DATA":
            rows.append((number, tokens))
        else:
            # WEIGHTING_FUNCTION may stand twice, once for each function.
            keywords[word] = " ".join(filter(None, (keywords.get(word, ""), *tokens[1:])))
    if tables > 1:
        raise InputError([_fault(file, f"holds {tables} tables", "export one table of readings")])
    stated = keywords.get("NUMBER_OF_SETS", "")
    if stated.isdecimal() and stated.lstrip("0") != str(len(rows)):
        what = f"announces {stated[:12]} readings and holds {len(rows)}"
        raise InputError([_fault(file, what, "export the file again")])
    if section:
        what = f"is cut short: {section} has no end"
        raise InputError([_fault(file, what, "export the file again")])
    return _Table(headings, rows, conditions_from(keywords))


def _tokens(line: str, section: str) -> list[str]:
    """Cells of a line; in data with tabs between them a name may hold blanks without quotes."""
    if section and "\t" in line:
        return [cell.strip().strip('"') for cell in line.strip().split("\t") if cell.strip()]
    return [token.strip('"') for token in re.findall(r'"[^"]*"|[^\s"#]+|#.*', line)]


def _csv(text: str, file: str) -> _Table:
    lines = [line for line in text.splitlines() if line.strip()]
    if not lines:
        raise InputError([_fault(file, "is empty")])
    delimiter = max(";\t,", key=lines[0].count)
    try:
        read = list(csv.reader(text.splitlines(), delimiter=delimiter))
    except csv.Error as error:
        raise InputError([_fault(file, f"is not a table of readings ({error})")]) from error
    rows = [(number, row) for number, row in enumerate(read, start=1) if any(map(str.strip, row))]
    (_, headings), body = rows[0], rows[1:]
    if delimiter != ",":  # where a comma does not separate cells it may be a decimal sign
        body = [(number, [cell.replace(",", ".") for cell in row]) for number, row in body]
    stated: dict[str, set[str]] = {}
    for index, heading in enumerate(headings):
        name = _plain(heading)
        if name in _CONDITIONS:
            stated[name] = {row[index].strip() for _, row in body if index < len(row)}
    mixed = [name for name, values in stated.items() if len(values) > 1]
    if mixed:
        what = f"has rows of different {' and '.join(mixed)}"
        raise InputError([_fault(file, what, "give readings of one kind")])
    return _Table(headings, body, Conditions(**{n: "".join(v) for n, v in stated.items()}))


def _columns(table: _Table, file: str) -> dict[str, int]:
    columns: dict[str, int] = {}
    for index, heading in enumerate(table.headings):
        meaning = _COLUMNS.get(_plain(heading))
        if meaning:
            columns.setdefault(meaning, index)
    faults: list[Finding] = []
    if "name" not in columns and "id" not in columns:
        right = "add a column SAMPLE_NAME with the inks' names or SAMPLE_ID with the patches' ids"
        faults.append(_fault(file, "does not say which patch a reading is of", right))
    if not (_has(columns, _LAB) or _has(columns, _XYZ)):
        right = "add LAB_L, LAB_A, LAB_B or XYZ_X, XYZ_Y, XYZ_Z (spectra are not converted)"
        faults.append(_fault(file, "has neither Lab nor XYZ", right))
    if faults:
        raise InputError(faults)
    return columns


def _row(
    line: int, cells: list[str], columns: Mapping[str, int], white: White, file: str
) -> Reading | Finding:
    if len(cells) <= max(columns.values()):
        right = f"a row has at least {max(columns.values()) + 1}"
        return _fault(file, f"has {len(cells)} values", right, line)
    names = _LAB if _has(columns, _LAB) else _XYZ
    values: list[float] = []
    for name in names:
        cell = cells[columns[name]]
        try:
            values.append(float(cell))
        except ValueError:
            return _fault(file, f"{cell!r} is not a number", "write one such as 41.3", line, name)
    d50 = color_facts().whites["D50"]
    lab = _lab_d50((values[0], values[1], values[2]), names == _LAB, white.xyz, d50.xyz)
    if not (0 <= lab.lightness <= 110 and max(abs(lab.a), abs(lab.b)) <= 160):
        return _fault(file, f"{_list(values)} is not a color of a print", "check the reading", line)
    name = cells[columns["name"]].strip() if "name" in columns else ""
    return Reading(name, cells[columns["id"]].strip() if "id" in columns else "", lab, line)


def _lab_d50(values: Triple, is_lab: bool, white: Triple, d50: Triple) -> Lab:
    if not all(map(isfinite, values)):
        return Lab(-1.0, 0.0, 0.0)  # outside every color; the caller says so
    if is_lab and white == d50:
        return Lab(*values)
    xyz = xyz_of(Lab(*values), white) if is_lab else values
    return lab_of(adapt_white(xyz, white, d50), d50)


def _has(columns: Mapping[str, int], names: Iterable[str]) -> bool:
    return all(name in columns for name in names)


def _plain(heading: str) -> str:
    return "".join(each for each in heading.lower() if each.isalnum())


def _list(values: list[float]) -> str:
    return ", ".join(f"{value:g}" for value in values)


def _fault(
    file: str, what: str, right: str = "", row: int | None = None, field: str = ""
) -> Finding:
    place = Place(file=file, row=row, field=field)
    return Finding("readings-unreadable", Severity.UNREADABLE, what, right, place=place)
