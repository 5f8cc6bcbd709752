"""A ruler laid on the plates of a marker: sizes of parts, bands, letters and openings, in mm.

The document says only where to look; every figure is read from what Ghostscript drew.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path as FilePath

import numpy as np

from layouts.drawing import Path, Rect
from layouts.drawing.document import Document, Fill, Step, Stroke
from layouts.drawing.inks import Ink, InkRole
from layouts.face import Part
from layouts.markers.gather import Marker
from layouts.plan.design import Element
from layouts.terms.words import PartRole
from tests.helpers.raw_outlines import raw
from tests.helpers.windows import View, hairline, look, runs

FLAT = "HMNIL"  # capitals with a stem from the baseline to the cap line; O overshoots both
_AROUND = 3.0  # how far to either side of its place a line is looked for
_ROUND = 1.0  # what is seen around an opening
_THIN = 0.6  # of a window along a line


@dataclass(frozen=True)
class Seen:
    """What the ruler found. Boxes are cut contours: outline by role, then openings by row."""

    outlines: dict[PartRole, Rect]
    openings: list[Rect]
    bands: list[float]
    letters: list[tuple[str, float, float]]  # the character, its designed height and the measured


class _List:
    """Windows asked for and what comes of them, so that one run of Ghostscript serves all."""

    def __init__(self) -> None:
        self.windows: list[Rect] = []

    def add(self, box: Rect) -> int:
        self.windows.append(box)
        return len(self.windows) - 1


def measure(document: Document, marker: Marker, data: bytes, folder: FilePath) -> Seen:
    """Everything on the page of one marker."""
    asked = _List()
    plates = {PartRole.FILM: "PartialCutting", PartRole.PLATE: "Cutting", PartRole.TAG: "Cutting"}
    boxes = {part.role: part_box(document, part) for part in marker.face.parts}
    edges = {role: _edges(box, asked) for role, box in boxes.items()}
    holes = [asked.add(box.grown(_ROUND)) for box in opening_boxes(document)]
    printed = next(part for part in marker.face.parts if part.art)
    corner = boxes[printed.role]
    bands = [(fill, asked.add(_band_window(fill, corner))) for fill in band_fills(printed)]
    letters = [
        (char, element, asked.add(window.moved(corner.x, corner.y)))
        for char, element, window in letter_windows(marker, printed)
    ]
    views = look(data, asked.windows, folder)
    outlines = {role: _box(views, numbers, plates[role]) for role, numbers in edges.items()}
    trim = outlines[printed.role]
    return Seen(
        outlines,
        [opening(views[number]) for number in holes],
        [_band_width(views[number], fill, trim) for fill, number in bands],
        [
            (char, element.letter_height, _letter_height(views[number], element, marker))
            for char, element, number in letters
        ],
    )


def part_box(document: Document, part: Part) -> Rect:
    """Where on the page the part's outline is said to be."""
    step = Step.KISS_CUT if part.role is PartRole.FILM else Step.THROUGH_CUT
    close = [
        box
        for box in _step_boxes(document, step)
        if abs(box.width - part.size.width) + abs(box.height - part.size.height) < 0.01
    ]
    (box,) = close
    return box


def opening_boxes(document: Document) -> list[Rect]:
    """Where the openings are said to be, from the left and from the top."""
    boxes = _step_boxes(document, Step.HOLE)
    return sorted(boxes, key=lambda box: (round(box.x), box.y))


def _step_boxes(document: Document, step: Step) -> list[Rect]:
    return [
        contour.bounds()
        for layer in document.pages[0].layers
        if layer.step is step
        for item in layer.items
        if isinstance(item, Stroke)
        for contour in item.path.contours
    ]


def _edges(box: Rect, asked: _List) -> tuple[int, int, int, int]:
    """Windows over the middles of the left, top, right and bottom edges."""
    reach = min(_AROUND, 0.3 * min(box.width, box.height))
    x, y = box.center.x - _THIN / 2, box.center.y - _THIN / 2
    return (
        asked.add(Rect(box.x - reach, y, 2 * reach, _THIN)),
        asked.add(Rect(x, box.y - reach, _THIN, 2 * reach)),
        asked.add(Rect(box.right - reach, y, 2 * reach, _THIN)),
        asked.add(Rect(x, box.bottom - reach, _THIN, 2 * reach)),
    )


