"""The benchmark tool at tiny size: what it says, and that spoiled work is not counted."""

from __future__ import annotations

import signal
import subprocess
import sys
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import pytest

from layouts.terms.words import PartRole
from render.decide import decide
from render.options import Options
from render.read import read
from render.shop.shopfile import load_shop
from tests.bench.__main__ import growth
from tests.bench.job_check import CheckError, Made, looked_over
from tests.bench.lists import HEADINGS, rows, tags_of, write_list
from tests.bench.peer import counted
from tests.bench.processes import Budget, Run, run
from tests.bench.rows import Goal, Outcome

TOP = Path(__file__).resolve().parents[2]
MARKERS = 40


def bench(*arguments: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "tests.bench", *arguments]
    return subprocess.run(command, cwd=TOP, capture_output=True, text=True, check=False)


def test_rows_are_listed_with_the_time_they_need() -> None:
    said = bench("--rows")
    assert said.returncode == 0
    first, _, *listed = said.stdout.splitlines()
    names = [line.split()[0] for line in listed]
    assert first.startswith(f"{len(names)} rows, about ")
    assert first.endswith(" min on two quiet cores")
    assert {"demo", "own2k", "own20k", "own200k", "own1m", "list1m", "first-run", "pdf"} <= {*names}
    assert len(set(names)) == len(names)


def test_an_unknown_row_is_refused_by_name() -> None:
    said = bench("own20k", "owl20k")
    assert said.returncode == 2
    assert "no row is named owl20k" in said.stderr


@pytest.mark.slow
def test_a_row_by_itself_is_a_line_of_markdown() -> None:
    said = bench(f"own{MARKERS}", f"peer-list{MARKERS}")
    assert said.returncode == 0, said.stdout
    lines = said.stdout.splitlines()
    assert lines[0].startswith("2 rows, ")
    cells = [[cell.strip() for cell in line.strip("|").split("|")] for line in lines[2:6]]
    assert cells[2][0] == f"own{MARKERS}"
    assert cells[2][1].startswith(f"{MARKERS} markers, ")
    assert cells[3][0] == f"peer-list{MARKERS}"
    assert {len(each) for each in cells} == {7}
    table = said.stdout.partition(f"peer-list{MARKERS}: ")[2]
    assert "| ours without papers |" in table
    assert "| peer (read " in table


def test_names_and_places_grow_with_a_list_of_its_own() -> None:
    tag, area, location = map(HEADINGS.index, ("tag", "area", "location"))
    own = list(rows(2_500, own_tags=True))
    tags = [row[tag] for row in own if row[tag]]
    assert len(set(tags)) == len(tags)
    assert {*tags} == tags_of(2_500, own_tags=True)
    assert len({(row[area], row[location]) for row in own}) == len(own)
    shared = list(rows(2_500))
    assert len({row[tag] for row in shared if row[tag]}) < len({*tags})


