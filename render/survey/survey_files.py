"""``pipelegend survey``: sheets to print and workbooks to fill, one of each for an area."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import partial
from itertools import groupby

from layouts.drawing.document import Document
from layouts.markers.piece_ids import PlacedPiece, placed_pieces
from layouts.order.normal import normalize, order_seal
from layouts.order.order import Order
from layouts.papers.keeping.survey_sheet import SurveyHead, survey_sheets
from layouts.papers.packs import file_names
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Severity
from layouts.terms.values import frozen
from render.decide import Decided, decide
from render.files.atomic import manifest
from render.options import Options, printed_date
from render.processes import process_count, run_all
from render.survey.survey_book import survey_book
from render.write import pdf

MOST_ON_PAPER = 5_000  # pieces; nobody carries thousands of pages


@frozen
class Planned:
    """A list with every piece that is to hang, by its id."""

    order: Order
    decided: Decided
    pieces: tuple[PlacedPiece, ...]

    @property
    def seal(self) -> str:
        """What names the list."""
        return order_seal(self.order)


def plan_pieces(order: Order, options: Options, file: str = "") -> Planned:
    """Every piece that a list asks for.

    Raises:
        InputError: a marker of the list cannot be made; every finding is carried.
    """
    order = normalize(order)
    decided = decide(order, options, file)
    impossible = [
        each for each in decided.gathered.findings if each.severity is Severity.UNREADABLE
    ]
    if impossible:
        raise InputError(impossible)
    return Planned(order, decided, placed_pieces(decided.gathered.markers))


def chosen_areas(planned: Planned, areas: Sequence[str]) -> Planned:
    """Only some areas of a list; all where none is named.

    Raises:
        InputError: the list has no such area.
    """
    if not areas:
        return planned
    known = {piece.area.casefold(): piece.area for piece in planned.pieces}
    unknown = [area for area in areas if area.casefold() not in known]
    if unknown:
        right = f"its areas are {', '.join(known.values())}"
        what = f"the list has no area {', '.join(unknown)}"
        raise InputError([Finding("survey-area", Severity.UNREADABLE, what, right)])
    wanted = {area.casefold() for area in areas}
    pieces = tuple(piece for piece in planned.pieces if piece.area.casefold() in wanted)
    return replace(planned, pieces=pieces)


def survey_files(planned: Planned) -> Mapping[str, bytes]:
    """A workbook for each area and, up to ``MOST_ON_PAPER`` pieces, a paper; and the list."""
    day = printed_date(planned.order.date)
    head = SurveyHead(planned.order, planned.seal, day)
    areas = {area: list(own) for area, own in groupby(planned.pieces, lambda each: each.area)}
    names = file_names(areas)
    files = {f"{names[area]}.xlsx": survey_book(head, area, own) for area, own in areas.items()}
    if len(planned.pieces) <= MOST_ON_PAPER:
        sheets = survey_sheets(head, planned.pieces, planned.decided.typefaces)
        makers: Sequence[Callable[[], tuple[str, bytes]]] = [
            partial(_paper, names[area], document) for area, document in sheets.items()
        ]
        files |= dict(run_all(makers, process_count() if len(makers) > 1 else 1))
    files["manifest.json"] = manifest(files)
    return files


def survey_findings(planned: Planned) -> tuple[Finding, ...]:
    """What to know of a survey's folder."""
    if len(planned.pieces) <= MOST_ON_PAPER:
        return ()
    what = f"{len(planned.pieces)} pieces are too many for paper; only workbooks are written"
    return (Finding("survey-long", Severity.NOTE, what, "survey some of the areas at a time"),)


def _paper(name: str, document: Document) -> tuple[str, bytes]:
    return f"{name}.pdf", pdf.write(document)
