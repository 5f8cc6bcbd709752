"""An empty line list as a workbook: headings, help and dropdowns; examples on their own sheet.

The headings are those of the reader, so that a completed list reads back as it is.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from layouts.schemes.loader import load_scheme, scheme_keys, spacing_keys
from layouts.terms.words import (
    FaceForm,
    Kind,
    LongParts,
    NormalPosition,
    PieceId,
    PieceIdPer,
    Together,
)
from render.files.atomic import write_file
from render.files.xlsx import Book, Sheet, Style
from render.read.columns import KIND, PLACE_COLUMNS, SPEC_COLUMNS, Column, Measure
from render.read.ordersheet import ACCEPT, HEAD_SHEET, KEYS
from render.read.template_help import EXAMPLES, FIRST, GROUPS, HEAD_HELP, HELP, NEEDED, SETTINGS

LIST, MORE, GUIDE, CHOICES = "Line list", "Examples", "Help", "Choices"
CODES_SHEET = "Services"
_HEAD_CHOICES: Mapping[str, tuple[str, ...]] = {
    "scheme": scheme_keys(),
    "spacing": spacing_keys(),
    "keep_together": tuple(Together),
    "long_parts": tuple(LongParts),
    "piece_id": tuple(PieceId),
    "piece_id_per": tuple(PieceIdPer),
    "face": tuple(FaceForm),
}
_ROWS = 2000  # rows with dropdowns
_GROUP_ROW, _NEED_ROW, _HEAD_ROW = 2, 3, 4
_TABLOID = 3
_TITLE = "Line list: one row a marker position, valve or machine"
_SUBTITLE = (
    "One row per marker position; leave empty what does not apply. P, E or V above a heading: "
    "pipes, equipment or valves need it. Select a cell to see what it takes; examples, help and "
    "the service codes are on sheets of their own. Columns used less often are folded on the right."
)
_EXAMPLE_TITLE = "Examples: this sheet is never ordered"
_KINDS = {Kind.PIPE: "pipe", Kind.EQUIPMENT: "equipment", Kind.VALVE: "valve"}
_WIDE, _NARROW = 22, 9
_OTHERS = "Less often"
_GROUP_COLORS = ("#1F3A4D", "#2E5E4E", "#6B4E16", "#3F3F6B", "#6B2E3A", "#5A5A5A")
_WIDE_COLUMNS = frozenset({"line", "function", "location", "legend", "note", "meaning"})


def template(path: Path) -> None:
    """Write the template to ``path``, completely or not at all; always the same bytes.

    Raises:
        OutputError: the file cannot be written.
    """
    write_file(path, template_xlsx())


def template_xlsx() -> bytes:
    """The template as the bytes of a workbook."""
    book = Book(_TITLE)
    columns = template_columns()
    styles = _styles(book)
    # The reader takes the first sheet that has the headings.
    sheets = {
        name: book.sheet(name) for name in (LIST, HEAD_SHEET, GUIDE, CODES_SHEET, MORE, CHOICES)
    }
    choices = _write_choices(sheets[CHOICES], styles, columns)
    _write_list(sheets[LIST], styles, columns, _TITLE, ())
    for index, column in enumerate(columns):
        _validate(sheets[LIST], index, column, choices)
    _write_list(sheets[MORE], styles, columns, _EXAMPLE_TITLE, EXAMPLES)
    _write_services(sheets[CODES_SHEET], styles)
    _write_order(sheets[HEAD_SHEET], styles)
    _write_help(sheets[GUIDE], styles, columns)
    return book.finish()


def template_columns() -> tuple[Column, ...]:
    """Every column of the reader, the most used first."""
    by_name = {column.name: column for column in (*SPEC_COLUMNS, *PLACE_COLUMNS)}
    ordered = [*FIRST, *(name for name in by_name if name not in FIRST)]
    return tuple(by_name[name] for name in ordered)


def help_of(column: Column) -> str:
    """What a column is for, in a sentence or two."""
    return HELP.get(column.name, f"{column.name.replace('_', ' ')}: {column.measure.value}.")


def choices_of(column: Column) -> tuple[str, ...]:
    """The words in a column's dropdown; none if any text is allowed."""
    if column.name == KIND:
        return tuple(_KINDS.values())
    if column.measure is Measure.FLAG:
        return ("yes", "no")
    if column.measure is Measure.SETTING:
        return SETTINGS
    if column.words is not None:
        return tuple(dict.fromkeys(column.words.values()))
    if column.name == "service":
        return tuple(sorted(load_scheme().services))
    if column.name == "normal_position":
        return tuple(position.phrase for position in NormalPosition)
    return ()


