"""Ids are not part of what a marker says: revisions compare without them, approvals name them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.helpers.command import VALVE, run, told, write_list

OTHER = {**VALVE, "tag": "HV-119"}


@pytest.fixture
def plant(tmp_path: Path) -> Path:
    return write_list(tmp_path / "list.csv", [VALVE, OTHER])


def test_two_jobs_with_other_ids_are_the_same_markers(plant: Path, tmp_path: Path) -> None:
    run("order", plant, "-o", tmp_path / "old", "--piece-id", "both")
    order = tmp_path / "new.toml"
    order.write_text(f'title = "Another"\npiece_id = "text"\nline_list = "{plant.name}"\n')
    changes = told(run("diff", tmp_path / "old", order, "-o", tmp_path / "changes", "--json"))
    assert changes["counts"]["unchanged"] == 2
    assert sum(changes["counts"].values()) == 2


def test_an_approval_without_ids_does_not_cover_them(plant: Path, tmp_path: Path) -> None:
    job, approval = tmp_path / "job", tmp_path / "approval.json"
    run("order", plant, "-o", job)
    run("approve", job, "--by", "A. Reader", "--date", "2026-01-31", "-o", approval)
    assert "ids" not in json.loads(approval.read_text())["content"]
    assert run("check", plant, "--approval", approval).exit_code == 0
    changed = run("check", plant, "--approval", approval, "--piece-id", "qr", "--json")
    assert any("approv" in each["code"] for each in told(changed)["findings"])


def test_an_approval_with_ids_covers_the_same_order(plant: Path, tmp_path: Path) -> None:
    job, approval = tmp_path / "job", tmp_path / "approval.json"
    run("order", plant, "-o", job, "--piece-id", "qr")
    run("approve", job, "--by", "A. Reader", "--date", "2026-01-31", "-o", approval)
    again = run("check", plant, "--approval", approval, "--piece-id", "qr", "--json")
    assert not any("approv" in each["code"] for each in told(again)["findings"])


def test_an_engraved_tag_says_that_it_carries_no_code(plant: Path, tmp_path: Path) -> None:
    shop = tmp_path / "shop.toml"
    shop.write_text(
        '[[stocks]]\nkey = "plate-stock"\ntitle = "two-color plastic"\nroles = ["tag"]\n'
        'form = "sheet"\nwidth = "24 in"\nlength = "24 in"\nmargin = "10 mm"\n'
        'border = "3 mm"\ngap = "2 mm"\nengraved = true\n'
    )
    asked = ("--shop", shop, "--tag", "plate-stock", "--piece-id", "both", "--json")
    told_of = json.loads(run("order", plant, "-o", tmp_path / "job", *asked).stdout)
    (note,) = [each for each in told_of["findings"] if each["code"] == "stock-base"]
    assert note["what"].endswith("; of ids the text, no QR code")
