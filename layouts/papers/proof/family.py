"""Equipment markers and valve tags of one layout, in a grid on the proof: pictures to scale.

The approver compares words and numbers from tag to tag, and reads shared facts once.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from layouts.drawing import Point, Size
from layouts.drawing.typeset import PITCH
from layouts.markers.gather import Marker
from layouts.papers.kit.figure import Pictures
from layouts.papers.kit.paper import BODY, NAME, THIN, Drawn, Paper, baseline, rule, text_block
from layouts.papers.proof.marker_entry import (
    build_rows,
    draw_rows,
    letter_rows,
    reason_rows,
)
from layouts.papers.proof.references import References
from layouts.papers.proof.whereabouts import place_texts
from layouts.schemes.model import Scheme
from layouts.terms.counts import counted
from layouts.terms.findings import Finding
from layouts.terms.units import inches
from layouts.terms.values import frozen
from layouts.terms.words import Kind

_IN_ROW = 3
_GAP = 5.0  # between cells
_AIR = 2.4  # below a row of cells
_TALLEST = 26.0  # of a picture, mm on paper
_TITLES: Mapping[Kind, str] = {Kind.EQUIPMENT: "equipment marker", Kind.VALVE: "valve tag"}


@frozen
class Family:
    """Markers with equal facts, reasons and findings, in their order; often only one."""

    markers: tuple[Marker, ...]
    findings: tuple[Finding, ...]
    scheme: Scheme | None


def families(
    markers: Sequence[Marker],
    found: Callable[[Marker], tuple[Finding, ...]],
    schemes: Mapping[str, Scheme],
) -> list[Family]:
    """The markers grouped by what they share, in order of each group's first marker.

    A pipe marker is a family by itself, because its size is decided individually.
    """
    groups: dict[tuple[object, ...], list[Marker]] = {}
    for marker in markers:
        groups.setdefault(_family_key(marker, found(marker)), []).append(marker)
    return [
        Family(tuple(group), found(group[0]), schemes.get(group[0].plan.scheme))
        for group in groups.values()
    ]


def _family_key(marker: Marker, findings: Sequence[Finding]) -> tuple[object, ...]:
    if marker.plan.kind is Kind.PIPE:
        return (marker.id,)
    said = tuple((each.code, each.what, each.right, each.accepted) for each in findings)
    reasons = tuple(plan.reasons for plan in marker.plans)
    facts = (*letter_rows(marker), *build_rows(marker, None))
    return marker.plan.kind, marker.plan.scheme, facts, reasons, said


def draw_family(paper: Paper, family: Family, references: References, pictures: Pictures) -> None:
    """The shared facts, then the pictures in rows."""
    markers = family.markers
    for start in range(0, len(markers), _IN_ROW):
        row = markers[start : start + _IN_ROW]

        def draw(at: Point, row: Sequence[Marker] = row, first: bool = start == 0) -> Drawn:
            head = _draw_head(paper, family, references, at) if first else Drawn((), 0.0)
            cells = _draw_cells(paper, row, pictures, Point(at.x, at.y + head.height))
            return Drawn((*head.items, *cells.items), head.height + cells.height)

        paper.block(draw)


def _draw_head(paper: Paper, family: Family, references: References, at: Point) -> Drawn:
    first = family.markers[0]
    voices, ink = paper.voices, paper.ink
    noun = counted(len(family.markers), _TITLES[first.plan.kind])
    pieces = counted(sum(marker.quantity for marker in family.markers), "piece")
    y, half = at.y + 1.4, paper.width / 2
    title = f"{noun}, same layout"
    facts = [*letter_rows(first), *build_rows(first, family.scheme)]
    below = y + PITCH * NAME + 1.0
    left = draw_rows(paper, facts, Point(at.x, below), half - _GAP)
    reasons = reason_rows(first, family.findings, references)
    right = draw_rows(paper, reasons, Point(at.x + half, below), half)
    middle = baseline(y, NAME)
    items = (
        rule(at.x, at.y, paper.width, 2 * THIN, ink),
        *voices.strong.line(title, Point(at.x, middle), NAME, ink),
        *voices.strong.line(pieces, Point(at.x + paper.width, middle), NAME, ink, "right"),
        *left.items,
        *right.items,
    )
    return Drawn(items, below - at.y + max(left.height, right.height) + _AIR)


def _draw_cells(paper: Paper, row: Sequence[Marker], pictures: Pictures, at: Point) -> Drawn:
    wide = (paper.width - (_IN_ROW - 1) * _GAP) / _IN_ROW
    room = Size(wide, _TALLEST)
    tallest = max(pictures.of(marker.face, room).size.height for marker in row)
    cells = [
        _draw_cell(paper, marker, pictures, room, tallest, Point(at.x + n * (wide + _GAP), at.y))
        for n, marker in enumerate(row)
    ]
    items = tuple(item for cell in cells for item in cell.items)
    return Drawn(items, max(cell.height for cell in cells) + _AIR)


def _draw_cell(
    paper: Paper, marker: Marker, pictures: Pictures, room: Size, tallest: float, at: Point
) -> Drawn:
    """Picture, name with the pieces, what the picture measures, and where it goes."""
    voices, ink, measures = paper.voices, paper.ink, marker.face.measures
    drawn = pictures.of(marker.face, room)
    below = at.y + tallest + 1.2
    first = baseline(below, BODY)
    pieces = counted(marker.quantity, "piece")
    wide = room.width - voices.strong.width(pieces, BODY) - 2.0
    name = text_block(voices.strong, marker.plan.name, Point(at.x, below), BODY, wide, ink)
    size = f"{inches(measures.length)} x {inches(measures.height)}"
    said = (f"{marker.id}, {size}, scale 1:{drawn.scale}", *place_texts(marker.placings))
    corner = Point(at.x, below + name.height)
    block = text_block(voices.plain, "\n".join(said), corner, BODY, room.width, ink)
    items = (
        *drawn.at(at),
        *name.items,
        *voices.strong.line(pieces, Point(at.x + room.width, first), BODY, ink, "right"),
        *block.items,
    )
    return Drawn(items, corner.y + block.height - at.y)
