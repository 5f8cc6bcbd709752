"""``pipelegend found``: what a survey comes to, with the order for the difference."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

from layouts.markers.revision import Action, Change
from layouts.order.normal import canonical_items, order_json
from layouts.order.order import Item, Order, PipeMarker, Position
from layouts.papers.keeping.found_sheet import found_sheet
from layouts.survey.outcome import Outcome, Surveyed, Verdict, judge_survey, measured_girths
from layouts.survey.sightings import Noted
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Severity
from layouts.terms.units import MM_PER_INCH
from layouts.terms.values import frozen
from render.files.atomic import manifest
from render.folder.compare import order_for
from render.options import Options
from render.read.schemes import scheme_files
from render.survey.filled import Expected, read_filled
from render.survey.survey_files import Planned, plan_pieces
from render.write import pdf
from render.write.tables import csv_file

FOUND, QUESTIONS, SURVEYED = "found.csv", "questions.csv", "surveyed.json"
FOUND_COLUMNS = (
    *("id", "verdict", "reason", "found", "reads", "circumference_in", "note", "photo", "by"),
    *("day", "area", "line_or_tag", "location", "from", "to", "file", "row"),
)
QUESTION_COLUMNS = ("area", "line_or_tag", "where", "question", "photo", "by", "day", "file", "row")


@frozen
class Comparison:
    """A list compared with a survey: the changes, and the order for them, None if there are none.

    ``planned`` is the list with the circumferences that were measured, ``schemes`` the plant's
    own scheme files.
    """

    planned: Planned
    surveyed: Surveyed
    order: Order | None
    findings: tuple[Finding, ...]
    date: str
    schemes: Mapping[str, bytes]


def compare_survey(
    order: Order, paths: Sequence[Path], date: str, options: Options, file: str = ""
) -> Comparison:
    """What the filled sheets say of a list, on the day of reading (YYYY-MM-DD).

    Raises:
        InputError: a sheet cannot be read or has a fault, surveyors contradict each other, or
            a marker of the list cannot be made; the error holds every finding, and nothing is
            applied.
    """
    listed = plan_pieces(order, options, file)
    ids = {piece.id for piece in listed.pieces}
    answers = read_filled(paths, Expected(listed.order, listed.seal, ids, date))
    if not (answers.sightings or answers.strays or answers.findings):
        what, right = "no row is filled in", "fill in a sheet that `pipelegend survey` wrote"
        raise InputError([Finding("survey-empty", Severity.UNREADABLE, what, right)])
    if not answers.sound:
        raise InputError(answers.findings)
    girths = measured_girths(listed.pieces, answers.sightings)
    planned = plan_pieces(_measured(listed, girths), options, file) if girths else listed
    surveyed = judge_survey(listed.pieces, planned.pieces, answers.sightings, answers.strays)
    wanted = order_for(planned.order, map(change_of, surveyed.outcomes), f", survey of {date}")
    own = scheme_files(planned.decided.schemes, options.folder)
    return Comparison(planned, surveyed, wanted, tuple(answers.findings), date, own)


def _measured(listed: Planned, girths: Mapping[str, float]) -> Order:
    """The list with measured circumferences in place of the sizes that it gave there."""
    by_place: dict[int, float] = {}
    for piece in listed.pieces:
        if piece.id in girths:
            by_place[id(piece.placing.position)] = girths[piece.id]
    items: list[Item] = []
    for item in listed.order.items:
        rest: list[Position] = []
        for position in item.positions:
            girth = by_place.get(id(position))
            if girth is None or not isinstance(item.spec, PipeMarker):
                rest.append(position)
                continue
            spec = item.spec.model_copy(update={"girth": girth, "od": None})
            items.append(Item(spec, (position,)))
        if rest:
            items.append(Item(item.spec, tuple(rest)))
    return listed.order.model_copy(update={"items": canonical_items(items)})


_ACTIONS = {Verdict.ADD: Action.ADD, Verdict.REPLACE: Action.REPLACE}


def change_of(outcome: Outcome) -> Change:
    """An outcome as the change of one piece."""
    action = _ACTIONS.get(outcome.verdict, Action.UNCHANGED)
    return Change(action, 1, None, outcome.piece.hanging)


def found_files(found: Comparison) -> Mapping[str, bytes]:
    """The folder of a survey that was read: change sheet, tables, the order for the difference."""
    sheet = found_sheet(
        found.planned.order, found.surveyed, found.planned.decided.typefaces, found.date
    )
    files = {
        "changes.pdf": pdf.write(sheet),
        FOUND: csv_file(_found_rows(found.surveyed)),
        QUESTIONS: csv_file(_question_rows(found.surveyed)),
        SURVEYED: order_json(found.planned.order),
        **found.schemes,
    }
    if found.order is not None:
        files["order.json"] = order_json(found.order)
    files["manifest.json"] = manifest(files)
    return files


def _found_rows(surveyed: Surveyed) -> Iterable[Sequence[object]]:
    """Every row of every surveyor; a piece that nobody looked at has one too."""
    yield FOUND_COLUMNS
    for each in surveyed.outcomes:
        position = each.piece.placing.position
        place = (each.piece.area, each.piece.thing, position.location, position.from_, position.to)
        for row in each.rows:
            seen = ", ".join(row.seen)
            yield (each.piece.id, each.verdict, each.reason, seen, *_noted(row.noted, place))
        if not each.rows:
            yield (each.piece.id, each.verdict, each.reason, "", *_noted(Noted(), place))
    for stray in surveyed.strays:
        place = (stray.area, stray.thing, stray.location, stray.from_, stray.to)
        why = "hangs and is in no list: answer the question first"
        yield ("", Verdict.REMOVE, why, ", ".join(stray.seen), *_noted(stray.noted, place))


def _noted(noted: Noted, place: Sequence[str]) -> tuple[object, ...]:
    around = "" if noted.girth is None else f"{noted.girth / MM_PER_INCH:.4g}"
    at = noted.place
    return (
        *(noted.reads, around, noted.note, noted.photo, noted.by, noted.date, *place),
        *(at.file, "" if at.row is None else at.row),
    )


def _question_rows(surveyed: Surveyed) -> Iterable[Sequence[object]]:
    yield QUESTION_COLUMNS
    for each in surveyed.questions:
        noted = each.noted
        yield (
            *(each.area, each.thing, each.where, each.what, noted.photo, noted.by, noted.date),
            *(noted.place.file, noted.place.row or ""),
        )


def found_lines(found: Comparison) -> list[str]:
    """What a survey came to, for people."""
    surveyed = found.surveyed
    counts = ", ".join(f"{surveyed.count(each)} {_DONE[each]}" for each in Verdict)
    return [counts, f"{len(surveyed.questions)} questions for the P&ID and the line list"]


def found_json(found: Comparison) -> str:
    """What a survey came to, for programs."""
    surveyed = found.surveyed
    table = {
        "counts": {str(each): surveyed.count(each) for each in Verdict},
        "questions": len(surveyed.questions),
        "ordered": 0 if found.order is None else found.order.quantity,
    }
    return json.dumps(table, indent=1)


_DONE = {
    Verdict.LEAVE: "to leave",
    Verdict.REPLACE: "to replace",
    Verdict.ADD: "to add",
    Verdict.REMOVE: "to remove",
    Verdict.LOOK: "to look at again",
    Verdict.OPEN: "not surveyed",
}
