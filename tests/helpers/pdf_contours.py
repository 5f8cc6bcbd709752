"""Contours of processing steps read out of a PDF by pypdf, in mm with y down.

It shares no code with the writer or with preflight: page and layer come from pypdf's objects,
paths from its content parser, and the matrices are multiplied here.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass, field

import pypdf
from pypdf.generic import ContentStream, DictionaryObject

from tests.helpers.pdf_objects import array, dictionary

Pair = tuple[float, float]
Matrix = tuple[float, float, float, float, float, float]


@dataclass
class ReadContour:
    """Start and pieces: a straight one is its end, a curve is two controls and its end."""

    layer: str
    page: int
    start: Pair
    pieces: list[tuple[Pair, ...]] = field(default_factory=list)
    closed: bool = False

    def points(self, each: int = 64) -> Iterator[Pair]:
        """Points along the contour, ``each`` a curve."""
        at = self.start
        yield at
        for piece in self.pieces:
            if len(piece) == 3:
                for index in range(1, each):
                    yield bezier(at, *piece, index / each)
            at = piece[-1]
            yield at
        if self.closed:
            yield self.start


def bezier(p0: Pair, p1: Pair, p2: Pair, p3: Pair, t: float) -> Pair:
    weights = ((1 - t) ** 3, 3 * (1 - t) ** 2 * t, 3 * (1 - t) * t**2, t**3)
    points = (p0, p1, p2, p3)
    return (
        sum(w * p[0] for w, p in zip(weights, points, strict=True)),
        sum(w * p[1] for w, p in zip(weights, points, strict=True)),
    )


def read_contours(data: bytes) -> list[ReadContour]:
    """Every contour of every layer, page by page."""
    reader = pypdf.PdfReader(io.BytesIO(data))
    found: list[ReadContour] = []
    for number, page in enumerate(reader.pages, 1):
        unit = float(page.get("/UserUnit", 1)) * 25.4 / 72
        top = float(page.mediabox.top)
        layers = {
            tag: str(group.get_object()["/Name"])
            for tag, group in dictionary(page, "/Resources").get("/Properties", {}).items()
        }
        content = ContentStream(page.get_contents(), reader)
        contours = _contours(content, layers, number)
        found += [_in_mm(contour, unit, top) for contour in contours]
    return found


def _contours(content: ContentStream, layers: dict[str, str], page: int) -> Iterator[ReadContour]:
    matrix: Matrix = (1, 0, 0, 1, 0, 0)
    saved: list[Matrix] = []
    marked: list[str] = []
    current: list[ReadContour] = []
    for operands, operator in content.operations:
        numbers = [float(each) for each in operands] if operator in _NUMERIC else []
        match operator:
            case b"q":
                saved.append(matrix)
            case b"Q":
                matrix = saved.pop()
            case b"cm":
                matrix = _product(numbers, matrix)
            case b"BDC":
                marked.append(layers.get(str(operands[1]), "") if operands[0] == "/OC" else "")
            case b"EMC":
                marked.pop()
            case b"m":
                layer = next((each for each in reversed(marked) if each), "")
                current.append(ReadContour(layer, page, _map(matrix, *numbers)))
            case b"l" | b"c":
                pairs = zip(numbers[::2], numbers[1::2], strict=True)
                current[-1].pieces.append(tuple(_map(matrix, x, y) for x, y in pairs))
            case b"h":
                current[-1].closed = True
            case b"S" | b"f":
                yield from (each for each in current if each.layer)
                current = []


_NUMERIC = (b"cm", b"m", b"l", b"c")


def _product(first: list[float], then: Matrix) -> Matrix:
    a, b, c, d, e, f = first
    p, q, r, s, t, u = then
    return (
        a * p + b * r,
        a * q + b * s,
        c * p + d * r,
        c * q + d * s,
        e * p + f * r + t,
        e * q + f * s + u,
    )


def _map(matrix: Matrix, x: float, y: float) -> Pair:
    a, b, c, d, e, f = matrix
    return (a * x + c * y + e, b * x + d * y + f)


def _in_mm(contour: ReadContour, unit: float, top: float) -> ReadContour:
    def mm(pair: Pair) -> Pair:
        return (pair[0] * unit, (top - pair[1]) * unit)

    pieces = [tuple(mm(pair) for pair in piece) for piece in contour.pieces]
    return ReadContour(contour.layer, contour.page, mm(contour.start), pieces, contour.closed)


def read_placements(data: bytes) -> list[tuple[str, Pair]]:
    """Resource name and origin in mm, y down, of every form on the first page, in order.

    A form is followed by those that it places.
    """
    reader = pypdf.PdfReader(io.BytesIO(data))
    page = reader.pages[0]
    unit, top = 25.4 / 72, float(page.mediabox.top)
    placed = _placements(page.get_contents(), page, (1, 0, 0, 1, 0, 0), reader)
    return [(name, (x * unit, (top - y) * unit)) for name, (x, y) in placed]


def _placements(
    content: object, owner: DictionaryObject, matrix: Matrix, reader: pypdf.PdfReader
) -> Iterator[tuple[str, Pair]]:
    saved: list[Matrix] = []
    for operands, operator in ContentStream(content, reader).operations:
        match operator:
            case b"q":
                saved.append(matrix)
            case b"Q":
                matrix = saved.pop()
            case b"cm":
                matrix = _product([float(each) for each in operands], matrix)
            case b"Do":
                name = str(operands[0])
                yield name, matrix[4:]
                form = dictionary(owner, "/Resources", "/XObject", name)
                own = _product([float(each) for each in array(form, "/Matrix")], matrix)
                yield from _placements(form, form, own, reader)
    assert not saved
