"""Cut contours read back from the file lie within a micrometre of what was to be cut."""

from __future__ import annotations

import math
from itertools import product
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from layouts.drawing import (
    Affine,
    Arc,
    Contour,
    Cubic,
    Line,
    Point,
    Rect,
    Segment,
    Size,
    circle,
    rectangle,
)
from layouts.drawing import Path as Outline
from layouts.drawing.document import Document, Fill, Layer, Page, Placement, Step, Stroke, Symbol
from render.write.pdf import write
from tests.helpers.pdf_contours import ReadContour, bezier, read_contours, read_placements
from tests.helpers.pdf_samples import BLACK, KISS, big_page, glyphs, ring, sheet

Points = NDArray[np.float64]
TOLERANCE = 0.001


def one_page(*paths: Outline) -> Document:
    size = Size(1371.6, 1524.0)
    area = Rect(0, 0, size.width, size.height)
    strokes = tuple(Stroke(path, KISS, 0.1) for path in paths)
    page = Page("p", "P", size, area, area, (Layer("Cut", strokes, Step.KISS_CUT),))
    return Document("d", "D", (page,), {})


PATHS = {
    "corners": rectangle(Rect(100.1234, 200.5678, 603.33, 88.9), 3.175),
    "far corner": rectangle(Rect(700.00049, 1400.00051, 603.333333, 88.888888), 6.35),
    "circle": circle(Point(500.123, 300.321), 150.0),
    "hole": circle(Point(1300.1, 1500.2), 5.0),
    "curves": ring(Point(300, 300), 40, 25, 1),
    "slot": Outline(
        (
            Contour(
                Point(40, 40),
                (
                    Line(Point(60, 40)),
                    Arc(Point(60, 46), 1.0),
                    Line(Point(40, 46)),
                    Arc(Point(40, 40), 1.0),
                ),
            ),
        )
    ),
    "turning left": Outline(
        (Contour(Point(40, 40), (Arc(Point(80, 60), -0.3), Line(Point(40, 90)))),)
    ),
}


@pytest.mark.parametrize("name", PATHS)
def test_a_contour_is_where_it_was_drawn(name: str) -> None:
    document = one_page(PATHS[name])
    (read,) = read_contours(write(document))
    assert farthest(read, PATHS[name].contours[0]) < TOLERANCE


def test_contours_of_one_shape_at_many_places_are_each_where_they_were_drawn() -> None:
    places = [(3.00004 + 13.33333 * step, 7.77777 * step) for step in range(1, 60)]
    paths = [rectangle(Rect(x, y, 250.00004, 50.00006), 3.0) for x, y in places]
    read = read_contours(write(one_page(*paths)))
    assert len(read) == len(paths)
    for found, path in zip(read, paths, strict=True):
        assert farthest(found, path.contours[0]) < TOLERANCE


@pytest.mark.parametrize("document", [sheet(), big_page()], ids=["sheet", "longest page"])
def test_every_contour_of_a_sheet_is_there_once_and_closed(document: Document) -> None:
    wanted = [
        (layer.name, contour)
        for layer in document.pages[0].layers
        if layer.step and layer.step is not Step.NOTES
        for item in layer.items
        if not isinstance(item, Placement)
        for contour in item.path.contours
    ]
    read = read_contours(write(document))
    assert [each.layer for each in read] == [name for name, _ in wanted]
    assert all(each.closed for each in read)
    for found, (_, contour) in zip(read, wanted, strict=True):
        assert farthest(found, contour) < TOLERANCE


def test_one_nudged_point_is_seen() -> None:
    path = PATHS["corners"]
    (read,) = read_contours(write(one_page(path)))
    x, y = read.pieces[0][-1]
    read.pieces[0] = (*read.pieces[0][:-1], (x, y + 0.0015))
    assert farthest(read, path.contours[0]) > TOLERANCE


@pytest.mark.parametrize("size", [0.33333, 1.0, 2.71828])
def test_every_letter_of_a_long_line_is_where_it_was_placed(size: float) -> None:
    """Letters placed one from another do not drift."""
    letters = tuple(
        Placement("H" if step % 3 else "O", Affine(size, 0, 0, size, 5 + 1.23457 * step, y), BLACK)
        for y in (10.00004, 20.1, 30.0)
        for step in range(400)
    )
    area = Rect(0, 0, 520, 50)
    page = Page("p", "P", area.size, area, area, (Layer("Text", letters),))
    read = read_placements(write(Document("d", "D", (page,), glyphs())))
    assert len(read) == len(letters)
    for (_, (x, y)), letter in zip(read, letters, strict=True):
        assert math.hypot(x - letter.at.e, y - letter.at.f) < 0.0002


