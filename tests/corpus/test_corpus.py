"""More than a thousand spoiled files over all readers: each is read or refused, and nothing else.

Each case is made by its seed and stored nowhere. The command that reads it ends with exit code 0,
1 or 2, prints no traceback and no character that steers a terminal, leaves no file behind but its
output (and none at all where it refuses), and keeps to the limits of CPU time and memory that
`tests.corpus.judging` sets.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.corpus.originals import READERS

pytestmark = [
    pytest.mark.skipif(sys.platform != "linux", reason="needs limits of the system"),
    pytest.mark.slow,
]
TOP = Path(__file__).resolve().parents[2]
SAMPLE, WHOLE = 6, 60  # cases of each reader
# Cases that once failed, by reader and number.
KEPT = (
    ("job found", 1),  # an order that is no JSON
    ("job found", 31),  # an order without positions
    ("remnants", 58),  # a roll of 3e99 mm, nested for ever
    ("drawing", 85),  # a DXF in which the library runs out of tags
)


def ends(first: int, last: int, *names: str) -> Iterator[tuple[str, int, int, list[str]]]:
    """Reader, number, exit code and faults of each case."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.corpus.judging", str(first), str(last), *names],
        cwd=TOP,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    for line in done.stdout.splitlines():
        name, number, code, faults, _cpu_s, _peak_mb = json.loads(line)
        yield name, number, code, faults


def test_the_sound_files_are_read() -> None:
    """Else the cases would show only that everything is refused."""
    most = max(len(reader.originals) for reader in READERS)
    found = list(ends(-most, 0))
    assert len(found) == most * len(READERS)
    assert [each for each in found if each[2] == 2 or each[3]] == []


def test_a_sample_of_the_cases() -> None:
    found = list(ends(0, SAMPLE))
    assert len(found) == SAMPLE * len(READERS) >= 120
    assert [each for each in found if each[3]] == []


@pytest.mark.full
@pytest.mark.parametrize("name", [reader.name for reader in READERS])
def test_all_cases(name: str) -> None:
    assert WHOLE * len(READERS) >= 1000
    found = list(ends(0, WHOLE, name))
    assert len(found) == WHOLE
    assert [each for each in found if each[3]] == []
    assert any(each[2] == 2 for each in found)  # they are spoiled indeed


@pytest.mark.parametrize(("name", "number"), KEPT)
def test_a_case_that_once_failed(name: str, number: int) -> None:
    assert [each for each in ends(number, number + 1, name) if each[3]] == []
