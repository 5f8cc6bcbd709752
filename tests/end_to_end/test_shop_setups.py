"""Shop set-ups from list to files: what the shop's file says is what other programs read.

Names of steps: ISO 19593-1:2018 as listed in the Arlington PDF model. DXF units: DXF Reference,
$INSUNITS, 4 for millimeters and 1 for inches. Widths of rolls and gaps of bridges are common
practice, no source.
"""

from __future__ import annotations

import csv
import io
import json
import math
import re
import subprocess
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pikepdf
import pytest
import segno
from PIL import Image, ImageCms
from pydantic import BaseModel

from render.shop.shop_tables import (
    KnifeTable,
    MachineTable,
    OffcutTable,
    PlatesTable,
    PrinterTable,
    ShopTables,
    StockTable,
    TagsTable,
    ZoneTable,
)
from tests.helpers.command import MARKER, PIPE, VALVE, VESSEL, run, write_list
from tests.helpers.paper_reading import words
from tests.helpers.pdf_system import PROFILES, tool
from tests.helpers.shop_jobs import (
    CutFile,
    cut_file,
    page_sizes,
    painted,
    separations,
    svg_layers,
)

Box = tuple[float, float, float, float]
ROWS = [
    {**PIPE, "qty": "3"},
    {"kind": "pipe", "service": "BS", "state": "vapor", "pressure_psig": "2", "flow": "right"}
    | {"pipe": "NPS 8", "covering_in": "0", "surface_f": "20", "frost_in": "1.5", "qty": "2"},
    {"kind": "pipe", "service": "HSD", "state": "vapor", "pressure_psig": "181", "flow": "right"}
    | {"pipe": "NPS 6", "covering_in": "0", "environment": "outdoor", "surface_f": "200"},
    VESSEL,
    VALVE,
    {"kind": "valve", "tag": "HV-101", "service": "LSS", "emergency": "yes", "drawing": "R-1"},
]
STOCK = """
[[stocks]]
key = "own"
title = "own stock"
form = "{form}"
width = "{width}"
length = "{length}"
{more}
"""


def stock(more: str = "", form: str = "roll", width: str = "30 in", length: str = "50 yd") -> str:
    return STOCK.format(form=form, width=width, length=length, more=more)


@dataclass(frozen=True)
class Made:
    """A job folder on disk."""

    folder: Path
    said: str

    def pdf(self, group: str = "film-2") -> bytes:
        return (self.folder / "print" / f"{group}.pdf").read_bytes()

    def dxf(self, name: str = "film-2-1") -> CutFile:
        return cut_file(self.folder / "cut" / f"{name}.dxf")

    def names(self, folder: str) -> list[str]:
        return sorted(path.name for path in (self.folder / folder).iterdir())

    def bill(self) -> dict[tuple[str, str], dict[str, str]]:
        with (self.folder / "materials.csv").open(newline="") as stream:
            return {(row["material"], row["item"]): row for row in csv.DictReader(stream)}


Row = Mapping[str, str]


def make(tmp_path: Path, shop: str, *arguments: str, rows: Sequence[Row] = ()) -> Made:
    file = tmp_path / "shop.toml"
    file.write_text(shop)
    listed = write_list(tmp_path / "list.csv", rows or ROWS)
    done = run("order", listed, "-o", tmp_path / "job", "--shop", file, *arguments)
    assert done.exit_code == 0, done.output
    return Made(tmp_path / "job", done.output)


OWN = ("--film", "own")
Check = Callable[[Made], None]


@dataclass(frozen=True)
class Setup:
    """A shop's file, how the job is ordered, and what its files must hold."""

    name: str
    shop: str
    check: Check
    arguments: tuple[str, ...] = OWN
    rows: Sequence[Row] = tuple(ROWS)


def sheets(made: Made) -> None:
    for width, length in page_sizes(made.pdf()):
        assert (width, length) == pytest.approx((48 * 25.4, 96 * 25.4), abs=0.01)
    assert "sheet" in made.said


def rolls(made: Made) -> None:
    # 5,080 mm: 14,400 points, the longest PDF page (ISO 32000-1, annex C; from memory).
    for width, length in page_sizes(made.pdf()):
        assert width == pytest.approx(30 * 25.4, abs=0.01)
        assert length <= 5080


def short_frames(made: Made) -> None:
    sizes = page_sizes(made.pdf())
    assert len(sizes) > 1
    for _, length in sizes:
        assert length <= 1800.01
        assert length % 100 == pytest.approx(0, abs=0.01) or length % 100 > 99.99


def ends(made: Made) -> None:
    # A leader of 200 mm and a trailer of 100 mm are free of parts, margins of 12.7 mm beside.
    (_, length), *_ = page_sizes(made.pdf())
    cuts = painted(made.pdf())["Cutting"].boxes
    assert min(top for _, top, _, _ in cuts) >= 200 - 0.01
    assert max(bottom for _, _, _, bottom in cuts) <= length - 100 + 0.01


