"""The record for an audit: what is marked by which edition, in what state, and who signed it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from layouts.drawing.document import Document
from layouts.drawing.inks import BLACK
from layouts.drawing.typefaces import Typefaces
from layouts.papers.kit.cautions import Audience, cautions_for
from layouts.papers.kit.paper import Cell, Paper, Running, draw_title, form, voices_of
from layouts.papers.kit.table import Column
from layouts.register.due import Due, due_until, ids_text, neighbors
from layouts.register.model import GOOD, Deed, Event, Register
from layouts.terms.counts import counted
from layouts.terms.tags import natural_key
from layouts.terms.values import frozen

_MOST_EVENTS = 400  # lines of the history on paper; all of them are in its table
_SHORT = 16  # digits of a hash on paper


@frozen
class AuditJob:
    """One order of the register: its number, what it was, editions by scheme, proof hash."""

    number: str
    title: str
    revision: str
    editions: tuple[tuple[str, str], ...]
    proof: str
    accepted: tuple[tuple[str, str, str, str], ...]  # code, marker, what, reason


@frozen
class AuditApproval:
    """An approval of an order: by whom, when, its hash, and what changed since in words."""

    job: str
    by: str
    date: str
    hash: str
    since: str


@frozen
class Audit:
    """The contents of the record. ``since`` is the day from which changes are listed.

    ``unknown`` counts by area what the orders ask for and the register does not have.
    """

    plant: str
    register: Register
    jobs: tuple[AuditJob, ...]
    approvals: tuple[AuditApproval, ...]
    unknown: Mapping[str, int]
    since: str
    day: str

    @property
    def events(self) -> tuple[Event, ...]:
        """What was done since then."""
        return tuple(each for each in self.register.history if each.day >= self.since)


def audit_record(audit: Audit, typefaces: Typefaces) -> Document:
    """The record on US letter pages."""
    title = "Audit record of pipe markers"
    foot = "  |  ".join(part for part in (title, audit.plant, audit.day) if part)
    paper = Paper(Running(title, audit.plant, foot), voices_of(typefaces), BLACK)
    paper.block(lambda at: draw_title(paper, title, "Audit", at))
    paper.block(lambda at: form(paper, _head_rows(audit), at))
    paper.heading("What this record is")
    paper.points(cautions_for(Audience.AUDIT))
    _draw_editions(paper, audit)
    _draw_counts(paper, audit.register)
    _draw_unknown(paper, audit)
    _draw_open(paper, audit)
    _draw_accepted(paper, audit)
    _draw_approvals(paper, audit)
    _draw_signed(paper, audit)
    _draw_events(paper, audit)
    paper.space(4.0)
    paper.block(lambda at: form(paper, [_signature()], at, least=11.0))
    return Document("audit", title, paper.finish("audit", title), paper.voices.symbols(), audit.day)


def _head_rows(audit: Audit) -> list[list[Cell]]:
    entries = audit.register.entries
    good = sum(each.state == GOOD for each in entries)
    return [
        [
            Cell("Plant", audit.plant or "–", 2.0),
            Cell("Pieces in the register", str(len(entries))),
            Cell("Good", str(good)),
            Cell("Not good", str(len(entries) - good)),
            Cell("Day", audit.day),
        ]
    ]


def _signature() -> list[Cell]:
    return [
        Cell("For the plant", "", 2.0),
        Cell("Date", ""),
        Cell("Auditor", "", 2.0),
        Cell("Date", ""),
    ]


def _draw_editions(paper: Paper, audit: Audit) -> None:
    paper.heading("Convention and edition followed")
    columns = (
        Column("Order", 30.0),
        Column("Title", paper.width * 0.3),
        Column("Revision", 20.0),
        Column("Scheme and edition", paper.width * 0.7 - 50.0),
    )
    rows = [
        (
            each.number,
            each.title,
            each.revision or "–",
            "; ".join(f"{key}: {edition}" for key, edition in each.editions),
        )
        for each in audit.jobs
    ]
    _table_or(paper, columns, rows, "No order is in the register.")


def _draw_counts(paper: Paper, register: Register) -> None:
    paper.heading("Pieces by area and state")
    counts = Counter((each.area, each.state) for each in register.entries)
    states = sorted({state for _, state in counts}, key=lambda state: (state != GOOD, state))
    areas = sorted({area for area, _ in counts}, key=natural_key)
    share = (paper.width - 70.0) / max(1, len(states))
    columns = (
        Column("Area", 50.0),
        *(Column(state or "unknown", share, "right") for state in states),
        Column("Total", 20.0, "right"),
    )
    rows = [
        (
            area,
            *(str(counts[area, state] or "") for state in states),
            str(sum(counts[area, state] for state in states)),
        )
        for area in areas
    ]
    total = [str(sum(counts[area, state] for area in areas)) for state in states]
    _table_or(
        paper,
        columns,
        [*rows, ("Total", *total, str(len(register.entries)))] if rows else [],
        "No piece is in the register.",
    )


def _draw_unknown(paper: Paper, audit: Audit) -> None:
    """Pieces listed but not in the register, so that a gap is not taken for an answer."""
    total = sum(audit.unknown.values())
    paper.heading(f"Listed and not in the register: {counted(total, 'piece')}")
    if total:
        paper.paragraph("Not installed by a signed pack, not surveyed, or found missing.")
    columns = (Column("Area", 60.0), Column("Pieces", paper.width - 60.0))
    rows = [(area, str(count)) for area, count in audit.unknown.items()]
    _table_or(paper, columns, rows, "None.")


def _draw_open(paper: Paper, audit: Audit) -> None:
    """Pieces that are not good, each with what was written down of it; then what is overdue."""
    entries = [each for each in audit.register.entries if each.state != GOOD]
    found = [
        Due(each, "; ".join((each.state or "unknown", *_words(each.note))), each.inspected_on)
        for each in entries
    ]
    paper.heading(f"Open findings: {counted(len(found), 'piece')}")
    _draw_dues(paper, found, "Finding and reason")
    late = due_until(audit.register, audit.day)
    overdue = [each for each in (*late.replace, *late.inspect) if each.entry.state == GOOD]
    paper.heading(f"Overdue on {audit.day}: {counted(len(overdue), 'piece')}")
    _draw_dues(paper, overdue, "What is overdue")


def _words(note: str) -> tuple[str, ...]:
    return (note,) if note else ()


def _draw_dues(paper: Paper, dues: Sequence[Due], what: str) -> None:
    """Pieces of one marker at one place are one row."""
    rest = paper.width - 20.0
    columns = (
        Column("Piece", rest * 0.17),
        Column("Area", rest * 0.15),
        Column("Line or tag", rest * 0.15),
        Column("Marker", rest * 0.27),
        Column(what, rest * 0.26),
        Column("Since", 20.0),
    )
    rows = []
    for same in neighbors(dues):
        entry = same[0].entry
        marker = f"{len(same)} x {entry.marker}" if len(same) > 1 else entry.marker
        place = (entry.area, entry.line_or_tag or "–", marker or "–")
        rows.append((ids_text(same), *place, same[0].why, same[0].since))
    _table_or(paper, columns, rows, "None.")


def _draw_accepted(paper: Paper, audit: Audit) -> None:
    paper.heading("Findings accepted, with their reasons")
    columns = (
        Column("Order", 30.0),
        Column("Code", 34.0),
        Column("Marker", 28.0),
        Column("What", (paper.width - 92.0) / 2),
        Column("Reason", (paper.width - 92.0) / 2),
    )
    rows = [(job.number, *each) for job in audit.jobs for each in job.accepted]
    _table_or(paper, columns, rows, "None.")


def _draw_approvals(paper: Paper, audit: Audit) -> None:
    paper.heading("Approvals of proofs")
    columns = (
        Column("Order", 30.0),
        Column("Approved by", 40.0),
        Column("On", 20.0),
        Column("Hash (SHA-256)", 40.0),
        Column("Changed since", paper.width - 130.0),
    )
    rows = [
        (each.job, each.by, each.date, each.hash[:_SHORT].upper(), each.since or "nothing")
        for each in audit.approvals
    ]
    approved = {each.job for each in audit.approvals}
    rows += [
        (job.number, "nobody", "–", (job.proof[:_SHORT] or "–").upper(), "no approval on record")
        for job in audit.jobs
        if job.number not in approved
    ]
    _table_or(paper, columns, rows, "None.")


def _draw_signed(paper: Paper, audit: Audit) -> None:
    """Who did what, and how often, over the whole history."""
    paper.heading("Who signed")
    deeds: Counter[tuple[str, str]] = Counter()
    days: dict[tuple[str, str], list[str]] = {}
    for each in audit.register.history:
        if each.deed == Deed.EDITED:
            continue
        key = (each.by or "unknown", each.deed)
        deeds[key] += 1
        days.setdefault(key, []).append(each.day)
    columns = (
        Column("Name", 54.0),
        Column("Did", 40.0),
        Column("Pieces", 20.0),
        Column("First and last day", paper.width - 114.0),
    )
    rows = [
        (by, deed, str(count), " to ".join(dict.fromkeys((min(days[key]), max(days[key])))))
        for key, count in sorted(deeds.items())
        for by, deed in (key,)
    ]
    _table_or(paper, columns, rows, "Nobody yet.")


def _draw_events(paper: Paper, audit: Audit) -> None:
    events = audit.events
    since = f" since {audit.since}" if audit.since else ""
    paper.heading(f"What changed{since}: {counted(len(events), 'change')}")
    if len(events) > _MOST_EVENTS:
        paper.paragraph(f"The last {_MOST_EVENTS}; all are in history.csv.")
    columns = (
        Column("Day", 20.0),
        Column("Piece", 24.0),
        Column("What", 26.0),
        Column("By", 26.0),
        Column("Before", (paper.width - 96.0) / 2),
        Column("After", (paper.width - 96.0) / 2),
    )
    rows = [
        (each.day, each.piece or "–", each.deed, each.by or "–", each.was or "–", each.now or "–")
        for each in events[-_MOST_EVENTS:]
    ]
    _table_or(paper, columns, rows, "Nothing.")


def _table_or(
    paper: Paper, columns: Sequence[Column], rows: Sequence[Sequence[str]], none: str
) -> None:
    if rows:
        paper.table(columns, rows)
    else:
        paper.paragraph(none)
