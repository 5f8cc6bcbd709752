"""Same document, same bytes; another document, other bytes."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from layouts.drawing.document import Document, Step
from render.write.pdf import Press, write
from tests.helpers.pdf_samples import ORANGE, proof_page, sheet, white_sheet
from tests.helpers.pdf_system import claiming

TOP = Path(__file__).resolve().parents[2]
SCRIPT = """
import hashlib
from render.write.pdf import write
from tests.helpers.pdf_samples import proof_page, sheet, white_sheet
for make in (sheet, white_sheet, proof_page):
    print(hashlib.sha256(write(make())).hexdigest())
"""


@pytest.mark.parametrize("make", [sheet, white_sheet, proof_page])
def test_two_runs_give_the_same_bytes(make: Callable[[], Document]) -> None:
    assert write(make()) == write(make())
    assert write(make(), claiming()) == write(make(), claiming())


def test_another_process_day_zone_and_hash_seed_give_the_same_bytes() -> None:
    here = [hashlib.sha256(write(make())).hexdigest() for make in (sheet, white_sheet, proof_page)]
    for seed, zone in (("1", "Asia/Tokyo"), ("77", "America/Chicago")):
        surroundings = {**os.environ, "PYTHONHASHSEED": seed, "TZ": zone}
        done = subprocess.run(
            [sys.executable, "-c", SCRIPT],
            cwd=TOP,
            env=surroundings,
            capture_output=True,
            text=True,
            check=True,
        )
        assert done.stdout.split() == here


@pytest.mark.parametrize(
    "changed",
    [
        sheet(rows=4),
        sheet(date="2026-04-01"),
        sheet(date=None),
        replace(sheet(), title="Another"),
        replace(sheet(), id="another"),
    ],
    ids=["rows", "date", "no date", "title", "id"],
)
def test_another_document_gives_other_bytes_and_another_identifier(changed: Document) -> None:
    one, other = write(sheet()), write(changed)
    assert one != other
    assert identifier(one) != identifier(other)


def test_another_press_gives_other_bytes() -> None:
    presses = [Press(), claiming(), Press(step_inks={Step.KISS_CUT: "Knife"})]
    assert len({write(sheet(), press) for press in presses}) == len(presses)


def test_a_symbol_that_nobody_places_changes_nothing() -> None:
    document = sheet()
    more = replace(document, symbols={"first": document.symbols["H"], **document.symbols})
    assert write(more) == write(document)


def test_no_clock_and_no_path_stand_in_the_file() -> None:
    data = write(sheet(date=None))
    assert b"/CreationDate" not in data
    assert os.getcwd().encode() not in data
    assert ORANGE.name.replace(" ", "#20").encode() in data


def identifier(data: bytes) -> bytes:
    return data[data.rindex(b"/ID") :]
