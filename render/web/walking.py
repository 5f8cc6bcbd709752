"""Surveys in their child: the pieces of a list in the order of the walk, and what answers say."""

from __future__ import annotations

import datetime
import json
from dataclasses import asdict
from pathlib import Path

from layouts.survey.outcome import Verdict
from layouts.terms.errors import InputError
from render.cli.findings import finding_table, in_order
from render.files.atomic import write_file
from render.lists import Given, Lists
from render.options import Progress
from render.survey.found import Comparison, compare_survey, found_lines
from render.survey.survey_columns import GIVEN, given_cells
from render.survey.survey_files import plan_pieces
from render.web.checking import draw_faces, refuse_outside
from render.web.survey_answers import WALK, SurveyPiece
from render.web.tasks import Task

_SETTLED = (Verdict.LEAVE, Verdict.OPEN)


def plan_walk(folder: Path, task: Task, progress: Progress) -> None:
    """Write every piece of a list for the page to ask about, with the pictures of all markers."""
    main = folder / "given" / task.text("main")
    refuse_outside(main)
    progress("planning")
    options = Given(shop=task.path("shop")).options(main.parent)
    planned = plan_pieces(_lists(folder, task).order(), options, main.name)
    pieces = [
        SurveyPiece(
            piece.id,
            piece.area,
            piece.marker.id,
            round(piece.marker.face.measures.length),
            round(piece.marker.face.measures.height),
            dict(zip(GIVEN, given_cells(piece), strict=True)),
        )
        for piece in planned.pieces
    ]
    said = {"plant": planned.order.plant, "seal": planned.seal, "pieces": list(map(asdict, pieces))}
    write_file(folder / WALK, json.dumps(said).encode())
    markers = {piece.marker.id: piece.marker for piece in planned.pieces}
    draw_faces(folder, list(markers.values()), progress)


def judge_walk(folder: Path, task: Task, progress: Progress) -> None:
    """What the answers of a survey come to, as of today."""
    progress("reading")
    main = folder / "given" / task.text("main")
    sheets = [folder / "given" / name for name in task.texts("sheets")]
    options = Given(shop=task.path("shop")).options(main.parent)
    day = datetime.date.today().isoformat()
    try:
        order = _lists(folder, task).order()
        answer = _judge(compare_survey(order, sheets, day, options, main.name))
    except InputError as error:
        findings = [finding_table(each) for each in in_order(error.findings)]
        answer = {"lines": [], "changes": [], "findings": findings}
    write_file(folder / "answer.json", json.dumps(answer).encode())


def _lists(folder: Path, task: Task) -> Lists:
    given = folder / "given"
    mapping = given / task.text("mapping") if task.text("mapping") else None
    also = tuple(given / each for each in task.texts("also"))
    return Lists(given / task.text("main"), mapping, also)


def _judge(found: Comparison) -> dict[str, object]:
    changes = [
        (each.piece.id, each.piece.area, each.piece.thing, str(each.verdict), each.reason)
        for each in found.surveyed.outcomes
        if each.verdict not in _SETTLED
    ]
    findings = [finding_table(each) for each in in_order(found.findings)]
    return {"lines": found_lines(found), "changes": changes, "findings": findings}
