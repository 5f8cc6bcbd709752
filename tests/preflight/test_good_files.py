"""Good files of every kind pass: ours, and ours as other programs write them again."""

from __future__ import annotations

import io
import subprocess
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from pikepdf import Array, Dictionary, Name

from layouts.drawing.document import Step
from render.color.profile import Cmyk
from render.preflight import Verdict, inspect
from render.write.pdf import Press, write
from tests.helpers.pdf_samples import ORANGE, big_page, proof_page, sheet, white_sheet
from tests.helpers.pdf_system import claiming, tool
from tests.preflight.edits import add, edited, layer, resource, separation, swap

DOCUMENTS = {"sheet": sheet, "white": white_sheet, "proof": proof_page, "big": big_page}


@pytest.mark.parametrize("claims", [False, True])
@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_kind_of_document_passes(name: str, claims: bool) -> None:
    report = inspect(write(DOCUMENTS[name](), claiming() if claims else Press()))
    assert report.failures == ()
    assert report.verdict is Verdict.PASS
    assert report.claim == ("PDF/X-4" if claims else "")


@pytest.mark.parametrize(
    "press",
    [
        Press(
            step_inks={Step.KISS_CUT: "Knife 1", Step.THROUGH_CUT: "Knife 2", Step.HOLE: "Bohrer ø"}
        ),
        Press(step_inks={Step.NOTES: "Notes"}),
    ],
)
def test_the_ink_names_of_a_machine_pass(press: Press) -> None:
    report = inspect(write(sheet(), press))
    assert report.failures == ()
    assert set(press.step_inks.values()) <= set(report.inks)


def test_process_values_under_a_process_profile_pass() -> None:
    values = {ORANGE.name: Cmyk(0.0, 0.6, 1.0, 0.0)}
    report = inspect(write(sheet(), Press(claiming().profile, process=values)))
    assert report.failures == ()
    assert "DeviceCMYK" in report.inks


@pytest.mark.parametrize(
    "date", [None, "2026-03-31", "2026-03-31T10:20:30Z", "2026-12-31T23:59:59-06:00"]
)
def test_every_kind_of_date_passes(date: str | None) -> None:
    assert inspect(write(sheet(date=date), claiming())).failures == ()


@pytest.mark.parametrize(
    "options",
    [
        {"object_stream_mode": pikepdf.ObjectStreamMode.generate},
        {"linearize": True},
        {"qdf": True},
        {"recompress_flate": True},
        {"normalize_content": True},
    ],
    ids=lambda options: next(iter(options)),
)
@pytest.mark.parametrize("claims", [False, True])
def test_a_file_saved_in_another_form_passes(options: dict[str, Any], claims: bool) -> None:
    data = write(sheet(), claiming() if claims else Press())
    target = io.BytesIO()
    with pikepdf.open(io.BytesIO(data)) as pdf:
        pdf.save(target, fix_metadata_version=False, **options)
    assert inspect(target.getvalue()).failures == ()


@pytest.mark.tools
@pytest.mark.parametrize("claims", [False, True])
def test_a_file_written_again_by_mupdf_passes(claims: bool, tmp_path: Path) -> None:
    before, after = tmp_path / "before.pdf", tmp_path / "after.pdf"
    before.write_bytes(write(sheet(), claiming() if claims else Press()))
    subprocess.run([tool("mutool"), "clean", "-s", str(before), str(after)], check=True)
    assert inspect(after).failures == ()


@pytest.mark.tools
def test_spot_artwork_written_by_ghostscript_is_judged_without_a_crash(tmp_path: Path) -> None:
    before, after = tmp_path / "before.pdf", tmp_path / "after.pdf"
    before.write_bytes(write(proof_page()))
    command = [
        tool("gs"),
        "-q",
        "-dNOPAUSE",
        "-dBATCH",
        "-sDEVICE=pdfwrite",
        f"-sOutputFile={after}",
    ]
    subprocess.run([*command, str(before)], check=True)
    assert inspect(after).failures == ()


def test_a_foreign_plain_file_with_gray_and_process_colors_passes_with_notes() -> None:
    """No claim, no steps: boxes beyond the media box are not asked for."""
    with pikepdf.new() as pdf:
        page = pdf.add_blank_page(page_size=(300, 200))
        page.Contents = pdf.make_stream(b"0.5 g 0 0 9 9 re f 0 1 1 0 k 9 9 9 9 re f")
        target = io.BytesIO()
        pdf.save(target)
    report = inspect(target.getvalue())
    assert report.failures == ()
    notes = {point.code for point in report.points if point.verdict is Verdict.NOTE}
    assert {"claim-none", "box-trim", "color-gray", "color-cmyk"} <= notes


def test_a_through_cut_with_small_bridges_is_noted_and_passes() -> None:
    """Four pieces, 2 mm apart, hold the part until it is broken out."""

    def bridge(pdf: pikepdf.Pdf) -> None:
        pieces = [(b"0 0 m 500000 0 l", b"S"), (b"520000 0 m 520000 300000 l", b"S")]
        pieces += [(b"500000 300000 m 0 300000 l", b"S"), (b"-20000 300000 m -20000 0 l", b"S")]
        drawn = b"\n".join(path + b"\n" + paint for path, paint in pieces)
        swap(
            layer(pdf, "Through cut"), rb"(q 1 0 0 1 \d+ \d+ cm)[^S]*S Q", rb"\1\n" + drawn + b"\nQ"
        )

    report = inspect(edited(write(sheet()), bridge))
    assert report.failures == ()
    (point,) = [point for point in report.points if point.code == "cut-open"]
    assert point.verdict is Verdict.NOTE


def test_images_and_vendor_steps_are_notes() -> None:
    def edit(pdf: pikepdf.Pdf) -> None:
        image = pdf.make_stream(b"\x80")
        for key, value in {
            "/Type": Name.XObject,
            "/Subtype": Name.Image,
            "/Width": 1,
            "/Height": 1,
            "/BitsPerComponent": 8,
            "/ColorSpace": separation("Photo"),
        }.items():
            image[key] = value
        resource(pdf.pages[0].obj, "/XObject", "/X", image)
        add(pdf, b"q /X Do Q")
        group = pdf.Root["/OCProperties"]["/OCGs"][3]
        group["/GTS_Metadata"] = Dictionary({"/GTS_ProcStepsGroup": Name("/SHOP_Jig")})

    report = inspect(edited(write(sheet()), edit))
    assert report.failures == ()
    notes = {point.code for point in report.points if point.verdict is Verdict.NOTE}
    assert {"image-present", "step-group"} <= notes


def test_an_inherited_media_box_is_one() -> None:
    def edit(pdf: pikepdf.Pdf) -> None:
        box = pdf.pages[0].obj["/MediaBox"]
        del pdf.pages[0].obj["/MediaBox"]
        pdf.Root["/Pages"]["/MediaBox"] = Array(list(box))

    report = inspect(edited(write(sheet()), edit))
    assert report.failures == ()
    assert report.pages[0].width == pytest.approx(300)
