"""Cut plates hold their contour and nothing else, and all of it.

Contours come from the DXF of the same page, read by group codes alone
(`tests/helpers/dxf_reader.py`); the plates are Ghostscript's.
"""

from __future__ import annotations

import io
import itertools
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pikepdf
import pytest

from layouts.drawing import Rect, Size
from layouts.drawing.document import Document, Page
from render.job import JobFolder
from render.write import dxf, pdf
from tests.helpers import dxf_reader
from tests.helpers.contours import ReadContour
from tests.helpers.matrix import BUILDS, Case, alone, drawn
from tests.helpers.shapes import Points, to_edges
from tests.helpers.windows import Eye, View, look

pytestmark = pytest.mark.tools

CUTS = ("PartialCutting", "Cutting", "Drilling")  # ISO 19593-1 types
FAR = 0.1  # mm, furthest that ink on a cut plate may lie from its contour
# At 600 dpi a pixel reaches 0.03 mm from its middle, and half the line is 0.044 mm.
EYE = Eye(600, 1)
_SQUARE = 5.0


def tiles(size: Size, side: float) -> list[Rect]:
    """The page in squares."""
    return [
        Rect(x, y, min(side, size.width - x), min(side, size.height - y))
        for x in np.arange(0.0, size.width, side)
        for y in np.arange(0.0, size.height, side)
    ]


def inked(views: list[View], plate: str) -> Points:
    """The middles of all inked pixels of a plate, mm."""
    found: list[Points] = [np.zeros((0, 2))]
    for view in views:
        rows, columns = (each.astype(np.float64) for each in np.nonzero(view.plate(plate)))
        found.append(np.column_stack([view.x(columns + 0.5), view.y(rows + 0.5)]))
    return np.vstack(found)


def all_inked(views: list[View]) -> dict[str, Points]:
    return {name: inked(views, name) for name in CUTS}


def furthest(points: Points, contours: list[ReadContour]) -> float:
    """The largest distance of a point to the contour nearest to it, beyond 1 mm infinite.

    Points are taken square by square of the page, each against the edges that come near it.
    """
    if not len(points):
        return 0.0
    starts = np.vstack([contour.points for contour in contours])
    ends = np.vstack([contour.ring[1:] for contour in contours])
    low, high = np.minimum(starts, ends) - 1, np.maximum(starts, ends) + 1
    squares = np.floor(points / _SQUARE).astype(int)
    order = np.lexsort(squares.T)
    steps = np.flatnonzero(np.diff(squares[order], axis=0).any(axis=1)) + 1
    largest = 0.0
    for block in np.split(points[order], steps):
        near = ((low <= block.max(axis=0)) & (high >= block.min(axis=0))).all(axis=1)
        if not near.any():
            return float("inf")
        largest = max(largest, float(to_edges(block, starts[near], ends[near]).max()))
    return largest


def bare(points: Points, contours: list[ReadContour]) -> float:
    """The largest distance of a place on a contour to the nearest inked pixel."""
    spots = {tuple(each) for each in np.floor(points / FAR).astype(int)}
    largest = 0.0
    for contour in contours:
        for place in _walked(contour.ring):
            x, y = np.floor(place / FAR).astype(int)
            around = {(x + dx, y + dy) for dx in (-1, 0, 1) for dy in (-1, 0, 1)}
            if not around & spots:
                largest = max(largest, float(np.hypot(*(points - place).T).min()))
    return largest


def _walked(ring: Points) -> Iterator[Points]:
    """Places along a ring, at least every millimeter."""
    for start, end in itertools.pairwise(ring):
        steps = int(np.ceil(np.hypot(*(end - start))))
        for share in np.arange(steps) / max(1, steps):
            yield start + share * (end - start)


def check(contours: dict[str, list[ReadContour]], plates: dict[str, Points]) -> int:
    """Every cut plate against its contours; the number of plates that hold any."""
    held = 0
    for name in CUTS:
        points, wanted = plates[name], contours.get(name, [])
        assert all(contour.closed for contour in wanted)
        assert len(points) or not wanted, name
        assert furthest(points, wanted) < FAR, name
        assert bare(points, wanted) < FAR, name
        held += bool(wanted)
    return held


