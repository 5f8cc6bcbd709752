"""Many orders through the command: each folder as `order` makes it, kept, refused, or replaced."""

from __future__ import annotations

import csv
import json
import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from render.batch.fitting import fitting_processes
from render.batch.orders_found import find_orders
from render.cli.batch_progress import time_left
from tests.helpers.command import PIPE, VALVE, VESSEL, everything, run, told, write_list

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def finished(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two plants of one company and their jobs, made by the command."""
    home = tmp_path_factory.mktemp("company")
    (home / "plants").mkdir()
    write_list(home / "plants" / "north.csv", [PIPE, VALVE])
    write_list(home / "plants" / "south.csv", [VESSEL])
    made = run("batch", home / "plants", "-o", home / "jobs", "--processes", "2")
    assert made.exit_code == 0
    lines = ["1 of 2 orders: north made", "2 of 2 orders: south made"]
    told_by_name = sorted(line.replace("2 of", "1 of") for line in made.stderr.splitlines())
    assert told_by_name == [line.replace("2 of", "1 of") for line in lines]
    return home


@pytest.fixture
def plants(finished: Path, tmp_path: Path) -> Path:
    """The plants, copied with the jobs beside them."""
    shutil.copytree(finished, tmp_path, dirs_exist_ok=True)
    return tmp_path / "plants"


def rows(folder: Path) -> dict[str, dict[str, str]]:
    with (folder / "batch.csv").open(encoding="utf-8", newline="") as stream:
        return {row["order"]: row for row in csv.DictReader(stream)}


def states(folder: Path) -> dict[str, str]:
    return {name: row["state"] for name, row in rows(folder).items()}


def left_over(folder: Path) -> list[str]:
    return [path.name for path in folder.iterdir() if path.name.startswith(".")]


def test_each_order_is_as_the_order_command_makes_it(plants: Path, tmp_path: Path) -> None:
    jobs = tmp_path / "jobs"
    assert run("order", plants / "north.csv", "-o", tmp_path / "alone").exit_code == 0
    one, many = everything(tmp_path / "alone"), everything(jobs / "north")
    assert set(many) - set(one) == {"made_from.json"}
    assert {name for name in one if one[name] != many[name]} == {"manifest.json"}
    assert states(jobs) == {"north": "made", "south": "made"}
    assert left_over(jobs) == []


def test_the_table_counts_what_the_order_command_counts(plants: Path, tmp_path: Path) -> None:
    jobs = tmp_path / "jobs"
    alone = told(run("order", plants / "north.csv", "-o", tmp_path / "alone", "--json"))
    row = rows(jobs)["north"]
    assert int(row["markers"]) == alone["markers"]
    assert int(row["distinct"]) == alone["distinct"]
    assert int(row["sheets"]) == sum(group["sheets"] for group in alone["groups"])
    film = [group for group in alone["groups"] if group["key"].startswith("film")]
    length = sum(group["length_mm"] for group in film) / 1000
    assert float(row["film_m"]) == pytest.approx(length, abs=0.002)
    # A roll of 54 in, which is 1.3716 m wide (1 in is 25.4 mm exactly, NIST SP 811).
    assert float(row["film_m2"]) == pytest.approx(length * 1.3716, abs=0.004)


def test_finished_orders_are_kept_and_nothing_is_touched(plants: Path, tmp_path: Path) -> None:
    jobs = tmp_path / "jobs"
    before = everything(jobs)
    times = {path: path.stat().st_mtime_ns for path in jobs.rglob("*/*")}
    again = run("batch", plants, "-o", jobs)
    assert again.exit_code == 0
    assert states(jobs) == {"north": "kept", "south": "kept"}
    assert "2 kept" in again.stdout
    after = everything(jobs)
    assert {name for name in before if before[name] != after[name]} == {"batch.csv"}
    assert times == {path: path.stat().st_mtime_ns for path in jobs.rglob("*/*")}
    shutil.rmtree(jobs / "south")  # the rest is as it was
    run("batch", plants, "-o", jobs, "--quiet")
    assert states(jobs) == {"north": "kept", "south": "made"}


@pytest.mark.parametrize("change", ["list", "option", "file", "gone"])
def test_a_folder_made_from_something_else_is_not_kept(
    plants: Path, tmp_path: Path, change: str
) -> None:
    jobs, more = tmp_path / "jobs", list[str]()
    match change:
        case "list":
            write_list(plants / "north.csv", [PIPE, VALVE, VESSEL])
        case "option":
            more = ["--face", "compact"]
        case "file":
            (jobs / "north" / "chart.pdf").write_bytes(b"%PDF-1.7 changed")
        case "gone":
            (jobs / "north" / "chart.pdf").unlink()
    again = run("batch", plants, "-o", jobs, *more)
    assert again.exit_code == 2
    assert states(jobs)["north"] == "failed"
    assert "--force" in rows(jobs)["north"]["remark"]
    forced = run("batch", plants, "-o", jobs, *more, "--force", "--processes", "2")
    if change == "file":  # nobody's work is overwritten, not even then
        assert forced.exit_code == 2
        assert "chart.pdf (changed since it was made)" in forced.stderr
        return
    assert forced.exit_code == 0
    assert states(jobs)["north"] == "made"
    assert (jobs / "north" / "chart.pdf").read_bytes().startswith(b"%PDF")


def test_bad_orders_stop_no_other_and_the_worst_decides(plants: Path, tmp_path: Path) -> None:
    write_list(plants / "east.csv", [{**PIPE, "level": "low", "pressure_psig": "180"}])
    jobs = tmp_path / "jobs"
    blocked = run("batch", plants, "-o", jobs)
    single = run("order", plants / "east.csv", "-o", tmp_path / "alone")
    assert blocked.exit_code == single.exit_code == 1
    assert states(jobs)["east"] == "blocked"
    write_list(plants / "west.csv", [{**PIPE, "flow": "sideways"}])
    both = run("batch", plants, "-o", jobs)
    assert both.exit_code == 2
    found = states(jobs)
    assert (found["north"], found["south"], found["west"]) == ("kept", "kept", "unreadable")
    assert sorted(path.name for path in jobs.iterdir()) == ["batch.csv", "north", "south"]
    assert "west unreadable: west.csv, row 2, flow" in both.stderr
    listed = {
        each["order"]: each for each in told(run("batch", plants, "-o", jobs, "--json"))["orders"]
    }
    assert listed["west"]["findings"][0]["field"] == "flow"
    assert listed["north"]["state"] == "kept"


def test_one_stem_in_two_folders_gives_two_clear_names(tmp_path: Path) -> None:
    for plant in ("Kühlhaus Nord", "south"):
        (tmp_path / "in" / plant).mkdir(parents=True)
        write_list(tmp_path / "in" / plant / "list.csv", [VALVE])
    write_list(tmp_path / "in" / "south" / "gang.csv", [VALVE])
    (tmp_path / "in" / "~$list.xlsx").write_bytes(b"lock")
    (tmp_path / "in" / "shop.toml").write_text("[printer]\n", encoding="utf-8")
    shutil.copy("output_samples/order_example.toml", tmp_path / "in" / "list.toml")
    found = find_orders([tmp_path / "in", tmp_path / "in" / "south"], tmp_path / "jobs")
    assert {each.name: each.path.relative_to(tmp_path / "in").as_posix() for each in found} == {
        "in-list": "list.toml",
        "kuhlhaus-nord-list": "Kühlhaus Nord/list.csv",
        "south-list": "south/list.csv",
        "south-gang": "south/gang.csv",
    }
    odd = [write_list(tmp_path / f"{name}.csv", [VALVE]) for name in ("冷库", "con")]
    names = [each.name for each in find_orders(odd, tmp_path / "jobs")]
    assert names == ["order-con", "order-u51b7-u5e93"]  # Windows reserves CON
    shutil.copy(tmp_path / "in" / "south" / "list.csv", tmp_path / "in" / "south" / "list.toml")
    names = [each.name for each in find_orders([tmp_path / "in" / "south"], tmp_path / "jobs")]
    assert names == ["south-gang", "south-list-csv", "south-list-toml"]


def test_a_list_that_an_order_names_is_no_order_of_its_own(tmp_path: Path) -> None:
    (tmp_path / "in").mkdir()
    write_list(tmp_path / "in" / "lines.csv", [VALVE])
    (tmp_path / "in" / "plant.toml").write_text('line_list = "lines.csv"\n', encoding="utf-8")
    (tmp_path / "in" / "broken.toml").write_text("title = \n", encoding="utf-8")
    jobs = tmp_path / "jobs"
    assert run("batch", tmp_path / "in", "-o", jobs, "--quiet").exit_code == 2
    assert states(jobs) == {"plant": "made", "broken": "unreadable"}
    write_list(
        tmp_path / "in" / "lines.csv", [{**VALVE, "tag": "HV-119"}]
    )  # what the order names counts as well
    run("batch", tmp_path / "in", "-o", jobs, "--quiet")
    assert states(jobs)["plant"] == "failed"


def test_one_folder_for_lists_and_jobs(tmp_path: Path) -> None:
    write_list(tmp_path / "=north.csv", [VALVE])
    for expected in ("made", "kept"):
        assert run("batch", tmp_path, "-o", tmp_path, "--quiet").exit_code == 0
        assert states(tmp_path) == {"north": expected}
    assert rows(tmp_path)["north"]["file"] == "'=north.csv"  # text and no formula


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["nowhere.csv"], "there is no such file"),
        (["empty"], "the folder holds no list and no order"),
        (["job"], "it is a job folder"),
        (["list.csv", "--shop", "nowhere.toml"], "nowhere.toml"),
    ],
)
def test_a_wrong_command_writes_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: list[str], sentence: str
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "empty").mkdir()
    (tmp_path / "job").mkdir()
    (tmp_path / "job" / "manifest.json").write_text("{}", encoding="utf-8")
    write_list(tmp_path / "list.csv", [VALVE])
    result = run("batch", *words, "-o", "jobs")
    assert result.exit_code == 2
    assert sentence in result.stderr
    assert not (tmp_path / "jobs").exists()


def test_a_table_of_somebody_else_is_not_overwritten(plants: Path, tmp_path: Path) -> None:
    jobs = tmp_path / "other"
    jobs.mkdir()
    (jobs / "batch.csv").write_text("mine\n", encoding="utf-8")
    result = run("batch", plants, "-o", jobs)
    assert result.exit_code == 2
    assert everything(jobs) == {"batch.csv": b"mine\n"}


@pytest.mark.parametrize(
    ("seconds", "share", "left"),
    [(10.0, 0.25, ", about 30 s left"), (60.0, 0.1, ", about 9 min left"), (5.0, 0.0, "")],
)
def test_the_time_left_is_that_of_the_rest_at_the_pace_so_far(
    seconds: float, share: float, left: str
) -> None:
    assert time_left(seconds, share) == left


def test_memory_limits_how_many_run_at_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("render.batch.fitting.core_count", lambda: 8)
    monkeypatch.setattr("render.batch.fitting._MEMORY", tmp_path / "meminfo")
    lists = [(write_list(tmp_path / f"{number}.csv", [VALVE]),) for number in range(4)]
    for free, expected in ((64, 1), (400, 2), (500, 3), (8000, 4)):  # MB, for some 150 MB each
        text = f"MemTotal: 99999999 kB\nMemAvailable: {free << 10} kB\n"
        (tmp_path / "meminfo").write_text(text, encoding="ascii")
        assert fitting_processes(lists) == expected
    (tmp_path / "meminfo").unlink()  # a system that does not say
    assert fitting_processes(lists) == 4


def test_a_killed_process_is_run_again(plants: Path, tmp_path: Path) -> None:
    """SIGKILL for the first process of an order, as the system does for lack of memory."""
    jobs = tmp_path / "others"
    command = [sys.executable, "-m", "pipelegend", "batch", plants, "-o", jobs, "--processes", "1"]
    running = subprocess.Popen(
        [str(each) for each in command], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    try:
        os.kill(first_child(running.pid), signal.SIGKILL)
        out, _ = running.communicate(timeout=120)
    finally:
        running.kill()
    assert running.returncode == 0, out
    assert states(jobs) == {"north": "made", "south": "made"}
    assert left_over(jobs) == []


def test_a_stopped_batch_leaves_whole_orders_and_no_process(plants: Path, tmp_path: Path) -> None:
    jobs = tmp_path / "others"
    command = [sys.executable, "-m", "pipelegend", "batch", plants, "-o", jobs, "--processes", "1"]
    running = subprocess.Popen(
        [str(each) for each in command], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    try:
        child = first_child(running.pid)
        running.terminate()
        running.communicate(timeout=60)
    finally:
        running.kill()
    assert running.returncode == 128 + signal.SIGTERM
    assert (
        not Path(f"/proc/{child}/cmdline").exists()
        or not Path(f"/proc/{child}/cmdline").read_bytes()
    )
    assert left_over(jobs) == []
    assert run("batch", plants, "-o", jobs, "--quiet").exit_code == 0
    assert {"north", "south"} == set(states(jobs))


def first_child(parent: int) -> int:
    """The first process of an order that a command starts."""
    for _ in range(1200):
        for path in Path(f"/proc/{parent}/task").glob("*/children"):
            for child in path.read_text(encoding="ascii").split():
                words = Path(f"/proc/{child}/cmdline").read_bytes()
                if b"render.batch.order_child" in words:
                    return int(child)
        time.sleep(0.05)
    raise AssertionError("no process of an order was seen")


def test_the_python_door_gives_the_same(plants: Path, tmp_path: Path) -> None:
    import pipelegend

    made = pipelegend.batch([plants], tmp_path / "jobs")
    assert made.exit_code == 0
    assert [(each.name, str(each.state)) for each in made.outcomes] == [
        ("north", "kept"),
        ("south", "kept"),
    ]
    made = pipelegend.batch([plants / "south.csv"], tmp_path / "more", face="compact")
    assert (made.exit_code, made.outcomes[0].counts.markers) == (0, 1)
    record = json.loads((tmp_path / "more" / "south" / "made_from.json").read_bytes())
    assert record["options"] == {"face": "compact"}
    with pytest.raises(TypeError, match="approval"):
        pipelegend.batch([plants], tmp_path / "jobs", approval="a.json")
