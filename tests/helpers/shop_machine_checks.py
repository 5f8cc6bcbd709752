"""What a job must hold by the printer and the machines of a shop's file."""

from __future__ import annotations

import io
import math
import subprocess
from itertools import pairwise

import numpy as np
import numpy.typing as npt
import pikepdf
import pytest
import segno
from PIL import Image, ImageCms

from tests.helpers.paper_reading import words
from tests.helpers.pdf_system import PROFILES, tool
from tests.helpers.shop_jobs import (
    page_sizes,
    painted,
    separations,
    svg_layers,
)
from tests.helpers.shop_setups import Box, Made


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


def by_press(made: Made) -> None:
    for group, title in (("film-2", "second: film-2"), ("tag-1", "first: tag-1")):
        with pikepdf.open(made.folder / "print" / f"{group}.pdf") as pdf:
            assert str(pdf.docinfo["/Title"]) == title


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
