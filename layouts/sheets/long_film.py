"""A film longer than any stock, in pieces that overlap: cut between words, never through a letter.

Both pieces of a joint carry the print of the lap, so either may lie on top.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from layouts.drawing import Affine, Arc, Line, Path, Rect, rectangle
from layouts.drawing.document import Shape
from layouts.face.model import Part
from layouts.markers.gather import Marker
from layouts.nest import free_rooms
from layouts.sheets.pieces import UM, border_of, marker_of, nest_request
from layouts.sheets.sheetplan import SheetPlan
from layouts.sheets.stock import Stock, Turning
from layouts.terms.values import frozen
from layouts.terms.words import PartRole

# Overlaps in mm, the widest that finds room is taken: common practice, no source.
_LAPS = (12.7, 9.525, 6.35, 4.7625)
_CLEAR = 1.0  # from a lap to the nearest letter, mm
_WORD_GAP = 0.35  # a gap of this share of the letters' height parts words, and not letters
_SLACK = 1e-6
_STEP = 10.0  # between two places tried within one gap, mm

JOINING = (
    "Both pieces of a joint carry the print of the lap. On a riser the upper piece goes over the "
    "lower; on a level pipe the downstream piece goes over the one before it, and where the flow "
    "goes either way each piece over the one to its left."
)
Span = tuple[float, float]


@frozen
class Joint:
    """How the pieces of a marker go together: their lengths from left to right, and the lap."""

    lengths: tuple[float, ...]
    lap: float


def longest_pieces(stocks: Sequence[Stock]) -> tuple[tuple[float, float], ...]:
    """Width and length of every free room of the stocks, in mm."""
    rooms = free_rooms(nest_request([], stocks))
    return tuple((width / UM, height / UM) for width, height in rooms)


def split_part(part: Part, stocks: Sequence[Stock]) -> tuple[Part, ...]:
    """The part itself where it fits or cannot be split, else its pieces from left to right.

    Only film is split. A place for a joint is a gap between bands or words, else between letters,
    wide enough for the lap. The fewest pieces win, then the most even ones.
    """
    border = border_of(stocks[0], part.role)
    width, height = part.size.width + 2 * border, part.size.height + 2 * border
    longest = 0.0
    for across, along in longest_pieces(stocks):
        sides = [(across, along)]
        if stocks[0].turning is Turning.QUARTER:
            sides.append((along, across))
        if any(width <= one and height <= other for one, other in sides):
            return (part,)
        longest = max(longest, *(one for one, other in sides if height <= other), 0.0)
    if part.role is not PartRole.FILM or part.holes is not None or _radius(part.outline) is None:
        return (part,)
    for lap, spans in _ways(part):
        centers = _chain(part.size.width, lap, _places(spans, lap), longest - 2 * border)
        if centers:
            return _cut_pieces(part, centers, lap)
    return (part,)


def _ways(part: Part) -> Iterable[tuple[float, list[Span]]]:
    """Laps from wide to narrow, each with the gaps between words first, then with all gaps."""
    letters = [
        contour.bounds()
        for shape in part.art
        if _radius(shape.path) is None
        for contour in shape.path.contours
    ]
    gaps = _gaps(letters, part.size.width)
    tallest = max((box.height for box in letters), default=0.0)
    words = [gap for gap in gaps if gap[1] - gap[0] >= _WORD_GAP * tallest]
    for lap in _LAPS:
        yield lap, words
        yield lap, gaps


def _gaps(letters: Iterable[Rect], width: float) -> list[Span]:
    """Stretches along the part without a letter or arrow."""
    gaps: list[Span] = []
    at = 0.0
    for box in sorted(letters, key=lambda each: each.x):
        if box.x > at:
            gaps.append((at, box.x))
        at = max(at, box.right)
    gaps.append((at, width))
    return gaps


def _places(spans: Iterable[Span], lap: float) -> list[float]:
    """Middles of laps that keep clear of the letters."""
    reach = lap / 2 + _CLEAR
    places = []
    for left, right in spans:
        first, last = left + reach, right - reach
        if first > last:
            continue
        steps = max(2, round((last - first) / _STEP))
        places += [first + (last - first) * step / steps for step in range(steps + 1)]
    return sorted(set(places))


def _chain(width: float, lap: float, places: Sequence[float], longest: float) -> tuple[float, ...]:
    """Joints for the fewest pieces no longer than asked, the most even ones; empty for none."""
    # For each place the best way to have cut all before it: pieces, sum of squares, joints.
    best: dict[float, tuple[int, float, tuple[float, ...]]] = {}
    for at in (*places, width):
        last = at == width
        ways: list[tuple[int, float, tuple[float, ...]]] = []
        if not last and at + lap / 2 <= longest:
            ways.append((1, (at + lap / 2) ** 2, (at,)))
        for before, (pieces, squares, joints) in best.items():
            length = at - before + (lap / 2 if last else lap)
            if 2 * lap < length <= longest:
                ways.append((pieces + 1, squares + length**2, joints if last else (*joints, at)))
        if ways:
            best[at] = min(ways)
    return best[width][2] if width in best else ()


def _cut_pieces(part: Part, centers: Sequence[float], lap: float) -> tuple[Part, ...]:
    starts = [0.0, *(center - lap / 2 for center in centers)]
    ends = [*(center + lap / 2 for center in centers), part.size.width]
    return tuple(_piece(part, span) for span in zip(starts, ends, strict=True))


def _piece(part: Part, span: Span) -> Part:
    """What lies between two cuts, from its own left edge."""
    left, right = span
    move = Affine.move(-left, 0.0)
    printed = (left - part.bleed, right + part.bleed)
    art = tuple(
        replace(shape, path=path.mapped(move))
        for shape in part.art
        if (path := _within(shape, span, printed)).contours
    )
    outline = _box_within(part.outline, span).mapped(move)
    size = replace(part.size, width=right - left)
    return replace(part, size=size, outline=outline, art=art)


def _within(shape: Shape, span: Span, printed: Span) -> Path:
    """A ground or band up to the bleed; of the letters, only those on the piece."""
    if _radius(shape.path) is not None:
        return _box_within(shape.path, printed)
    left, right = span
    return Path(
        tuple(
            contour for contour in shape.path.contours if left < contour.bounds().center.x < right
        )
    )


def _box_within(path: Path, span: Span) -> Path:
    """A box between two cuts, square where it is cut; nothing where it lies beyond them."""
    box, radius = path.bounds(), _radius(path)
    left, right = max(box.x, span[0]), min(box.right, span[1])
    if left >= right:
        return Path(())
    return rectangle(
        Rect(left, box.y, right - left, box.height),
        radius or 0.0,
        square_left=left > box.x + _SLACK,
        square_right=right < box.right - _SLACK,
    )


def _radius(path: Path) -> float | None:
    """Corner radius of a box as `rectangle` draws it, None where it is another shape."""
    if len(path.contours) != 1:
        return None
    (contour,) = path.contours
    box = path.bounds()
    first = contour.segments[0]
    rounded = any(isinstance(segment, Arc) for segment in contour.segments)
    if not isinstance(first, Line):
        return None
    radius = box.right - first.end.x if rounded else 0.0
    drawn = rectangle(box, radius).contours[0]
    same = len(drawn.segments) == len(contour.segments) and all(
        one.distance(other) < _SLACK
        for one, other in zip(drawn.points(), contour.points(), strict=True)
    )
    return radius if same else None


def joints(groups: Iterable[SheetPlan], markers: Iterable[Marker]) -> Mapping[str, Joint]:
    """The markers whose film is in pieces, by id."""
    pieces: dict[str, dict[str, float]] = {}
    for group in groups:
        for name, part in group.parts.items():
            of, sign, _ = name.partition("-")
            if sign and (of == marker_of(name) or int(of.partition(".")[2]) == 1):
                pieces.setdefault(marker_of(name), {})[name] = part.size.width
    whole = {
        marker.id: part.size.width
        for marker in (markers if pieces else ())
        for part in marker.face.parts
        if part.role is PartRole.FILM
    }
    found: dict[str, Joint] = {}
    for marker_id, by_name in pieces.items():
        lengths = tuple(by_name[name] for name in sorted(by_name, key=_number))
        lap = (math.fsum(lengths) - whole[marker_id]) / (len(lengths) - 1)
        found[marker_id] = Joint(lengths, lap)
    return found


def _number(name: str) -> int:
    return int(name.partition("-")[2])
