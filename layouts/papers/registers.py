"""Registers posted beside the pipes: relief valves, sealed and locked valves, lockout points.

Each holds only what the list says: a set pressure or a date that the list does not give
is a blank to be filled from the nameplate, never a guess. Nothing here claims conformity with a
code; how often a valve is replaced or a seal is checked is the plant's own program.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence

from layouts.drawing.document import Document
from layouts.drawing.inks import BLACK
from layouts.drawing.typefaces import Typefaces
from layouts.order.order import EquipmentMarker, Order, Position, ValveTag
from layouts.papers.kit.cautions import Audience, cautions_for
from layouts.papers.kit.paper import Cell, Paper, draw_title, form, running_lines, voices_of
from layouts.papers.kit.table import Column
from layouts.terms.counts import counted
from layouts.terms.tags import natural_key
from layouts.terms.values import frozen
from layouts.terms.words import NormalPosition

_KIND = "Valve registers"
_SEALED = frozenset(
    {
        NormalPosition.LOCKED_OPEN,
        NormalPosition.LOCKED_CLOSED,
        NormalPosition.CAR_SEALED_OPEN,
        NormalPosition.CAR_SEALED_CLOSED,
    }
)
# How lists call a relief valve and how they number one (common practice, no source).
_RELIEF = re.compile(r"\b(?:(?:safety |pressure )?relief valve|safety valve)\b", re.IGNORECASE)
_RELIEF_TAG = re.compile(r"(?:SRV|PSV|PRV|PRD)[-_ ]?\d", re.IGNORECASE)
_NO_MACHINE = "no machine named"
_BLANK = "________"


@frozen
class RegisterTable:
    """One register: file name, title, column titles with their shares of a page, and rows.

    ``by_hand`` are columns that are filled in on paper.
    """

    key: str
    title: str
    says: str
    columns: tuple[tuple[str, float], ...]
    rows: tuple[tuple[str, ...], ...]
    by_hand: tuple[tuple[str, float], ...] = ()


def registers(order: Order) -> tuple[RegisterTable, ...]:
    """The registers that the list has something for."""
    valves = sorted(_valves(order), key=lambda each: natural_key(each[0].tag))
    made = (_relief(valves), _sealed(valves), _lockout(valves, _machines(order)))
    return tuple(each for each in made if each.rows)


def register_paper(
    order: Order, tables: Sequence[RegisterTable], typefaces: Typefaces, date: str | None = None
) -> Document:
    """The registers on US letter pages; ``date`` is used where the order has none."""
    day = order.date or date
    paper = Paper(running_lines(_KIND, order, day), voices_of(typefaces), BLACK)
    paper.block(lambda at: draw_title(paper, order.title, _KIND, at))
    paper.block(lambda at: form(paper, [_head(order, tables, day)], at))
    paper.heading("Before you rely on a register")
    paper.points(cautions_for(Audience.REGISTERS))
    for table in tables:
        paper.heading(f"{table.title}: {counted(len(table.rows), 'valve')}")
        paper.paragraph(table.says)
        shares = (*table.columns, *table.by_hand)
        whole = math.fsum(share for _, share in shares)
        columns = [Column(title, paper.width * share / whole) for title, share in shares]
        blanks = ("",) * len(table.by_hand)
        paper.table(columns, [(*map(_or_blank, row), *blanks) for row in table.rows])
        paper.space(3.0)
    paper.block(lambda at: form(paper, [_SIGNED], at, least=11.0))
    pages = paper.finish("registers", _KIND)
    return Document("registers", f"{_KIND}: {order.title}", pages, paper.voices.symbols(), day)


_SIGNED = [Cell("Checked by", "", 2.0), Cell("Date", ""), Cell("Signature", "", 2.0)]


def _head(order: Order, tables: Sequence[RegisterTable], day: str | None) -> list[Cell]:
    counts = (Cell(table.title, str(len(table.rows))) for table in tables)
    revision = Cell("List: revision", order.revision or "–")
    return [Cell("Plant", order.plant or "–", 2.0), revision, Cell("Date", day or "–"), *counts]


def _or_blank(text: str) -> str:
    return text or _BLANK


def _valves(order: Order) -> Iterator[tuple[ValveTag, Position]]:
    for item in order.items:
        if isinstance(item.spec, ValveTag):
            yield from ((item.spec, position) for position in item.positions)


def _machines(order: Order) -> list[str]:
    """Every machine's tag."""
    tags = {
        item.spec.tag.upper()
        for item in order.items
        if isinstance(item.spec, EquipmentMarker) and item.spec.tag
    }
    return sorted(tags)


