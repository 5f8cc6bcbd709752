"""A fingerprint of a face from its geometry: same shapes in the same inks, same name.

A marker's id names its design, and may change with the program that writes it; a fingerprint
changes only when the piece itself does. Lengths count in whole nanometers, finer than any
machine and coarser than the noise of floats. Lettering counts by its glyphs: the outline of each
in cap heights, and where it lies.
"""

from __future__ import annotations

import hashlib
import math
import struct
from collections.abc import Callable, Iterable, Iterator
from functools import lru_cache
from typing import Literal, TypeAlias

from layouts.drawing import Affine, Arc, Contour, Cubic, Line, Path
from layouts.drawing.document import Fill, Shape
from layouts.drawing.memo import Kept
from layouts.drawing.path import Row
from layouts.face.model import Face, Part

Form: TypeAlias = Literal[1, 2]
FORM: Form = 2  # of the fingerprints that are written today

_NM = 1e6  # nanometers in a millimeter
# What is added before a number is cut to a whole one. Halves, thirds and quarters of a nanometer
# do come up where a length is divided evenly; with this the last digit does not depend on them.
_SHIFT = 0.5886
_BULGE = 1e9  # an arc's bulge, in parts of a billion
_MOST_KEPT = 4096


def fingerprint(face: Face, form: Form = FORM) -> str:
    """SHA-256 (hex) over all parts of the face: outlines, openings, art and its inks.

    ``form`` 1 is that of older records, in which lettering counted by its points.
    """
    told = _by_glyphs if form == FORM else _by_points
    digest = hashlib.sha256()
    for part in face.parts:
        digest.update(_part(part, told))
    return digest.hexdigest()


def _part(part: Part, told: Callable[[Path], bytes]) -> bytes:
    head = f"part {part.role} {_rounded_nm(part.size.width)} {_rounded_nm(part.size.height)}\n"
    pieces = [head.encode(), told(part.outline)]
    if part.holes is not None:
        pieces += [b"holes\n", told(part.holes)]
    if part.two_faced:
        pieces.append(b"both faces\n")
    for shape in part.look:
        pieces += [_paint(shape).encode(), told(shape.path)]
    return b"".join(pieces)


def _paint(shape: Shape) -> str:
    """How a shape is painted; the white of the film counts as an ink."""
    ink = shape.ink
    lab = (ink.lab.lightness, ink.lab.a, ink.lab.b) if ink is not None else ()
    color = " ".join(f"{value:.3f}" for value in lab)
    name = ink.name if ink is not None else ""
    way = "fill" if isinstance(shape, Fill) else f"stroke {_rounded_nm(shape.width)} {shape.dash}"
    return f"{way} {name} {color} {shape.overprint:d}\n"


def _by_glyphs(path: Path) -> bytes:
    if path.is_plain:
        return _packed(path.contours, _nm)
    return b"".join([piece for row, at in path.rows() for piece in _row(row, at)])


def _row(row: Row, at: Affine) -> Iterator[bytes]:
    """Each glyph of a row, followed by the six numbers of its map."""
    turn = struct.pack("<4q", _nm(at.a), _nm(at.b), _nm(at.c), _nm(at.d))
    for glyph, x in row:
        yield _glyph(glyph)
        yield turn
        yield struct.pack("<2q", _nm(at.a * x + at.e), _nm(at.b * x + at.f))


def _by_points(path: Path) -> bytes:
    return _packed((each for part in _in_steps(path) for each in part.contours), _rounded_nm)


def _in_steps(path: Path) -> Iterator[Path]:
    """The plain paths of a path as older programs mapped them: enlarged first, then moved.

    The last digit of a float depends on this, and now and then a fingerprint.
    """
    if path.is_plain:
        yield path
    for inner, at in path.parts:
        turn, move = Affine(at.a, at.b, at.c, at.d), Affine.move(at.e, at.f)
        for each, within in inner.outlines():
            yield each.mapped(within.then(turn)).mapped(move)


def _packed(contours: Iterable[Contour], whole: Callable[[float], int]) -> bytes:
    numbers: list[int] = []
    for contour in contours:
        numbers += _contour(contour, whole)
    return struct.pack(f"<{len(numbers)}q", *numbers)


def _glyph(glyph: Path) -> bytes:
    """A glyph by its outline; the faces of a job share few, which are held by identity."""
    return _glyphs().of(glyph)


@lru_cache(maxsize=1)
def _glyphs() -> Kept[Path, bytes]:
    return Kept(lambda glyph: hashlib.sha256(_by_glyphs(glyph)).digest(), most=_MOST_KEPT)


def _contour(contour: Contour, whole: Callable[[float], int]) -> list[int]:
    """Start, then each segment behind a number for its kind."""
    start = contour.start
    numbers = [10 + contour.closed, whole(start.x), whole(start.y), len(contour.segments)]
    for segment in contour.segments:
        match segment:
            case Line(end):
                numbers += (1, whole(end.x), whole(end.y))
            case Cubic(one, two, end):
                numbers += (2, whole(one.x), whole(one.y), whole(two.x), whole(two.y))
                numbers += (whole(end.x), whole(end.y))
            case Arc(end, bulge):
                numbers += (3, whole(end.x), whole(end.y), round(bulge * _BULGE))
    return numbers


def _nm(mm: float) -> int:
    return math.floor(mm * _NM + _SHIFT)


def _rounded_nm(mm: float) -> int:
    return round(mm * _NM)
