"""A filled sheet of a survey as CSV: the lines above the headings, then a row a piece or stray."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from render.survey.survey_columns import HEADINGS
from render.write.tables import csv_file


def survey_table(heads: Mapping[str, str], rows: Iterable[Mapping[str, str]]) -> bytes:
    """The sheet of an area, which ``read_filled`` reads: rows by heading, empty where not given."""
    cells = ([row.get(name, "") for name in HEADINGS] for row in rows)
    return csv_file([*heads.items(), HEADINGS, *cells])
