"""Ids tell markers apart, however many there are: by chance two digests begin alike."""

from __future__ import annotations

import csv
from pathlib import Path

import pypdfium2
import pytest
from typer.testing import CliRunner

from layouts.markers.gather import short_ids
from render.cli import app

# Found by trying: of 170,000 tags these are the first whose digests share 8 signs.
MARKERS_ALIKE = ("HV-30310", "HV-72996")
FACES_ALIKE = ("HV-4911", "HV-69966")


def test_an_id_is_as_long_as_it_takes_to_be_its_own() -> None:
    assert short_ids(["ABCDEF0123456", "ABCDEF0199999", "0BCDEF0123456"]) == {
        "ABCDEF0123456": "ABCDEF012",
        "ABCDEF0199999": "ABCDEF019",
        "0BCDEF0123456": "0BCDEF01",
    }
    assert short_ids([]) == {}
    assert short_ids(["A" * 13]) == {"A" * 13: "A" * 8}
    three = ["ABCDEF0123456", "ABCDEF0124444", "ABCDEF0999999"]
    assert list(short_ids(three).values()) == ["ABCDEF0123", "ABCDEF0124", "ABCDEF09"]


def test_tags_whose_digests_begin_alike_are_made_each_once(tmp_path: Path) -> None:
    listed = tmp_path / "valves.csv"
    tags = (*MARKERS_ALIKE, *FACES_ALIKE, "HV-1")
    listed.write_text("kind,tag\n" + "".join(f"valve,{tag}\n" for tag in tags))
    made = CliRunner().invoke(app, ["order", str(listed), "-o", str(tmp_path / "job")])
    assert made.exit_code == 0, made.output
    with (tmp_path / "job/markers.csv").open(newline="") as file:
        ids = {row["legend"]: row["id"] for row in csv.DictReader(file)}
    first, second = (ids[tag] for tag in MARKERS_ALIKE)
    assert first != second
    assert (first[:8], len(first)) == (second[:8], 9)
    assert all(len(ids[tag]) == 8 for tag in (*FACES_ALIKE, "HV-1"))


def test_the_proof_shows_each_of_two_tags_whose_faces_begin_alike(tmp_path: Path) -> None:
    narrow, wide = (painted(tmp_path / tag, tag) for tag in FACES_ALIKE)
    both = painted(tmp_path / "both", *FACES_ALIKE)
    assert wide > 1.1 * narrow
    assert both == pytest.approx(narrow + wide, rel=0.02)


def painted(folder: Path, *tags: str) -> int:
    """Pixels in color on all pages of the proof of these tags."""
    folder.mkdir()
    listed = folder / "valves.csv"
    listed.write_text("kind,tag\n" + "".join(f"valve,{tag}\n" for tag in tags))
    made = CliRunner().invoke(app, ["order", str(listed), "-o", str(folder / "job")])
    assert made.exit_code == 0, made.output
    with pypdfium2.PdfDocument(folder / "job/proof.pdf") as proof:
        pages = [page.render(scale=2).to_numpy().astype(int) for page in proof]
    return sum(int(((page.max(axis=2) - page.min(axis=2)) > 60).sum()) for page in pages)
