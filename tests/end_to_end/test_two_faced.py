"""Tags made on both faces: front and back fit when the sheet is turned over, and both are read.

Pages are drawn by poppler and turned over as pictures.
"""

from __future__ import annotations

import csv
import math
import subprocess
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
from PIL import Image, ImageOps

from tests.helpers.command import VALVE, run, write_list
from tests.helpers.pdf_system import tool
from tests.helpers.shop_jobs import Pair, cut_file, painted, separations

BOTH = [
    {**VALVE, "side": "both", "qty": "2"},
    {"kind": "valve", "tag": "HV-101", "service": "LSS", "emergency": "yes", "side": "both"}
    | {"drawing": "R-1"},
    {"kind": "valve", "tag": "HV-7", "service": "LSS", "side": "both", "shape": "round"},
]
OVER = {"turn": ImageOps.mirror, "tumble": ImageOps.flip}
DPI = 100
PX = DPI / 25.4


def shop(backs: str, more: str = "") -> str:
    return f"""
[tags]
backs = "{backs}"
[[stocks]]
key = "own"
title = "tag board"
form = "sheet"
roles = ["tag"]
width = "9 in"
length = "16 in"
{more}
"""


def made(tmp_path: Path, backs: str, more: str = "") -> Path:
    (tmp_path / "shop.toml").write_text(shop(backs, more))
    listed = write_list(tmp_path / "list.csv", BOTH)
    job = tmp_path / "job"
    done = run("order", listed, "-o", job, "--shop", tmp_path / "shop.toml", "--tag", "own")
    assert done.exit_code == 0, done.output
    return job


def drawn(pdf: Path) -> Image.Image:
    command = [tool("pdftoppm"), "-r", str(DPI), "-png", "-singlefile", "-l", "1"]
    subprocess.run([*command, str(pdf), str(pdf.with_suffix(""))], check=True)
    with Image.open(pdf.with_suffix(".png")) as picture:
        return picture.convert("L")


def inked(picture: Image.Image) -> npt.NDArray[np.bool_]:
    """Where tags are, the margins with slug and notes left out."""
    edge = round(13 * PX)
    return np.asarray(picture)[edge:-edge, edge:-edge] < 200


@pytest.mark.parametrize("backs", OVER)
def test_fronts_and_backs_fit_when_the_sheet_is_turned_over(backs: str, tmp_path: Path) -> None:
    job = made(tmp_path, backs)
    front = drawn(job / "print" / "tag-1.pdf")
    back = OVER[backs](drawn(job / "print" / "tag-1-back.pdf"))
    one, other = inked(front), inked(back)
    assert one.mean() > 0.3
    assert (one ^ other).mean() < 0.01  # hairlines of the cuts are on the front only


@pytest.mark.parametrize("backs", OVER)
def test_the_marks_of_both_sides_lie_on_each_other(backs: str, tmp_path: Path) -> None:
    job = made(tmp_path, backs)
    front, back = (marks(job / "print" / name) for name in ("tag-1.pdf", "tag-1-back.pdf"))
    assert len(front) == len(back) == 5
    for x, y in front:
        over = (9 * 25.4 - x, y) if backs == "turn" else (x, 16 * 25.4 - y)
        assert min(math.dist(over, each) for each in back) < 0.02


def marks(pdf: Path) -> list[Pair]:
    """The centers of all crosses of 5 mm; art of tags is larger or smaller."""
    return [
        ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)
        for box in painted(pdf.read_bytes())[""].boxes
        if box[2] - box[0] == pytest.approx(5, abs=0.01)
        and box[3] - box[1] == pytest.approx(5, abs=0.01)
    ]


