"""The mapping of one plant's lists: its headings, default values and words.

A mapping is a small TOML file, or rows of the workbook's sheet ``Order``. Saved once, it serves
every revision of the list::

    [columns]                        # heading of the plant = column of the list; "" skips it
    "Oper. Press." = "pressure_psig"
    "Sched." = ""
    [columns."Valve list"]           # for one sheet
    "Size" = "valve_size"
    [values]                         # column = value of an empty cell
    environment = "indoor"
    [words.state]                    # the plant's word = the standard word
    2PH = "both"
    [sheets]                         # sheet = kind of its rows; "skip" leaves the sheet out
    "Hand valves" = "valve"

On the sheet ``Order`` these are rows ``column``, ``value``, ``word`` and ``sheet``, each with its
parts in the next cells.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import field
from pathlib import Path

from layouts.terms.findings import Finding, Place
from layouts.terms.synonyms import KIND as KIND_WORDS
from layouts.terms.synonyms import WordError, choose, nearest, show_value
from layouts.terms.values import frozen
from layouts.terms.words import Kind
from render.files.intake import toml_of
from render.read.cells import Cell
from render.read.codes import FileError, fault
from render.read.columns import BY_NAME, own_heading
from render.read.headings import Mapped

SKIP = "skip"
_TABLES = ("columns", "values", "words", "sheets")
_ROWS = ("column", "value", "word", "sheet")


@frozen
class PlantMapping:
    """Headings, default values, words and sheets of one plant; empty if it needs none."""

    columns: Mapping[str, str | Mapping[str, str]] = field(default_factory=dict)
    values: Mapping[str, str] = field(default_factory=dict)
    words: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    sheets: Mapping[str, str] = field(default_factory=dict)

    def over(self, other: PlantMapping) -> PlantMapping:
        """This mapping merged with another."""
        words = {
            column: {**other.words.get(column, {}), **self.words.get(column, {})}
            for column in {*self.words, *other.words}
        }
        return PlantMapping(
            {**other.columns, **self.columns},
            {**other.values, **self.values},
            words,
            {**other.sheets, **self.sheets},
        )

    def columns_of(self, sheet: str) -> dict[str, str]:
        """Columns by heading; the sheet's entries override those for all sheets."""
        own = self.columns.get(sheet, {})
        common = {head: each for head, each in self.columns.items() if isinstance(each, str)}
        return {**common, **(own if isinstance(own, Mapping) else {})}

    @property
    def headings(self) -> dict[str, object]:
        """Every heading that the mapping names, on any sheet."""
        return dict(_flat(self.columns))

    def kind_of(self, sheet: str) -> Kind | None:
        """The kind of a sheet's rows, None if the mapping does not say."""
        said = self.sheets.get(sheet, "")
        return Kind(choose(said, KIND_WORDS)) if said and said != SKIP else None


def read_mapping(path: Path) -> PlantMapping:
    """The mapping of a TOML file. Raises ``FileError`` with its first fault."""
    place = Place(path.name)
    try:
        tables = toml_of(path)
    except OSError as error:
        what = f"the file cannot be opened ({error.strerror})"
        raise FileError(fault("bad-mapping", what, "check the name", place)) from error
    except ValueError as error:
        what = f"the mapping cannot be read: {error}"
        raise FileError(fault("bad-mapping", what, "write it as TOML", place)) from error
    return mapping_of(tables, path.name)


def mapping_of(tables: Mapping[str, object], name: str) -> PlantMapping:
    """The mapping of parsed tables, checked. Raises ``FileError`` with its first fault."""
    for finding in _faults(tables, name):
        raise FileError(finding)
    texts = {key: tables.get(key, {}) for key in _TABLES}
    columns, values, words, sheets = (dict(_items(texts[key])) for key in _TABLES)
    folded = {
        column: {" ".join(said.split()).casefold(): str(word) for said, word in _items(inner)}
        for column, inner in words.items()
    }
    return PlantMapping(
        {
            key: {h: str(c) for h, c in each.items()} if isinstance(each, Mapping) else str(each)
            for key, each in columns.items()
        },
        {key: str(each) for key, each in values.items()},
        folded,
        {key: str(each) for key, each in sheets.items()},
    )


def mapping_rows(rows: Iterable[Sequence[Cell]]) -> dict[str, dict[str, object]]:
    """The tables of a mapping from the rows of a sheet ``Order``."""
    tables: dict[str, dict[str, object]] = {}
    for cells in rows:
        name, *values = (cell.strip() if isinstance(cell, str) else "" for cell in cells)
        key = name.casefold()
        if key not in _ROWS or not any(values):
            continue
        first, second, third = (*values, "", "", "")[:3]
        if key == "word":
            inner = tables.setdefault("words", {}).setdefault(first, {})
            assert isinstance(inner, dict)
            inner[second] = third
        else:
            tables.setdefault(f"{key}s", {})[first] = second
    return tables


def is_mapping_row(key: str) -> bool:
    """Whether a row of the sheet ``Order`` belongs to the mapping."""
    return key in _ROWS


