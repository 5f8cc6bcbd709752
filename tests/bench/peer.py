"""The same list made with ready libraries, as a careful user would: rectpack, svgwrite, cairosvg.

    python -m tests.bench.peer LIST.csv FOLDER
    python -m tests.bench.peer --settings LIST.csv

The faces have the texts, bands and arrows of ours, with word widths measured from the font, on the
same film roll and tag sheets. It does less: no plan with reasons, no findings, film of one kind, no
plates, live text in place of outlines, no spot inks, no cut files, no papers: a PDF for each sheet
and nothing else. Only what `lists` writes can be read. ``--settings`` tries the packing library's
settings on the list's film, one after the other, and prints what each needs.
"""

from __future__ import annotations

import csv
import json
import sys
import time
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from itertools import product
from pathlib import Path
from typing import Any

import cairosvg
import rectpack
import svgwrite
from fontTools.ttLib import TTFont

INCH = 25.4
MARGIN = 0.5 * INCH
# Nominal size to outside diameter in inches (ASME B36.10M), as far as the lists go.
NOMINAL = ("1", "1-1/4", "1-1/2", "2", "3", "4", "6", "8", "10", "12")
OUTSIDE = (1.315, 1.66, 1.9, 2.375, 3.5, 4.5, 6.625, 8.625, 10.75, 12.75)
# Outside diameter up to, marker height, letter height and least band, all in inches.
TABLE = ((1.25, 1, 0.5, 0.5), (2, 1.5, 0.75, 0.75), (7, 2.5, 1.25, 1), (10, 3.5, 2.5, 1.5))
LARGEST = (99.0, 4.5, 3.5, 2.0)
GAP, BAND_LETTERS, ARROW = 0.55, 0.6, 1.75  # in letter heights
ORANGE = "#e07800"
BANDS = {"LIQ": "#ecc800", "VAP": "#8db2d5", "HIGH": "#bb2026", "LOW": "#00754f"}
STATES = {"liquid": ("LIQ",), "vapor": ("VAP",), "both": ("LIQ", "VAP")}
FONT = Path(__file__).resolve().parents[2] / "render" / "read" / "typefaces" / "Roboto-Medium.ttf"

# Compared by --settings: the least film at 20,000 markers, and what ends for longer lists.
BEST = ("BFF", "GuillotineBafMaxas", "SORT_SSIDE")
FASTEST = ("BNF", "SkylineBlWm", "SORT_LSIDE")
MOST_FOR_BEST = 50_000


@dataclass(frozen=True, slots=True)
class Face:
    """A drawn marker in mm: boxes with colors, words at their left and baseline, arrows."""

    width: float
    height: float
    boxes: tuple[tuple[float, float, float, float, str], ...]
    words: tuple[tuple[str, float, float, float], ...]  # text, left, baseline, letter height
    arrows: tuple[tuple[float, float, bool], ...]  # left, letter height, pointing right
    tag: bool = False


@dataclass(frozen=True, slots=True)
class Stock:
    """What is printed on, in mm; ``border`` lies around each face, ``gap`` between two."""

    width: float
    length: float
    border: float
    gap: float


ROLL = Stock(54 * INCH - 2 * MARGIN, 120 * INCH - 2 * MARGIN, 3, 2)
PLASTIC = Stock(24 * INCH - 2 * MARGIN, 48 * INCH - 2 * MARGIN, 0, 6)
Placed = tuple[Face, float, float, bool]  # face, left, top, turned


@cache
def _font() -> tuple[Mapping[int, str], Mapping[str, tuple[int, int]], float, float]:
    """Character map, advances, cap height and units of an em of the typeface."""
    font = TTFont(FONT)
    return (
        font.getBestCmap(),
        font["hmtx"].metrics,
        font["OS/2"].sCapHeight,
        font["head"].unitsPerEm,
    )


@cache
def width_of(text: str) -> float:
    """Width of a line of text by the font's advances, in letter heights."""
    names, advances, capital, _em = _font()
    return sum(advances[names[ord(sign)]][0] for sign in text) / capital


def face_of(row: Mapping[str, str]) -> Face:
    """What a row asks for."""
    if row["kind"] == "valve":
        rows = (row["service"], row["tag"], row["function"].upper(), row["valve_size"])
        return _tag(*rows)
    level = "HIGH" if float(row["pressure_psig"].split()[0]) > 70 else "LOW"
    if row["kind"] == "equipment":
        return _equipment(row["legend"], row["tag"], level)
    size = OUTSIDE[NOMINAL.index(row["pipe"].removeprefix("NPS "))]
    thick = size + 2 * float(row["covering_in"] or 0)
    _, *sizes = next((each for each in TABLE if thick <= each[0]), LARGEST)
    right = row["flow"] in ("right", "up")
    return _pipe(row["service"], STATES[row["state"]], level, right, *sizes)


