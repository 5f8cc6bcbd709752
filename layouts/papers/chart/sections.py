"""The sections of a chart below its marker, as rows for the columns."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from layouts.order.order import Order
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
from layouts.papers.kit.cautions import Audience, cautions_for
from layouts.schemes.model import Scheme

NO_MEANING = "no meaning given"


def code_rows(look: Look, codes: Sequence[Abbreviation]) -> list[Row]:
    """Abbreviations in use."""
    if not codes:
        return []
    rows = [heading_row(look, "Abbreviations in use")]
    for each in codes:
        meaning = each.meaning or NO_MEANING
        local = " (local)" if each.local and each.meaning else ""
        rows.append(cells_row(look, ((each.code, 0.18, True), (f"{meaning}{local}", 0.82, False))))
    if any(each.local for each in codes):
        text = "Local: this plant's own code, not in the lists that this chart was built from."
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
            (name_text(each.name), 0.56, False),
            (each.tags, 0.28, False),
        )
        rows.append(cells_row(look, cells))
    return rows


def name_text(name: str) -> str:
    """``Oil separator``, ``CO2 recirculator``: a sentence's capitals; formulas and tags as written.

    A word in capitals is an abbreviation where it holds a digit, or where the name is not all in
    capitals.
    """
    shouted = name == name.upper()
    words = [
        word if any(map(str.isdigit, word)) or (word.isupper() and not shouted) else word.lower()
        for word in name.split()
    ]
    text = " ".join(words)
    return text[:1].upper() + text[1:]


def paint_rows(look: Look, paints: Sequence[PaintFact]) -> list[Row]:
    """Paint colors by service."""
    if not paints:
        return []
    rows = [heading_row(look, "Pipe paint (optional)")]
    for each in paints:
        codes = ", ".join((*each.sure, *(f"{code}*" for code in each.read)))
        color = each.color[:1].upper() + each.color[1:]
        rows.append(chip_row(look, Chip(each.ink), f"{color}: {codes}", each.service))
    starred = any(each.read for each in paints)
    star = " * Our reading; the convention names similar services." if starred else ""
    text = (
        "Paint or jacket color is optional; the marker governs. The convention names colors "
        "without values, so the shades here are our choice. Services not listed have no paint "
        f"color.{star}"
    )
    rows.append(text_row(look, text, look.fine))
    return rows


def caution_rows(look: Look) -> list[Row]:
    """What a reader must not conclude from a chart."""
    rows = [heading_row(look, "Before you rely on a marker")]
    rows += (point_row(look, text, look.body) for text in cautions_for(Audience.CHART))
    return rows


def basis_rows(look: Look, order: Order, schemes: Sequence[Scheme]) -> list[Row]:
    """Edition, cutoff and revision of the chart, and that other plants differ."""
    rows = [heading_row(look, "Convention of this plant")]
    for scheme in schemes:
        title = f"{scheme.title}, edition {scheme.edition}"
        rows.append(text_row(look, title, look.body, strong=True))
        rows += (point_row(look, text, look.body) for text in _cutoff_texts(scheme))
    if order.revision:
        rows.append(point_row(look, f"Chart of revision {order.revision}", look.body))
    rows.append(text_row(look, _OTHER_PLANTS, look.fine))
    return rows


_OTHER_PLANTS = (
    "Other plants may mark differently: editions, cutoffs and local codes vary. The proof says "
    "what this chart was built from and what was not seen of the standard; it claims no "
    "conformity."
)


def _cutoff_texts(scheme: Scheme) -> Iterator[str]:
    if scheme.cutoff_psig is not None and scheme.levels:
        yield f"Pressure cutoff {scheme.cutoff_psig:g} psig"
    for cutoff in scheme.cutoffs:
        yield f"Pressure cutoff for {', '.join(cutoff.contents)}: {cutoff.psig:g} psig"


def all_sections(
    look: Look,
    order: Order,
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
        basis_rows(look, order, schemes),
    )
    return tuple(tuple(section) for section in sections if section)
