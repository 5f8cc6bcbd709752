"""Plates of a PDF as Ghostscript's separation device draws them."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from tests.helpers.pdf_system import tool

# Drawn at 2400 dpi and averaged to 600: Ghostscript paints every pixel that a shape touches, so
# at 600 dpi alone a shape would measure half a pixel too large.
DPI, FACTOR = 2400, 4
PX_PER_MM = DPI / FACTOR / 25.4

Plate = NDArray[np.float64]


def plates(data: bytes, folder: Path) -> dict[str, Plate]:
    """Ink of the first page by plate, 0 to 1, for every plate that is not empty."""
    source = folder / "plates.pdf"
    source.write_bytes(data)
    command = [tool("gs"), "-q", "-dNOPAUSE", "-dBATCH", "-dSAFER", "-sDEVICE=tiffsep"]
    command += [f"-r{DPI}", f"-dDownScaleFactor={FACTOR}", "-dLastPage=1"]
    subprocess.run([*command, f"-sOutputFile={folder}/p.tif", str(source)], check=True)
    found: dict[str, Plate] = {}
    for path in folder.glob("p(*).tif"):
        match = re.fullmatch(r"p\((.*)\)\.tif", path.name)
        assert match
        with Image.open(path) as image:
            ink = 1 - np.asarray(image, dtype=np.float64) / 255
        if ink.any():
            found[match[1]] = ink
    return found


def window(plate: Plate, x: float, y: float, width: float, height: float) -> Plate:
    """The part of a plate in a box in mm."""
    x0, y0, x1, y1 = (round(each * PX_PER_MM) for each in (x, y, x + width, y + height))
    return plate[y0:y1, x0:x1]


def extent(plate: Plate) -> tuple[float, float, float, float]:
    """Left, top, width and height in mm of a box, from the ink along its middle lines."""
    rows, columns = np.nonzero(plate > 0.5)
    row = plate[(rows.min() + rows.max()) // 2]
    column = plate[:, (columns.min() + columns.max()) // 2]

    def span(line: NDArray[np.float64]) -> tuple[float, float]:
        inked = np.nonzero(line > 0)[0]
        first = inked[0] + 1 - line[inked[0]]
        return first / PX_PER_MM, float(line.sum()) / PX_PER_MM

    (left, width), (top, height) = span(row), span(column)
    return left, top, width, height
