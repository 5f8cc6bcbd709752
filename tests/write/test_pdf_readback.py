"""Written files read back by programs that share no code with the writer."""

from __future__ import annotations

import io
import re
import subprocess
from dataclasses import replace
from pathlib import Path

import pypdf
import pytest

from layouts.drawing import Size
from layouts.drawing.document import Document, Symbol
from layouts.terms.errors import OutputError
from render.write.pdf import Press, write
from tests.helpers.pdf_objects import array, dictionary
from tests.helpers.pdf_samples import big_page, proof_page, sheet, white_sheet
from tests.helpers.pdf_system import claiming, tool

DOCUMENTS = {"sheet": sheet, "white": white_sheet, "proof": proof_page, "big": big_page}
MM = 72 / 25.4


@pytest.fixture(params=DOCUMENTS)
def document(request: pytest.FixtureRequest) -> Document:
    return DOCUMENTS[request.param]()


@pytest.mark.tools
@pytest.mark.parametrize("claims", [False, True])
def test_qpdf_finds_no_fault(document: Document, claims: bool, tmp_path: Path) -> None:
    path = saved(tmp_path, write(document, claiming() if claims else Press()))
    done = subprocess.run([tool("qpdf"), "--check", path], capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "PDF Version: 1.6" in done.stdout


@pytest.mark.tools
def test_poppler_sees_the_boxes_and_no_font(tmp_path: Path) -> None:
    path = saved(tmp_path, write(sheet()))
    info = output(tool("pdfinfo"), "-box", path)
    width, height = 300 * MM, 220 * MM
    assert re.search(r"Pages:\s+1\n", info)
    assert boxes(info, "MediaBox") == pytest.approx([0, 0, width, height], abs=0.01)
    assert boxes(info, "BleedBox") == pytest.approx(
        [10 * MM, 10 * MM, width - 10 * MM, height - 10 * MM], abs=0.01
    )
    assert boxes(info, "TrimBox") == pytest.approx(
        [12 * MM, 12 * MM, width - 12 * MM, height - 12 * MM], abs=0.01
    )
    assert "Sample sheet" in info
    fonts = output(tool("pdffonts"), path).splitlines()
    assert len(fonts) == 2, "two lines of heading and no font"


def test_pypdf_sees_one_definition_an_ink_and_only_the_inks_in_use() -> None:
    reader = pypdf.PdfReader(io.BytesIO(write(sheet())))
    spaces = dictionary(reader.pages[0], "/Resources", "/ColorSpace")
    inks = {space.get_object()[1]: space.get_object() for space in spaces.values()}
    assert set(inks) == {
        *("/Safety Orange", "/Sky Blue", "/Safety Red", "/Black"),
        *("/PartialCutting", "/Cutting", "/Drilling", "/Legend", "/CodingMarking"),
    }
    orange = inks["/Safety Orange"]
    family, white = orange[2].get_object()
    assert (orange[0], family) == ("/Separation", "/Lab")
    assert [float(each) for each in white["/WhitePoint"]] == [0.9642, 1, 0.8249]
    assert [float(each) for each in white["/Range"]] == [-128, 127, -128, 127]
    assert [float(each) for each in orange[3]["/C1"]] == [61.73, 38.2, 81.82]


def test_pypdf_sees_steps_as_layers_with_their_vocabulary() -> None:
    reader = pypdf.PdfReader(io.BytesIO(write(sheet())))
    properties = dictionary(reader.root_object, "/OCProperties")
    groups = array(properties, "/OCGs")
    steps = {
        group.get_object()["/Name"]: tuple(group.get_object()["/GTS_Metadata"].values())
        for group in groups
    }
    assert steps == {
        "Kiss cut": ("/Structural", "/PartialCutting"),
        "Through cut": ("/Structural", "/Cutting"),
        "Holes": ("/Structural", "/Drilling"),
        "Notes": ("/Legend",),
        "Marks": ("/Positions", "/CodingMarking"),
    }
    default = dictionary(properties, "/D")
    assert default["/Name"]
    assert list(array(default, "/Order")) == list(groups)
    assert "/AS" not in default


def test_one_form_a_symbol_in_use_and_none_for_the_others() -> None:
    document = sheet(rows=5)
    unused = {**document.symbols, "unused": document.symbols["face-1"]}
    reader = pypdf.PdfReader(io.BytesIO(write(_with_symbols(document, unused))))
    forms = dictionary(reader.pages[0], "/Resources", "/XObject")
    assert len(forms) == 3, "the face and the letters H and O"
    content = reader.pages[0].get_contents()
    assert content is not None
    assert content.get_data().count(b" Do") == 5 + 5 + 3


def test_a_document_without_steps_has_no_layers() -> None:
    root = pypdf.PdfReader(io.BytesIO(write(proof_page()))).root_object
    assert "/OCProperties" not in root


def test_a_letter_of_running_text_costs_few_bytes() -> None:
    short, long = (len(write(proof_page(lines))) for lines in (10, 60))
    letters = 50 * 80
    assert (long - short) / letters < 8


def test_the_longest_page_is_in_points_and_a_longer_one_is_refused() -> None:
    page = pypdf.PdfReader(io.BytesIO(write(big_page()))).pages[0]
    assert "/UserUnit" not in page
    # 14,400 points: ISO 32000-1, annex C (from memory).
    assert [float(each) for each in page.mediabox] == pytest.approx(
        [0, 0, 14400, 300 * MM], abs=0.01
    )
    longer = replace(big_page().pages[0], size=Size(5081, 300))
    with pytest.raises(OutputError, match="no side of a PDF page is longer than 5080 mm"):
        write(replace(big_page(), pages=(longer,)))


@pytest.mark.tools
def test_the_longest_page_renders_at_its_size(tmp_path: Path) -> None:
    path = saved(tmp_path, write(big_page()))
    command = [tool("gs"), "-q", "-dNOPAUSE", "-dBATCH", "-sDEVICE=bbox", path]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    found = re.search(r"%%HiResBoundingBox: (\S+) (\S+) (\S+) (\S+)", done.stderr)
    assert found
    left, _, right, _ = (float(each) for each in found.groups())
    assert (right - left) / MM == pytest.approx(4880, abs=1.0)


def saved(folder: Path, data: bytes) -> str:
    path = folder / "file.pdf"
    path.write_bytes(data)
    return str(path)


def output(*command: str) -> str:
    return subprocess.run(command, capture_output=True, text=True, check=True).stdout


def boxes(info: str, name: str) -> list[float]:
    found = re.search(rf"{name}:\s+(\S+)\s+(\S+)\s+(\S+)\s+(\S+)", info)
    assert found
    return [float(each) for each in found.groups()]


def _with_symbols(document: Document, symbols: dict[str, Symbol]) -> Document:
    return Document(document.id, document.title, document.pages, symbols, document.date)