def contours_of(document: Document) -> dict[str, list[ReadContour]]:
    page: Page = document.pages[0]
    return dxf_reader.layers(dxf.write(page, document.symbols), page.size.height)


@pytest.mark.parametrize("build", BUILDS)
def test_plates_of_a_marker_hold_their_contours_alone(build: str, tmp_path: Path) -> None:
    document, _ = drawn(Case("ammonia-2014", 0, "right", build))
    data = pdf.write(document)
    views = look(data, tiles(document.pages[0].size, 200.0), tmp_path, eye=EYE, only=CUTS)
    assert check(contours_of(document), all_inked(views)) == (3 if "plate" in build else 2)


def test_plates_of_a_tag_hold_their_contours_alone(tmp_path: Path) -> None:
    document, _ = alone({"kind": "valve", "tag": "HV-118", "emergency": True})
    data = pdf.write(document)
    views = look(data, tiles(document.pages[0].size, 200.0), tmp_path, eye=EYE, only=CUTS)
    assert check(contours_of(document), all_inked(views)) == 2


def test_a_speck_on_a_cut_plate_and_a_gap_in_it_are_seen(tmp_path: Path) -> None:
    """A short line in the cut's own ink, 0.3 mm off its contour; and a plate without its cut."""
    document, _ = alone({"kind": "valve", "tag": "HV-118"})
    contours = contours_of(document)
    box = contours["Cutting"][0].points
    x, y = box[:, 0].mean(), box[:, 1].max() + 0.3
    data = pdf.write(document)
    specked = with_line(data, x, document.pages[0].size.height - y)
    views = look(specked, tiles(document.pages[0].size, 200.0), tmp_path, eye=EYE, only=CUTS)
    points = inked(views, "Cutting")
    assert 0.25 < furthest(points, contours["Cutting"]) < 0.45
    assert bare(points, contours["Cutting"]) < FAR
    half = points[points[:, 0] < x]
    assert bare(half, contours["Cutting"]) > 1.0


def with_line(data: bytes, x: float, y: float) -> bytes:
    """The file with one more line of 0.2 mm in the through cut's ink, at a place y up in mm."""
    with pikepdf.open(io.BytesIO(data)) as file:
        page = file.pages[0]
        spaces = page.obj.Resources.ColorSpace
        name = next(key for key, space in spaces.items() if space[1] == "/Cutting")
        unit = 72 / 25.4
        line = (
            f"Q q {name} CS 1 SCN 0.2 w {x * unit:.3f} {y * unit:.3f} m "
            f"{(x + 0.2) * unit:.3f} {y * unit:.3f} l S Q"
        )
        page.contents_add(file.make_stream(b"q"), prepend=True)
        page.contents_add(file.make_stream(line.encode()))
        out = io.BytesIO()
        file.save(out)
        return out.getvalue()


@pytest.mark.full
@pytest.mark.parametrize("key", ["film-1", "tag-1"])
def test_plates_of_a_sheet_hold_their_contours_alone(
    job: JobFolder, key: str, tmp_path: Path
) -> None:
    """Print file against cut file, tile by tile, the blank parts of the sheet too."""
    group = next(group for group in job.groups if group.key == key)
    sheet = group.sheets[0]
    cut = job.files[f"cut/{key}-{sheet.cut}.dxf"]
    contours = dxf_reader.layers(cut, sheet.length)
    points: dict[str, list[Points]] = {name: [] for name in CUTS}
    for tile in tiles(Size(sheet.width, sheet.length), 300.0):
        data = job.files[f"print/{key}.pdf"]
        views = look(data, [tile], tmp_path, sheet.number - 1, EYE, CUTS)
        for name in CUTS:
            points[name].append(inked(views, name))
    assert check(contours, {name: np.vstack(found) for name, found in points.items()}) == 2