@cache
def _pipe(
    service: str,
    states: tuple[str, ...],
    level: str,
    right: bool,
    high: float,
    letters: float,
    least: float,
) -> Face:
    """Arrow, service, bands of the state, AMMONIA, band of the level, arrow: in one line."""
    height, letter, baseline = high * INCH, letters * INCH, (high + letters) / 2 * INCH
    boxes, words = [(0.0, 0.0, 0.0, height, ORANGE)], []
    x = GAP * letter + ARROW * letter + GAP * letter
    for word in (service, *states, "AMMONIA", level):
        if word not in BANDS:
            words.append((word, x if word == service else x + GAP * letter, baseline, letter))
            x = words[-1][1] + (width_of(word) + GAP) * letter
            continue
        small = BAND_LETTERS * letter
        inner = width_of(word) * small
        band = max(least * INCH, inner + small)
        boxes.append((x, 0.0, band, height, BANDS[word]))
        words.append((word, x + (band - inner) / 2, (height + small) / 2, small))
        x += band
    arrow = x + GAP * letter
    width = -(-(arrow + (ARROW + GAP) * letter) // (INCH / 4)) * (INCH / 4)
    boxes[0] = (0.0, 0.0, width, height, ORANGE)
    arrows = ((GAP * letter, letter, right), (arrow, letter, right))
    return Face(width, height, tuple(boxes), tuple(words), arrows)


@cache
def _equipment(legend: str, tag: str, level: str) -> Face:
    """The name in one line or two over a band of the level."""
    text, letter = f"{legend} {tag}", 2.5 * INCH
    words = text.split()
    cut = min(
        range(1, len(words)),
        key=lambda at: max(len(" ".join(words[:at])), len(" ".join(words[at:]))),
    )
    lines = [" ".join(words[:cut]), " ".join(words[cut:])] if len(text) > 14 else [text]
    small = BAND_LETTERS * letter
    band = (width_of(level) + 1) * small
    height = (3.5 if len(lines) == 1 else 7.5) * INCH
    inner = max(width_of(line) for line in lines) * letter + 2 * GAP * letter
    width = -(-(inner + band) // (INCH / 4)) * (INCH / 4)
    step = height / len(lines)
    drawn = [
        (line, (width - band - width_of(line) * letter) / 2, (at + 0.5) * step + letter / 2, letter)
        for at, line in enumerate(lines)
    ]
    left = width - band
    drawn.append((level, left + small / 2, (height + small) / 2, small))
    boxes = ((0.0, 0.0, width, height, ORANGE), (left, 0.0, band, height, BANDS[level]))
    return Face(width, height, boxes, tuple(drawn), ())


@cache
def _tag(*rows: str) -> Face:
    """A valve's tag: four lines, the number in letters twice as high."""
    letters = [0.25 * INCH, 0.5 * INCH, 0.25 * INCH, 0.25 * INCH]
    widest = max(width_of(row) * letter for row, letter in zip(rows, letters, strict=True))
    width = -(-(widest + GAP * INCH) // (INCH / 4)) * (INCH / 4)
    words, y = [], 0.5 * INCH
    for row, letter in zip(rows, letters, strict=True):
        y += 1.5 * letter
        words.append((row, (width - width_of(row) * letter) / 2, y - 0.25 * letter, letter))
    height = 2.5 * INCH
    return Face(width, height, ((0.0, 0.0, width, height, ORANGE),), tuple(words), (), tag=True)


def nested(
    counts: Mapping[Face, int], stock: Stock, setting: tuple[str, str, str]
) -> list[list[Placed]]:
    """Sheets of placed faces."""
    bins, filling, order = setting
    packer = rectpack.newPacker(
        bin_algo=getattr(rectpack.PackingBin, bins),
        pack_algo=getattr(rectpack, filling),
        sort_algo=getattr(rectpack, order),
        rotation=True,
    )
    more = 2 * stock.border + stock.gap

    def um(length: float) -> int:
        return round(1000 * length)

    packer.add_bin(um(stock.width + stock.gap), um(stock.length + stock.gap), count=float("inf"))
    for face, quantity in counts.items():
        size = um(face.width + more), um(face.height + more)
        for _ in range(quantity):
            packer.add_rect(*size, rid=face)
    packer.pack()
    sheets: list[list[Placed]] = [[] for _ in packer]
    for number, x, y, width, _height, face in packer.rect_list():
        turned = width != um(face.width + more)
        sheets[number].append((face, x / 1000, y / 1000, turned))
    return sheets


def film_length(sheets: Iterable[Iterable[Placed]]) -> float:
    """Meters of the roll, each frame as long as what lies on it."""
    more = 2 * ROLL.border
    ends = (
        max(y + (face.width if turned else face.height) for face, _, y, turned in sheet)
        for sheet in sheets
    )
    return sum(end + more + 2 * MARGIN for end in ends) / 1000


def draw(sheet: list[Placed], stock: Stock) -> bytes:
    """One sheet as SVG, every face a group that is used."""
    width, height = stock.width + 2 * MARGIN, stock.length + 2 * MARGIN
    drawing = svgwrite.Drawing(
        size=(f"{width}mm", f"{height}mm"), viewBox=f"0 0 {width} {height}", debug=False
    )
    names: dict[Face, str] = {}
    for face, x, y, turned in sheet:
        name = names.get(face)
        if name is None:
            name = names[face] = f"f{len(names)}"
            drawing.defs.add(_group(drawing, name, face))
        used = drawing.use(f"#{name}")
        used.translate(x + MARGIN + stock.border, y + MARGIN + stock.border)
        if turned:
            used.translate(face.height, 0)
            used.rotate(90)
        drawing.add(used)
    return str(drawing.tostring()).encode()


def _group(drawing: Any, name: str, face: Face) -> Any:
    """A face in SVG."""
    _names, _advances, capital, em = _font()
    group = drawing.g(id=name)
    for x, y, width, height, color in face.boxes:
        group.add(drawing.rect((x, y), (width, height), fill=color))
    for text, x, baseline, letter in face.words:
        size = letter * em / capital
        group.add(drawing.text(text, (x, baseline), font_size=size, font_family="Roboto Medium"))
    for x, letter, right in face.arrows:
        middle, ends = face.height / 2, (x, x + ARROW * letter)
        tail, tip = ends if right else ends[::-1]
        neck = tip - 0.8 * letter if right else tip + 0.8 * letter
        shaft, wing = 0.14 * letter, 0.5 * letter
        upper = ((tail, middle - shaft), (neck, middle - shaft), (neck, middle - wing))
        lower = ((neck, middle + wing), (neck, middle + shaft), (tail, middle + shaft))
        group.add(drawing.polygon((*upper, (tip, middle), *lower)))
    return group


def counted(path: str) -> tuple[Counter[Face], Counter[Face]]:
    """Film faces and tags of a list."""
    with open(path, encoding="utf-8", newline="") as stream:
        counts = Counter(face_of(row) for row in csv.DictReader(stream))
    film = Counter({face: count for face, count in counts.items() if not face.tag})
    return film, counts - film


def settings(path: str) -> Iterator[str]:
    """What each setting of the packing library needs for a list's film, as Markdown."""
    film, _ = counted(path)
    yield "| bins | filling | sorting | frames | m | CPU s |"
    yield "|---|---|---|---|---|---|"
    fillings: tuple[str, ...] = (
        "MaxRectsBl",
        "MaxRectsBssf",
        "MaxRectsBlsf",
        "MaxRectsBaf",
        "SkylineBlWm",
    )
    fillings += ("SkylineMwfl", "SkylineMwflWm", "GuillotineBssfSas", "GuillotineBafMaxas")
    sortings = ("SORT_AREA", "SORT_LSIDE", "SORT_SSIDE", "SORT_PERI")
    for setting in product(("BFF", "BBF", "BNF"), fillings, sortings):
        start = time.process_time()
        sheets = nested(film, ROLL, setting)
        took = time.process_time() - start
        figures = f"{len(sheets)} | {film_length(sheets):.1f} | {took:.2f}"
        yield f"| {' | '.join(setting)} | {figures} |"


def make(path: str, folder: Path) -> None:
    """The whole job; prints CPU seconds by hop and what was made, as JSON."""
    start = time.process_time()
    film, tags = counted(path)
    read = time.process_time()
    setting = BEST if film.total() <= MOST_FOR_BEST else FASTEST
    sheets = [(sheet, ROLL) for sheet in nested(film, ROLL, setting)]
    meters = film_length(sheet for sheet, _ in sheets)
    sheets += [(sheet, PLASTIC) for sheet in nested(tags, PLASTIC, setting)]
    done = time.process_time()
    hops = {"read": read - start, "nest": done - read}
    placed = sum(len(sheet) for sheet, _ in sheets)
    told = {
        "hops": hops,
        "sheets": len(sheets),
        "placed": placed,
        "meters": meters,
        "setting": setting,
    }
    folder.mkdir(parents=True, exist_ok=True)
    for number, (sheet, stock) in enumerate(sheets, 1):
        cairosvg.svg2pdf(bytestring=draw(sheet, stock), write_to=str(folder / f"{number}.pdf"))
    hops["write"] = time.process_time() - done
    print(json.dumps(told))


if __name__ == "__main__":
    if sys.argv[1] == "--settings":
        for line in settings(sys.argv[2]):
            print(line, flush=True)
    else:
        make(sys.argv[1], Path(sys.argv[2]))
