"""The command as the tests run it, and small lists for it."""

from __future__ import annotations

import csv
import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from typer.testing import CliRunner, Result

from render.cli import app

PIPE = {
    "kind": "pipe",
    "service": "HTRS",
    "state": "both",
    "pressure_psig": "30",
    "flow": "left",
    "pipe": "NPS 4",
    "covering_in": "1.5",
}
VALVE = {"kind": "valve", "tag": "HV-118", "service": "HPL", "function": "King valve"}
VESSEL = {"kind": "equipment", "tag": "HPR-1", "legend": "Receiver", "level": "high"}
# What a technician types for one marker.
MARKER = (
    *("marker", "HTRS", "--state", "both", "--psig", "30", "--pipe", "NPS 4"),
    *("--covering", "1.5in", "--flow", "left"),
)


def run(*arguments: str | Path) -> Result:
    """The command in this process; what it raises is raised here."""
    result = CliRunner().invoke(app, [str(each) for each in arguments])
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result


def told(result: Result) -> dict[str, Any]:
    """Standard output as JSON: it must hold that and nothing else."""
    table = json.loads(result.stdout)
    assert isinstance(table, dict)
    return table


def write_list(path: Path, rows: Sequence[Mapping[str, str]]) -> Path:
    """A CSV list with every heading that one of its rows fills."""
    headings = list(dict.fromkeys(name for row in rows for name in row))
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, headings, restval="")
        writer.writeheader()
        writer.writerows(rows)
    return path


def everything(folder: Path) -> dict[str, bytes]:
    """Every file under a folder, hidden and left-over ones too."""
    return {
        str(path.relative_to(folder)): path.read_bytes() if path.is_file() else b"folder"
        for path in folder.rglob("*")
    }