@pytest.mark.parametrize("backs", OVER)
def test_the_back_reads_like_the_front(backs: str, tmp_path: Path) -> None:
    job = made(tmp_path, backs)
    boxes = painted((job / "print" / "tag-1.pdf").read_bytes())["Cutting"].boxes
    front = drawn(job / "print" / "tag-1.pdf")
    back = drawn(job / "print" / "tag-1-back.pdf")
    # The back of a tag turned about its height: as it is where the sheet turns about the same
    # axis, else upside down. Never mirrored.
    for left, top, right, bottom in boxes:
        upright = right - left > bottom - top
        if abs((right - left) - (bottom - top)) < 0.1:
            continue  # the round tag
        box = behind((left, top, right, bottom), backs)
        mine, its = crop(front, (left, top, right, bottom)), crop(back, box)
        if upright != (backs == "turn"):
            its = its.rotate(180)
        assert different(mine, its) < 0.02 < different(mine, ImageOps.mirror(its))


def behind(box: tuple[float, ...], backs: str) -> tuple[float, ...]:
    left, top, right, bottom = box
    if backs == "turn":
        return 9 * 25.4 - right, top, 9 * 25.4 - left, bottom
    return left, 16 * 25.4 - bottom, right, 16 * 25.4 - top


def crop(picture: Image.Image, box: tuple[float, ...]) -> Image.Image:
    """What is inside of a box in mm, clear of its cut line and its hole."""
    left, top, right, bottom = (side * PX for side in box)
    inset = 12 * PX
    size = round(right - left - 2 * inset), round(bottom - top - 2 * inset)
    return picture.resize(size, box=(left + inset, top + inset, right - inset, bottom - inset))


def different(one: Image.Image, other: Image.Image) -> float:
    """The share of points that are dark in one picture only."""
    return float(((np.asarray(one) < 80) ^ (np.asarray(other) < 80)).mean())


def test_papers_count_one_tag_with_two_faces(tmp_path: Path) -> None:
    one = made(tmp_path, "turn")
    (tmp_path / "two").mkdir()
    two = made(tmp_path / "two", "second tag")
    assert not (two / "print" / "tag-1-back.pdf").exists()
    for job, wanted in ((one, 4), (two, 8)):
        with (job / "markers.csv").open(newline="") as stream:
            assert sum(int(row["qty"]) for row in csv.DictReader(stream)) == wanted
    assert area(one) == pytest.approx(area(two), rel=1e-6)  # as much ink on half the board


def area(job: Path) -> float:
    with (job / "materials.csv").open(newline="") as stream:
        rows = [row for row in csv.DictReader(stream) if row["item"] == "safety orange"]
    return sum(float(row["used"]) for row in rows)


def test_engraved_tags_have_a_cut_file_for_their_backs(tmp_path: Path) -> None:
    job = made(tmp_path, "turn", "engraved = true")
    front, back = (cut_file(job / "cut" / f"tag-1-1{end}.dxf") for end in ("", "-back"))
    assert back.layers == {"Debossing": front.layers["Debossing"]}
    assert front.layers["Cutting"] == 4
    assert separations((job / "print" / "tag-1-back.pdf").read_bytes()) == {"Debossing"}


def test_a_roll_cannot_be_turned_over(tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_text(shop("turn").replace('"sheet"', '"roll"'))
    listed = write_list(tmp_path / "list.csv", BOTH)
    job = tmp_path / "job"
    done = run("order", listed, "-o", job, "--shop", tmp_path / "shop.toml", "--tag", "own")
    assert done.exit_code == 2
    assert "shop.toml, tags, backs" in done.output
    assert "only a sheet can be turned over" in done.output
    assert not job.exists()


def test_zones_of_the_machine_are_free_on_both_sides(tmp_path: Path) -> None:
    zone = 'keep_outs = [{ x = 0, y = 0, width = "40 mm", height = "50 mm" }]'
    job = made(tmp_path, "turn", zone)
    for name in ("tag-1.pdf", "tag-1-back.pdf"):
        art = painted((job / "print" / name).read_bytes())[""].boxes
        large = [box for box in art if box[2] - box[0] > 30]
        assert large
        assert not [box for box in large if box[0] < 37 and box[1] < 47]
