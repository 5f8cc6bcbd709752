"""Orders on shared sheets: every piece traced, every order's papers as if it were by itself."""

from __future__ import annotations

import csv
import json
import re
import shutil
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from tests.helpers.command import PIPE, VALVE, VESSEL, everything, run, told, write_list

pytestmark = pytest.mark.slow

AREA = "Engine room"
SHARED = ("print/", "cut/", "ticket.pdf", "materials.", "nest.json")


@pytest.fixture(scope="module")
def finished(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two plants that want one marker both, a third that is blocked, and their jobs."""
    home = tmp_path_factory.mktemp("company")
    (home / "plants").mkdir()
    rows = [{**PIPE, "qty": "3", "area": AREA}, VALVE, VESSEL]
    write_list(home / "plants" / "north.csv", rows)
    rows = [{**PIPE, "qty": "2", "area": AREA}, {**VALVE, "tag": "HV-7"}]
    write_list(home / "plants" / "south.csv", rows)
    write_list(home / "plants" / "west.csv", [{**PIPE, "level": "low", "pressure_psig": "180"}])
    made = run("batch", home / "plants", "-o", home / "jobs", "--gang")
    assert made.exit_code == 1  # of the one that is blocked
    (home / "shown.txt").write_text(made.stdout, encoding="utf-8")
    for name in ("north", "south"):
        single = run("order", home / "plants" / f"{name}.csv", "-o", home / name, "--json")
        (home / f"{name}.json").write_text(single.stdout, encoding="utf-8")
    return home


@pytest.fixture
def home(finished: Path, tmp_path: Path) -> Path:
    shutil.copytree(finished, tmp_path, dirs_exist_ok=True)
    return tmp_path


def text_of(path: Path) -> str:
    """The text of a paper, its lines joined."""
    return " ".join(" ".join(page.extract_text() for page in PdfReader(path).pages).split())


def nest_of(folder: Path) -> dict[str, Any]:
    table: dict[str, Any] = json.loads((folder / "nest.json").read_bytes())
    return table


def states(folder: Path) -> dict[str, str]:
    with (folder / "batch.csv").open(encoding="utf-8", newline="") as stream:
        return {row["order"]: row["state"] for row in csv.DictReader(stream)}


def test_each_piece_of_each_order_is_on_the_shared_sheets_once(finished: Path) -> None:
    """By the counts of the orders as made by themselves."""
    placed: Counter[tuple[str, str, str]] = Counter()
    for group in nest_of(finished / "jobs" / "gang")["groups"]:
        for sheet in group["placements"]:
            for each in sheet["placed"]:
                order, marker, *_ = each.split(",")
                placed[order, marker, group["role"]] += sheet["copies"]
    wanted: Counter[tuple[str, str, str]] = Counter()
    for name in ("north", "south"):
        with (finished / name / "markers.csv").open(encoding="utf-8", newline="") as stream:
            for row in csv.DictReader(stream):
                role = "tag" if row["kind"] == "valve" else "film"
                wanted[name, row["id"], role] += int(row["qty"])
    assert placed == wanted
    bagged: Counter[tuple[str, str, str]] = Counter()
    with (finished / "jobs" / "gang" / "bags.csv").open(encoding="utf-8", newline="") as stream:
        for row in csv.DictReader(stream):
            bagged[row["order"], row["marker"], row["part"]] += int(row["pieces"])
    assert bagged == wanted


def test_an_orders_papers_are_those_of_the_order_by_itself(finished: Path) -> None:
    for name in ("north", "south"):
        single = everything(finished / name)
        ganged = everything(finished / "jobs" / name)
        left = {each for each in single if each.startswith(SHARED) or each in ("print", "cut")}
        assert left
        assert set(ganged) == (set(single) - left) | {"made_from.json"}
        own = set(single) - left - {"manifest.json"}
        assert {each for each in own if single[each] != ganged[each]} == set()


def test_the_saving_is_that_of_the_separate_jobs(finished: Path) -> None:
    """Lengths of a 54 in roll, in sq ft (1 in is 25.4 mm and 1 sq ft is 144 sq in, NIST SP 811)."""
    shown = (finished / "shown.txt").read_text(encoding="utf-8")
    found = re.search(
        r"Film, shared: ([\d.]+) sq ft .* separate: ([\d.]+) sq ft .* 2 frames", shown
    )
    assert found
    separate = sum(
        group["used_length_mm"]
        for name in ("north", "south")
        for group in nest_of(finished / name)["groups"]
        if group["role"] == "film"
    )
    (shared,) = (
        group["used_length_mm"]
        for group in nest_of(finished / "jobs" / "gang")["groups"]
        if group["role"] == "film"
    )
    assert float(found[1]) == pytest.approx(shared / 25.4 * 54 / 144, abs=0.06)
    assert float(found[2]) == pytest.approx(separate / 25.4 * 54 / 144, abs=0.06)
    assert shared < separate


def test_the_ticket_has_a_bag_for_each_order(finished: Path) -> None:
    text = text_of(finished / "jobs" / "gang" / "ticket.pdf")
    assert "Bag A: north" in text
    assert "Bag B: south" in text
    assert "Film, shared:" in text
    assert not (finished / "jobs" / "gang" / "proof.pdf").exists()


def test_a_finished_gang_is_kept_until_an_order_changes(home: Path) -> None:
    before = everything(home / "jobs")
    again = run("batch", home / "plants", "-o", home / "jobs", "--gang")
    assert again.exit_code == 1
    kept = {"gang": "kept", "north": "kept", "south": "kept", "west": "blocked"}
    assert states(home / "jobs") == kept
    assert "Film, shared" in again.stdout
    after = everything(home / "jobs")
    assert {each for each in before if before[each] != after[each]} == {"batch.csv"}
    shutil.rmtree(home / "jobs" / "gang")  # as a run that was killed leaves it
    run("batch", home / "plants", "-o", home / "jobs", "--gang", "--quiet")
    assert states(home / "jobs") == {**kept, "gang": "made"}
    repeated = everything(home / "jobs")
    assert {each for each in before if before[each] != repeated[each]} == {"batch.csv"}


def test_a_gang_that_would_change_is_not_overwritten_unasked(home: Path) -> None:
    write_list(home / "plants" / "west.csv", [{**VALVE, "tag": "XV-7"}])
    before = everything(home / "jobs")
    refused = run("batch", home / "plants", "-o", home / "jobs", "--gang")
    assert refused.exit_code == 2
    assert states(home / "jobs")["north"] == "failed"
    assert "--force" in refused.stderr
    after = everything(home / "jobs")
    assert {each for each in before if before[each] != after[each]} == {"batch.csv"}
    forced = run("batch", home / "plants", "-o", home / "jobs", "--gang", "--force", "--json")
    assert forced.exit_code == 0
    listed = {each["order"]: each["state"] for each in told(forced)["orders"]}
    assert listed == dict.fromkeys(("gang", "north", "south", "west"), "made")


def test_areas_of_one_name_are_kept_apart_and_told_in_the_packs(tmp_path: Path) -> None:
    """Two plants with an engine room each: the packs name sheets of the gang."""
    for name, tag in (("north", "HV-1"), ("south", "HV-2")):
        write_list(tmp_path / f"{name}.csv", [{**PIPE, "area": AREA}, {**VALVE, "tag": tag}])
    orders = [tmp_path / f"{name}.csv" for name in ("north", "south")]
    words = ("--keep-together", "area", "--gang", "--quiet")
    assert run("batch", *orders, "-o", tmp_path / "jobs", *words).exit_code == 0
    text = text_of(tmp_path / "jobs" / "north" / "install" / "engine-room.pdf")
    assert "On the sheets of this area: film-1" in text
    assert "A Engine room" not in text


def test_what_asks_for_other_stock_is_made_separately(tmp_path: Path) -> None:
    for name in ("north", "south"):
        write_list(tmp_path / f"{name}.csv", [VESSEL])
    order = '[stocks]\nfilm = "sheet-48x96in"\n[[markers]]\nkind = "equipment"\nname = "Receiver"\n'
    (tmp_path / "west.toml").write_text(f'{order}level = "high"\n', encoding="utf-8")
    orders = [tmp_path / name for name in ("north.csv", "south.csv", "west.toml")]
    made = run("batch", *orders, "-o", tmp_path / "jobs", "--gang")
    assert made.exit_code == 0
    assert "west: made separately: it asks for other stocks" in made.stdout
    assert (tmp_path / "jobs" / "west" / "print").is_dir()
    assert nest_of(tmp_path / "jobs" / "gang")["orders"] == {"A": "north", "B": "south"}


def test_ids_on_pieces_stay_those_of_their_order(tmp_path: Path) -> None:
    for name in ("north", "south"):
        write_list(tmp_path / f"{name}.csv", [{**VESSEL, "qty": "2", "location": name}])
    orders = [tmp_path / f"{name}.csv" for name in ("north", "south")]
    words = ("--piece-id", "text", "--piece-id-per", "position", "--quiet")
    assert run("batch", *orders, "-o", tmp_path / "jobs", "--gang", *words).exit_code == 0
    for name in ("north", "south"):
        assert run("order", tmp_path / f"{name}.csv", "-o", tmp_path / name, *words).exit_code == 0
        pieces = (tmp_path / "jobs" / name / "pieces.csv").read_bytes()
        assert pieces == (tmp_path / name / "pieces.csv").read_bytes()
    placed = [
        each.split(",")[:2]
        for group in nest_of(tmp_path / "jobs" / "gang")["groups"]
        for sheet in group["placements"]
        for each in sheet["placed"]
    ]
    assert Counter(order for order, _ in placed) == {"north": 2, "south": 2}
    assert len({tuple(each) for each in placed}) == 4
