"""Plates and their coverage, by Ghostscript's separation device where it is installed."""

from __future__ import annotations

import re
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

from render.preflight.opened import Section, section
from render.preflight.report import Point, fail, note

CODES = {"plates-rendered": "the plates could be rendered"}
_MOST_PX, _FINEST_DPI, _FACTOR = 6000, 300, 4  # drawn fine and averaged: edges count in part
_PLATE = re.compile(r"(\d+)\((.+)\)\.tif$")
_SECONDS = 600


def check(data: bytes, longest_mm: float) -> Section:
    """The plates of each page, and the share of the page that each covers.

    ``longest_mm`` is the longest side of any page: long pages are drawn more coarsely.
    """
    program = shutil.which("gs")
    if program is None:
        missing = note("plates-rendered", "Ghostscript is not installed; no plate was looked at")
        return section(CODES, [missing])
    with tempfile.TemporaryDirectory() as folder:
        source = Path(folder, "file.pdf")
        source.write_bytes(data)
        command = [program, "-q", "-dNOPAUSE", "-dBATCH", "-dSAFER", "-sDEVICE=tiffsep"]
        dpi = max(_FACTOR, min(_FINEST_DPI, round(_MOST_PX / max(1.0, longest_mm) * 25.4)))
        command += [f"-r{dpi}", f"-dDownScaleFactor={_FACTOR}", "-sCompression=none"]
        command += [f"-sOutputFile={folder}/%d.tif", str(source)]
        try:
            done = subprocess.run(command, capture_output=True, timeout=_SECONDS, check=False)
        except subprocess.TimeoutExpired:
            return section(CODES, [_failed(f"Ghostscript took over {_SECONDS} s")])
        if done.returncode:
            return section(CODES, [_failed("Ghostscript stopped with an error")])
        return section(CODES, _plate_points(Path(folder)))


def _failed(what: str) -> Point:
    return fail("plates-rendered", what, right="write the file again")


def _plate_points(folder: Path) -> Iterator[Point]:
    """One note a page: its plates and the share of the page that each covers."""
    pages: dict[int, list[str]] = {}
    for path in sorted(folder.iterdir()):
        match = _PLATE.match(path.name)
        share = coverage(path.read_bytes()) if match else 0.0
        if match and share > 0:
            pages.setdefault(int(match[1]), []).append(f"{match[2]} {100 * share:.2f} %")
    for page, plates in sorted(pages.items()):
        yield note("plate-coverage", f"covered by {', '.join(plates)}", f"page {page}")


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
