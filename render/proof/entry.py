"""One distinct marker on the proof: drawn to scale on the left, its reasons on the right."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from layouts.drawing import Item, Symbol
from layouts.figure import carrier_of, figure, figure_scale, printed_part
from layouts.findings import Finding
from layouts.geometry import Point, Rect
from layouts.legibility import reading_distance
from layouts.marker import Marker, Placing
from layouts.packing import build_text, mount_text
from layouts.paper import BODY, NAME, THIN, Drawn, Paper, baseline, counted, rule, text_block
from layouts.schemes.model import Scheme
from layouts.units import feet, inches
from layouts.words import Kind
from render.proof.references import References
from render.proof.verdicts import weight_of

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
        facts = _labeled(paper, _facts(marker, scheme), Point(at.x, below), _RIGHT - 5.0)
        beside = Point(at.x + _RIGHT, top.y if room is _FIGURE else below)
        why = _why(paper, marker, findings, references, beside)
        end = max(below + facts.height, beside.y + why.height)
        items = (*head.items, *drawn.items, *facts.items, *why.items)
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


def _labeled(
    paper: Paper, rows: Iterable[tuple[str, str]], at: Point, width: float, gap: float = 0.0
) -> Drawn:
    """Labels with what they say beside them, row below row."""
    voices, ink = paper.voices, paper.ink
    items: list[Item] = []
    y = at.y
    for label, value in rows:
        items += voices.strong.line(label, Point(at.x, baseline(y, BODY)), BODY, ink)
        corner = Point(at.x + _LABEL, y)
        block = text_block(voices.plain, value, corner, BODY, width - _LABEL, ink)
        items += block.items
        y += block.height + gap
    return Drawn(tuple(items), y - at.y)


def _facts(marker: Marker, scheme: Scheme | None) -> Iterator[tuple[str, str]]:
    measures, build = marker.face.measures, marker.plan.build
    rows = "; ".join(dict.fromkeys(plan.row for plan in marker.plans))
    yield "Letters", _letters(marker)
    if marker.plan.kind is not Kind.PIPE:
        yield "Row", rows
    if measures.band_letter_height:
        widths = ", ".join(inches(width) for width in measures.bands)
        yield (
            "Bands",
            f"{inches(measures.band_letter_height)}, read from "
            f"{feet(reading_distance(measures.band_letter_height))}; {widths} wide",
        )
    size = f"{inches(measures.length)} long, {inches(measures.height)} high"
    if marker.plan.kind is Kind.PIPE:
        size += f"; row: {rows}"
    plate = carrier_of(marker.face)
    if plate is not None:
        size += f"; plate {inches(plate.size.width)} x {inches(plate.size.height)}"
    yield "Size", size
    yield "Build", build_text(printed_part(marker.face), build, plate is not None)
    yield "Mount", mount_text(marker)
    if scheme is not None:
        yield "Scheme", f"{scheme.title}, edition {scheme.edition}"
    yield "Where", "\n".join(_places(marker.placings))


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


def _why(
    paper: Paper, marker: Marker, findings: Sequence[Finding], references: References, at: Point
) -> Drawn:
    texts = (("Findings", _found(findings)), ("Why", _reasons(marker, references)))
    rows = [(label, "\n".join(lines)) for label, lines in texts]
    width = paper.left + paper.width - at.x
    return _labeled(paper, [row for row in rows if row[1]], at, width, 1.0)


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


def _places(placings: Sequence[Placing]) -> Iterator[str]:
    for placing in placings[:_MOST_PLACES]:
        yield f"{placing.count} x {_place(placing)}"
    rest = placings[_MOST_PLACES:]
    if rest:
        pieces = sum(placing.count for placing in rest)
        yield f"and {counted(len(rest), 'more place')}, {counted(pieces, 'piece')}"


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
