"""Every legend of a job read back by tesseract from two renderers that know nothing of us.

The first is Ghostscript: the black plate of the sheets as they go to print, or the field's plate
where letters are left blank. The second is cairo: the SVG of each face, in colors.
"""

from __future__ import annotations

import io
import os
import subprocess
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path as FilePath

import cairosvg
import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from layouts.drawing import Affine, Rect, Size
from layouts.drawing.document import Fill, Layer, Page, Placement, Symbol
from layouts.drawing.inks import Ink
from layouts.face import Face, Part
from layouts.markers.gather import Marker
from layouts.pages.sheet import placed_map
from layouts.plan.design import Element
from layouts.sheets.sheetplan import Placed, Sheet, SheetPlan
from render.job import JobFolder
from render.write import svg
from tests.helpers.matrix import alone
from tests.helpers.pdf_system import tool
from tests.helpers.ruler import letter_plate
from tests.helpers.windows import Eye, look

pytestmark = pytest.mark.tools

Gray = NDArray[np.float64]
TALL = 48  # pixels of a capital, as large as tesseract likes them
_AROUND = 0.3  # of the letter height, left blank around a word


@dataclass(frozen=True)
class Word:
    """A word of a face, the box of its letters there, and the ink beneath them."""

    text: str
    element: Element
    box: Rect
    ground: Ink


def words_of(face: Face, part: Part) -> Iterator[Word]:
    """Every word of a flat face, line by line; they are painted last, in reading order."""
    elements = [element for line in face.design.lines for element in line]
    if face.design.end_band is not None:
        elements.append(face.design.end_band)
    fills = [shape for shape in part.art if isinstance(shape, Fill)][-len(elements) :]
    for element, fill in zip(elements, fills, strict=True):
        if element.word:
            box = fill.path.bounds()
            yield Word(element.word, element, box, element.field or face.design.field)


def read(pictures: Sequence[Gray], folder: FilePath) -> list[str]:
    """The text of each picture (black 0, white 1), one line each, in one run of tesseract."""
    folder.mkdir(parents=True, exist_ok=True)
    paths = [folder / f"{index:03d}.png" for index in range(len(pictures))]
    for path, picture in zip(paths, pictures, strict=True):
        Image.fromarray(np.uint8(np.round(255 * picture))).save(path, dpi=(300, 300))
    listed = folder / "list.txt"
    listed.write_text("\n".join(map(str, paths)))
    done = subprocess.run(
        [tool("tesseract"), str(listed), "-", "--psm", "7"],
        check=True,
        capture_output=True,
        text=True,
        env={**os.environ, "OMP_THREAD_LIMIT": "1"},
    )
    return [text.strip() for text in done.stdout.split("\f")[: len(pictures)]]


