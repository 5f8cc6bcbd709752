"""A survey on the page: its pieces as its child wrote them, and the answers, kept in its folder."""

from __future__ import annotations

import datetime
import json
import re
import threading
from collections.abc import Iterator, Mapping
from dataclasses import asdict, field, replace

from layouts.survey.sightings import Seen, SeenError, read_circumference, read_seen
from layouts.terms.units import UnitError
from layouts.terms.values import frozen
from render.files.atomic import write_file
from render.files.spreadsheet import text_cell
from render.survey.survey_columns import head_lines
from render.survey.survey_table import survey_table
from render.web.store import ANSWERS, Work

WALK = "walk.json"
LONGEST = 500  # characters of a text
_NAME = 80
# What is typed for a piece, and what more for a marker that is in no list.
TYPED = ("reads", "circumference_in", "note", "photo")
PLACED = ("line_or_tag", "location", "from", "to")
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")
_CHANGING = threading.Lock()  # between reading the answers and writing them back
Answer = Mapping[str, str]  # by heading of the sheet


class RefusedError(ValueError):
    """Something typed cannot be kept; the text is the key of its sentence."""


@frozen
class SurveyPiece:
    """A piece that is to hang: its marker with length and height in mm, and its given cells."""

    id: str
    area: str
    marker: str
    length: int
    height: int
    given: Answer


@frozen
class Walk:
    """Every piece of a list, area by area in the order of the walk."""

    plant: str
    seal: str
    pieces: tuple[SurveyPiece, ...]

    @property
    def areas(self) -> list[str]:
        """Its areas in their order."""
        return list(dict.fromkeys(piece.area for piece in self.pieces))


@frozen
class AnswerBook:
    """All that was answered: who looks now and when, pieces by id, and markers in no list.

    A stray has its area beside its cells, and a key of its own.
    """

    by: str = ""
    day: str = ""
    pieces: Mapping[str, Answer] = field(default_factory=dict)
    strays: tuple[Answer, ...] = ()

    def stamped(self, answer: Answer) -> Answer:
        """An answer with who gave it and when."""
        return {**answer, "by": self.by, "day": self.day}


def read_walk(work: Work) -> Walk:
    """The pieces of a survey whose child is done."""
    said = json.loads((work.folder / WALK).read_bytes())
    pieces = tuple(SurveyPiece(**each) for each in said["pieces"])
    return Walk(said["plant"], said["seal"], pieces)


def read_answers(work: Work) -> AnswerBook:
    """The answers of a survey so far."""
    said = json.loads(path.read_bytes()) if (path := work.folder / ANSWERS).is_file() else {}
    return AnswerBook(**{**said, "strays": tuple(said.get("strays", ()))})


def _write(work: Work, book: AnswerBook) -> None:
    write_file(work.folder / ANSWERS, json.dumps(asdict(book)).encode())


def sign(work: Work, by: str, day: str) -> None:
    """Keep who looks from now on, and the day.

    Raises:
        RefusedError: the name cannot be one, or the day is none or is not over yet.
    """
    by, day = _fold(by), day.strip()
    if not by or len(by) > _NAME or text_cell(by) != by:
        raise RefusedError("survey.fault_by")
    try:
        when = datetime.date.fromisoformat(day) if _DAY.fullmatch(day) else None
    except ValueError:
        when = None
    if when is None:
        raise RefusedError("survey.fault_day")
    if when > datetime.date.today():
        raise RefusedError("survey.fault_future")
    with _CHANGING:
        _write(work, replace(read_answers(work), by=by, day=day))


def keep_answer(work: Work, piece: str, answer: Answer) -> None:
    """Keep what was typed for a piece, right or wrong; an empty answer takes the last one back.

    Who answered stays with an answer that is only looked at again.
    """
    with _CHANGING:
        book = read_answers(work)
        old = book.pieces.get(piece, {})
        if answer == {name: text for name, text in old.items() if name not in ("by", "day")}:
            return
        others = {name: each for name, each in book.pieces.items() if name != piece}
        if any(answer.values()):
            others[piece] = book.stamped(answer)
        _write(work, replace(book, pieces=others))


def add_stray(work: Work, area: str, answer: Answer) -> None:
    """Keep a marker that hangs and is in no list."""
    with _CHANGING:
        book = read_answers(work)
        key = max((int(each["key"]) for each in book.strays), default=0) + 1
        stray = {"area": area, "key": str(key), **book.stamped(answer)}
        _write(work, replace(book, strays=(*book.strays, stray)))


def drop_stray(work: Work, key: str) -> None:
    """Take a marker that is in no list back; nothing happens where it is not there."""
    with _CHANGING:
        book = read_answers(work)
        kept = tuple(each for each in book.strays if each["key"] != key)
        _write(work, replace(book, strays=kept))


def answer_of(fields: Mapping[str, list[str]], names: tuple[str, ...]) -> Answer:
    """The answer that a form gives: known choices in their order, texts in one line each.

    Raises:
        RefusedError: a text is too long.
    """
    chosen = [str(seen) for seen in Seen if str(seen) in fields.get("found", ())]
    answer = {"found": ", ".join(chosen)}
    answer |= {name: _fold(fields.get(name, [""])[-1]) for name in names}
    if any(len(text) > LONGEST for text in answer.values()):
        raise RefusedError("survey.fault_long")
    return answer


def faults_of(answer: Answer) -> Iterator[tuple[str, str]]:
    """Heading and key of the sentence of whatever in an answer cannot be read."""
    try:
        read_seen(answer.get("found", ""))
    except SeenError:
        yield "found", "survey.fault_found"
    try:
        if around := answer.get("circumference_in", ""):
            read_circumference(around)
    except UnitError:
        yield "circumference_in", "survey.fault_circumference"


def is_answered(answer: Answer | None) -> bool:
    """Whether an answer says what was seen, and can be read."""
    return bool(answer and answer.get("found")) and not any(faults_of(answer or {}))


def sheet_of(walk: Walk, book: AnswerBook, area: str) -> bytes:
    """The filled sheet of an area as CSV; pieces that nobody answered for have empty cells."""
    heads = head_lines(walk.plant, area, walk.seal, book.by, book.day)
    pieces = (piece for piece in walk.pieces if piece.area == area)
    rows: list[Answer] = [{**piece.given, **book.pieces.get(piece.id, {})} for piece in pieces]
    return survey_table(heads, [*rows, *(each for each in book.strays if each["area"] == area)])


def _fold(text: str) -> str:
    """The text in one line, without signs that cannot be seen."""
    return "".join(sign for sign in " ".join(text.split()) if sign.isprintable())
