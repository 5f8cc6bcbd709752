"""How to read a marker: a real one of the plant, drawn large, each part with its meaning."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from layouts.drawing import Affine, Point, Rect, circle, polyline
from layouts.drawing.document import Fill, Item, Placement, Stroke, Symbol
from layouts.markers.gather import Marker
from layouts.papers.abbreviations import Abbreviation
from layouts.papers.chart.anatomy import Named, anatomy
from layouts.papers.chart.facts import BandFact
from layouts.papers.chart.look import Look, heading_row
from layouts.papers.kit.figure import face_symbol, printed_part
from layouts.papers.kit.paper import Drawn, text_block
from layouts.schemes.model import ElementKind, Scheme
from layouts.terms.units import inches

_WIDEST = 0.94  # of the face, as a share of the chart's width
_TITLES: Mapping[ElementKind, str] = {
    ElementKind.ARROW: "Flow",
    ElementKind.SERVICE: "Service",
    ElementKind.STATE: "State",
    ElementKind.LEGEND: "Contents",
    ElementKind.LEVEL: "Pressure",
}


def draw_hero(
    look: Look,
    marker: Marker,
    scheme: Scheme,
    codes: Sequence[Abbreviation],
    bands: Sequence[BandFact],
    high: float,
    at: Point,
) -> tuple[Drawn, Symbol]:
    """The section from its heading down, and the symbol of the face.

    ``high`` is the most that the face takes, in cap heights of the main text.
    """
    head = heading_row(look, "How to read a marker").draw(at, look.width)
    parts = anatomy(marker)
    texts = [_text(part, scheme, codes, bands) for part in parts]
    above, below = list(range(0, len(parts), 2)), list(range(1, len(parts), 2))
    tops = _labels(look, parts, texts, above)
    feet = _labels(look, parts, texts, below)
    label_height = max((height for _, height in tops), default=0.0)
    part = printed_part(marker.face)
    scale = min(look.width * _WIDEST / part.size.width, high * look.body / part.size.height)
    wide, tall = part.size.width * scale, part.size.height * scale
    lead = 2.1 * look.body
    y = at.y + head.height + label_height + lead
    x = at.x + (look.width - wide) / 2
    place = Affine.scale(scale).then(Affine.move(x, y))
    symbol = face_symbol(marker.face)
    items: list[Item] = [*head.items, Placement(symbol.id, place)]
    items.append(Stroke(part.outline.mapped(place), look.black, 1.5 * look.hair))
    boxes = [place.rect(part.box) for part in parts]
    top = at.y + head.height
    items += _draw_leaders(look, boxes, above, tops, at.x, top + label_height, y, up=True)
    bottom = y + tall
    items += _draw_leaders(look, boxes, below, feet, at.x, bottom + lead, bottom, up=False)
    end = bottom + lead + max((height for _, height in feet), default=0.0)
    caption = _caption(marker, scale)
    corner = Point(at.x, end + 0.4 * look.body)
    said = text_block(look.voices.plain, caption, corner, look.fine, look.width, look.black)
    items += said.items
    return Drawn(tuple(items), corner.y + said.height - at.y), symbol


def _caption(marker: Marker, scale: float) -> str:
    measures = marker.face.measures
    lines = list(dict.fromkeys(p.position.line for p in marker.placings if p.position.line))
    where = f" for line {lines[0]}" if lines else ""
    also = f" and {len(lines) - 1} more" if len(lines) > 1 else ""
    size = f"{inches(measures.length)} long, letters {inches(measures.letter_height)}"
    return (
        f"A marker of this plant{where}{also}: {size}. Drawn {scale:.2g} times full size; larger "
        "pipes have larger markers."
    )


def _text(
    part: Named,
    scheme: Scheme,
    codes: Sequence[Abbreviation],
    bands: Sequence[BandFact],
) -> str:
    """What a part means."""
    words = " ".join(part.words)
    match part.kind:
        case ElementKind.ARROW:
            return "Arrow shows flow. Two-headed: flow may reverse."
        case ElementKind.SERVICE:
            meaning = next((each.meaning for each in codes if each.code == words), "")
            return f"{words}: {meaning}" if meaning else words
        case ElementKind.STATE:
            return _states(scheme, bands)
        case ElementKind.LEGEND:
            return f"{words}: what is in the line. Color: {scheme_color(words, scheme)}"
        case ElementKind.LEVEL:
            return "; ".join(f"{band.word}: {band.meaning}" for band in _levels(scheme, bands))


def scheme_color(words: str, scheme: Scheme) -> str:
    """``black on safety orange``."""
    pairing = scheme.pairing_for(words) or scheme.pairings[0]
    return f"{pairing.legend} on {pairing.field}"


def _states(scheme: Scheme, bands: Sequence[BandFact]) -> str:
    """The bands of the scheme's states that are in use."""
    words = {band.word for found in scheme.states.values() for band in found}
    told = [f"{band.word}: {band.meaning}" for band in bands if band.word in words]
    both = ["both: liquid and vapor"] if len(told) > 1 else []
    return "; ".join((*told, *both))