def plates(made: Made) -> None:
    width, length = page_sizes(made.pdf("plate-1"))[0]
    assert (width, length) == pytest.approx((600, 1500), abs=0.01)
    assert {"Cutting", "Drilling"} <= separations(made.pdf("plate-1"))


def engraved(made: Made) -> None:
    layers = painted(made.pdf("tag-1"))
    # HV-118, HPL, KING VALVE: 6 + 3 + 9 signs; the emergency tag more, with its frame.
    assert layers["Debossing"].closed > 2 * (6 + 3 + 9)
    assert layers["Debossing"].closed == made.dxf("tag-1-1").layers["Debossing"]
    assert "" not in layers
    bill = made.bill()
    assert ("tag stock", "engraving stock") in bill
    assert "engraved" in made.said


def clear(made: Made) -> None:
    white = painted(made.pdf())["White"]
    assert white.inks == {"White"}
    assert white.overprints == {True}
    bill = made.bill()
    assert ("ink", "White") in bill
    assert any("clear film" in item for _, item in bill)
    assert "clear film" in made.said


def second_surface(made: Made) -> None:
    layers = painted(made.pdf())
    assert layers["White"].inks == {"White"}
    # An arrow or word that lies near one end of its face lies as near to the other end.
    shop = made.folder.parent / "shop.toml"
    (made.folder.parent / "first").mkdir()
    first = make(
        made.folder.parent / "first", shop.read_text().replace('"second"', '"first"'), *OWN
    )
    front = painted(first.pdf())
    kiss = max(front["PartialCutting"].boxes, key=lambda box: box[1] - box[3])
    within = [box for box in front[""].boxes if kiss[0] < box[0] and box[2] < kiss[2]]
    ends = sorted(
        round(kiss[1] + kiss[3] - box[3], 2) for box in within if kiss[1] < box[1] < kiss[3]
    )
    behind = [box for box in layers[""].boxes if kiss[0] < box[0] and box[2] < kiss[2]]
    found = sorted(round(box[1], 2) for box in behind if kiss[1] < box[1] < kiss[3])
    assert found == pytest.approx(ends, abs=0.02)
    assert found != pytest.approx(sorted(round(box[1], 2) for box in within), abs=0.02)
    assert "printed on the back" in made.said


def dark(made: Made) -> None:
    layers = painted(made.pdf())
    # White lies under every mark with its quiet zone: 5 + 2 x 2 mm across.
    squares = [
        box
        for box in layers["White"].boxes
        if box[2] - box[0] == pytest.approx(9, abs=0.01)
        and box[3] - box[1] == pytest.approx(9, abs=0.01)
    ]
    assert len(squares) == len(layers["CodingMarking"].boxes) > 4
    assert layers["White"].inks == {"white under"}


def choked(made: Made) -> None:
    white = painted(made.pdf())["White"].boxes
    art = painted(made.pdf())[""].boxes
    widest = max(white, key=lambda box: (box[2] - box[0]) * (box[3] - box[1]))
    color = max(art, key=lambda box: (box[2] - box[0]) * (box[3] - box[1]))
    assert color[2] - color[0] - (widest[2] - widest[0]) == pytest.approx(0.6, abs=0.01)
    assert color[3] - color[1] - (widest[3] - widest[1]) == pytest.approx(0.6, abs=0.01)


def colored(made: Made) -> None:
    assert "safety orange" not in separations(made.pdf())
    assert ("ink", "safety orange") not in made.bill() or "film-2" in made.said
    assert "safety orange film" in made.said


def bridges(made: Made) -> None:
    layers = painted(made.pdf())
    assert layers["Cutting"].closed == 0
    assert layers["Cutting"].opened == made.dxf().opened["Cutting"] > 4
    assert layers["PartialCutting"].opened == 0


def merged(made: Made) -> None:
    cutting, file = painted(made.pdf())["Cutting"], made.dxf()
    assert cutting.opened == file.opened["Cutting"]
    assert cutting.opened > 0
    assert cutting.length == pytest.approx(file.length["Cutting"], rel=1e-3)


def frame(made: Made) -> None:
    layers, file = painted(made.pdf()), made.dxf()
    kiss = layers["PartialCutting"]
    assert kiss.closed == file.layers["PartialCutting"]
    outer = max(kiss.boxes, key=lambda box: (box[2] - box[0]) * (box[3] - box[1]))
    others = [box for box in kiss.boxes if box is not outer]
    assert outer[0] == pytest.approx(min(box[0] for box in others) - 2.5, abs=0.01)
    assert outer[3] == pytest.approx(max(box[3] for box in others) + 2.5, abs=0.01)


def inches(made: Made) -> None:
    file = made.dxf()
    assert file.units == 1
    (_, length), *_ = page_sizes(made.pdf())
    assert max(y for _, y in file.points) * 25.4 == pytest.approx(length - 12.7 / 2, abs=0.01)


def names(made: Made) -> None:
    assert {"HalfCut", "FullCut"} <= separations(made.pdf())
    assert not {"PartialCutting", "Cutting"} & separations(made.pdf())
    assert {"KISS", "THROUGH"} <= made.dxf().layers.keys()
    assert {"KISS", "THROUGH"} <= dict(svg_layers(made.folder / "cut" / "film-2-1.svg")).keys()


