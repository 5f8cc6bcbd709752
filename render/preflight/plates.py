"""Plates and their coverage, by Ghostscript's separation device where it is installed.

Pages are drawn in bands, each at the same two resolutions. Ghostscript inks every pixel that a
shape touches, so a shape grows by about one pixel; what it grows by halves where pixels do. Twice
the finer share less the coarser one is free of that.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from io import BytesIO
from itertools import pairwise
from pathlib import Path

from pikepdf import Array, Pdf

from render.preflight.boxes import Box, box_of
from render.preflight.limits import library_limits
from render.preflight.opened import MM_PER_PT, Section, section
from render.preflight.report import Point, fail, note

CODES = {"plates-rendered": "the plates could be rendered"}
_PROGRAMS = ("gs", "gswin64c", "gswin32c")  # Windows has no program of the name gs
_COARSE_DPI, _FINE_DPI = 300, 600
_AVERAGED_DPI = 75  # pixels are averaged down to this before they are written
_BAND_PT = 500 / MM_PER_PT
_PLATE = re.compile(r"1\((.+)\)\.tif$")
_SECONDS = 300  # for one band


class _FailedError(Exception):
    """Ghostscript did not draw a band."""


def check(data: bytes) -> Section:
    """The plates of each page, and the share of the page that each covers."""
    program = next(filter(None, map(shutil.which, _PROGRAMS)), None)
    if program is None:
        missing = note("plates-rendered", "Ghostscript is not installed; no plate was looked at")
        return section(CODES, [missing])
    try:
        return section(CODES, list(_plate_points(program, data)))
    except _FailedError as error:
        return section(CODES, [fail("plates-rendered", str(error), right="export the file again")])


def _plate_points(program: str, data: bytes) -> Iterator[Point]:
    """One note a page: its plates and the share of the page that each covers."""
    with library_limits(), Pdf.open(BytesIO(data)) as pdf:
        boxes = [box_of(page.obj, "/MediaBox") for page in pdf.pages]
    for index, box in enumerate(boxes):
        if box is None:
            continue
        shares: dict[str, float] = {}
        for band in _bands(box):
            weight = (band[3] - band[1]) / (box[3] - box[1])
            for ink, share in _band_shares(program, _crop_page(data, index, band)).items():
                shares[ink] = shares.get(ink, 0.0) + weight * share
        plates = [f"{ink} {100 * share:.2f} %" for ink, share in shares.items() if share > 0]
        if plates:
            yield note("plate-coverage", f"covered by {', '.join(plates)}", f"page {index + 1}")


def _bands(page: Box) -> Iterator[Box]:
    left, bottom, right, top = page
    count = max(1, round((top - bottom) / _BAND_PT))
    edges = [bottom + (top - bottom) * step / count for step in range(count + 1)]
    for low, high in pairwise(edges):
        yield (left, low, right, high)


def _crop_page(data: bytes, index: int, band: Box) -> bytes:
    """A file of the one page, upright and unscaled, cut to a band."""
    target = BytesIO()
    with library_limits(), Pdf.open(BytesIO(data)) as pdf:
        page = pdf.pages[index]
        resources = page.resources
        for key in ("/CropBox", "/BleedBox", "/TrimBox", "/ArtBox", "/UserUnit", "/Annots"):
            if key in page.obj:
                del page.obj[key]
        page.obj["/Resources"] = resources
        page.obj["/Rotate"] = 0
        page.obj["/MediaBox"] = page.obj["/CropBox"] = Array(band)
        while len(pdf.pages) > index + 1:
            del pdf.pages[index + 1]
        while len(pdf.pages) > 1:
            del pdf.pages[0]
        pdf.save(target)
    return target.getvalue()


def _band_shares(program: str, data: bytes) -> dict[str, float]:
    coarse, fine = (_draw_plates(program, data, dpi) for dpi in (_COARSE_DPI, _FINE_DPI))
    return {ink: max(0.0, 2 * fine[ink] - coarse.get(ink, 0.0)) for ink in fine}


def _draw_plates(program: str, data: bytes, dpi: int) -> dict[str, float]:
    """The share of the one page that each plate covers, as Ghostscript draws it."""
    with tempfile.TemporaryDirectory() as folder:
        source = Path(folder, "file.pdf")
        source.write_bytes(data)
        command = [program, "-q", "-dNOPAUSE", "-dBATCH", "-dSAFER", "-sDEVICE=tiffsep"]
        command += [f"-r{dpi}", f"-dDownScaleFactor={dpi // _AVERAGED_DPI}", "-sCompression=none"]
        command += [f"-sOutputFile={folder}/%d.tif", str(source)]
        try:
            done = subprocess.run(command, capture_output=True, timeout=_SECONDS, check=False)
        except subprocess.TimeoutExpired:
            raise _FailedError(f"Ghostscript took over {_SECONDS} s for a band") from None
        if done.returncode:
            raise _FailedError("Ghostscript stopped with an error")
        found = ((_PLATE.match(path.name), path) for path in sorted(Path(folder).iterdir()))
        return {match[1]: coverage(path.read_bytes()) for match, path in found if match}


def coverage(tiff: bytes) -> float:
    """The mean ink of an uncompressed 8-bit gray TIFF, 0 (bare) to 1 (solid)."""
    order = "little" if tiff[:2] == b"II" else "big"

    def number(at: int, size: int) -> int:
        return int.from_bytes(tiff[at : at + size], order)  # type: ignore[arg-type]

    directory = number(4, 4)
    tags: dict[int, tuple[int, int, int]] = {}
    for entry in range(number(directory, 2)):
        at = directory + 2 + 12 * entry
        tags[number(at, 2)] = (number(at + 2, 2), number(at + 4, 4), at + 8)

    def values(tag: int) -> list[int]:
        kind, count, at = tags[tag]
        size = {3: 2, 4: 4}[kind]
        start = at if count * size <= 4 else number(at, 4)
        return [number(start + size * index, size) for index in range(count)]

    light = pixels = 0
    for offset, length in zip(values(273), values(279), strict=True):
        strip = tiff[offset : offset + length]
        light += sum(strip)
        pixels += length
    return 1 - light / (255 * pixels) if pixels else 0.0
