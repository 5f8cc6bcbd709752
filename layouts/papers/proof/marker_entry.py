"""One distinct marker on the proof: drawn to scale on the left, its reasons on the right."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from layouts.drawing import Point, Rect
from layouts.drawing.document import Item, Symbol
from layouts.markers.gather import Marker, Placing
from layouts.papers.kit.figure import carrier_of, figure, figure_scale, printed_part
from layouts.papers.kit.paper import (
    BODY,
    NAME,
    THIN,
    Drawn,
    Paper,
    baseline,
    counted,
    rule,
    text_block,
)
from layouts.papers.materials.hardware import build_text, mount_text
from layouts.papers.proof.references import References
from layouts.papers.proof.verdicts import weight_of
from layouts.plan.legibility import reading_distance
from layouts.schemes.model import Scheme
from layouts.terms.findings import Finding
from layouts.terms.units import feet, inches
from layouts.terms.words import Kind

_FIGURE = Rect(0.0, 0.0, 82.0, 26.0)  # the most that a figure takes, mm on paper
_WIDE_FIGURE = Rect(0.0, 0.0, 164.0, 26.0)  # and over both columns, for what is long
_SMALLEST_SCALE = 16  # one to so many; a smaller drawing goes over both columns
_RIGHT = 98.0  # from the left margin to the right column
_LABEL = 13.5
_GAP = 3.0
_LEAST = 36.0  # no entry is lower: nothing is drawn in vain into less room
_MOST_PLACES = 3
_SEEN_ELSEWHERE = frozenset({"reading distance"})  # topics that the facts on the left repeat
_MOST_FINDINGS = 6
_MOST_OTHERS = 2  # further reasons that other pipes of the same marker add


def draw_entry(
    paper: Paper,
    marker: Marker,
    findings: Sequence[Finding],
    scheme: Scheme | None,
    references: References,
    symbols: dict[str, Symbol],
) -> None:
    """Add the marker to the paper and its face to the symbols.

    ``scheme`` is given where markers of the order follow different ones.
    """

    room = _WIDE_FIGURE if figure_scale(marker.face, _FIGURE) > _SMALLEST_SCALE else _FIGURE

    def draw(at: Point) -> Drawn:
        head = _head(paper, marker, at)
        top = Point(at.x, at.y + head.height)
        drawn = figure(marker.face, top, room, paper.voices, paper.ink)
        symbols[drawn.symbol.id] = drawn.symbol
        below = top.y + drawn.height + 0.6
        narrow = room is _FIGURE  # the right column begins beside it, and has room for more
        looks, made = [*_looks(marker)], [*make(marker, scheme), ("Where", _where(marker))]
        left = labeled(
            paper, looks if narrow else [*looks, *made], Point(at.x, below), _RIGHT - 5.0
        )
        beside = Point(at.x + _RIGHT, top.y if narrow else below)
        right = labeled(
            paper,
            [*why(marker, findings, references), *(made if narrow else ())],
            beside,
            paper.left + paper.width - beside.x,
        )
        end = max(below + left.height, beside.y + right.height)
        items = (*head.items, *drawn.items, *left.items, *right.items)
        return Drawn(items, end - at.y + _GAP)

    paper.keep(_LEAST)
    paper.block(draw)


def _head(paper: Paper, marker: Marker, at: Point) -> Drawn:
    """Rule, name with its hand, id and quantity."""
    strong, plain, ink = paper.voices.strong, paper.voices.plain, paper.ink
    hand = f", {marker.plan.hand}" if marker.plan.hand else ""
    corner = Point(at.x, at.y + 1.4)
    name = text_block(strong, f"{marker.plan.name}{hand}", corner, NAME, _RIGHT - 4.0, ink)
    y = baseline(corner.y, NAME)
    right, middle = Point(at.x + paper.width, y), Point(at.x + _RIGHT, y)
    items: tuple[Item, ...] = (
        rule(at.x, at.y, paper.width, 2 * THIN, ink),
        *name.items,
        *plain.line(f"{marker.plan.kind} {marker.id}", middle, BODY, ink),
        *strong.line(counted(marker.quantity, "piece"), right, NAME, ink, "right"),
    )
    return Drawn(items, 1.4 + name.height + 1.4)


def labeled(paper: Paper, rows: Iterable[tuple[str, str]], at: Point, width: float) -> Drawn:
    """Labels with what they say beside them, row below row."""
    voices, ink = paper.voices, paper.ink
    items: list[Item] = []
    y = at.y
    for label, value in rows:
        items += voices.strong.line(label, Point(at.x, baseline(y, BODY)), BODY, ink)
        corner = Point(at.x + _LABEL, y)
        block = text_block(voices.plain, value, corner, BODY, width - _LABEL, ink)
        items += block.items
        y += block.height
    return Drawn(tuple(items), y - at.y)


def _looks(marker: Marker) -> Iterator[tuple[str, str]]:
    """Letters and sizes."""
    measures = marker.face.measures
    yield from letter_facts(marker)
    size = f"{inches(measures.length)} long, {inches(measures.height)} high"
    if marker.plan.kind is Kind.PIPE:
        size += f"; row: {_rows(marker)}"
    plate = carrier_of(marker.face)
    if plate is not None:
        size += f"; plate {inches(plate.size.width)} x {inches(plate.size.height)}"
    yield "Size", size


def letter_facts(marker: Marker) -> Iterator[tuple[str, str]]:
    """What the words are set in, and of a machine or a valve by which row of sizes."""
    measures = marker.face.measures
    yield "Letters", _letters(marker)
    if marker.plan.kind is not Kind.PIPE:
        yield "Row", _rows(marker)
    if measures.band_letter_height:
        widths = ", ".join(inches(width) for width in measures.bands)
        yield (
            "Bands",
            f"{inches(measures.band_letter_height)}, read from "
            f"{feet(reading_distance(measures.band_letter_height))}; {widths} wide",
        )


def make(marker: Marker, scheme: Scheme | None) -> Iterator[tuple[str, str]]:
    """What it is made of, how it is held, and by which scheme."""
    plate = carrier_of(marker.face)
    build = build_text(printed_part(marker.face), marker.plan.build, plate is not None)
    yield "Build", build
    yield "Mount", mount_text(marker)
    if scheme is not None:
        yield "Scheme", f"{scheme.title}, edition {scheme.edition}"


def _rows(marker: Marker) -> str:
    return "; ".join(dict.fromkeys(plan.row for plan in marker.plans))


def _where(marker: Marker) -> str:
    return "\n".join(places(marker.placings))


def _letters(marker: Marker) -> str:
    """Letter height with its reading distance, and the smallest where lines differ."""
    letter = marker.face.measures.letter_height
    text = f"{inches(letter)}, read from {feet(reading_distance(letter))}"
    smallest = min(
        element.letter_height
        for line in marker.face.design.lines
        for element in line
        if element.field is None and element.word
    )
    if smallest < letter - 1e-6:
        text += f"; smallest {inches(smallest)}, read from {feet(reading_distance(smallest))}"
    return text


def why(
    marker: Marker, findings: Sequence[Finding], references: References
) -> list[tuple[str, str]]:
    """Findings and reasons, where there are any."""
    texts = (("Findings", _found(findings)), ("Why", _reasons(marker, references)))
    rows = [(label, "\n".join(lines)) for label, lines in texts]
    return [row for row in rows if row[1]]


def _found(findings: Sequence[Finding]) -> Iterator[str]:
    for finding in findings[:_MOST_FINDINGS]:
        right = f"; {finding.right}" if finding.right else ""
        accepted = f". Accepted: {finding.accepted}" if finding.accepted else ""
        yield f"{weight_of(finding).value.upper()} {finding.code}: {finding.what}{right}{accepted}"
    more = len(findings) - _MOST_FINDINGS
    if more > 0:
        yield f"and {more} more: see the list of findings"


def _reasons(marker: Marker, references: References) -> Iterator[str]:
    """The reasons of the first plan, then what other pipes of the same marker add to them."""
    first = [each for each in marker.plan.reasons if each.topic not in _SEEN_ELSEWHERE]
    yield from references.texts(first)
    others = [
        reason
        for plan in marker.plans
        for reason in plan.reasons
        if plan is not marker.plan and reason.topic not in {"build", *_SEEN_ELSEWHERE}
    ]
    added = list(dict.fromkeys(reason for reason in others if reason not in first))
    for reason in added[:_MOST_OTHERS]:
        yield f"elsewhere: {references.text(reason)}"
    if len(added) > _MOST_OTHERS:
        yield f"and {len(added) - _MOST_OTHERS} more reasons for pipes of other sizes"


def places(placings: Iterable[Placing]) -> Iterator[str]:
    """Pieces and places, those of one line or room together; the first few of many."""
    pieces = Counter[str]()
    for placing in placings:
        pieces[_place(placing)] += placing.count
    listed = [*pieces.items()]
    for place, count in listed[:_MOST_PLACES]:
        yield f"{count} x {place}"
    rest = listed[_MOST_PLACES:]
    if rest:
        left = sum(count for _, count in rest)
        yield f"and {counted(len(rest), 'more place')}, {counted(left, 'piece')}"


def _place(placing: Placing) -> str:
    position = placing.position
    way = " to ".join(part for part in (position.from_, position.to) if part)
    if position.to and not position.from_:
        way = f"to {position.to}"
    elif position.from_ and not position.to:
        way = f"from {position.from_}"
    parts = (
        position.area,
        f"line {position.line}" if position.line else "",
        position.location,
        way,
        f"drawing {position.drawing}" if position.drawing else "",
        f"row {position.row}" if position.row is not None else "",
    )
    return ", ".join(part for part in parts if part) or "no place given"
