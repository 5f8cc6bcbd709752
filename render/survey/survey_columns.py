"""The headings of a survey's workbook, and the lines above them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from layouts.markers.piece_ids import PlacedPiece
from layouts.survey.sightings import Seen
from layouts.terms.units import MM_PER_INCH
from layouts.terms.values import frozen

SHEET = "Survey"
# Lines above the headings: their names in column A, their values in column B.
LIST_NUMBER, PLANT, AREA, BY, DATE = "list no.", "plant", "area", "surveyed by", "date"


@frozen
class SurveyColumn:
    """One column: its heading, width in characters, what it is for, and who fills it."""

    name: str
    width: int
    help: str
    asked: bool = False


COLUMNS = (
    SurveyColumn("id", 12, "The piece. Leave it as it is; empty for a marker in no list."),
    SurveyColumn("no", 5, "Its position in the order of the walk."),
    SurveyColumn("line_or_tag", 18, "Line of a pipe, number of a valve or a machine."),
    SurveyColumn("should_read", 34, "The words that the list asks for."),
    SurveyColumn("location", 20, "Where it is."),
    SurveyColumn("from", 12, "Where the line comes from."),
    SurveyColumn("to", 12, "Where the line goes."),
    SurveyColumn("along", 26, "Where along its run it is."),
    SurveyColumn("around_by_list_in", 10, "Circumference that the list gives, in inches."),
    SurveyColumn(
        "found",
        18,
        f"What you see: {', '.join(Seen)}. Several with a comma between: faded, too small. Leave "
        "it empty where you did not look.",
        True,
    ),
    SurveyColumn(
        "reads", 24, "What the marker says, where it is not what the list asks for.", True
    ),
    SurveyColumn(
        "circumference_in", 12, "Measured around the insulation with a tape, in inches.", True
    ),
    SurveyColumn("note", 30, "Anything else.", True),
    SurveyColumn("photo", 16, "File name of a photo.", True),
    SurveyColumn("by", 14, "Who looked, where it is not the name above.", True),
    SurveyColumn("day", 12, "When, as in 2026-03-01, where it is not the date above.", True),
)
HEADINGS = tuple(column.name for column in COLUMNS)
GIVEN = tuple(column.name for column in COLUMNS if not column.asked)


def head_lines(plant: str, area: str, seal: str, by: str = "", date: str = "") -> Mapping[str, str]:
    """The lines above the headings of an area's sheet; who and when are empty until filled in."""
    return {PLANT: plant, AREA: area, LIST_NUMBER: seal, BY: by, DATE: date}


def given_cells(piece: PlacedPiece) -> Iterator[str]:
    """What the list says of a piece, in the order of ``GIVEN``."""
    position, plan = piece.placing.position, piece.placing.plan
    hand = f" ({plan.hand})" if plan.hand else ""
    around = f"{math.pi * plan.od / MM_PER_INCH:.1f}" if plan.od else ""
    yield from (piece.id, str(piece.number), piece.thing, f"{piece.marker.face.words}{hand}")
    yield from (position.location, position.from_, position.to, position.spot, around)
