"""What a job must hold by the stocks of a shop's file, and by its tags and plates."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pikepdf
import pytest

from tests.helpers.command import run
from tests.helpers.paper_reading import words
from tests.helpers.shop_jobs import (
    page_sizes,
    painted,
    separations,
)
from tests.helpers.shop_setups import OWN, Box, Made, make


def all_words(paper: Path) -> str:
    data = paper.read_bytes()
    with pikepdf.open(io.BytesIO(data)) as pdf:
        pages = len(pdf.pages)
    return " ".join(words(data, number) for number in range(1, pages + 1))


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
    assert bill["tag stock", "engraving stock"]["specification"] == "1/16 in"
    assert "engraved" in made.said
    for paper in ("proof", "ticket"):
        text = all_words(made.folder / f"{paper}.pdf")
        assert "engraving stock, 1/16 in" in text
        assert "rigid plastic tag" not in text


def thick_tags(made: Made) -> None:
    assert made.bill()["tag stock", "rigid plastic tag"]["specification"] == "1/16 in"
    for paper in ("proof", "ticket", "install/no-area-given"):
        text = all_words(made.folder / f"{paper}.pdf")
        assert "rigid plastic tag, 1/16 in" in text
        assert "0.040 in" not in text


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


def keep_outs(made: Made) -> None:
    for left, top, right, bottom in painted(made.pdf())["Cutting"].boxes:
        assert not (left < 100 and top < 100), (left, top, right, bottom)
    for x, y in made.dxf().points:
        assert not (x < 100 and y > page_sizes(made.pdf())[0][1] - 100)


def material(made: Made) -> None:
    assert "own stock, vinyl film" in made.said.replace("  ", " ")
    # High temperature lines take polyester, which is on the stock that says so.
    assert "narrow polyester roll, polyester film" in made.said


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
    text = all_words(made.folder / "ticket.pdf")
    assert "0.080 in" in text
    assert "0.063 in" not in text


def cheapest(made: Made) -> None:
    # A meter of the narrow roll costs 1, of the wide one 9: nothing goes on the wide one.
    for width, _ in page_sizes(made.pdf()):
        assert width == pytest.approx(30 * 25.4, abs=0.01)


def sourced(made: Made) -> None:
    shop = made.folder.parent / "shop.toml"
    told = json.loads(run("stocks", "--shop", shop, "--json").stdout)
    (own,) = [each for each in told["stocks"] if each["key"] == "own"]
    assert own["source"] == "data sheet of 2026"


def offcut_first(made: Made) -> None:
    assert page_sizes(made.pdf("plate-1")) == [pytest.approx((600, 1600), abs=0.01)]
    assert "offcut 600 x 1600 mm of 48 x 96 in plate" in made.said


def two_faces(made: Made) -> None:
    names = made.names("print")
    assert {"tag-2.pdf", "tag-2-back.pdf"} <= set(names)  # and HV-101 with one face
    front, back = (painted(made.pdf(name)) for name in ("tag-2", "tag-2-back"))
    assert len(front["Cutting"].boxes) == 1
    assert "Cutting" not in back


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
