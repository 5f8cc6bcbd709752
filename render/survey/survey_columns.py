"""The headings of a survey's workbook, and the lines above them."""

from __future__ import annotations

from dataclasses import dataclass

from layouts.survey.sightings import Seen

SHEET = "Survey"
# Lines above the headings: their names in column A, their values in column B.
LIST_NUMBER, PLANT, AREA, BY, DATE = "list no.", "plant", "area", "surveyed by", "date"


@dataclass(frozen=True, slots=True)
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
