"""What a command prints reaches people unharmed, and never decides how the command ends."""

from __future__ import annotations

import csv
import io
import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.helpers.command import PIPE, VALVE, VESSEL, everything, run, write_list

PROGRAM = (sys.executable, "-m", "pipelegend")
HOSTILE = "\x1b[31mRED\u202e\x9b2J"


def started(*words: str | Path, stdout: int = subprocess.PIPE) -> subprocess.Popen[bytes]:
    command = [*PROGRAM, *map(str, words)]
    return subprocess.Popen(command, stdout=stdout, stderr=subprocess.PIPE)


@pytest.fixture
def line_list(tmp_path: Path) -> Path:
    return write_list(tmp_path / "list.csv", [PIPE, VALVE])


@pytest.mark.parametrize("command", [("schema",), ("schemes",), ("stocks", "--json")])
def test_a_reader_that_stops_reading_is_no_verdict(command: tuple[str, ...]) -> None:
    """The pipe is closed before the first byte, as by `| head -0`."""
    reading, writing = os.pipe()
    os.close(reading)
    done = started(*command, stdout=writing)
    os.close(writing)
    assert done.communicate()[1] == b""
    assert done.returncode == 0


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs Linux's /dev/full")
def test_a_full_output_is_told_in_a_sentence(line_list: Path) -> None:
    with Path("/dev/full").open("wb") as full:
        done = started("check", line_list, stdout=full.fileno())
        error = done.communicate()[1].decode()
    assert done.returncode == 2
    assert error == "pipelegend: the output could not be written: No space left on device\n"


def test_no_sign_of_a_file_is_obeyed_by_the_terminal(tmp_path: Path) -> None:
    rows = [{**PIPE, "legend": HOSTILE, "service": HOSTILE, HOSTILE: "x"}]
    path = write_list(tmp_path / f"li{HOSTILE.replace('[', '')}st.csv", rows)
    for words in ((), ("--json",)):
        done = subprocess.run(
            [*PROGRAM, "check", str(path), *words], capture_output=True, text=True, check=False
        )
        assert done.returncode == 2
        printed = done.stdout + done.stderr
        assert not {"\x1b", "\u202e", "\x9b"} & set(printed)
        assert "RED" in printed
    assert json.loads(done.stdout)["findings"][0]["file"] == path.name


def test_no_cell_of_a_table_is_a_formula(tmp_path: Path) -> None:
    """OWASP, CSV Injection: a cell that begins with =, +, - or @ is run by a spreadsheet."""
    names = ("=CMD|' /C CALC'!A0", "@SUM(1)", "+1+1", "-1+1")
    rows = [{**VESSEL, "legend": name, "tag": f"T-{n}"} for n, name in enumerate(names)]
    listed = write_list(tmp_path / "list.csv", rows)
    assert run("order", listed, "-o", tmp_path / "job").exit_code == 0
    other = write_list(tmp_path / "other.csv", [VALVE])
    assert run("diff", tmp_path / "job", other, "-o", tmp_path / "changes").exit_code == 0
    tables = [*tmp_path.glob("job/**/*.csv"), *tmp_path.glob("changes/*.csv")]
    assert {"markers.csv", "materials.csv", "changes.csv"} <= {path.name for path in tables}
    texts = [
        cell
        for path in tables
        for row in csv.reader(io.StringIO(path.read_text("utf-8"), newline=""))
        for cell in row
    ]
    assert sum(cell.startswith("'=CMD|") for cell in texts) >= 2
    assert [cell for cell in texts if cell[:1] in tuple("=+-@")] == []


def test_a_request_to_stop_leaves_nothing(tmp_path: Path) -> None:
    """SIGTERM and SIGINT, at moments spread over the run: no folder, and no part of one."""
    sizes = (1, 2, 3, 4, 6, 8, 10, 12)
    rows = [{**PIPE, "line": f"L-{n}", "pipe": f"NPS {sizes[n % 8]}"} for n in range(400)]
    listed = write_list(tmp_path / "list.csv", rows)
    for number, delay in ((signal.SIGTERM, 0.9), (signal.SIGINT, 1.6), (signal.SIGTERM, 2.4)):
        child = started("order", listed, "-o", tmp_path / "job")
        time.sleep(delay)
        child.send_signal(number)
        child.communicate()
        if child.returncode == 0:  # it was quicker
            assert (tmp_path / "job" / "manifest.json").exists()
            return
        assert child.returncode in (128 + number, -number)
        assert everything(tmp_path).keys() == {"list.csv"}


def test_a_killed_parent_takes_its_processes_along() -> None:
    """Linux prctl(2), PR_SET_PDEATHSIG. They would wait for ever, holding standard error."""
    if sys.platform != "linux":
        pytest.skip("other systems start no further processes")
    code = (
        "import os, time\n"
        "from functools import partial\n"
        "from render.processes import run_all\n"
        "def piece(): os.write(2, f'{os.getpid()}\\n'.encode()); time.sleep(600)\n"
        "run_all([piece, piece], 2)\n"
    )
    parent = subprocess.Popen([sys.executable, "-c", code], stderr=subprocess.PIPE)
    assert parent.stderr is not None
    with parent.stderr as stream:
        assert all(int(stream.readline()) != parent.pid for _ in range(2))
        parent.kill()
        parent.wait()
        assert stream.read() == b""  # ends only when no process holds it any more