def group_of(name: str) -> str:
    """The column group that a column appears in."""
    return next((group for group, names in GROUPS.items() if name in names), _OTHERS)


def _styles(book: Book) -> Mapping[str, Style]:
    heads = {
        group: book.style({"bold": True, "bg_color": color, "font_color": "#FFFFFF", "border": 1})
        for group, color in zip((*GROUPS, _OTHERS), _GROUP_COLORS, strict=True)
    }
    return heads | {
        "group": book.style({"bold": True, "font_color": "#555555"}),
        "need": book.style({"bold": True, "font_color": "#A33A00", "align": "center"}),
        "title": book.style({"bold": True, "font_size": 14}),
        "said": book.style({"italic": True, "font_color": "#555555"}),
        "head": book.style(
            {"bold": True, "bg_color": "#1F3A4D", "font_color": "#FFFFFF", "border": 1}
        ),
        "text": book.style({"num_format": "@"}),  # so that 3/4 stays 3/4
        "example": book.style({"num_format": "@", "font_color": "#7A4A00", "italic": True}),
        "wrap": book.style({"text_wrap": True, "valign": "top"}),
        "name": book.style({"bold": True, "valign": "top"}),
    }


def _write_list(
    sheet: Sheet,
    styles: Mapping[str, Style],
    columns: Sequence[Column],
    title: str,
    rows: Sequence[Mapping[str, str]],
) -> None:
    """Title, groups, headings and rows; every cell is text, as units are read from it."""
    sheet.write_string(0, 0, title, styles["title"])
    sheet.write_string(1, 0, _SUBTITLE, styles["said"])
    for index, column in enumerate(columns):
        wide = _WIDE if column.name in _WIDE_COLUMNS else max(_NARROW, len(column.name) + 2)
        rare: Mapping[str, object] = {} if column.name in FIRST else {"level": 1, "hidden": True}
        sheet.set_column(index, index, wide, styles["text"], rare)
        group = group_of(column.name)
        if index == 0 or group != group_of(columns[index - 1].name):
            sheet.write_string(_GROUP_ROW, index, group, styles["group"])
        sheet.write_string(_NEED_ROW, index, NEEDED.get(column.name, ""), styles["need"])
        sheet.write_string(_HEAD_ROW, index, column.name, styles[group])
        sheet.write_comment(
            _HEAD_ROW, index, help_of(column), {"author": "", "x_scale": 2.2, "y_scale": 1.2}
        )
    for number, row in enumerate(rows, start=_HEAD_ROW + 1):
        for index, column in enumerate(columns):
            if column.name in row:
                sheet.write_string(number, index, row[column.name], styles["example"])
    sheet.freeze_panes(_HEAD_ROW + 1, 1)
    sheet.autofilter(_HEAD_ROW, 0, _HEAD_ROW + max(1, len(rows)), len(columns) - 1)
    sheet.set_landscape()
    sheet.set_paper(_TABLOID)
    sheet.fit_to_pages(2, 0)
    sheet.repeat_rows(_HEAD_ROW)
    sheet.repeat_columns(0, 0)


def _validate(sheet: Sheet, index: int, column: Column, choices: Mapping[str, str]) -> None:
    """Add a dropdown where there are words, and a hint when the cell is selected."""
    rule: dict[str, object] = {
        "validate": "any",
        "input_title": column.name[:32],
        "input_message": _cut_text(help_of(column), 255),
    }
    if column.name in choices:
        # A warning only: local abbreviations and other spellings are read as well.
        rule |= {"validate": "list", "source": choices[column.name], "error_type": "warning"}
        rule |= {"error_title": "Not in the list"}
        rule |= {"error_message": "The reader may know another spelling; see the sheet Help."}
    first = _HEAD_ROW + 1
    sheet.data_validation(first, index, first + _ROWS - 1, index, rule)


