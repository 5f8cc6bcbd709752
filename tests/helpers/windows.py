"""Small windows of a page as Ghostscript's separation device draws them.

A marker of two metres at 2400 dpi would be gigabytes; the few places that a ruler is laid on are
not. Each window is a copy of the page whose media box is the window, set on whole pixels.
"""

from __future__ import annotations

import io
import math
import re
import subprocess
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import overload

import numpy as np
import pikepdf
from numpy.typing import NDArray
from PIL import Image

from layouts.drawing import Rect
from tests.helpers.pdf_system import tool

Ink = NDArray[np.float64] | NDArray[np.bool_]


@dataclass(frozen=True)
class Eye:
    """How fine a page is drawn. Drawn at 2400 dpi and averaged to 600: Ghostscript paints every
    pixel that a shape touches, so at 600 dpi alone a shape would measure 0.06 mm too wide.

    With a factor of 1 a plate is drawn in whole pixels of one bit: five times quicker, and good
    enough to see whether anything is there.
    """

    dpi: int = 2400
    factor: int = 4

    @property
    def per_mm(self) -> float:
        return self.dpi / self.factor / 25.4


FINE = Eye()


@dataclass(frozen=True)
class View:
    """What a window shows: ink by plate, 0 to 1, and where its first pixel lies in mm."""

    left: float
    top: float
    per_mm: float
    shape: tuple[int, int]
    plates: dict[str, Ink]

    def plate(self, name: str) -> Ink:
        """The named plate, blank where it holds nothing."""
        return self.plates.get(name, np.zeros(self.shape))

    @overload
    def x(self, column: float) -> float: ...
    @overload
    def x(self, column: NDArray[np.float64]) -> NDArray[np.float64]: ...
    def x(self, column: float | NDArray[np.float64]) -> float | NDArray[np.float64]:
        return self.left + column / self.per_mm

    @overload
    def y(self, row: float) -> float: ...
    @overload
    def y(self, row: NDArray[np.float64]) -> NDArray[np.float64]: ...
    def y(self, row: float | NDArray[np.float64]) -> float | NDArray[np.float64]:
        return self.top + row / self.per_mm


def look(
    data: bytes,
    windows: Sequence[Rect],
    folder: Path,
    page: int = 0,
    eye: Eye = FINE,
    only: Sequence[str] = (),
) -> list[View]:
    """The windows (mm, y down) of a page, each on all its plates or on those named alone."""
    folder.mkdir(parents=True, exist_ok=True)
    source = folder / "windows.pdf"
    boxes, height = _cropped(data, windows, page, eye, source)
    device = "tiffsep" if eye.factor > 1 else "tiffsep1"
    command = [tool("gs"), "-q", "-dNOPAUSE", "-dBATCH", "-dSAFER", f"-sDEVICE={device}"]
    command += [f"-r{eye.dpi}", f"-dDownScaleFactor={eye.factor}"]
    command += [f"-sOutputFile={folder}/w%d.tif", str(source)]
    subprocess.run(command, check=True, capture_output=True)
    views = [
        View(
            x0 / eye.per_mm,
            height - y1 / eye.per_mm,
            eye.per_mm,
            (y1 - y0, x1 - x0),
            _plates(folder, number, only),
        )
        for number, (x0, y0, x1, y1) in enumerate(boxes, 1)
    ]
    for path in folder.glob("w*.tif"):
        path.unlink()
    for view in views:
        assert all(plate.shape == view.shape for plate in view.plates.values())
    return views


def _cropped(
    data: bytes, windows: Sequence[Rect], page: int, eye: Eye, target: Path
) -> tuple[list[tuple[int, int, int, int]], float]:
    """Write the windows as pages; their boxes in pixels, y up, and the page's height in mm."""
    unit = 72 * eye.factor / eye.dpi
    boxes: list[tuple[int, int, int, int]] = []
    with pikepdf.open(io.BytesIO(data)) as pdf:
        whole = pdf.pages[page].obj
        assert "/UserUnit" not in whole
        left, bottom, _, top = (float(each) for each in whole.MediaBox)
        assert (left, bottom) == (0, 0)
        height = top * 25.4 / 72
        for window in windows:
            box = (
                math.floor(window.x * eye.per_mm),
                math.floor((height - window.bottom) * eye.per_mm),
                math.ceil(window.right * eye.per_mm),
                math.ceil((height - window.y) * eye.per_mm),
            )
            boxes.append(box)
            kept = {
                key: value
                for key, value in whole.items()
                if key not in ("/TrimBox", "/BleedBox", "/CropBox", "/ArtBox")
            }
            copy = pikepdf.Dictionary(kept)
            copy.MediaBox = pikepdf.Array([round(each * unit, 6) for each in box])
            pdf.pages.append(pikepdf.Page(pdf.make_indirect(copy)))
        del pdf.pages[: len(pdf.pages) - len(windows)]
        pdf.save(target)
    return boxes, height


def _plates(folder: Path, number: int, only: Sequence[str]) -> dict[str, Ink]:
    found: dict[str, Ink] = {}
    for path in folder.glob(f"w{number}(*).tif"):
        match = re.fullmatch(rf"w{number}\((.*)\)\.tif", path.name)
        assert match
        if only and match[1] not in only:
            continue
        with Image.open(path) as image:
            drawn = np.asarray(image)
        ink = ~drawn if drawn.dtype == np.bool_ else 1 - drawn / 255
        if ink.any():
            found[match[1]] = ink
    return found


def runs(line: Ink) -> list[tuple[float, float]]:
    """Inked stretches of a line of pixels, to parts of a pixel by the ink of the end pixels."""
    inked = np.flatnonzero(line > 0)
    if not len(inked):
        return []
    parts = np.split(inked, np.flatnonzero(np.diff(inked) > 1) + 1)
    return [
        (float(part[0] + 1 - line[part[0]]), float(part[-1] + line[part[-1]]))
        if len(part) > 1
        else (float(part[0]), float(part[0] + line[part[0]]))
        for part in parts
    ]


def hairline(ink: Ink, axis: int) -> float:
    """The middle of one straight hairline across the window, in pixels along the axis."""
    weights = ink.sum(axis=1 - axis)
    assert weights.sum() > 0, "no line where one was expected"
    return float((weights * (np.arange(len(weights)) + 0.5)).sum() / weights.sum())
