"""Bleed on nested sheets: whole around every marker, and never in a neighbor's trim."""

from __future__ import annotations

import itertools
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from layouts.drawing import Affine, Rect
from layouts.drawing.document import Document, Fill, Page, Placement, Step, Stroke
from layouts.pages.sheet import placed_map
from layouts.sheets.sheetplan import Sheet, SheetPlan
from layouts.terms.words import PartRole
from render.job import JobFolder
from tests.helpers.windows import Ink, View, look, runs

BLEED = 2.0  # mm; common practice, no source
EXACT = 0.03
_SLACK = 0.002  # the nester works in whole micrometers


def trims(group: SheetPlan, sheet: Sheet) -> list[Rect]:
    """Where every part of a sheet is cut, in the order of its faces on the page."""
    boxes: list[Rect] = []
    for placed in sheet.placed:
        part = group.parts[placed.name]
        width, height = part.size.width, part.size.height
        if placed.turned:
            width, height = height, width
        boxes.append(Rect(placed.x, placed.y, width, height))
    return boxes


def faces_of(page: Page, document: Document) -> list[Rect]:
    """The box of everything that each placed face paints, its shapes one by one."""
    boxes: list[Rect] = []
    for layer in page.layers:
        for item in layer.items:
            if isinstance(item, Placement) and item.symbol.startswith("face-"):
                shapes = document.symbols[item.symbol].shapes
                boxes.append(_painted(shapes, item.at))
    return boxes


def _painted(shapes: tuple[Fill | Stroke, ...], at: Affine) -> Rect:
    return Rect.around(shape.path.mapped(at).bounds() for shape in shapes)


def strayed(group: SheetPlan, sheet: Sheet, page: Page, document: Document) -> list[str]:
    """What prints where it must not: a face in another's trim, or without its bleed."""
    boxes, painted = trims(group, sheet), faces_of(page, document)
    assert len(boxes) == len(painted)
    faults = [
        f"face {one} prints in the trim of {other}"
        for one, other in itertools.permutations(range(len(boxes)), 2)
        if painted[one].overlaps(boxes[other], _SLACK)
    ]
    return faults + [
        f"face {index} does not reach its bleed"
        for index, (box, art) in enumerate(zip(boxes, painted, strict=True))
        if not art.contains(box.grown(BLEED), _SLACK)
    ]


def printed(job: JobFolder, sheets: list[Document]) -> list[tuple[SheetPlan, Document]]:
    pairs = zip(job.groups, sheets, strict=True)
    return [(group, document) for group, document in pairs if group.role is not PartRole.PLATE]


def test_no_face_prints_in_anothers_trim_and_all_have_their_bleed(
    job: JobFolder, sheets: list[Document]
) -> None:
    seen = 0
    for group, document in printed(job, sheets):
        for sheet, page in zip(group.sheets, document.pages, strict=True):
            assert strayed(group, sheet, page, document) == []
            seen += len(sheet.placed)
    assert seen > 10


def test_the_field_itself_reaches_the_bleed(job: JobFolder) -> None:
    """The first shape of a face is its ground, and covers trim and bleed without a gap."""
    for marker in job.markers:
        for part in marker.face.parts:
            if not part.art:
                continue
            ground = part.art[0].path
            assert len(ground.contours) == 1
            trim = Rect(0, 0, part.size.width, part.size.height)
            assert ground.bounds().contains(trim.grown(BLEED), 1e-9)
            assert part.bleed == BLEED or part.bleed == 0.0


def test_a_face_moved_toward_its_neighbor_is_seen(job: JobFolder, sheets: list[Document]) -> None:
    group, document = next(
        each for each in printed(job, sheets) if len(each[0].sheets[0].placed) > 1
    )
    sheet, page = group.sheets[0], document.pages[0]
    placed = sorted(sheet.placed, key=lambda each: each.y)
    upper = sheet.placed.index(placed[0])
    lower = sheet.placed.index(placed[1])
    near = placed[1].y - placed[0].y - group.parts[placed[0].name].size.height
    moved = _moved(page, upper, near - BLEED + 0.05)
    assert strayed(group, sheet, page, document) == []
    assert f"face {upper} prints in the trim of {lower}" in strayed(group, sheet, moved, document)


def _moved(page: Page, which: int, down: float) -> Page:
    count = -1
    layers = []
    for layer in page.layers:
        items = []
        for item in layer.items:
            if isinstance(item, Placement) and item.symbol.startswith("face-"):
                count += 1
                if count == which:
                    item = replace(item, at=item.at.then(Affine.move(0.0, down)))
            items.append(item)
        layers.append(replace(layer, items=tuple(items)))
    return replace(page, layers=tuple(layers))


@pytest.mark.slow
@pytest.mark.tools
def test_ink_on_the_raster_ends_with_the_bleed(job: JobFolder, tmp_path: Path) -> None:
    """Across each edge of each marker of one sheet, and at its corners."""
    group = next(
        group
        for group in job.groups
        if group.role is PartRole.FILM and 1 < len(group.sheets[0].placed) < 6
    )
    sheet = group.sheets[0]
    windows: list[Rect] = []
    for box in trims(group, sheet):
        x, y = box.x + 0.3 * box.width, box.y + 0.3 * box.height
        windows += [
            Rect(box.x - 4, y, 5, 0.5),
            Rect(box.right - 1, y, 5, 0.5),
            Rect(x, box.y - 4, 0.5, 5),
            Rect(x, box.bottom - 1, 0.5, 5),
            Rect(box.x - BLEED + 0.05, box.y - BLEED + 0.05, 3, 3),
            Rect(box.right + BLEED - 3.05, box.bottom + BLEED - 3.05, 3, 3),
        ]
    views = look(job.files[f"print/{group.key}.pdf"], windows, tmp_path, sheet.number - 1)
    for index, box in enumerate(trims(group, sheet)):
        six = [_colors(view) for view in views[6 * index : 6 * index + 6]]
        left, right, top, bottom = views[6 * index : 6 * index + 4]
        ends = (
            left.x(runs(six[0].mean(axis=0))[-1][0]),
            right.x(runs(six[1].mean(axis=0))[0][1]),
            top.y(runs(six[2].mean(axis=1))[-1][0]),
            bottom.y(runs(six[3].mean(axis=1))[0][1]),
        )
        grown = box.grown(BLEED)
        assert ends == pytest.approx((grown.x, grown.right, grown.y, grown.bottom), abs=EXACT)
        for corner in six[4:]:
            inner = corner[1:-1, 1:-1]
            assert np.all(inner == 1), "a corner of the bleed is blank"


def _colors(view: View) -> Ink:
    """All printing inks together: field and bands meet without a gap."""
    steps = {step.title for step in Step}
    inks = [ink for name, ink in view.plates.items() if name not in steps]
    together: Ink = np.minimum(1.0, np.sum([*inks, np.zeros(view.shape)], axis=0))
    return together


def test_placed_boxes_are_those_of_the_map(job: JobFolder) -> None:
    """The turned boxes used here agree with where the sheet puts the part."""
    for group in job.groups:
        for sheet in group.sheets:
            for placed, box in zip(sheet.placed, trims(group, sheet), strict=True):
                part = group.parts[placed.name]
                drawn = part.outline.mapped(placed_map(part, placed)).bounds()
                assert (drawn.x, drawn.y, drawn.width, drawn.height) == pytest.approx(
                    (box.x, box.y, box.width, box.height), abs=1e-6
                )