@pytest.mark.parametrize("by", [Affine(0.6, 0.8, -0.8, 0.6, 90.0, 20.0), Affine.move(3.3, 90.1)])
@pytest.mark.parametrize("height", [0.71828, 25.4, 120.0])
def test_every_letter_of_a_legend_is_where_it_was_set(height: float, by: Affine) -> None:
    """The ways between letters are written once for all heights, and do not drift."""
    drawn = {kind: symbol.shapes[0].path for kind, symbol in glyphs().items()}
    xs = [0.1 + 1.123457 * step for step in range(60)]
    row = Outline.of_row(tuple((drawn["HO"[step % 2]], x) for step, x in enumerate(xs)))
    path = row.mapped(Affine.scale(height)).mapped(by)
    area = Rect(0, 0, 4800, 4800)
    symbol = Symbol("face", (Fill(path, BLACK), Fill(path.mapped(Affine.move(0, 7)), BLACK)), area)
    placed = (Placement("face", Affine.move(11.0, 12.0)),)
    page = Page("p", "P", area.size, area, area, (Layer("Print", placed),))
    _, *read = read_placements(write(Document("d", "D", (page,), {"face": symbol})))
    assert [name for name, _ in read] == ["/G0", "/G1"] * 60
    for (_, (x, y)), (down, along) in zip(read, product((0, 7), xs), strict=True):
        at = by.point(Point(height * along, 0.0))
        assert math.hypot(x - 11 - at.x, y - 12 - at.y - down) < TOLERANCE


def test_an_open_contour_stays_open() -> None:
    slot = PATHS["slot"].contours[0]
    contour = Contour(slot.start, slot.segments, closed=False)
    (read,) = read_contours(write(one_page(Outline((contour,)))))
    assert not read.closed


def test_the_line_of_a_step_is_a_quarter_point_wide(tmp_path: Path) -> None:
    from render.preflight import inspect

    assert "cut-width" not in inspect(write(one_page(*PATHS.values()))).codes


def farthest(read: ReadContour, contour: Contour) -> float:
    """The largest distance in mm from the read contour to the true one, and of the true corners
    to the read one's.
    """
    points = np.array(list(read.points()))
    apart = np.full(len(points), np.inf)
    at = contour.start
    segments = [*contour.segments, *([Line(contour.start)] if contour.closed else [])]
    for segment in segments:
        apart = np.minimum(apart, distances(points, at, segment))
        at = segment.end
    ends = np.array([read.start, *(piece[-1] for piece in read.pieces)])
    corners = [
        float(np.hypot(*(ends - (corner.x, corner.y)).T).min()) for corner in contour.points()
    ]
    return max(float(apart.max()), *corners)


def distances(points: Points, start: Point, segment: Segment) -> Points:
    """From each point to a segment; arcs by their circle, curves in 512 chords."""
    match segment:
        case Line(end):
            return to_chords(points, np.array([(start.x, start.y), (end.x, end.y)]))
        case Arc(end, bulge):
            return to_arc(points, complex(start.x, start.y), complex(end.x, end.y), bulge)
        case Cubic(one, two, end):
            a, b, c, d = ((each.x, each.y) for each in (start, one, two, end))
            curve = np.array([bezier(a, b, c, d, step / 512) for step in range(513)])
            return to_chords(points, curve)


def to_arc(points: Points, start: complex, end: complex, bulge: float) -> Points:
    """By complex numbers: the end is the start turned about the center by the sweep."""
    sweep = 4 * math.atan(bulge)
    turn = complex(math.cos(sweep), math.sin(sweep))
    center = (end - start * turn) / (1 - turn)
    seen = points[:, 0] + 1j * points[:, 1] - center
    angle = np.angle(seen / (start - center)) * math.copysign(1, sweep)
    on_arc = np.mod(angle + 1e-9, 2 * math.pi) <= abs(sweep) + 2e-9
    return np.where(on_arc, np.abs(np.abs(seen) - abs(start - center)), np.inf)


def to_chords(points: Points, line: Points) -> Points:
    a, b = line[:-1], line[1:]
    along = b - a
    squared = np.maximum((along**2).sum(axis=1), 1e-18)
    share = ((points[:, None, :] - a) * along).sum(axis=2) / squared
    nearest = a + np.clip(share, 0, 1)[:, :, None] * along
    apart: Points = np.sqrt(((points[:, None, :] - nearest) ** 2).sum(axis=2)).min(axis=1)
    return apart