def one_name(made: Made) -> None:
    layers = painted(made.pdf("plate-1"))
    assert layers["Cutting"].inks == layers["Drilling"].inks == {"FullCut"}
    file = made.dxf("plate-1-1")
    assert file.layers["CUT"] == layers["Cutting"].closed + layers["Drilling"].closed


def two_machines(made: Made) -> None:
    film, plate = painted(made.pdf()), painted(made.pdf("plate-1"))
    assert film["Cutting"].inks == {"Knife"}
    assert film["Cutting"].opened == 0
    assert plate["Cutting"].inks == {"Mill"}
    assert plate["Cutting"].closed == 0  # bridges
    assert made.dxf("plate-1-1").units == 1
    assert made.dxf().units == 4
    assert "plate-1-1.svg" not in made.names("cut")
    assert "film-2-1.dxf" in made.names("cut")


def stock_machine(made: Made) -> None:
    assert painted(made.pdf())["Cutting"].inks == {"Second"}
    # The machine's margin of 20 mm.
    left = min(box[0] for box in painted(made.pdf())["Cutting"].boxes)
    assert left == pytest.approx(20, abs=0.01)


def no_marks(made: Made) -> None:
    assert "CodingMarking" not in painted(made.pdf())
    assert made.dxf().points == []


def many_marks(made: Made) -> None:
    (width, length), *_ = page_sizes(made.pdf())
    places = sorted(made.dxf().points)
    left = [y for x, y in places if x < width / 2]
    right = [y for x, y in places if x > width / 2]
    assert len(left) == len(right) + 1  # the one that tells the orientation
    gaps = [b - a for a, b in pairwise(sorted(right))]
    assert max(gaps) <= 300.001
    assert len(right) == math.ceil((length - 12.7) / 300) + 1


def big_marks(made: Made) -> None:
    art = painted(made.pdf())[""].boxes
    marks = [
        b
        for b in art
        if b[2] - b[0] == pytest.approx(6, abs=0.01) and b[3] - b[1] == pytest.approx(6, abs=0.01)
    ]
    assert len(marks) == len(made.dxf().points)
    # Nothing but the mark's own center lies within 3 mm of it.
    layers = painted(made.pdf())
    boxes = [box for name, each in layers.items() if name != "CodingMarking" for box in each.boxes]
    for mark in marks:
        zone = (mark[0] - 2.99, mark[1] - 2.99, mark[2] + 2.99, mark[3] + 2.99)
        near = [box for box in boxes if overlap(box, zone) and box != mark]
        assert near == []


