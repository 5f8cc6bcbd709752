"""The sections of a chart below its marker, as rows for the columns."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from layouts.papers.abbreviations import Abbreviation
from layouts.papers.chart.facts import EquipmentCode, PaintFact
from layouts.papers.chart.look import (
    Chip,
    Look,
    Row,
    Section,
    cells_row,
    chip_row,
    heading_row,
    point_row,
    text_row,
)
from layouts.papers.proof.cover import scheme_texts
from layouts.schemes.model import Scheme

CAUTIONS = (
    "Read the words before the color: colors differ from plant to plant.",
    "No marker, or one that contradicts the P&ID: trace the line to both ends; do not guess.",
    "No marker says that a line is safe to open: isolate, pump out and verify by procedure.",
    "Know the alarm, the way out, the eye wash and the shower before you go in.",
    "Report a missing, faded or wrong marker; a change follows the change procedure.",
    "Local codes and licensed practice decide.",
)


def code_rows(look: Look, codes: Sequence[Abbreviation]) -> list[Row]:
    """Abbreviations in use."""
    if not codes:
        return []
    rows = [heading_row(look, "Abbreviations in use")]
    for each in codes:
        meaning = each.meaning or "no meaning is written down: ask before you rely on it"
        local = " (local)" if each.local and each.meaning else ""
        rows.append(cells_row(look, ((each.code, 0.18, True), (f"{meaning}{local}", 0.82, False))))
    if any(each.local for each in codes):
        text = "Local: this plant's own, in no list that this chart was built from."
        rows.append(text_row(look, text, look.fine))
    return rows


def equipment_rows(look: Look, codes: Sequence[EquipmentCode]) -> list[Row]:
    """Equipment codes of the plant."""
    if not codes:
        return []
    rows = [heading_row(look, "Equipment of this plant")]
    for each in codes:
        cells = (
            (each.code, 0.16, True),
            (each.name.capitalize(), 0.56, False),
            (each.tags_text, 0.28, False),
        )
        rows.append(cells_row(look, cells))
    return rows


def paint_rows(look: Look, paints: Sequence[PaintFact]) -> list[Row]:
    """Paint colors by service."""
    if not paints:
        return []
    rows = [heading_row(look, "Pipe paint, voluntary")]
    for each in paints:
        codes = ", ".join((*each.sure, *(f"{code}*" for code in each.read)))
        color = each.color[:1].upper() + each.color[1:]
        rows.append(chip_row(look, Chip(each.ink), f"{color}: {codes}", each.service))
    starred = any(each.read for each in paints)
    star = " * By our own reading; the convention names services like it." if starred else ""
    text = (
        "Paint or jacket color is a help and no rule; a marker need not match it. The convention "
        "names colors without values: the tones here are our own choice. What is not listed has "
        f"no color of its own.{star}"
    )
    rows.append(text_row(look, text, look.fine))
    return rows


def caution_rows(look: Look) -> list[Row]:
    """What a reader must not take from a chart."""
    rows = [heading_row(look, "Before you rely on a marker")]
    rows += (point_row(look, text, look.body) for text in CAUTIONS)
    return rows


def basis_rows(look: Look, schemes: Sequence[Scheme]) -> list[Row]:
    """Edition followed, what it was built from, weak pairs, and what is missing."""
    rows = [heading_row(look, "Edition followed, and what it lacks")]
    for scheme in schemes:
        title = f"{scheme.title}, edition {scheme.edition}"
        rows.append(text_row(look, title, look.body, strong=True))
        rows += (point_row(look, text, look.fine) for text in _basis(scheme))
    text = (
        "This chart names the content that it was built from and claims no conformity. A plant "
        "may follow another documented method in which its people are trained."
    )
    rows.append(text_row(look, text, look.fine))
    return rows


def _basis(scheme: Scheme) -> Iterator[str]:
    yield from scheme_texts(scheme)
    for caveat in scheme.caveats:
        yield f"{caveat.what[:1].upper()}{caveat.what[1:]}: {caveat.right}."


def all_sections(
    look: Look,
    schemes: Sequence[Scheme],
    codes: Sequence[Abbreviation],
    equipment: Sequence[EquipmentCode],
    paints: Sequence[PaintFact],
) -> tuple[Section, ...]:
    """Every section that has something to say, in its order."""
    sections = (
        code_rows(look, codes),
        equipment_rows(look, equipment),
        paint_rows(look, paints),
        caution_rows(look),
        basis_rows(look, schemes),
    )
    return tuple(tuple(section) for section in sections if section)
