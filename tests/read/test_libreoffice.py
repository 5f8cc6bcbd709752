"""Old and open workbooks as LibreOffice writes them; skipped where it has no spreadsheets."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

from tests.helpers.command import run, told
from tests.samples import demo_plant, untidy_plant

SOFFICE = shutil.which("soffice")
pytestmark = pytest.mark.skipif(SOFFICE is None, reason="LibreOffice is not installed")


def converted(path: Path, suffix: str, folder: Path) -> Path:
    """The workbook as LibreOffice saves it under another suffix."""
    assert SOFFICE is not None
    profile = f"-env:UserInstallation=file://{folder / 'profile'}"
    command = [SOFFICE, profile, "--headless", "--convert-to", suffix, "--outdir", str(folder)]
    subprocess.run([*command, str(path)], check=False, capture_output=True, timeout=180)
    target = folder / f"{path.stem}.{suffix}"
    if not target.exists():
        pytest.skip("this LibreOffice has no spreadsheet program")
    return target


def findings(path: Path) -> tuple[int, list[tuple[str, str, str]]]:
    table = told(run("check", path, "--json"))
    return table["markers"], sorted((e["code"], e["cell"], e["what"]) for e in table["findings"])


@pytest.mark.parametrize("suffix", ["xls", "ods"])
@pytest.mark.parametrize("book", [demo_plant.TARGET, untidy_plant.TARGET], ids=lambda p: p.stem)
def test_old_and_open_workbooks_read_as_the_new_one_does(
    book: Path, suffix: str, tmp_path: Path
) -> None:
    assert findings(converted(book, suffix, tmp_path)) == findings(book)