def overlap(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def text_notes(made: Made) -> None:
    file = made.dxf()
    assert "Legend" not in file.layers
    assert any("vinyl" in text for text in file.texts)
    assert any("60 degree blade" in text for text in file.texts)
    assert "Legend" in painted(made.pdf())  # print keeps its outlines
    ticket = (made.folder / "ticket.pdf").read_bytes()
    assert "60 degree blade, speed 300 mm/s, pressure 110 g, 2 passes" in words(ticket, 1)


def no_notes(made: Made) -> None:
    assert made.dxf().texts == []
    assert "Legend" not in made.dxf().layers


def named_files(made: Made) -> None:
    print_names, cut_names = made.names("print"), made.names("cut")
    assert any(name.startswith("list-film-1-x") for name in print_names), print_names
    assert any(name.startswith("list_film-1_1_x") for name in cut_names), cut_names


def titled(made: Made) -> None:
    # Read by pikepdf from the information dictionary, and by tesseract from poppler's picture.
    with pikepdf.open(made.folder / "print" / "film-2.pdf") as pdf:
        assert str(pdf.docinfo["/Title"]) == "list: film-2, 1 to print"
    picture = made.folder.parent / "slug"
    page = made.folder / "print" / "film-2.pdf"
    (_, length), *_ = page_sizes(page.read_bytes())
    px = 300 / 25.4
    box = ("-x", "300", "-W", "8000", "-y", f"{(length - 12.7) * px:.0f}", "-H", f"{12.7 * px:.0f}")
    command = [tool("pdftoppm"), "-r", "300", "-gray", "-png", "-singlefile", "-l", "1", *box]
    subprocess.run([*command, str(page), str(picture)], check=True)
    read = [tool("tesseract"), f"{picture}.png", "-", "--psm", "7"]
    text = subprocess.run(read, check=True, capture_output=True, text=True).stdout
    assert "Job list sheet 1 of 1" in text
    assert "inks" not in text


def dxf_only(made: Made) -> None:
    assert "plate-1.pdf" not in made.names("print")
    assert [name for name in made.names("cut") if name.startswith("plate")] == ["plate-1-1.dxf"]
    assert made.dxf("plate-1-1").layers["Cutting"] > 0
    assert "film-2.pdf" in made.names("print")  # it is printed


def coded(made: Made) -> None:
    # Drawn by Ghostscript; each module is where the encoder puts it for the cut file's name.
    path = made.folder / "print" / "film-2.pdf"
    picture = made.folder.parent / "sheet.png"
    command = [
        tool("gs"),
        "-q",
        "-dNOPAUSE",
        "-dBATCH",
        "-sDEVICE=pnggray",
        "-r200",
        "-dLastPage=1",
    ]
    subprocess.run([*command, f"-sOutputFile={picture}", str(path)], check=True)
    with Image.open(picture) as image:
        px = 200 / 25.4
        margin = 12.7 * px
        right = image.width - (12.7 + 5) * px
        box = (round(right - margin), round(image.height - margin), round(right), image.height)
        code = np.asarray(image.crop(box)) < 128
    assert modules(code) == wanted_modules("film-2-1")


def modules(picture: npt.NDArray[np.bool_]) -> list[list[bool]]:
    """The modules of a code by the middle of each, from the box around its ink."""
    rows, columns = np.nonzero(picture)
    top, left = rows.min(), columns.min()
    height, width = rows.max() + 1 - top, columns.max() + 1 - left
    count = len(wanted_modules("film-2-1"))
    at = [(n + 0.5) / count for n in range(count)]
    return [[bool(picture[int(top + y * height), int(left + x * width)]) for x in at] for y in at]


def wanted_modules(text: str) -> list[list[bool]]:
    rows = segno.make_qr(text, error="m", boost_error=False).matrix
    return [[bool(module) for module in row] for row in rows]


def process(made: Made) -> None:
    assert "safety orange" not in separations(made.pdf())
    assert "process" in painted(made.pdf())[""].inks
    # A condition that no registry knows names none (ISO 32000-1, table 365; from memory).
    with pikepdf.open(io.BytesIO(made.pdf())) as pdf:
        (intent,) = pdf.Root.OutputIntents
        assert str(intent.OutputConditionIdentifier) == "shop press 1"
        assert "/RegistryName" not in intent


def registered(made: Made) -> None:
    with pikepdf.open(io.BytesIO(made.pdf())) as pdf:
        (intent,) = pdf.Root.OutputIntents
        assert str(intent.OutputConditionIdentifier) == "FOGRA39"
        assert str(intent.RegistryName) == "http://www.color.org"


def keep_outs(made: Made) -> None:
    for left, top, right, bottom in painted(made.pdf())["Cutting"].boxes:
        assert not (left < 100 and top < 100), (left, top, right, bottom)
    for x, y in made.dxf().points:
        assert not (x < 100 and y > page_sizes(made.pdf())[0][1] - 100)


def material(made: Made) -> None:
    assert "own stock, vinyl film" in made.said.replace("  ", " ")
    # High temperature lines take polyester, which is on the stock that says so.
    assert "narrow polyester roll, polyester film" in made.said


def holes(made: Made) -> None:
    # Two holes of 6 mm, 4 mm inside of the edges at the corners of every tag's top.
    layers = painted(made.pdf("tag-1"))
    assert len(layers["Drilling"].boxes) == 2 * len(layers["Cutting"].boxes)
    for left, top, right, bottom in layers["Cutting"].boxes:
        first, second = sorted(
            box
            for box in layers["Drilling"].boxes
            if left < box[0] and box[2] < right and top < box[1] and box[3] < bottom
        )
        corners = (left + 4, top + 4), (right - 10, top + 4)
        if bottom - top > right - left:  # turned on the sheet: its top is on the right
            corners = (right - 10, top + 4), (right - 10, bottom - 10)
        for hole, (x, y) in zip((first, second), corners, strict=True):
            assert hole == pytest.approx((x, y, x + 6, y + 6), abs=0.01)


def slots(made: Made) -> None:
    # Each ear has two slots of 20 x 6 mm that lie 8 mm inside, and a hole of 4.1 mm for a rivet
    # of 4 mm (ISO 15977, from memory) in the middle between them.
    layers = painted(made.pdf("plate-1"))
    strapped = 0
    for left, top, right, bottom in layers["Cutting"].boxes:
        boxes = [
            (box[0] - left, box[1] - top, box[2] - left, box[3] - top)
            for box in layers["Drilling"].boxes
            if left < box[0] and box[2] < right and top < box[1] and box[3] < bottom
        ]
        width, height = right - left, bottom - top
        if width < height:  # turned on the sheet
            boxes = [(box[1], box[0], box[3], box[2]) for box in boxes]
            width, height = height, width
        sizes = sorted((round(box[2] - box[0], 2), round(box[3] - box[1], 2)) for box in boxes)
        if (20.0, 6.0) not in sizes:
            continue
        strapped += 1
        assert sizes == [(4.1, 4.1)] * 2 + [(20.0, 6.0)] * 4
        tops = sorted(round(box[1], 2) for box in boxes)
        middle = height / 2 - 2.05
        wanted = [8, 8, middle, middle, height - 14, height - 14]
        assert tops == pytest.approx(wanted, abs=0.02)
    assert strapped


def screws(made: Made) -> None:
    round_ones = [
        box
        for box in painted(made.pdf("plate-1"))["Drilling"].boxes
        if box[2] - box[0] == pytest.approx(box[3] - box[1], abs=0.001)
    ]
    assert round_ones
    assert {round(box[2] - box[0], 2) for box in round_ones} == {8.5}


def wide_border(made: Made) -> None:
    layers = painted(made.pdf())
    kiss, through = sorted(layers["PartialCutting"].boxes), sorted(layers["Cutting"].boxes)
    for inner, outer in zip(kiss, through, strict=True):
        gaps = np.subtract(inner, outer) * (1, 1, -1, -1)
        assert gaps == pytest.approx([5.0] * 4, abs=0.01)


def straight(made: Made) -> None:
    # Every cut goes from edge to edge of what is left: the markers fall apart by such cuts alone.
    boxes = painted(made.pdf())["Cutting"].boxes
    assert len(boxes) > 4
    assert falls_apart(boxes)


def falls_apart(boxes: Sequence[Box]) -> bool:
    if len(boxes) <= 1:
        return True
    for low, high in ((0, 2), (1, 3)):
        listed = sorted(boxes, key=lambda box: box[low])
        for number in range(1, len(listed)):
            if max(box[high] for box in listed[:number]) <= listed[number][low] + 1e-3:
                return falls_apart(listed[:number]) and falls_apart(listed[number:])
    return False


def not_turned(made: Made) -> None:
    with (made.folder / "markers.csv").open(newline="") as stream:
        rows = list(csv.DictReader(stream))
    sizes = {
        (round(float(row["length_in"]) * 25.4), round(float(row["marker_height_in"]) * 25.4))
        for row in rows
    }
    boxes = painted(made.pdf())["PartialCutting"].boxes
    assert {(round(box[2] - box[0]), round(box[3] - box[1])) for box in boxes} <= sizes


def by_build(made: Made) -> None:
    # Vinyl with the adhesive of its build is on its own stock; what is laminated on the other.
    said = " ".join(made.said.split())
    assert "own stock, vinyl film, general acrylic adhesive" in said
    assert "outdoor roll, polyester film, general acrylic adhesive, UV overlaminate" in said


def thick(made: Made) -> None:
    bill = made.bill()
    assert bill["plate", "aluminum plate"]["specification"] == "0.080 in"
    ticket = (made.folder / "ticket.pdf").read_bytes()
    with pikepdf.open(io.BytesIO(ticket)) as pdf:
        pages = len(pdf.pages)
    text = " ".join(words(ticket, number) for number in range(1, pages + 1))
    assert "0.080 in" in text
    assert "0.063 in" not in text


def cheapest(made: Made) -> None:
    # A meter of the narrow roll costs 1, of the wide one 9: nothing goes on the wide one.
    for width, _ in page_sizes(made.pdf()):
        assert width == pytest.approx(30 * 25.4, abs=0.01)


def by_press(made: Made) -> None:
    for group, title in (("film-2", "second: film-2"), ("tag-1", "first: tag-1")):
        with pikepdf.open(made.folder / "print" / f"{group}.pdf") as pdf:
            assert str(pdf.docinfo["/Title"]) == title


def sourced(made: Made) -> None:
    shop = made.folder.parent / "shop.toml"
    told = json.loads(run("stocks", "--shop", shop, "--json").stdout)
    (own,) = [each for each in told["stocks"] if each["key"] == "own"]
    assert own["source"] == "data sheet of 2026"


def offcut_first(made: Made) -> None:
    assert page_sizes(made.pdf("plate-1")) == [pytest.approx((600, 1600), abs=0.01)]
    assert "offcut 600 x 1600 mm of 48 x 96 in plate" in made.said


def relative(made: Made) -> None:
    # Orange in process inks, to the film's white: as LittleCMS converts it with the relative
    # intent, here through Pillow in 8 bits. L* 61.73, a* 38.19, b* 81.82 is 5YR 6/15.
    to_cmyk = ImageCms.buildTransform(
        ImageCms.createProfile("LAB"),
        ImageCms.getOpenProfile(f"{PROFILES}/default_cmyk.icc"),
        "LAB",
        "CMYK",
        ImageCms.Intent.RELATIVE_COLORIMETRIC,
    )
    patch = Image.new("LAB", (1, 1), (round(61.73 * 2.55), 128 + 38, 128 + 82))
    converted = ImageCms.applyTransform(patch, to_cmyk)
    assert converted is not None
    wanted = [value / 255 for value in converted.tobytes()]
    found = cmyk_fills(made.pdf())
    assert any(each == pytest.approx(wanted, abs=0.03) for each in found), (wanted, found)


def cmyk_fills(data: bytes) -> list[tuple[float, ...]]:
    """Every process color that a form of the file fills with."""
    with pikepdf.open(io.BytesIO(data)) as pdf:
        forms = [
            each
            for each in pdf.objects
            if isinstance(each, pikepdf.Stream) and each.get("/Subtype") == "/Form"
        ]
        return [
            tuple(float(operand) for operand in instruction.operands)
            for form in forms
            for instruction in pikepdf.parse_content_stream(form)
            if str(instruction.operator) == "k"
        ]


def two_faces(made: Made) -> None:
    names = made.names("print")
    assert {"tag-2.pdf", "tag-2-back.pdf"} <= set(names)  # and HV-101 with one face
    front, back = (painted(made.pdf(name)) for name in ("tag-2", "tag-2-back"))
    assert len(front["Cutting"].boxes) == 1
    assert "Cutting" not in back


SETUPS = [
    Setup("sheets", "", sheets, ("--film", "sheet-48x96in")),
    Setup("rolls in yards", stock(), rolls),
    Setup(
        "short frames",
        stock('longest_frame = "1850 mm"\nrepeat = "100 mm"\nsheets = 9', width="12 in"),
        short_frames,
    ),
    Setup("leader and trailer", stock('leader = "200 mm"\ntrailer = "100 mm"'), ends),
    Setup(
        "plates",
        stock('roles = ["plate"]\ngap = "8 mm"', "sheet", "600 mm", "1500 mm"),
        plates,
        ("--plate", "own"),
    ),
    Setup(
        "engraving",
        stock('roles = ["tag"]\nengraved = true', "sheet", "24 in", "24 in"),
        engraved,
        ("--tag", "own"),
    ),
    Setup("clear", stock('base = "clear"'), clear),
    Setup("second surface", stock('base = "clear"\nsurface = "second"'), second_surface),
    Setup(
        "dark",
        stock('base = "dark"') + '[printer]\nstep_inks = { White = "white under" }\n',
        dark,
    ),
    Setup("choke", stock('base = "dark"') + '[printer]\nwhite_choke = "0.3 mm"\n', choked),
    Setup("colored", stock('base = "colored"\ncolor = "safety orange"'), colored),
    Setup(
        "bridges",
        stock() + '[printer]\nbridge = "1 mm"\nbridge_spacing = "200 mm"\n',
        bridges,
    ),
    Setup("merged", stock('gap = "0 mm"') + "[printer]\nmerge_edges = true\n", merged),
    Setup("frame", stock() + '[printer]\nweeding_frame = "2.5 mm"\n', frame),
    Setup("inches", stock() + '[printer]\ncut_units = "in"\n', inches),
    Setup(
        "names",
        stock()
        + '[printer]\nstep_inks = { PartialCutting = "HalfCut", Cutting = "FullCut" }\n'
        + 'step_layers = { PartialCutting = "KISS", Cutting = "THROUGH" }\n',
        names,
    ),
    Setup(
        "one name for two steps",
        '[printer]\nstep_inks = { Drilling = "FullCut", Cutting = "FullCut" }\n'
        'step_layers = { Drilling = "CUT", Cutting = "CUT" }\n',
        one_name,
        (),
    ),
    Setup(
        "two machines",
        '[[machines]]\nkey = "k"\nrole = "film cutter"\nstep_inks = { Cutting = "Knife" }\n'
        '[[machines]]\nkey = "r"\nrole = "router"\nstep_inks = { Cutting = "Mill" }\n'
        'bridge = "2 mm"\ncut_units = "in"\nfiles = ["pdf", "dxf"]\n',
        two_machines,
        (),
    ),
    Setup(
        "a stock's own machine",
        '[[machines]]\nkey = "one"\nrole = "film cutter"\nstep_inks = { Cutting = "First" }\n'
        '[[machines]]\nkey = "two"\nrole = "film cutter"\nstep_inks = { Cutting = "Second" }\n'
        'margin = "20 mm"\n' + stock('machine = "two"'),
        stock_machine,
    ),
    Setup(
        "holes of tags",
        '[tags]\nhole = "6 mm"\nhole_edge = "4 mm"\nhole_at = "corners"\n',
        holes,
        (),
    ),
    Setup(
        "slots and rivets of plates",
        '[plates]\nslot_length = "20 mm"\nslot_width = "6 mm"\nhole_edge = "8 mm"\n'
        'rivet = "4 mm"\n',
        slots,
        (),
    ),
    Setup("screw holes of plates", '[plates]\nscrew_hole = "8.5 mm"\n', screws, ()),
    Setup("no marks", stock() + '[printer]\nmarks = "none"\n', no_marks),
    Setup("many marks", stock() + '[printer]\nmark_spacing = "300 mm"\n', many_marks),
    Setup(
        "larger marks",
        stock() + '[printer]\nmarks = "square"\nmark_size = "6 mm"\nquiet_zone = "3 mm"\n',
        big_marks,
    ),
    Setup(
        "notes as text",
        stock() + '[printer]\nnotes = "text"\nknives = { Cutting = { tool = "60 degree blade", '
        'speed = "300 mm/s", pressure = "110 g", passes = 2 } }\n',
        text_notes,
    ),
    Setup("codes", stock() + "[printer]\nsheet_codes = true\n", coded),
    Setup("no notes", stock() + '[printer]\nnotes = "none"\n', no_notes),
    Setup(
        "file names",
        stock() + '[printer]\nprint_names = "{job}-{group}-x{copies}"\n'
        'cut_names = "{job}_{group}_{sheet}_x{copies}"\n',
        named_files,
    ),
    Setup(
        "titles and slug",
        stock(width="54 in")
        + '[printer]\ntitles = "{job}: {group}, {copies} to print"\n'
        + 'slug = "Job {job} sheet {sheet} of {sheets} | for {areas}"\n',
        titled,
    ),
    Setup("files", '[[machines]]\nkey = "r"\nrole = "router"\nfiles = ["dxf"]\n', dxf_only, ()),
    Setup(
        "process",
        stock() + f'[printer]\nprofile = "{PROFILES}/default_cmyk.icc"\nspots = "process"\n'
        'condition = "shop press 1"\n',
        process,
    ),
    Setup(
        "registered condition",
        stock() + f'[printer]\nprofile = "{PROFILES}/default_cmyk.icc"\ncondition = "FOGRA39"\n',
        registered,
    ),
    Setup(
        "keep-outs",
        stock(
            'keep_outs = [{ x = 0, y = 0, width = "100 mm", height = "100 mm" }]',
            "sheet",
            "700 mm",
            "2200 mm",
        ),
        keep_outs,
    ),
    Setup("border", stock('border = "5 mm"'), wide_border),
    Setup("straight knife", stock('knife = "straight"'), straight),
    Setup("nothing turned", stock('turning = "none"', width="72 in"), not_turned),
    Setup(
        "film by its build",
        stock('material = "vinyl film"\nadhesive = "general acrylic adhesive"')
        + stock('material = "polyester film"\nlaminate = "UV overlaminate"')
        .replace('"own"', '"outdoor"')
        .replace("own stock", "outdoor roll"),
        by_build,
    ),
    Setup(
        "thickness",
        stock('roles = ["plate"]\nthickness = "0.080 in"', "sheet", "48 in", "96 in"),
        thick,
        ("--plate", "own"),
    ),
    Setup(
        "cheapest of a group",
        stock('group = "rolls"\ncost = 1.0')
        + stock('group = "rolls"\ncost = 9.0', width="54 in").replace('"own"', '"wide"'),
        cheapest,
        ("--film", "rolls"),
    ),
    Setup(
        "two presses",
        '[[machines]]\nkey = "one"\nrole = "press"\ntitles = "first: {group}"\n'
        '[[machines]]\nkey = "two"\nrole = "press"\ntitles = "second: {group}"\n'
        + stock('press = "two"'),
        by_press,
    ),
    Setup("source", stock('source = "data sheet of 2026"'), sourced),
    Setup(
        "offcut",
        '[[offcuts]]\nof = "plate-48x96in"\nmaterial = "aluminum plate"\nwidth = "600 mm"\n'
        'length = "1600 mm"\n',
        offcut_first,
        (),
    ),
    Setup(
        "relative colors",
        stock() + f'[printer]\nprofile = "{PROFILES}/default_cmyk.icc"\nspots = "process"\n'
        "absolute = false\n",
        relative,
    ),
    Setup(
        "two faces",
        '[tags]\nbacks = "tumble"\n',
        two_faces,
        (),
        tuple({**row, "side": "both"} if row is VALVE else row for row in ROWS),
    ),
    Setup(
        "material",
        stock('material = "vinyl film"')
        + stock('material = "polyester film"', width="24 in")
        .replace('"own"', '"pet"')
        .replace("own stock", "narrow polyester roll"),
        material,
    ),
]


TABLES = (
    *(StockTable, ZoneTable, OffcutTable, PrinterTable, MachineTable, KnifeTable),
    *(TagsTable, PlatesTable),
)


@pytest.mark.parametrize("table", TABLES)
def test_every_key_of_the_shop_file_is_in_a_set_up(table: type[BaseModel]) -> None:
    written = "\n".join(setup.shop for setup in SETUPS)
    missing = [key for key in table.model_fields if not re.search(rf"\b{key} = ", written)]
    assert missing == []


def test_the_walk_goes_through_every_table_of_the_shop_file() -> None:
    schema = ShopTables.model_json_schema()["$defs"]
    objects = {name for name, each in schema.items() if each["type"] == "object"}
    assert objects == {table.__name__ for table in TABLES}


@pytest.mark.parametrize("setup", SETUPS, ids=lambda setup: setup.name)
def test_a_shop_gets_what_its_file_says(setup: Setup, tmp_path: Path) -> None:
    setup.check(make(tmp_path, setup.shop, *setup.arguments, rows=setup.rows))


def test_every_engraved_sheet_has_a_cut_file_with_its_own_words(tmp_path: Path) -> None:
    # Tags of one size lie alike on every sheet, and each sheet has other words to engrave.
    rows = [{**VALVE, "tag": f"HV-{number}"} for number in range(101, 141)]
    listed = write_list(tmp_path / "list.csv", rows)
    shop = tmp_path / "shop.toml"
    shop.write_text(stock('roles = ["tag"]\nengraved = true', "sheet", "12 in", "12 in"))
    done = run("order", listed, "-o", tmp_path / "job", "--shop", shop, "--tag", "own")
    assert done.exit_code == 0, done.output
    made = Made(tmp_path / "job", done.output)
    files = [
        made.dxf(f"tag-1-{number}") for number in range(1, len(page_sizes(made.pdf("tag-1"))) + 1)
    ]
    assert len(files) > 1
    assert len(files) == sum(name.endswith(".dxf") for name in made.names("cut"))
    assert sum(file.layers["Cutting"] for file in files) == 40
    # HPL and KING VALVE on each, and HV-101 to HV-140: figures with counters are 0, 4, 6, 8, 9.
    figures = "".join(str(number) for number in range(101, 141))
    rings = sum({"0": 1, "4": 1, "6": 1, "8": 2, "9": 1}.get(figure, 0) for figure in figures)
    signs = len("HPL") + len("HV-101") + len("KINGVALVE") + len("PA")
    assert sum(file.layers["Debossing"] for file in files) == 40 * signs + rings


def test_the_names_are_in_the_file_of_a_single_marker_too(tmp_path: Path) -> None:
    shop = tmp_path / "shop.toml"
    shop.write_text(
        '[printer]\nstep_inks = { PartialCutting = "HalfCut", Cutting = "FullCut" }\n'
        'step_layers = { PartialCutting = "CUT", Cutting = "CUT" }\n'
    )
    for suffix in ("pdf", "dxf", "svg"):
        done = run(*MARKER, "-o", tmp_path / f"m.{suffix}", "--shop", shop)
        assert done.exit_code == 0, done.output
    assert {"HalfCut", "FullCut"} <= separations((tmp_path / "m.pdf").read_bytes())
    assert cut_file(tmp_path / "m.dxf").layers["CUT"] == 2
    assert "CUT" in dict(svg_layers(tmp_path / "m.svg"))


REFUSED = [
    ('[printer]\nstep_inks = { Cutting = "All" }\n', "printer, step_inks, Cutting", "'All'"),
    ('[printer]\nstep_inks = { Cutting = "none" }\n', "printer, step_inks, Cutting", "'none'"),
    ('[printer]\nstep_inks = { Cutting = "Magenta" }\n', "printer, step_inks, Cutting", "prints"),
    (
        '[printer]\nstep_inks = { Cutting = "Safety Orange" }\n',
        "printer, step_inks, Cutting",
        "printed",
    ),
    (
        '[printer]\nstep_inks = { Cutting = "Legend" }\n',
        "printer, step_inks, Cutting",
        "share the ink",
    ),
    (
        '[printer]\nstep_inks = { White = "Cutting" }\n',
        "printer, step_inks, White",
        "share the ink",
    ),
    ('[printer]\nstep_layers = { Cutting = "a/b" }\n', "printer, step_layers, Cutting", "DXF"),
    ('[printer]\nmark_size = "30 mm"\n', "printer, mark_size", "margin"),
    ('[printer]\nweeding_frame = "20 mm"\n', "printer, weeding_frame", "smaller"),
    ('[printer]\nweeding_frame = "10 mm"\n', "printer, weeding_frame", "smaller"),
    ('[printer]\nmarks = "star"\n', "printer, marks", "disc, square, cross"),
    ('[printer]\ninks = "x"\n', "printer, inks", "no key 'inks'"),
    ('[[stocks]]\nname = "x"\n', "stocks 1, name", "no key 'name'"),
    ('[stocks.roll]\nwidth = "64 in"\n', "stocks", "[[stocks]]"),
    ('[printer]\nslug = "{when}"\n', "printer, slug", "{group}"),
    ('[printer]\ntitles = "{group"\n', "printer, titles", "is not a pattern"),
    (stock('longest_frame = "30 ft"'), "stocks 1 (own)", "5080 mm"),
    (stock('surface = "second"'), "stocks 1 (own)", "clear"),
    (stock('machine = "mill"'), "stock own, machine", "'mill'"),
    ('[tags]\nhole = "40 mm"\n', "tags, hole", "at most 30"),
    ('[plates]\nslot_length = "5 mm"\nslot_width = "6 mm"\n', "plates", "longer than wide"),
    ('[printer]\nprint_names = "{name}"\n', "printer, print_names", "{group}"),
]


@pytest.mark.parametrize(("shop", "field", "words"), REFUSED, ids=lambda value: str(value)[:40])
def test_what_cannot_be_done_names_file_key_and_remedy(
    shop: str, field: str, words: str, tmp_path: Path
) -> None:
    file = tmp_path / "shop.toml"
    file.write_text(shop)
    listed = write_list(tmp_path / "list.csv", ROWS)
    film = ("--film", "own") if "own" in shop else ()
    done = run("order", listed, "-o", tmp_path / "job", "--shop", file, *film)
    assert done.exit_code == 2
    assert f"shop.toml, {field}" in done.output
    assert words in done.output
    assert ";" in done.output  # the remedy follows
    for leaked in ("Traceback", "Input should", "pydantic", "Extra inputs"):
        assert leaked not in done.output
    assert not (tmp_path / "job").exists()
