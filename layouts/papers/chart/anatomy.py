"""A marker taken apart: the position of each part on its face."""

from __future__ import annotations

from collections.abc import Sequence

from layouts.drawing import Rect
from layouts.markers.gather import Marker
from layouts.papers.kit.figure import printed_part
from layouts.plan.design import Element
from layouts.schemes.model import ElementKind
from layouts.terms.values import frozen
from layouts.terms.words import Kind


@frozen
class Named:
    """A part of a face: its kind, its words and its position, mm on the face.

    Bands of one kind that touch are one part, and of two arrows the first represents both.
    """

    kind: ElementKind
    words: tuple[str, ...]
    box: Rect


def specimen(markers: Sequence[Marker]) -> Marker | None:
    """The plant's most telling marker: a pipe's, on one line, with the most kinds of parts.

    Ties go to the one with the most state bands, then the most installed pieces, then the highest
    for its length, which is drawn largest. None where no marker is of that shape.
    """
    able = [marker for marker in markers if _plain(marker)]
    if not able:
        return None
    return max(
        able,
        key=lambda marker: (
            _kinds(marker),
            _states(marker),
            marker.quantity,
            _stout(marker),
            marker.id,
        ),
    )


def anatomy(marker: Marker) -> tuple[Named, ...]:
    """The parts of a marker of one line, left to right.

    Raises:
        ValueError: the marker is a wrap or has more than one line.
    """
    if not _plain(marker):
        raise ValueError(f"marker {marker.id} is not a flat face of one line")
    (line,) = marker.face.design.lines
    part = printed_part(marker.face)
    trim = part.box
    # A face is painted ground, bands, letters, each in the order of the line.
    banded = [element for element in line if element.field is not None]
    letters = [shape.path.bounds() for shape in part.look[-len(line) :]]
    first = len(part.look) - len(line) - len(banded)
    bands = iter([shape.path.bounds() for shape in part.look[first : first + len(banded)]])
    parts: list[Named] = []
    for element, box in zip(line, letters, strict=True):
        reach = next(bands) if element.field is not None else box
        left, right = max(reach.x, trim.x), min(reach.right, trim.right)
        _add(parts, element, Rect(left, trim.y, right - left, trim.height))
    return tuple(parts)


def _add(parts: list[Named], element: Element, box: Rect) -> None:
    """Append the part, or join it to the one before it."""
    if element.arrow is not None and any(part.kind is ElementKind.ARROW for part in parts):
        return
    if parts and parts[-1].kind is element.kind:
        before = parts.pop()
        words = (*before.words, element.word)
        parts.append(Named(element.kind, words, Rect.around((before.box, box))))
        return
    parts.append(Named(element.kind, (element.word,) if element.word else (), box))


def _plain(marker: Marker) -> bool:
    design = marker.face.design
    flat = marker.plan.kind is Kind.PIPE and design.wrap is None and design.end_band is None
    return flat and len(design.lines) == 1 and not marker.face.missing


def _kinds(marker: Marker) -> int:
    """How many kinds of parts a marker shows."""
    (line,) = marker.face.design.lines
    return len({element.kind for element in line})


def _states(marker: Marker) -> int:
    """How many state bands a marker shows."""
    (line,) = marker.face.design.lines
    return sum(element.kind is ElementKind.STATE for element in line)


def _stout(marker: Marker) -> float:
    """Height over length, rounded so that tiny differences do not matter."""
    measures = marker.face.measures
    return round(measures.height / measures.length, 2)