def _levels(scheme: Scheme, bands: Sequence[BandFact]) -> list[BandFact]:
    words = {band.word for band in scheme.levels.values()}
    return [band for band in bands if band.word in words]


def _labels(
    look: Look, parts: Sequence[Named], texts: Sequence[str], chosen: Sequence[int]
) -> list[tuple[Drawn, float]]:
    """The labels of one side, drawn at the origin in their share of the width."""
    found = []
    for index in chosen:
        width = look.width / len(chosen) - look.air
        size = 1.15 * look.body
        head = text_block(
            look.voices.strong, _TITLES[parts[index].kind], Point(0.0, 0.0), size, width, look.black
        )
        corner = Point(0.0, head.height)
        said = text_block(look.voices.plain, texts[index], corner, look.body, width, look.black)
        height = head.height + said.height
        found.append((Drawn((*head.items, *said.items), height), height))
    return found


def _draw_leaders(
    look: Look,
    boxes: Sequence[Rect],
    chosen: Sequence[int],
    labels: Sequence[tuple[Drawn, float]],
    left: float,
    edge: float,
    face_edge: float,
    *,
    up: bool,
) -> list[Item]:
    """Labels side by side and a leader from each to its part."""
    items: list[Item] = []
    for number, (index, (label, height)) in enumerate(zip(chosen, labels, strict=True)):
        share = look.width / len(chosen)
        x = left + number * share
        y = edge - height if up else edge
        items += (_move_item(item, x, y) for item in label.items)
        target = boxes[index].center.x
        from_x = min(max(target, x + look.body), x + share - look.air - look.body)
        rest = edge + (0.35 if up else -0.35) * look.body
        tip = Point(target, face_edge)
        elbow = face_edge + (-0.9 if up else 0.9) * look.body
        bar = (Point(x, rest), Point(x + share - look.air, rest))
        items.append(Stroke(polyline(bar), look.black, 2.0 * look.hair))
        leader = (Point(from_x, rest), Point(from_x, elbow), Point(target, elbow), tip)
        items.append(Stroke(polyline(leader), look.black, 2.0 * look.hair))
        items.append(Fill(circle(tip, 0.5 * look.body), look.white))
        items.append(Stroke(circle(tip, 0.5 * look.body), look.black, 2.0 * look.hair))
    return items


def _move_item(item: Item, dx: float, dy: float) -> Item:
    move = Affine.move(dx, dy)
    match item:
        case Placement(symbol, at, ink):
            return Placement(symbol, at.then(move), ink)
        case Fill(path, ink, overprint):
            return Fill(path.mapped(move), ink, overprint)
        case Stroke(path, ink, width, dash, overprint):
            return Stroke(path.mapped(move), ink, width, dash, overprint)