def propose(sheets: Mapping[str, Sequence[Mapped]], kinds: Mapping[str, Kind]) -> str:
    """A mapping as TOML, made from the matched headings of each sheet.

    People review and save it. A heading with the same meaning on every sheet is written once;
    ``kinds`` gives the kind of a sheet's rows where no column does.
    """
    said = {sheet: dict(_said(mapped)) for sheet, mapped in sheets.items()}
    every: dict[str, set[str]] = {}
    for headings in said.values():
        for heading, column in headings.items():
            every.setdefault(heading, set()).add(column)
    common = {heading: next(iter(found)) for heading, found in every.items() if len(found) == 1}
    lines = [
        "# How this plant writes its lists. Look through it, correct it and save it;",
        "# check, order and diff take it with --mapping.",
        "[columns]  # heading of the plant = column of the list; an empty one is left out",
        *(f"{_key(heading)} = {_key(column)}" for heading, column in common.items()),
    ]
    for sheet, headings in said.items():
        own = {h: c for h, c in headings.items() if h not in common}
        if own:
            lines += ["", f"[columns.{_key(sheet)}]  # on this sheet only"]
            lines += [f"{_key(heading)} = {_key(column)}" for heading, column in own.items()]
    lines += ["", "[sheets]  # sheet = pipe, equipment or valve; skip leaves it out"]
    lines += [f"{_key(sheet)} = {_key(str(kind))}" for sheet, kind in kinds.items() if sheet]
    lines += [
        "",
        "[values]  # column = what an empty cell stands for",
        '# environment = "indoor"',
        "",
        "# [words.state]  # what the plant writes = the word of the list",
        '# "2PH" = "both"',
    ]
    return "\n".join(lines) + "\n"


def mapping_toml(plant: PlantMapping) -> str:
    """A mapping as the TOML that reads back to it."""
    common = {head: each for head, each in plant.columns.items() if isinstance(each, str)}
    tables: list[tuple[str, Mapping[str, str]]] = [("columns", common)]
    tables += [
        (f"columns.{_key(sheet)}", each)
        for sheet, each in plant.columns.items()
        if isinstance(each, Mapping)
    ]
    tables += [("values", plant.values)]
    tables += [(f"words.{_key(column)}", each) for column, each in plant.words.items()]
    tables += [("sheets", plant.sheets)]
    lines: list[str] = []
    for name, table in tables:
        if table:
            lines += [
                f"[{name}]",
                *(f"{_key(key)} = {_key(value)}" for key, value in table.items()),
            ]
    return "\n".join(lines) + "\n"


def _said(mapped: Iterable[Mapped]) -> Iterator[tuple[str, str]]:
    """Heading and column; an unknown heading gets an empty column, which leaves it out."""
    for each in mapped:
        heading = " ".join(each.heading.split())
        if heading:
            yield heading, _with_unit(each) if each.column else ""


def _with_unit(mapped: Mapped) -> str:
    """The column, with the heading's unit in place of the usual one if it names another."""
    column = BY_NAME[mapped.column]
    if not mapped.unit or mapped.unit == column.unit:
        return mapped.column
    return f"{column.base} {mapped.unit}"


def _key(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def _items(table: object) -> Iterator[tuple[str, object]]:
    if isinstance(table, Mapping):
        yield from table.items()


def _faults(tables: Mapping[str, object], name: str) -> Iterator[Finding]:
    for key, table in tables.items():
        if key not in _TABLES or not isinstance(table, Mapping):
            near = nearest(key, _TABLES)
            right = f"did you mean [{near}]?" if near else f"write [{'], ['.join(_TABLES)}]"
            yield _fault(name, key, f"{show_value(key)} is not a table of a mapping", right)
            return
    for heading, column in _flat(tables.get("columns", {})):
        if column and own_heading(0, str(column)) is None:
            yield _unknown(name, f"columns, {heading}", str(column))
    for column in (*dict(_items(tables.get("values", {}))), *dict(_items(tables.get("words", {})))):
        if column not in BY_NAME:
            yield _unknown(name, "values or words", column)
    for sheet, kind in _items(tables.get("sheets", {})):
        if kind != SKIP:
            try:
                choose(str(kind), KIND_WORDS)
            except WordError:
                what = f"{show_value(kind)} is not a kind of marker"
                yield _fault(name, f"sheets, {sheet}", what, "write pipe, equipment, valve or skip")


def _flat(columns: object) -> Iterator[tuple[str, object]]:
    """Headings and columns, including those for single sheets."""
    for heading, column in _items(columns):
        yield from _items(column) if isinstance(column, Mapping) else [(heading, column)]


def _unknown(name: str, where: str, column: str) -> Finding:
    near = nearest(column, BY_NAME)
    right = f"did you mean {near}?" if near else "see the headings of the list"
    return _fault(name, where, f"{show_value(column)} is not a column of the list", right)


def _fault(name: str, where: str, what: str, right: str) -> Finding:
    return fault("bad-mapping", what, right, Place(name, field=where))
