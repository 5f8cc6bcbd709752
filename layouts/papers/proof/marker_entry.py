"""One distinct marker on the proof: drawn to scale on the left, reasons on the right."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from layouts.drawing import Point, Rect
from layouts.drawing.document import Item, Symbol
from layouts.markers.gather import Marker, Placing
from layouts.order.order import PipeMarker
from layouts.papers.kit.figure import carrier_of, draw_figure, figure_scale, printed_part
from layouts.papers.kit.paper import BODY, NAME, THIN, Drawn, Paper, baseline, rule, text_block
from layouts.papers.materials.hardware import build_text, film_kind, mount_text
from layouts.papers.proof.references import References
from layouts.papers.proof.straights import fit_text
from layouts.papers.proof.verdicts import weight_of
from layouts.papers.proof.whereabouts import place_texts
from layouts.plan import MarkerPlan
from layouts.plan.legibility import reading_distance
from layouts.schemes.model import Scheme
from layouts.terms.counts import counted
from layouts.terms.findings import Finding
from layouts.terms.site_lengths import legible_text, ruler_text
from layouts.terms.units import inches
from layouts.terms.words import Kind

_FIGURE = Rect(0.0, 0.0, 82.0, 26.0)  # the most that a figure takes, mm on paper
_WIDE_FIGURE = Rect(0.0, 0.0, 164.0, 26.0)  # and over both columns, for what is long
_SMALLEST_SCALE = 16  # one to sixteen; a smaller drawing goes over both columns
_RIGHT = 98.0  # from the left margin to the right column
_LABEL = 13.5
_GAP = 3.0
_LEAST = 36.0  # the least height of an entry
_SEEN_ELSEWHERE = frozenset({"reading distance"})  # topics that the facts on the left repeat
# Topics that follow from the pipe's size, which "also on" names.
_OF_A_SIZE = frozenset({"build", "diameter", "size row", *_SEEN_ELSEWHERE})
_MOST_FINDINGS = 6
_MOST_OTHERS = 2  # reasons that other pipes of the same marker add


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
        head = _draw_head(paper, marker, at)
        top = Point(at.x, at.y + head.height)
        drawn = draw_figure(marker.face, top, room, paper.voices, paper.ink)
        symbols[drawn.symbol.id] = drawn.symbol
        below = top.y + drawn.height + 0.6
        narrow = room is _FIGURE  # the right column begins beside it, and has room for more
        sizes = [*_size_rows(marker)]
        makes = [*build_rows(marker, scheme), ("Where", _where_text(marker))]
        left = draw_rows(
            paper, sizes if narrow else [*sizes, *makes], Point(at.x, below), _RIGHT - 5.0
        )
        beside = Point(at.x + _RIGHT, top.y if narrow else below)
        right = draw_rows(
            paper,
            [*reason_rows(marker, findings, references), *(makes if narrow else ())],
            beside,
            paper.left + paper.width - beside.x,
        )
        end = max(below + left.height, beside.y + right.height)
        items = (*head.items, *drawn.items, *left.items, *right.items)
        return Drawn(items, end - at.y + _GAP)

    paper.keep(_LEAST)
    paper.block(draw)


def _draw_head(paper: Paper, marker: Marker, at: Point) -> Drawn:
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


def draw_rows(paper: Paper, rows: Iterable[tuple[str, str]], at: Point, width: float) -> Drawn:
    """Labels with their texts beside them, row below row."""
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


def _size_rows(marker: Marker) -> Iterator[tuple[str, str]]:
    """Letters, sizes, and the straight pipe that the marker needs."""
    measures, plate = marker.face.measures, carrier_of(marker.face)
    yield from letter_rows(marker)
    size = f"{inches(measures.length)} long, {inches(measures.height)} high"
    if marker.plan.kind is Kind.PIPE:
        size += f"; row: {_row_text(marker)}"
    if plate is not None:
        size += f"; plate {inches(plate.size.width)} x {inches(plate.size.height)}"
    yield "Size", size
    if marker.plan.kind is Kind.PIPE:
        yield "Fit", fit_text(marker)


def letter_rows(marker: Marker) -> Iterator[tuple[str, str]]:
    """Letter sizes, the size row of equipment or a valve, and bands."""
    measures = marker.face.measures
    yield "Letters", _letter_text(marker)
    if marker.plan.kind is not Kind.PIPE:
        yield "Row", _row_text(marker)
    if measures.band_letter_height:
        yield "Bands", _band_text(marker)


def _band_text(marker: Marker) -> str:
    measures = marker.face.measures
    height = measures.band_letter_height
    widths = ", ".join(dict.fromkeys(map(ruler_text, measures.bands)))
    far = legible_text(reading_distance(height))
    return f"letters {ruler_text(height)}, legible to {far}; {widths} wide"


def build_rows(marker: Marker, scheme: Scheme | None) -> Iterator[tuple[str, str]]:
    """Material, mounting and scheme."""
    plate, build = carrier_of(marker.face), marker.plan.build
    kind = film_kind(build.film, [marker]) if marker.plan.kind is not Kind.VALVE else ""
    text = build_text(printed_part(marker.face), build, plate is not None)
    yield "Build", f"{kind} {text}".strip()
    yield "Mount", mount_text(marker)
    if scheme is not None:
        yield "Scheme", f"{scheme.title}, edition {scheme.edition}"


def _row_text(marker: Marker) -> str:
    return "; ".join(dict.fromkeys(plan.row for plan in marker.plans))


def _where_text(marker: Marker) -> str:
    return "\n".join(place_texts(marker.placings))


def _letter_text(marker: Marker) -> str:
    """Letter height with its reading distance, and the smallest where lines differ."""
    letter = marker.face.measures.letter_height
    text = f"{inches(letter)}, legible to {legible_text(reading_distance(letter))}"
    smallest = min(
        element.letter_height
        for line in marker.face.design.lines
        for element in line
        if element.field is None and element.word
    )
    if smallest < letter - 1e-6:
        far = legible_text(reading_distance(smallest))
        text += f"; smallest {ruler_text(smallest)}, legible to {far}"
    return text


def reason_rows(
    marker: Marker, findings: Sequence[Finding], references: References
) -> list[tuple[str, str]]:
    """Findings and reasons, if there are any."""
    texts = (("Findings", _finding_texts(findings)), ("Why", _reason_texts(marker, references)))
    rows = [(label, "\n".join(lines)) for label, lines in texts]
    return [row for row in rows if row[1]]


def _finding_texts(findings: Sequence[Finding]) -> Iterator[str]:
    for finding in findings[:_MOST_FINDINGS]:
        right = f"; {finding.right}" if finding.right else ""
        accepted = f". Accepted: {finding.accepted}" if finding.accepted else ""
        yield f"{weight_of(finding).value.upper()} {finding.code}: {finding.what}{right}{accepted}"
    more = len(findings) - _MOST_FINDINGS
    if more > 0:
        yield f"and {more} more: see the list of findings"


def _reason_texts(marker: Marker, references: References) -> Iterator[str]:
    """The reasons of the first plan, then what other pipes with the same marker add to them."""
    first = [each for each in marker.plan.reasons if each.topic not in _SEEN_ELSEWHERE]
    yield from references.texts(first)
    others = [plan for plan in marker.plans if plan is not marker.plan]
    sizes = _pipe_labels(marker, others)
    if sizes:
        yield f"also on {', '.join(sizes)}"
    reasons = dict.fromkeys(
        reason
        for plan in others
        for reason in plan.reasons
        if reason.topic not in _OF_A_SIZE and reason not in first
    )
    added = list(reasons)
    for reason in added[:_MOST_OTHERS]:
        yield f"also: {references.text(reason)}"
    if len(added) > _MOST_OTHERS:
        yield f"and {counted(len(added) - _MOST_OTHERS, 'more reason')} on other lines"


def _pipe_labels(marker: Marker, plans: Sequence[MarkerPlan]) -> list[str]:
    """The pipes of some plans that the first plan is not about, as ``NPS 4, 7-1/2 in OD``."""
    found = {id(plan) for plan in plans}
    labels: dict[str, None] = {}
    pipes = {(id(each.spec), id(each.plan)): each for each in marker.placings}.values()
    for placing in pipes:
        label = _pipe_label(placing)
        if id(placing.plan) in found and label:
            labels[label] = None
    own = {_pipe_label(each) for each in pipes if each.plan is marker.plan}
    return [label for label in labels if label not in own]


def _pipe_label(placing: Placing) -> str:
    spec, od = placing.spec, placing.plan.od
    if not isinstance(spec, PipeMarker) or od is None:
        return ""
    outside = f"{ruler_text(od)} OD"
    return f"{spec.pipe.label} ({outside})" if spec.pipe is not None else outside