def _box(views: list[View], numbers: tuple[int, int, int, int], plate: str) -> Rect:
    """The box between the middles of the four lines."""
    left, top, right, bottom = (views[number] for number in numbers)
    x0 = left.x(hairline(left.plate(plate), 1))
    x1 = right.x(hairline(right.plate(plate), 1))
    y0 = top.y(hairline(top.plate(plate), 0))
    y1 = bottom.y(hairline(bottom.plate(plate), 0))
    return Rect(x0, y0, x1 - x0, y1 - y0)


def opening(view: View) -> Rect:
    """The box of the one opening in the window, between the middles of its line."""
    ink = view.plate("Drilling")
    rows, columns = (np.flatnonzero(ink.any(axis=axis)) for axis in (1, 0))
    row = ink[round((rows[0] + rows[-1]) / 2)]
    column = ink[:, round((columns[0] + columns[-1]) / 2)]
    x0, x1 = (view.x(sum(run) / 2) for run in _ends(row))
    y0, y1 = (view.y(sum(run) / 2) for run in _ends(column))
    return Rect(x0, y0, x1 - x0, y1 - y0)


def _ends(line: np.ndarray) -> tuple[tuple[float, float], tuple[float, float]]:
    """The first and the last inked stretch, and no other."""
    first, last = runs(line)
    return first, last


def band_fills(part: Part) -> list[Fill]:
    """The bands of a part: boxes in a color that is not the field's, on the field."""
    fills = [shape for shape in part.art if isinstance(shape, Fill)]
    ground = {fills[0].ink}
    return [
        fill
        for fill in fills[1:]
        if fill.ink is not None and fill.ink.role is InkRole.COLOR and fill.ink not in ground
    ]


def _band_window(fill: Fill, corner: Rect) -> Rect:
    """A strip across the band above its word: half of what stands free there."""
    box = fill.path.bounds().moved(corner.x, corner.y)
    top = max(box.y, corner.y)
    return Rect(box.x - _AROUND, top + 0.05 * box.height, box.width + 2 * _AROUND, _THIN)


def _band_width(view: View, fill: Fill, trim: Rect) -> float:
    """Width of the band once the marker is cut."""
    assert fill.ink is not None
    line = np.median(view.plate(fill.ink.name), axis=0)
    (run,) = runs(line)
    return min(view.x(run[1]), trim.right) - max(view.x(run[0]), trim.x)


def letter_windows(marker: Marker, part: Part) -> Iterator[tuple[str, Element, Rect]]:
    """A window over the left stem of the first flat capital of every word."""
    elements = [element for line in marker.face.design.lines for element in line]
    if marker.face.design.end_band is not None:
        elements.append(marker.face.design.end_band)
    fills = [shape for shape in part.art if isinstance(shape, Fill)][-len(elements) :]
    for element, fill in zip(elements, fills, strict=True):
        flat = [index for index, char in enumerate(element.word) if char in FLAT]
        if not flat:
            continue
        box = glyph_path(fill.path, element, flat[0]).bounds()
        around = min(1.5, 0.08 * element.letter_height)
        wide = min(box.width, 0.3 * element.letter_height)
        window = Rect(box.x, box.y - around, wide, box.height + 2 * around)
        yield element.word[flat[0]], element, window


def glyph_path(path: Path, element: Element, index: int) -> Path:
    """The contours of one character of a word, counted by the font file itself."""
    font = raw("light" if element.ink.role is InkRole.PAPER else "dark")
    counts = [0 if char == " " else len(font.rings(char)) for char in element.word]
    assert sum(counts) == len(path.contours)
    first = sum(counts[:index])
    return Path(path.contours[first : first + counts[index]])


def letter_plate(view: View, ink: Ink, ground: Ink) -> np.ndarray:
    """Ink of black letters, or what the field leaves blank for light ones."""
    if ink.role is InkRole.BLACK:
        return view.plate("Black")
    return 1 - view.plate("Black" if ground.role is InkRole.BLACK else ground.name)


def _letter_height(view: View, element: Element, marker: Marker) -> float:
    """The longest inked column: the stem, whole from baseline to cap line."""
    ink = letter_plate(view, element.ink, element.field or marker.face.design.field)
    return float(ink.sum(axis=0).max()) / view.per_mm
