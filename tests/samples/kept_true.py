"""Samples of what keeps markers true: a filled survey, its papers, the register, the audit record.

They come of the commands, run on the demo plant and its half-labeled machinery room.
"""

from __future__ import annotations

import csv
import io
import subprocess
import tempfile
from pathlib import Path

from openpyxl import load_workbook
from PIL import Image

from tests.helpers.command import run
from tests.helpers.surveying import fill, ids_of
from tests.samples.half_labeled import (
    APPROVED_ON,
    APPROVER,
    FITTED_ON,
    FITTER,
    READ_ON,
    STRAYS,
    SURVEYED_ON,
    SURVEYOR,
    answers,
)

TARGET = Path(__file__).resolve().parents[2] / "output_samples"
AREA = "Machinery room"


def write() -> None:
    """Write every sample of the walk from a survey to an audit."""
    with tempfile.TemporaryDirectory() as name:
        top = Path(name)
        demo = TARGET / "demo_plant.xlsx"
        _run("survey", demo, "--area", AREA, "-o", top / "survey")
        sheet = top / "survey" / "machinery-room.xlsx"
        fill(sheet, answers(ids_of(sheet)), SURVEYOR, SURVEYED_ON, STRAYS)
        _run("found", demo, sheet, "--date", READ_ON, "-o", top / "found")
        _run("order", top / "found" / "order.json", "-o", top / "job")
        _run("register", top / "register", "--found", top / "found")
        _run(
            *("approve", top / "job", "--by", APPROVER, "--date", APPROVED_ON),
            *("-o", top / "approval.json"),
        )
        _run(
            *("register", top / "register", "--job", top / "job", "--area", AREA),
            *("--approval", top / "approval.json", "--by", FITTER, "--date", FITTED_ON),
        )
        prices = TARGET / "prices_example.toml"
        _run(
            *("rounds", top / "register", "--until", "2029-12-31", "--prices", prices),
            *("-o", top / "round"),
        )
        _run("audit", top / "register", "--date", "2027-02-28", "-o", top / "audit.pdf")
        (TARGET / "survey_filled.csv").write_bytes(_as_csv(sheet))
        (TARGET / "register.csv").write_bytes((top / "register" / "register.csv").read_bytes())
        for paper, page, sample in (
            ("survey/machinery-room.pdf", 1, "survey_sheet.png"),
            ("found/changes.pdf", 1, "survey_changes.png"),
            ("round/replacements.pdf", 1, "replacements.png"),
            ("audit.pdf", 1, "audit_record.png"),
        ):
            _picture(top / paper, page, TARGET / sample)


def _run(*arguments: str | Path) -> None:
    result = run(*arguments)
    assert result.exit_code == 0, result.output


def _as_csv(book: Path) -> bytes:
    """A filled sheet as a spreadsheet saves it; its rows up to the last that holds something."""
    rows = list(load_workbook(book)["Survey"].iter_rows(values_only=True))
    while not any(rows[-1]):
        rows.pop()
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\n")
    writer.writerows(["" if cell is None else cell for cell in row] for row in rows)
    return text.getvalue().encode()


def _picture(pdf: Path, page: int, target: Path) -> None:
    """A page as poppler draws it, 800 pixels wide."""
    span = ["-f", str(page), "-l", str(page), "-singlefile", "-png"]
    size = ["-scale-to-x", "800", "-scale-to-y", "-1"]
    command = ["pdftoppm", *span, *size, str(pdf), str(target.with_suffix(""))]
    subprocess.run(command, check=True)
    image = Image.open(target).convert("RGB")
    image.save(target, optimize=True)
