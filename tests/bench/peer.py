"""The same list done plainly with ready libraries: svgwrite with <use>, rectpack, cairosvg.

It does less than pipelegend: no plan with reasons, no findings, no outlines of letters, no spot
inks, no cut files, proof or ticket; a PDF a sheet and nothing else. Run it as

    python -m tests.bench.peer LIST.csv FOLDER
"""

from __future__ import annotations

import csv
import json
import sys
import time
from collections import Counter
from pathlib import Path

import cairosvg
import rectpack
import svgwrite

INCH = 25.4
SHEET = (round(54 * INCH * 10), round(120 * INCH * 10))  # tenths of a millimeter
BORDER = 3.0  # mm round each marker
# Nominal size to outside diameter in inches (ASME B36.10M), as far as the lists go.
NOMINAL = ("1", "1-1/4", "1-1/2", "2", "3", "4", "6", "8", "10", "12")
OUTSIDE = (1.315, 1.66, 1.9, 2.375, 3.5, 4.5, 6.625, 8.625, 10.75, 12.75)
# Outside diameter up to, letter height, marker height, all in inches.
ROWS = ((1.25, 0.5, 1.0), (2, 0.75, 1.25), (6, 1.25, 2.0), (10, 2.5, 3.5), (99, 3.5, 5.0))
Face = tuple[str, float, float, float]  # words, letter height, width and height in mm


def face_of(row: dict[str, str]) -> Face:
    """What a row asks for, with the width of its words guessed."""
    if row["kind"] == "pipe":
        words = " ".join((row["service"], row["state"].upper(), "AMMONIA", row["flow"].upper()))
        thick = OUTSIDE[NOMINAL.index(row["pipe"].removeprefix("NPS "))] + 2 * float(
            row["covering_in"] or 0
        )
        letter, height = next((low, high) for most, low, high in ROWS if thick <= most)
    else:
        words, letter, height = f"{row['tag']} {row['function'] or row['legend']}", 0.5, 2.0
    return words, letter * INCH, 0.75 * letter * INCH * len(words), height * INCH


def pack(counts: Counter[Face]) -> list[list[tuple[Face, float, float, bool]]]:
    """Sheets of placed faces, by the library's fastest setting: next fit, no sorting of bins."""
    packer = rectpack.newPacker(
        bin_algo=rectpack.PackingBin.BNF,
        pack_algo=rectpack.GuillotineBssfSas,
        sort_algo=rectpack.SORT_AREA,
    )
    packer.add_bin(*SHEET, count=float("inf"))
    for face, quantity in counts.items():
        size = (round((face[2] + 2 * BORDER) * 10), round((face[3] + 2 * BORDER) * 10))
        for _ in range(quantity):
            packer.add_rect(*size, rid=face)
    packer.pack()
    sheets: list[list[tuple[Face, float, float, bool]]] = [[] for _ in packer]
    for number, x, y, width, _height, face in packer.rect_list():
        turned = width != round((face[2] + 2 * BORDER) * 10)
        sheets[number].append((face, x / 10 + BORDER, y / 10 + BORDER, turned))
    return sheets


def draw(sheet: list[tuple[Face, float, float, bool]]) -> bytes:
    """One sheet as SVG, every face a symbol that is used."""
    width, height = SHEET[0] / 10, SHEET[1] / 10
    drawing = svgwrite.Drawing(
        size=(f"{width}mm", f"{height}mm"), viewBox=f"0 0 {width} {height}", debug=False
    )
    names: dict[Face, str] = {}
    for face, x, y, turned in sheet:
        name = names.get(face)
        if name is None:
            name = names[face] = f"f{len(names)}"
            drawing.defs.add(symbol_of(drawing, name, face))
        used = drawing.use(f"#{name}")
        used.translate(x, y)
        if turned:
            used.translate(face[3], 0)
            used.rotate(90)
        drawing.add(used)
    return str(drawing.tostring()).encode()


def symbol_of(drawing: svgwrite.Drawing, name: str, face: Face) -> svgwrite.base.BaseElement:
    words, letter, width, height = face
    group = drawing.g(id=name)
    group.add(drawing.rect((0, 0), (width, height), fill="#f07800"))
    at = (width / 2, (height + letter) / 2)
    group.add(drawing.text(words, at, font_size=letter / 0.72, text_anchor="middle"))
    return group


def main(path: str, folder: str) -> None:
    start = time.process_time()
    with open(path, encoding="utf-8", newline="") as stream:
        counts = Counter(face_of(row) for row in csv.DictReader(stream))
    read = time.process_time()
    sheets = pack(counts)
    nested = time.process_time()
    hops = {"read": read - start, "nest": nested - read}
    print(json.dumps({"hops": hops, "sheets": len(sheets)}), flush=True)  # should it not end
    Path(folder).mkdir(parents=True, exist_ok=True)
    for number, sheet in enumerate(sheets, 1):
        cairosvg.svg2pdf(bytestring=draw(sheet), write_to=f"{folder}/{number}.pdf")
    hops["write"] = time.process_time() - nested
    print(json.dumps({"hops": hops, "sheets": len(sheets)}))


if __name__ == "__main__":
    main(*sys.argv[1:])
