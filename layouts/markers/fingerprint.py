"""A face named by what is drawn and cut: same shapes in the same inks, same name.

A marker's id names its design, and may change with the program that writes it; a fingerprint
changes only when the piece itself does. Lengths count in whole nanometres: finer than any
machine, coarser than the noise of floats, and no fraction of an inch lies on a half.
"""

from __future__ import annotations

import hashlib
import struct

from layouts.drawing import Arc, Contour, Cubic, Line, Path
from layouts.drawing.document import Fill, Shape
from layouts.face.model import Face, Part

_NM = 1e6  # nanometres in a millimetre
_BULGE = 1e9  # an arc's bulge, in parts of a billion


def fingerprint(face: Face) -> str:
    """SHA-256 (hex) over all parts of the face: outlines, openings, art and its inks."""
    digest = hashlib.sha256()
    for part in face.parts:
        digest.update(_part(part))
    return digest.hexdigest()


def _part(part: Part) -> bytes:
    head = f"part {part.role} {_nm(part.size.width)} {_nm(part.size.height)}\n"
    pieces = [head.encode(), _path(part.outline)]
    if part.holes is not None:
        pieces += [b"holes\n", _path(part.holes)]
    if part.two_faced:
        pieces.append(b"both faces\n")
    for shape in part.look:
        pieces += [_paint(shape).encode(), _path(shape.path)]
    return b"".join(pieces)


def _paint(shape: Shape) -> str:
    """How a shape is painted; the white of the film is an ink like another."""
    ink = shape.ink
    lab = (ink.lab.lightness, ink.lab.a, ink.lab.b) if ink is not None else ()
    color = " ".join(f"{value:.3f}" for value in lab)
    name = ink.name if ink is not None else ""
    way = "fill" if isinstance(shape, Fill) else f"stroke {_nm(shape.width)} {shape.dash}"
    return f"{way} {name} {color} {shape.overprint:d}\n"


def _path(path: Path) -> bytes:
    numbers: list[int] = []
    for contour in path.contours:
        numbers += _contour(contour)
    return struct.pack(f"<{len(numbers)}q", *numbers)


def _contour(contour: Contour) -> list[int]:
    """Start, then each segment behind a number for its kind."""
    start = contour.start
    numbers = [10 + contour.closed, _nm(start.x), _nm(start.y), len(contour.segments)]
    for segment in contour.segments:
        match segment:
            case Line(end):
                numbers += (1, _nm(end.x), _nm(end.y))
            case Cubic(one, two, end):
                numbers += (2, _nm(one.x), _nm(one.y), _nm(two.x), _nm(two.y))
                numbers += (_nm(end.x), _nm(end.y))
            case Arc(end, bulge):
                numbers += (3, _nm(end.x), _nm(end.y), round(bulge * _BULGE))
    return numbers


def _nm(mm: float) -> int:
    return round(mm * _NM)