def test_the_peer_makes_faces_of_our_sizes(tmp_path: Path) -> None:
    """Tags to the quarter inch, film by its area: the peer's words lack our letter spacing."""
    path = write_list(tmp_path / "list.csv", 300, own_tags=True)
    order = read(path).order
    assert order is not None
    areas: Counter[PartRole] = Counter()
    tags: Counter[tuple[float, float]] = Counter()
    for marker in decide(order, Options(load_shop()), "").gathered.markers:
        for part in marker.face.parts:
            size = part.size
            areas[part.role] += round(size.width * size.height * marker.quantity)
            if part.role is PartRole.TAG:
                tags[round(size.width, 2), round(size.height, 2)] += marker.quantity
    film, theirs = counted(str(path))
    area = sum(face.width * face.height * count for face, count in film.items())
    assert area == pytest.approx(areas[PartRole.FILM], rel=0.01)
    sizes: Counter[tuple[float, float]] = Counter()
    for face, count in theirs.items():
        sizes[round(face.width, 2), round(face.height, 2)] += count
    assert sizes == tags


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The job folder of a small list."""
    place = tmp_path_factory.mktemp("bench")
    path = write_list(place / "list.csv", MARKERS, own_tags=True)
    call = "from render.cli import main; main()"
    command = [sys.executable, "-c", call, "order", str(path), "-o", str(place / "job"), "--quiet"]
    subprocess.run(command, cwd=TOP, check=True)
    return place / "job"


def _without_a_cut_file(folder: Path) -> None:
    next((folder / "cut").glob("*.dxf")).unlink()


def _with_a_byte_more(folder: Path) -> None:
    paper = folder / "proof.pdf"
    paper.write_bytes(paper.read_bytes() + b"\n")


def _with_a_stray_file(folder: Path) -> None:
    (folder / "stray.txt").write_text("stray", "utf-8")


@pytest.mark.slow
@pytest.mark.parametrize(
    ("spoil", "told"),
    [
        (_without_a_cut_file, "is missing"),
        (_with_a_byte_more, "proof.pdf differs from the manifest"),
        (_with_a_stray_file, "stray.txt is not in the manifest"),
    ],
)
def test_a_spoiled_folder_is_not_counted(
    made: Path, spoil: Callable[[Path], None], told: str
) -> None:
    kept = {path: path.read_bytes() for path in made.rglob("*") if path.is_file()}
    assert looked_over(made, MARKERS, tags_of(MARKERS, own_tags=True)).markers == MARKERS
    try:
        spoil(made)
        with pytest.raises(CheckError, match=told):
            looked_over(made, MARKERS)
    finally:
        (made / "stray.txt").unlink(missing_ok=True)
        for path, data in kept.items():
            path.write_bytes(data)


@pytest.mark.slow
def test_a_wrong_count_and_a_missing_tag_are_told(made: Path) -> None:
    with pytest.raises(CheckError, match=f"{MARKERS} markers in markers.csv where 41 were ordered"):
        looked_over(made, MARKERS + 1)
    with pytest.raises(CheckError, match="1 tags are on no marker, HV-99 for one"):
        looked_over(made, MARKERS, ["HV-99"])


@pytest.mark.skipif(sys.platform != "linux", reason="reads proc(5)")
def test_a_run_past_its_budget_says_so(tmp_path: Path) -> None:
    busy = run(("-c", "while True: pass"), tmp_path, Budget(0.5))
    assert busy.stopped == "did not end within 0.5 s CPU"
    waiting = run(("-c", "import time; time.sleep(600)"), tmp_path, Budget(0.25))
    assert waiting.stopped == "did not end within 1.5 s"
    assert busy.code == waiting.code == -signal.SIGKILL


@pytest.mark.skipif(sys.platform != "linux", reason="reads proc(5)")
def test_memory_is_that_of_all_processes(tmp_path: Path) -> None:
    """Two processes hold 60 MB each, touched: one of them has no more, both have twice that."""
    program = (
        "import os, time\n"
        "child = os.fork()\n"
        "held = b'x' * 60_000_000\n"
        "time.sleep(1)\n"
        "child and os.waitpid(child, 0)\n"
    )
    took = run(("-c", program), tmp_path, Budget(60))
    assert took.code == 0
    assert 57 < took.largest < 80
    assert took.together > 114


def test_a_distinct_marker_costs_the_slope_between_two_lists() -> None:
    def outcome(distinct: int, cpu: float, megabytes: float, markers: int) -> Outcome:
        made = Made(1, 1.0, markers, distinct, 1, 1.0)
        return Outcome(Run(cpu, cpu, megabytes, megabytes, 0, ""), "", made=made)

    own = [outcome(100, 5.0, 100.0, 1_000), outcome(1_100, 7.5, 150.0, 11_000)]
    plain = [outcome(100, 4.5, 90.0, 1_000), outcome(100, 6.0, 140.0, 11_000)]
    *_, first, second = growth(own, plain)
    assert first == "| 100 of 1,000 | 5.0 | 100 | – | – |"
    assert second == "| 1,100 of 11,000 | 7.5 | 150 | 2.50, 50.0 | 1.50, 10.0 |"
    *_, single = growth(own[1:], plain[:1])
    assert single == "| 1,100 of 11,000 | 7.5 | 150 | – | – |"


def test_a_goal_names_what_is_missed() -> None:
    took = Run(4.0, 6.0, 200.0, 200.0, 0, "")
    assert Goal(cpu=5, seconds=5, megabytes=150).told(took) == (
        "5 s CPU, 5 s, 150 MB: missed in s CPU and MB"
    )
    assert Goal(cpu=6).told(took) == "6 s CPU: met"
    assert Goal().told(took) == ""