def _write_choices(
    sheet: Sheet, styles: Mapping[str, Style], columns: Sequence[Column]
) -> Mapping[str, str]:
    """Write the words of every dropdown in a column, and return the range of each."""
    ranges: dict[str, str] = {}
    for column in columns:
        words = choices_of(column)
        if not words:
            continue
        at = len(ranges)
        # Headed by words that are not headings of the list, lest this sheet be taken for one.
        sheet.write_string(0, at, f"for {column.name}", styles["name"])
        for row, word in enumerate(words, start=1):
            sheet.write_string(row, at, word, styles["text"])
        sheet.set_column(at, at, 18)
        letter = _letter(at)
        ranges[column.name] = f"={CHOICES}!${letter}$2:${letter}${len(words) + 1}"
    return ranges


def _write_order(sheet: Sheet, styles: Mapping[str, Style]) -> None:
    """Write the keys of the order's head, all empty, with their use; then accepted findings."""
    sheet.write_string(0, 0, "What holds for the whole list", styles["title"])
    for column, width in enumerate((16, 34, 60, 24)):
        sheet.set_column(column, column, width, styles["text"])
    for row, key in enumerate(KEYS, start=2):
        sheet.write_string(row, 0, key, styles["name"])
        sheet.write_comment(row, 0, HEAD_HELP[key], {"author": "", "x_scale": 2.2})
        rule: dict[str, object] = {"validate": "any", "input_title": key}
        rule["input_message"] = _cut_text(HEAD_HELP[key], 255)
        if key in _HEAD_CHOICES:
            rule |= {"validate": "list", "source": list(_HEAD_CHOICES[key])}
            rule["error_type"] = "warning"
        sheet.data_validation(row, 1, row, 1, rule)
    first = len(KEYS) + 3
    sheet.write_string(
        first, 0, "Findings that are accepted, each with its reason", styles["title"]
    )
    sheet.write_string(first + 1, 0, HEAD_HELP[ACCEPT], styles["said"])
    for row in range(first + 2, first + 12):
        sheet.write_string(row, 0, ACCEPT, styles["name"])


def _write_help(sheet: Sheet, styles: Mapping[str, Style], columns: Sequence[Column]) -> None:
    heads = (("Column", 22), ("What it is for", 70), ("Used by", 24), ("Takes", 22), ("Words", 46))
    sheet.write_string(0, 0, "Columns of the line list", styles["title"])
    for index, (head, width) in enumerate(heads):
        sheet.set_column(index, index, width)
        sheet.write_string(1, index, head, styles["head"])
    for row, column in enumerate(columns, start=2):
        used = ", ".join(_KINDS[kind] for kind in _KINDS if kind in column.keys)
        takes = column.measure.value + (f", in {column.unit}" if column.unit else "")
        cells = (help_of(column), used or "every row", takes, ", ".join(choices_of(column)))
        sheet.write_string(row, 0, column.name, styles["name"])
        for index, text in enumerate(cells, start=1):
            sheet.write_string(row, index, text, styles["wrap"])
    sheet.freeze_panes(2, 1)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)


def _write_services(sheet: Sheet, styles: Mapping[str, Style]) -> None:
    """Write every service code of the usual convention with its meaning."""
    scheme = load_scheme()
    sheet.write_string(0, 0, f"Service codes of {scheme.title}", styles["title"])
    # Headed by words that are not headings of the list, lest this sheet be taken for one.
    heads = (("Code of it", 12), ("Stands for", 60), ("Usual content", 24))
    for index, (head, width) in enumerate(heads):
        sheet.set_column(index, index, width)
        sheet.write_string(1, index, head, styles["name"])
    for row, (code, service) in enumerate(sorted(scheme.services.items()), start=2):
        texts = (code, service.meaning, str(service.usual_state or ""))
        for index, text in enumerate(texts):
            sheet.write_string(row, index, text, styles["wrap"])
    sheet.freeze_panes(2, 0)
    sheet.fit_to_pages(1, 0)


def _cut_text(text: str, most: int) -> str:
    return text if len(text) <= most else f"{text[: most - 1]}…"


def _letter(column: int) -> str:
    """``A`` for 0."""
    return chr(ord("A") + column)
