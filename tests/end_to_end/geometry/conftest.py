"""One job of every kind, its files, and its sheets as documents."""

from __future__ import annotations

from pathlib import Path

import pytest

from layouts.drawing.document import Document
from layouts.drawing.typeset import Typesetter
from layouts.pages.margin import SheetText
from render.job import JobFolder
from render.read.fonts import default_typefaces
from tests.end_to_end.conftest import LIST, job_of
from tests.helpers.matrix import options
from tests.helpers.sheet_pages import assemble


@pytest.fixture(scope="session")
def job(tmp_path_factory: pytest.TempPathFactory) -> JobFolder:
    path: Path = tmp_path_factory.mktemp("list") / "plant.csv"
    path.write_text(LIST)
    return job_of(path)


@pytest.fixture(scope="session")
def sheets(job: JobFolder) -> list[Document]:
    """The pages of each group, notes left out."""
    setter = Typesetter(default_typefaces().text)
    text = SheetText("geometry", ())
    printer = options().shop.printer
    return [assemble(group, text, printer, setter) for group in job.groups]
