"""Time, size and memory of the PDF writer, with an easier job for svgwrite + cairosvg beside it.

The job: 10,000 placements of 500 distinct faces on 200 sheets, lettering outlined from the
packaged font, kiss cuts drawn flat for every placement. The easier job is the same number of
placements of one face, no cut lines and no spot inks. Run it as

    python -m tests.bench.pdf_bench [--quick]

``--quick`` leaves out the easier job. Each job runs in a process of its own, so that one's
memory is not the other's. Seconds are those of the processor: both jobs run in one thread, and
other work on the machine should not count; of nine runs the quickest counts. Memory is the
growth of the resident peak above that of a process that has imported everything and written
one small page.
"""

from __future__ import annotations

import argparse
import io
import json
import resource
import subprocess
import sys
import time
from collections.abc import Mapping
from functools import cache
from pathlib import Path as FilePath
from typing import TYPE_CHECKING, Any

import pikepdf

from layouts.drawing import (
    Affine,
    Contour,
    Cubic,
    Line,
    Path,
    Point,
    Rect,
    Segment,
    Size,
    rectangle,
)
from layouts.drawing.document import Document, Fill, Layer, Page, Placement, Step, Stroke, Symbol
from layouts.drawing.inks import Ink, InkRole, Lab

if TYPE_CHECKING:
    from fontTools.ttLib import TTFont

ORANGE = Ink("Safety Orange", Lab(61.73, 38.2, 81.82))
BLUE = Ink("Sky Blue", Lab(60, -15, -30))
RED = Ink("Safety Red", Lab(41.34, 59.08, 42.05))
BLACK = Ink("Black", Lab(16, 0, 0), InkRole.BLACK)
KISS = Ink("PartialCutting", Lab(60, 94, -61), InkRole.STEP)

FACES, SHEETS, PLACEMENTS = 500, 200, 10_000
SECONDS, BYTES, PEAK_MB = 0.4, 2_500_000, 64
FASTER, SMALLER = 80, 10


@cache
def glyph(character: str) -> tuple[tuple[Contour, ...], float]:
    """Contours (y down, cap height 1) and advance of a character, curves as cubics."""
    from fontTools.pens.qu2cuPen import Qu2CuPen
    from fontTools.pens.recordingPen import RecordingPen

    font, glyphs, scale = typeface()
    name = font.getBestCmap()[ord(character)]
    pen = RecordingPen()
    glyphs[name].draw(Qu2CuPen(pen, max_err=0.5, all_cubic=True))

    def at(point: tuple[float, float]) -> Point:
        return Point(point[0] / scale, -point[1] / scale)

    contours: list[Contour] = []
    start, segments = Point(0, 0), list[Segment]()
    for operator, points in pen.value:
        if operator == "moveTo":
            start, segments = at(points[0]), []
        elif operator == "lineTo":
            segments.append(Line(at(points[0])))
        elif operator == "curveTo":
            segments.append(Cubic(at(points[0]), at(points[1]), at(points[2])))
        else:
            contours.append(Contour(start, tuple(segments)))
    return tuple(contours), glyphs[name].width / scale


@cache
def typeface() -> tuple[TTFont, Mapping[str, Any], float]:
    import font_roboto
    from fontTools.ttLib import TTFont

    font = TTFont(font_roboto.RobotoMedium)
    return font, font.getGlyphSet(), float(font["OS/2"].sCapHeight)


def legend(text: str, x: float, baseline: float, height: float) -> Path:
    contours: list[Contour] = []
    for character in text:
        drawn, advance = glyph(character)
        at = Affine(height, 0, 0, height, x, baseline)
        contours += [contour.mapped(at) for contour in drawn]
        x += advance * height
    return Path(tuple(contours))


CODES = (
    *(
        "HTRS",
        "LTRS",
        "HSD",
        "BD",
        "CD",
        "HPL",
        "LPR",
        "EQ",
        "DC",
        "RV",
        "HSS",
        "BSS",
        "LSS",
        "HGD",
    ),
    *("SC", "TSS", "CR", "TCRS", "PD", "OD", "OS", "CHS", "CHR", "DR", "HTRL", "LTRL"),
)