def framed(picture: Gray) -> Gray:
    """The picture on white paper."""
    return np.pad(picture, TALL // 3, constant_values=1.0)


def first_placed(group: SheetPlan) -> Iterator[tuple[Sheet, Placed]]:
    """Each face of a group where it is printed first."""
    seen: set[str] = set()
    for sheet in group.sheets:
        for placed in sheet.placed:
            if placed.name not in seen:
                seen.add(placed.name)
                yield sheet, placed


def from_plates(
    job: JobFolder, group: SheetPlan, sheet: Sheet, placed: Placed, folder: FilePath
) -> list[tuple[str, Gray]]:
    """The words of one face with their pictures from the plates of the print file."""
    part = group.parts[placed.name]
    marker = next(marker for marker in job.markers if marker.id == placed.name)
    words = list(words_of(marker.face, part))
    at = placed_map(part, placed)
    found: list[tuple[str, Gray]] = []
    data = job.files[f"print/{group.key}.pdf"]
    for letter in sorted({word.element.letter_height for word in words}):
        alike = [word for word in words if word.element.letter_height == letter]
        eye = Eye(4 * round(TALL * 25.4 / letter), 4)
        boxes = [at.rect(word.box.grown(_AROUND * letter)) for word in alike]
        views = look(data, boxes, folder, sheet.number - 1, eye)
        for word, view in zip(alike, views, strict=True):
            ink = letter_plate(view, word.element.ink, word.ground)
            found.append((word.text, framed(1 - np.rot90(ink) if placed.turned else 1 - ink)))
    return found


def from_cairo(marker: Marker, part: Part) -> list[tuple[str, Gray]]:
    """The words of one face with their pictures, gray, from a color drawing by cairo."""
    size = part.size
    area = Rect(0, 0, size.width, size.height)
    symbol = Symbol("face", part.art, area)
    placed = Layer("Print", (Placement("face", Affine()),))
    page = Page("face", "face", Size(size.width, size.height), area, area, (placed,))
    drawing = svg.write_page(page, {"face": symbol})
    found: list[tuple[str, Gray]] = []
    for word in words_of(marker.face, part):
        per_mm = TALL / word.element.letter_height
        wide = round(size.width * per_mm)
        data = cairosvg.svg2png(drawing, output_width=wide, background_color="white")
        image = Image.open(io.BytesIO(data)).convert("L")
        box = word.box.grown(_AROUND * word.element.letter_height)
        per_px = wide / size.width
        corners = (box.x, box.y, box.right, box.bottom)
        left, top, right, bottom = (round(each * per_px) for each in corners)
        cut = image.crop((left, top, right, bottom))
        gray = np.asarray(cut, dtype=np.float64)
        found.append((word.text, framed(_black_on_white(gray, word))))
    return found


def _black_on_white(gray: Gray, word: Word) -> Gray:
    """The same picture with letters black and field white."""
    low, high = gray.min(), gray.max()
    spread: Gray = (gray - low) / (high - low)
    return 1 - spread if word.element.ink.lab.lightness > word.ground.lab.lightness else spread


def check(pictures: list[tuple[str, Gray]], folder: FilePath) -> None:
    texts = read([picture for _, picture in pictures], folder)
    wanted = [" ".join(text.split()) for text, _ in pictures]
    assert texts == wanted


@pytest.mark.full
def test_every_legend_of_a_job_is_read_from_its_plates(job: JobFolder, tmp_path: FilePath) -> None:
    pictures: list[tuple[str, Gray]] = []
    for group in job.groups:
        for sheet, placed in first_placed(group):
            if group.parts[placed.name].art:
                pictures += from_plates(job, group, sheet, placed, tmp_path / "plates")
    printed = " ".join(sorted(text for text, _ in pictures))
    assert printed == " ".join(
        sorted(
            element.word
            for marker in job.markers
            for element in _elements(marker.face)
            if element.word
        )
    )
    check(pictures, tmp_path)


def _elements(face: Face) -> list[Element]:
    band = [face.design.end_band] if face.design.end_band is not None else []
    return [*(element for line in face.design.lines for element in line), *band]


def test_every_legend_of_a_job_is_read_from_cairo(job: JobFolder, tmp_path: FilePath) -> None:
    pictures = [
        each
        for marker in job.markers
        for part in marker.face.parts
        if part.art
        for each in from_cairo(marker, part)
    ]
    assert len(pictures) > 30
    check(pictures, tmp_path)


@pytest.mark.parametrize(
    "contents", ["CHILLED WATER", "COMPRESSED AIR", "FIRE WATER", "FUEL OIL", "NATURAL GAS"]
)
def test_colors_of_the_general_scheme_are_read_too(contents: str, tmp_path: FilePath) -> None:
    """White and black letters on the fields of ASME A13.1 (second-hand summaries)."""
    spec = {"kind": "pipe", "contents": contents, "flow": "right", "od": "4.5 in"}
    _, marker = alone(spec, "asme-a13-1")
    (part,) = marker.face.parts
    check(from_cairo(marker, part), tmp_path)


def test_a_wrong_letter_is_seen(job: JobFolder, tmp_path: FilePath) -> None:
    """The reader gives back what is drawn, not what was ordered."""
    spec = {"kind": "pipe", "service": "HPL", "state": "liquid", "level": "high", "flow": "right"}
    _, marker = alone({**spec, "od": "4.5 in", "legend": "AMMQNIA"})
    (part,) = marker.face.parts
    pictures = [("AMMONIA", each) for text, each in from_cairo(marker, part) if "AMM" in text]
    assert len(pictures) == 1
    with pytest.raises(AssertionError):
        check(pictures, tmp_path)
