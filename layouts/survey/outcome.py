"""The outcome of a survey, piece by piece: leave, replace, add, remove, or look again.

An installed marker that is not in any list is to be removed, but only once the question about the
list and the P&ID is answered; a marker with wrong words or arrow likewise: the list may be wrong,
not the pipe.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from enum import StrEnum

from layouts.markers.piece_ids import PlacedPiece
from layouts.markers.revision import Looks
from layouts.survey.agreement import by_piece, differs, latest
from layouts.survey.sightings import Noted, Seen, Sighting, Stray
from layouts.terms.units import MM_PER_INCH
from layouts.terms.values import frozen


class Verdict(StrEnum):
    """What is to be done at the place of a piece."""

    REPLACE = "replace"
    ADD = "add"
    REMOVE = "remove"
    LOOK = "look again"
    OPEN = "not surveyed"
    LEAVE = "leave"


@frozen
class Outcome:
    """One piece of the list. ``rows`` are all rows about it, the latest first.

    ``piece`` is the marker required there, sized for the measured circumference if there is one.
    """

    piece: PlacedPiece
    verdict: Verdict
    reason: str
    rows: tuple[Sighting, ...]

    @property
    def seen(self) -> tuple[Seen, ...]:
        """What was seen last."""
        return latest(self.rows)[0].seen if self.rows else ()


@frozen
class Question:
    """What the P&ID or the line list must be asked."""

    area: str
    thing: str
    where: str
    what: str
    noted: Noted


@frozen
class Surveyed:
    """All that follows of a survey. Every piece of the list is in one outcome."""

    outcomes: tuple[Outcome, ...]
    strays: tuple[Stray, ...]
    questions: tuple[Question, ...]

    def count(self, verdict: Verdict) -> int:
        """Pieces by what is to be done with them."""
        found = sum(each.verdict is verdict for each in self.outcomes)
        return found + (len(self.strays) if verdict is Verdict.REMOVE else 0)

    def of(self, *verdicts: Verdict) -> tuple[Outcome, ...]:
        """The outcomes with these verdicts, in the order of the walk."""
        return tuple(each for each in self.outcomes if each.verdict in verdicts)


def measured_girths(
    pieces: Iterable[PlacedPiece], sightings: Iterable[Sighting]
) -> Mapping[str, float]:
    """Measured circumferences (mm) by piece, where they differ from what the list gives."""
    rows = by_piece(sightings)
    found: dict[str, float] = {}
    for piece in pieces:
        girth = _girth(rows.get(piece.id, ()))
        listed = _listed_girth(piece)
        if girth is not None and listed is not None and differs(girth, listed):
            found[piece.id] = girth
    return found


def judge_survey(
    pieces: Sequence[PlacedPiece],
    measured: Sequence[PlacedPiece],
    sightings: Iterable[Sighting],
    strays: Sequence[Stray],
) -> Surveyed:
    """What to do at every piece of the list.

    ``measured`` are the same pieces as the list would give them with the circumferences that
    were measured; they have the same ids.
    """
    rows, looks = by_piece(sightings), Looks()
    planned = {piece.id: piece for piece in measured}
    outcomes: list[Outcome] = []
    questions: list[Question] = []
    for piece in pieces:
        own, now = rows.get(piece.id, ()), planned[piece.id]
        other_look = looks.of(piece.hanging) != looks.of(now.hanging)
        verdict, reason = _judged(piece, own, other_look)
        outcomes.append(Outcome(now, verdict, reason, own))
        questions += _questions(piece, own)
    questions += map(_stray_question, strays)
    return Surveyed(tuple(outcomes), tuple(strays), tuple(questions))


_FAULTS = {
    Seen.WRONG_WORD: "its words are wrong",
    Seen.WRONG_ARROW: "its arrow is wrong",
    Seen.FADED: "faded",
    Seen.TOO_SMALL: "too small to be read from where people stand",
    Seen.OTHER: "another marker hangs there",
}


def _judged(piece: PlacedPiece, rows: Sequence[Sighting], other_look: bool) -> tuple[Verdict, str]:
    seen = latest(rows)[0].seen if rows else ()
    if not seen:
        return Verdict.OPEN, "nobody has looked at it yet"
    girth = _girth(rows)
    size = ""
    if other_look and girth is not None:
        size = (
            f"measured {_tape(girth)} around, and the list gives "
            f"{_tape(_listed_girth(piece) or 0.0)}: another size or build"
        )
    if seen == (Seen.MISSING,):
        return Verdict.ADD, "; ".join(part for part in ("nothing hangs there", size) if part)
    if seen == (Seen.HIDDEN,):
        return Verdict.LOOK, "hidden: clear it by the plant's procedure and look again"
    faults = [_FAULTS[each] for each in seen if each in _FAULTS]
    if faults or size:
        return Verdict.REPLACE, "; ".join((*faults, *([size] if size else [])))
    return Verdict.LEAVE, "hangs as listed"


def _questions(piece: PlacedPiece, rows: Sequence[Sighting]) -> Iterator[Question]:
    if not rows:
        return
    words = piece.marker.face.words
    position = piece.placing.position
    where = _where(position.location, position.from_, position.to)
    for row in latest(rows):
        reads = f", and it reads {row.noted.reads!r}" if row.noted.reads else ""
        asked = {
            Seen.WRONG_WORD: f"Which is right? The list asks for {words!r}{reads}.",
            Seen.WRONG_ARROW: f"Which way does it flow? The list gives {_flow(piece)}{reads}.",
            Seen.OTHER: f"Why does another marker hang here? The list asks for {words!r}{reads}.",
            Seen.HIDDEN: "Is the marker there? It is hidden.",
        }
        for seen in row.seen:
            if seen in asked:
                yield Question(piece.area, piece.thing, where, asked[seen], row.noted)
        listed = _listed_girth(piece)
        girth = row.noted.girth
        if girth is not None and listed is not None and differs(girth, listed):
            what = (
                f"What are pipe size and insulation? {_tape(girth)} measured around, "
                f"{_tape(listed)} by the list."
            )
            yield Question(piece.area, piece.thing, where, what, row.noted)
        if girth is not None and listed is None:
            what = f"What is its size? {_tape(girth)} measured around; the list gives no diameter."
            yield Question(piece.area, piece.thing, where, what, row.noted)
        if row.noted.note:
            yield Question(piece.area, piece.thing, where, f"Note: {row.noted.note}", row.noted)


def _stray_question(stray: Stray) -> Question:
    what = f"List it or take it down? A marker in no list reads {stray.noted.reads!r}."
    if stray.noted.note:
        what += f" Note: {stray.noted.note}"
    where = _where(stray.location, stray.from_, stray.to)
    return Question(stray.area, stray.thing, where, what, stray.noted)


def _where(location: str, from_: str, to: str) -> str:
    ends = " ".join(
        part for part in (f"from {from_}" if from_ else "", f"to {to}" if to else "") if part
    )
    return ", ".join(part for part in (location, ends) if part)


def _flow(piece: PlacedPiece) -> str:
    flow = getattr(piece.placing.spec, "flow", None)
    hand = piece.placing.plan.hand
    return hand or (f"{flow}" if flow is not None else "no arrow")


def _girth(rows: Iterable[Sighting]) -> float | None:
    """The circumference that was measured last."""
    return next((each.noted.girth for each in rows if each.noted.girth is not None), None)


def _listed_girth(piece: PlacedPiece) -> float | None:
    od = piece.placing.plan.od
    return math.pi * od if od else None


def _tape(mm: float) -> str:
    """``14.1 in``: a circumference as a tape gives it."""
    return f"{mm / MM_PER_INCH:.1f} in"