def face(number: int) -> Symbol:
    """A marker: state band, service code, level band, arrow."""
    code = CODES[number // 5 % len(CODES)]
    level = ("HIGH", "LOW")[number // 130 % 2]
    state = ("LIQ", "VAP")[number // 260 % 2]
    height = (12.7, 19.05, 31.75, 63.5, 88.9)[number % 5]
    box = Rect(0, 0, 12 * height, 2 * height)
    band = 1.5 * height
    shapes = (
        Fill(rectangle(box.grown(2)), ORANGE),
        Fill(rectangle(Rect(band / 2, -2, band, box.height + 4)), BLUE),
        Fill(rectangle(Rect(box.width - 2 * band, -2, band, box.height + 4)), RED),
        Fill(legend(code, 2.2 * band, 1.5 * height, height), BLACK, overprint=True),
        Fill(legend(state, band / 2 + 1, 1.3 * height, 0.6 * height), BLACK, overprint=True),
        Fill(legend(level, box.width - 1.9 * band, 1.3 * height, 0.5 * height), BLACK, True),
        Fill(
            legend("\N{GREATER-THAN SIGN}", box.width - 0.8 * band, 1.5 * height, height),
            BLACK,
            True,
        ),
    )
    return Symbol(f"face-{number}", shapes, box.grown(2))


def document(distinct: int = FACES, sheets: int = SHEETS, placements: int = PLACEMENTS) -> Document:
    """The job: placements of distinct faces on sheets, each with its kiss cut drawn flat."""
    faces = [face(number) for number in range(distinct)]
    pages = []
    each = placements // sheets
    for sheet in range(sheets):
        art, cuts = [], []
        for slot in range(each):
            symbol = faces[(sheet * each + slot) * 7 % distinct]
            x, y = 20 + 1100.125 * (slot % 3), 20 + 190.375 * (slot // 3)
            art.append(Placement(symbol.id, Affine.move(x, y)))
            cuts.append(Stroke(rectangle(symbol.bounds.grown(-2).moved(x, y), 3.0), KISS, 0.1))
        size = Size(3400, 3400)
        bleed = Rect(10, 10, 3380, 3380)
        layers = (Layer("Print", tuple(art)), Layer("Kiss cut", tuple(cuts), Step.KISS_CUT))
        pages.append(Page(f"s{sheet}", f"Sheet {sheet + 1}", size, bleed, bleed, layers))
    return Document("bench", "Bench", tuple(pages), {each.id: each for each in faces})


def small() -> Document:
    page = Page("s", "s", Size(100, 100), Rect(0, 0, 100, 100), Rect(0, 0, 100, 100), ())
    return Document("warm", "warm", (page,), {})


def ours() -> dict[str, float]:
    from render.write.pdf import write

    job = document()
    write(small())
    before = peak_mb()
    start = time.process_time()
    data = write(job)
    seconds = time.process_time() - start
    grown = peak_mb() - before
    times = [seconds]
    for _ in range(8):
        start = time.process_time()
        again = write(job)
        times.append(time.process_time() - start)
        assert again == data, "two runs must give the same bytes"
    with pikepdf.open(io.BytesIO(data)) as read:
        assert len(read.pages) == SHEETS, "every sheet must be there"
    return {
        "seconds": min(times),
        "first_seconds": seconds,
        "bytes": len(data),
        "peak_mb": grown,
        "whole_mb": before + grown,
    }


def theirs() -> dict[str, float]:
    """The easier job: one face, a symbol used 10,000 times, no spot inks, no cut lines."""
    import cairosvg
    import svgwrite

    symbol = face(0)
    outline = " ".join(svg_path(shape.path) for shape in symbol.shapes)
    before = peak_mb()
    start = time.process_time()
    each = PLACEMENTS // SHEETS
    size = 0
    for _ in range(SHEETS):
        drawing = svgwrite.Drawing(size=("3400mm", "3400mm"), viewBox="0 0 3400 3400", debug=False)
        defined = drawing.symbol(id="f")
        defined.add(drawing.path(d=outline, fill="#e07000"))
        drawing.defs.add(defined)
        for slot in range(each):
            place = (20 + 1100.125 * (slot % 3), 20 + 190.375 * (slot // 3))
            drawing.add(drawing.use("#f", insert=place))
        target = io.BytesIO()
        cairosvg.svg2pdf(bytestring=drawing.tostring().encode(), write_to=target)
        size += len(target.getvalue())
    seconds = time.process_time() - start
    return {"seconds": seconds, "bytes": size, "peak_mb": peak_mb() - before}


def svg_path(path: Path) -> str:
    parts: list[str] = []
    for contour in path.contours:
        parts.append(f"M{contour.start.x:.4f} {contour.start.y:.4f}")
        for segment in contour.segments:
            match segment:
                case Line(end):
                    parts.append(f"L{end.x:.4f} {end.y:.4f}")
                case Cubic(one, two, end):
                    points = " ".join(f"{each.x:.4f} {each.y:.4f}" for each in (one, two, end))
                    parts.append(f"C{points}")
        parts.append("Z")
    return "".join(parts)


def peak_mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def apart(job: str) -> dict[str, float]:
    """The figures of a job run in a process of its own."""
    top = FilePath(__file__).resolve().parents[2]
    command = [sys.executable, "-m", "tests.bench.pdf_bench", "--job", job]
    done = subprocess.run(command, cwd=top, check=True, capture_output=True, text=True)
    return dict(json.loads(done.stdout))


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--quick", action="store_true")
    parser.add_argument("--job", choices=("ours", "theirs"))
    options = parser.parse_args()
    if options.job:
        print(json.dumps(ours() if options.job == "ours" else theirs()))
        return 0
    mine = apart("ours")
    ok = mine["seconds"] <= SECONDS and mine["bytes"] <= BYTES and mine["peak_mb"] <= PEAK_MB
    row = "{:<32}{:>9.2f} s{:>10.2f} MB{:>9.0f} MB peak"
    print(
        row.format(
            "ours, 500 faces with kiss cuts", mine["seconds"], mine["bytes"] / 1e6, mine["peak_mb"]
        )
    )
    if not options.quick:
        peer = apart("theirs")
        print(
            row.format(
                "svgwrite + cairosvg, one face",
                peer["seconds"],
                peer["bytes"] / 1e6,
                peer["peak_mb"],
            )
        )
        faster, smaller = peer["seconds"] / mine["seconds"], peer["bytes"] / mine["bytes"]
        print(f"{faster:.0f} times faster, {smaller:.1f} times smaller")
        ok = ok and faster >= FASTER and smaller >= SMALLER
    print("within the targets" if ok else "OUTSIDE the targets")
    return 0 if ok else 1


if __name__ == "__main__":
    sys.exit(main())
