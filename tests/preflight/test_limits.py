"""Files that ask for too much: a verdict within 500 MB and 10 CPU seconds, never a traceback."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

import render
from tests.preflight.bombs import bombs, file_of

resource = pytest.importorskip("resource", reason="this system has no limits on processes")
BOMBS = list(bombs())
JUDGE = """
import json, resource, sys
resource.setrlimit(resource.RLIMIT_AS, (500 << 20, 500 << 20))
resource.setrlimit(resource.RLIMIT_CPU, (10, 10))
from pathlib import Path
from render.preflight import as_dict, inspect
print(json.dumps(as_dict(inspect(Path(sys.argv[1])))))
"""


def judged(path: Path) -> dict[str, object]:
    """What `inspect` says in a process that is stopped at the limits."""
    root = str(Path(render.__file__).parents[1])
    done = subprocess.run(
        [sys.executable, "-c", JUDGE, str(path)],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": root},
    )
    assert "Traceback" not in done.stderr
    assert done.returncode == 0, f"stopped by signal {-done.returncode}"
    found = json.loads(done.stdout)
    assert isinstance(found, dict)
    return found


@pytest.mark.parametrize(("name", "made", "right"), BOMBS, ids=[name for name, _, _ in BOMBS])
def test_a_bomb_is_judged_within_the_limits(
    name: str, made: Callable[[], bytes], right: set[str], tmp_path: Path
) -> None:
    path = tmp_path / "bomb.pdf"
    path.write_bytes(made())
    found = judged(path)
    assert found["verdict"] in right
    if found["verdict"] == "too large to judge":
        listed = found["points"]
        assert isinstance(listed, list)
        points = [point for point in listed if point["verdict"] == found["verdict"]]
        assert all(point["code"].startswith("limit-") and point["right"] for point in points)


def test_a_plain_file_written_like_the_bombs_passes(tmp_path: Path) -> None:
    path = tmp_path / "plain.pdf"
    path.write_bytes(file_of(b"0 0 0 1 k 0 0 9 9 re f"))
    assert judged(path)["verdict"] == "pass"
