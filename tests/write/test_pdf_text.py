"""Text of papers: read back by poppler and pypdf, which share no code with the writer."""

from __future__ import annotations

import io
import subprocess
from pathlib import Path
from typing import Any

import numpy as np
import pikepdf
import pypdf
import pytest

from layouts.drawing import Affine, Point, Rect, Size
from layouts.drawing.document import Document, Layer, Page, Placement
from layouts.drawing.inks import Ink, InkRole, Lab
from layouts.drawing.typeset import Typesetter
from render.preflight import PAPERS, inspect
from render.read.fonts import default_typefaces
from render.write import pdf, svg
from tests.helpers.paper_reading import raster
from tests.helpers.raw_outlines import raw

BLACK = Ink("Black", Lab(0, 0, 0), InkRole.BLACK)
LETTER = Size(215.9, 279.4)
LINES = ("Trace the line to both ends: AVATAR, To. 1-1/2 in", "Línea de amoníaco – °F", "HV-118")


def paper(live: bool, pages: int = 1) -> Document:
    """The lines below each other on each page, the first with its baseline at 30 mm."""
    setter = Typesetter(default_typefaces().text, live)
    box = Rect(0, 0, LETTER.width, LETTER.height)
    items = tuple(
        placed
        for number, text in enumerate(LINES)
        for placed in setter.line(text, Point(20, 30 + 12 * number), 3, BLACK)
    )
    sheets = tuple(
        Page(f"p{n}", f"Page {n} of {pages}", LETTER, box, box, (Layer("Paper", items),))
        for n in range(1, pages + 1)
    )
    return Document("paper", "A paper", sheets, setter.symbols())


@pytest.fixture(scope="module")
def file() -> bytes:
    return pdf.write(paper(live=True, pages=2))


def test_text_is_read_in_its_order(file: bytes, tmp_path: Path) -> None:
    source = tmp_path / "paper.pdf"
    source.write_bytes(file)
    read = subprocess.run(
        ["pdftotext", "-f", "1", "-l", "1", str(source), "-"], check=True, capture_output=True
    )
    assert [line for line in read.stdout.decode().splitlines() if line.strip("\f")] == list(LINES)
    assert [page.extract_text().splitlines() for page in pypdf.PdfReader(source).pages] == [
        list(LINES)
    ] * 2


def test_text_looks_as_its_outlines_do(file: bytes) -> None:
    text, drawn = (
        raster(each, 1, 200)[:, :, 0] < 128 for each in (file, pdf.write(paper(live=False)))
    )
    assert drawn.sum() > 5000
    # Poppler rounds letters and outlines to pixels differently, so the neighbors count as well.
    for one, other in ((text, drawn), (drawn, text)):
        near = np.zeros_like(other)
        for down in (-1, 0, 1):
            for right in (-1, 0, 1):
                near |= np.roll(other, (down, right), (0, 1))
        assert not (one & ~near).any()


def test_widths_and_kerning_are_those_of_the_font_file() -> None:
    font, text = raw("light"), LINES[0]
    width = sum(map(font.advance, text)) + sum(map(font.kern, text, text[1:]))
    setter = Typesetter(default_typefaces().text, live=True)
    assert setter.width(text, 3) == pytest.approx(width * 3, abs=1e-9)
    (wording,) = (
        symbol.wording for name, symbol in paper(True).symbols.items() if name.endswith(text)
    )
    assert wording is not None
    assert "".join(piece for piece, _ in wording.pieces) == text
    kerning = sum(kern for _, kern in wording.pieces)
    assert kerning == pytest.approx(sum(map(font.kern, text, text[1:])), abs=1e-9)


def test_papers_tell_language_title_and_pages(file: bytes) -> None:
    reader = pypdf.PdfReader(io.BytesIO(file))
    root: Any = reader.trailer["/Root"]
    assert root["/Lang"] == "en-US"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert reader.metadata is not None
    assert reader.metadata.title == "A paper"
    titles = [each.title for each in reader.outline if not isinstance(each, list)]
    assert titles == ["Page 1 of 2", "Page 2 of 2"]


def test_papers_are_judged_by_rules_for_papers(file: bytes) -> None:
    assert inspect(file, rules=PAPERS).failures == ()
    assert "font-live" in inspect(file).codes


def test_a_paper_without_its_font_fails(file: bytes) -> None:
    with pikepdf.open(io.BytesIO(file)) as opened:
        for each in opened.objects:
            if isinstance(each, pikepdf.Dictionary) and "/FontFile2" in each:
                del each["/FontFile2"]
        changed = io.BytesIO()
        opened.save(changed)
    assert "font-embedded" in inspect(changed.getvalue(), rules=PAPERS).codes


def test_what_the_font_lacks_is_written_as_its_number() -> None:
    setter = Typesetter(default_typefaces().text, live=True)
    (placed,) = setter.line("a \N{SNOWMAN}", Point(0, 0), 3, BLACK)
    wording = setter.symbols()[placed.symbol].wording
    assert wording is not None
    assert "".join(piece for piece, _ in wording.pieces) == "a <U+2603>"


def test_files_without_fonts_draw_the_letters() -> None:
    document = paper(live=True)
    (page,) = svg.write(document)
    assert page.count(b"<path") == len({char for line in LINES for char in line if char != " "})
    assert isinstance(document.pages[0].layers[0].items[0], Placement)
    assert document.pages[0].layers[0].items[0].at == Affine(0.3, 0, 0, 0.3, 20, 30)