def _where(position: Position) -> str:
    return ", ".join(each for each in (position.area, position.location) if each)


def _relief(valves: Sequence[tuple[ValveTag, Position]]) -> RegisterTable:
    rows = tuple(
        (
            spec.tag.upper(),
            spec.function,
            spec.size_text,
            f"{spec.set_pressure:g} psig" if spec.set_pressure is not None else "",
            spec.replace_by,
            _where(position),
            position.drawing,
        )
        for spec, position in valves
        if _is_relief(spec)
    )
    columns = (
        *(("Valve", 12.0), ("Protects", 24.0), ("Size", 16.0), ("Set pressure", 14.0)),
        *(("Replace by", 14.0), ("Place", 22.0), ("P&ID sheet", 12.0)),
    )
    says = (
        "Set pressure and date as the list gives them; read a blank off the nameplate and the "
        "plant's own program. No stop valve between a relief valve and what it protects may be "
        "closed but by procedure."
    )
    return RegisterTable("relief-valves", "Relief valves", says, columns, rows)


def _is_relief(spec: ValveTag) -> bool:
    """By its own data, its two sizes, its function or its number."""
    data = (spec.set_pressure, spec.replace_by or None, spec.valve_outlet)
    named = _RELIEF.search(spec.function) or _RELIEF_TAG.match(spec.tag)
    return any(each is not None for each in data) or named is not None


def _sealed(valves: Sequence[tuple[ValveTag, Position]]) -> RegisterTable:
    rows = tuple(
        (
            spec.tag.upper(),
            spec.normal_position.phrase,
            spec.function,
            spec.service.upper(),
            _where(position),
            position.drawing,
        )
        for spec, position in valves
        if spec.normal_position in _SEALED
    )
    columns = (
        *(("Valve", 12.0), ("Position", 18.0), ("Function", 24.0), ("Service", 10.0)),
        *(("Place", 22.0), ("P&ID sheet", 12.0)),
    )
    says = (
        "A broken seal or an open lock is reported before it is replaced; who may break one, and "
        "who writes it down, is the plant's procedure."
    )
    by_hand = (("Seal or lock no.", 14.0), ("Checked: date, by", 16.0))
    title = "Car-sealed and locked valves"
    return RegisterTable("sealed-valves", title, says, columns, rows, by_hand)


def _lockout(valves: Sequence[tuple[ValveTag, Position]], machines: Sequence[str]) -> RegisterTable:
    rows = [
        (
            machine,
            spec.tag.upper(),
            spec.function,
            spec.service.upper(),
            spec.normal_position.phrase if spec.normal_position else "",
            _where(position),
            position.drawing,
        )
        for spec, position in valves
        if spec.lockout
        for machine in _machines_of(spec, position, machines)
    ]
    rows.sort(key=lambda row: (row[0] == _NO_MACHINE, natural_key(row[0]), natural_key(row[1])))
    columns = (
        *(("Machine", 16.0), ("Valve", 12.0), ("Function", 24.0), ("Service", 10.0)),
        *(("Normally", 16.0), ("Place", 22.0), ("P&ID sheet", 12.0)),
    )
    says = (
        "By the machine that the list names with the valve. These points are not a procedure: "
        "isolate, pump out, lock, tag and verify by the written procedure of the machine, with "
        "its electrical and other energies."
    )
    title = "Lockout points by machine"
    return RegisterTable("lockout-points", title, says, columns, tuple(rows))


def _machines_of(spec: ValveTag, position: Position, machines: Sequence[str]) -> list[str]:
    """The machines that a valve's function, ends, location or note name."""
    texts = (spec.function, position.from_, position.to, position.location, position.note)
    said = " | ".join(texts).upper()
    return [tag for tag in machines if tag in said and _is_word(tag, said)] or [_NO_MACHINE]


def _is_word(tag: str, said: str) -> bool:
    """Whether a text has the tag as a word, not as the beginning or end of another tag."""
    return bool(re.search(rf"(?<![A-Z0-9]){re.escape(tag)}(?![A-Z0-9]|-\d)", said))
