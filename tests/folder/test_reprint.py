"""The same marker again: to the byte, on the offcut, and refused where it would be another."""

from __future__ import annotations

import hashlib
import io
import json
import re
import shutil
from collections.abc import Mapping
from dataclasses import replace
from importlib.resources import files as resource_files
from pathlib import Path

import pypdf
import pytest

from layouts.markers.gather import Marker
from layouts.order.order import Order
from layouts.plan.design import Arrow
from layouts.terms.errors import InputError, OutputError
from layouts.terms.words import PartRole
from render.draw import draw
from render.files.atomic import manifest
from render.folder.reprint import reprint
from render.job import JobFolder
from render.shop.offcuts import offcut_size
from render.write import pdf
from tests.folder.conftest import OPTIONS, SUCTION, order_of, with_spec
from tests.helpers.pdf_objects import dictionary


def named(job: JobFolder, name: str, hand: str = "") -> Marker:
    (found,) = (
        marker
        for marker in job.markers
        if marker.plan.name.startswith(name) and marker.plan.hand == hand
    )
    return found


def forms(data: bytes) -> set[bytes]:
    """Every form of a PDF that chooses a color, read by pypdf: plates by their inks' names, and
    the forms within it by what they draw.
    """
    found = set()
    reader = pypdf.PdfReader(io.BytesIO(data))
    for page in reader.pages:
        for each in dictionary(page, "/Resources").get("/XObject", {}).values():
            form = each.get_object()
            text = form.get_data()
            spaces = form.get("/Resources", {}).get("/ColorSpace", {})
            for key, space in spaces.items():
                text = re.sub(
                    re.escape(key.encode()) + rb" (cs|CS)\b",
                    str(space[1]).encode() + rb" \1",
                    text,
                )
            for key, inner in form.get("/Resources", {}).get("/XObject", {}).items():
                drawn = hashlib.sha256(inner.get_object().get_data()).hexdigest().encode()
                text = re.sub(re.escape(key.encode()) + rb" Do\b", drawn + b" Do", text)
            if re.search(rb"\bcs\b", text):
                found.add(text)
    return found


def printed(files: Mapping[str, bytes]) -> set[bytes]:
    return {
        form for name, data in files.items() if name.startswith("print/") for form in forms(data)
    }


def copied(folder: Path, target: Path, changes: Mapping[str, bytes | None]) -> Path:
    """A job folder with some files changed or gone, and a manifest that vouches for the rest."""
    shutil.copytree(folder, target)
    names = [path for path in target.rglob("*") if path.is_file() and path.name != "manifest.json"]
    files = {path.relative_to(target).as_posix(): path.read_bytes() for path in names}
    kept = {name: data for name, data in {**files, **changes}.items() if data is not None}
    for name in files.keys() - kept.keys():
        (target / name).unlink()
    for name, data in {**kept, "manifest.json": manifest(kept)}.items():
        (target / name).write_bytes(data)
    return target


@pytest.fixture(scope="module")
def again(folder: Path, job: JobFolder) -> JobFolder:
    """Two left-hand HPL and one HTRS on one offcut."""
    ids = [f"{named(job, 'HPL', 'left-hand').id}=2", named(job, "HTRS").id]
    return reprint(folder, ids, OPTIONS, "700x1600mm")


def test_the_faces_are_the_same_to_the_byte(again: JobFolder, job: JobFolder) -> None:
    old, new = printed(job.files), printed(again.files)
    assert len(new) == 2
    assert new < old
    assert len(old) == len(job.markers)
    assert [each.code for each in again.findings if each.code.startswith("reprint")] == []


def test_they_are_what_was_asked_for(again: JobFolder, job: JobFolder, folder: Path) -> None:
    left, suction = named(job, "HPL", "left-hand"), named(job, "HTRS")
    assert {(each.id, each.quantity) for each in again.markers} == {(left.id, 2), (suction.id, 1)}
    arrows = {
        element.arrow
        for element in named(again, "HPL").face.design.lines[0]
        if element.arrow is not None
    }
    assert arrows == {Arrow.LEFT}
    record = json.loads(again.files["reprint.json"])
    assert {(each["id"], each["quantity"]) for each in record["markers"]} == {
        (left.id, 2),
        (suction.id, 1),
    }
    assert record["of"] == hashlib.sha256((folder / "manifest.json").read_bytes()).hexdigest()
    listed = json.loads(again.files["manifest.json"])["files"]
    assert listed.keys() == again.files.keys() - {"manifest.json"}


def test_they_lie_on_the_offcut(again: JobFolder) -> None:
    (group,) = again.groups
    (sheet,) = group.sheets
    assert (sheet.copies, sheet.width, sheet.length) == (1, 700.0, 1600.0)
    assert len(sheet.placed) == 3
    for each in sheet.placed:
        size = group.parts[each.name].size
        width, height = (size.height, size.width) if each.turned else (size.width, size.height)
        assert each.x >= group.stock.margin
        assert each.y >= group.stock.margin
        assert each.x + width <= 700 - group.stock.margin + 1e-6
        assert each.y + height <= 1600 - group.stock.margin + 1e-6
    (page,) = pypdf.PdfReader(io.BytesIO(again.files["print/film-1.pdf"])).pages
    assert float(page.mediabox.width) * 25.4 / 72 == pytest.approx(700, abs=0.01)
    assert float(page.mediabox.height) * 25.4 / 72 == pytest.approx(1600, abs=0.01)


def test_a_plate_comes_with_its_film_and_the_same_again_is_the_same(
    folder: Path, job: JobFolder
) -> None:
    key = named(job, "HSD").id
    one, two = (reprint(folder, [key, key], OPTIONS, "12x48in") for _ in range(2))
    assert {group.role: sum(group.quantities.values()) for group in one.groups} == {
        PartRole.FILM: 2,
        PartRole.PLATE: 2,
    }
    assert dict(one.files) == dict(two.files)


def test_a_newer_program_may_name_its_designs_otherwise(
    folder: Path, job: JobFolder, tmp_path: Path
) -> None:
    left, right = named(job, "HPL", "left-hand"), named(job, "HPL", "right-hand")
    changes: dict[str, bytes | None] = {}
    for name in ("markers.csv", "proof.json"):
        text = (folder / name).read_text("utf-8")
        changes[name] = text.replace(left.id, "0000000A").replace(right.id, "0000000B").encode()
    old = copied(folder, tmp_path / "job", changes)
    made = reprint(old, ["0000000a"], OPTIONS)
    assert [marker.id for marker in made.markers] == [left.id]
    assert printed(made.files) < printed(job.files)


def _other_print(order: Order) -> bytes:
    document, _, _ = draw(order, OPTIONS)
    return pdf.write(document)


def test_a_face_that_is_not_in_the_old_print_is_told_or_refused(
    folder: Path, job: JobFolder, tmp_path: Path
) -> None:
    # The old print files hold another marker, as if a program had written them otherwise.
    other = _other_print(order_of([with_spec(SUCTION, service="LTRS")]))
    changes: dict[str, bytes | None] = {
        name: other for name in job.files if name.startswith("print/")
    }
    key = named(job, "HTRS").id
    made = reprint(copied(folder, tmp_path / "known", changes), [key], OPTIONS)
    (finding,) = [each for each in made.findings if each.code == "reprint-rewritten"]
    assert "its shapes and inks are as recorded" in finding.what
    unknown = copied(folder, tmp_path / "unknown", {**changes, "proof.json": None})
    with pytest.raises(OutputError, match="not in the bytes that unknown printed"):
        reprint(unknown, [key], OPTIONS)


def test_a_folder_older_than_the_record_goes_by_its_ids(
    folder: Path, job: JobFolder, tmp_path: Path
) -> None:
    old = copied(folder, tmp_path / "job", {"proof.json": None})
    made = reprint(old, [named(job, "HV-118").id], OPTIONS, "8 x 24in")
    assert printed(made.files) < printed(job.files)
    assert made.groups[0].stock.width == pytest.approx(8 * 25.4)


def test_other_lettering_is_refused(folder: Path, job: JobFolder) -> None:
    font = Path(str(resource_files("font_roboto") / "files" / "Roboto-Bold.ttf"))
    with pytest.raises(InputError, match="can no longer be made as it was"):
        reprint(folder, [named(job, "HTRS").id], replace(OPTIONS, font=font))


def test_what_cannot_be_is_one_clear_sentence(folder: Path, job: JobFolder, tmp_path: Path) -> None:
    left, tag = named(job, "HPL", "left-hand").id, named(job, "HV-118").id
    for ids, stock, said in (
        (["0000000A", "0000000B"], None, "line '0000000A'.*line '0000000B'"),
        (["HPL"], None, "the job has no marker, tag or line 'HPL'"),
        ([], None, "no marker is named"),
        ([f"{left}=0"], None, "names no marker"),
        ([left, tag], "12x24in", "film and tags cannot share an offcut"),
        ([left], "30x600", "'30x600' is not a size; write width and length with their unit"),
        ([left], "20x900mm", "all margin"),
        ([left], "300x600mm", r"does not fit offcut 300 x 600 mm of 54 in roll"),
        ([f"{left}=5"], "300x800mm", "5 pieces take 2 sheets of the offcut 300 x 800 mm"),
    ):
        with pytest.raises(InputError, match=said):
            reprint(folder, ids, OPTIONS, stock)
    shutil.copytree(folder, tmp_path / "job")
    (tmp_path / "job" / "order.json").write_text("{}")
    with pytest.raises(InputError, match=r"order\.json is not the file that the manifest vouches"):
        reprint(tmp_path / "job", [left], OPTIONS)
    with pytest.raises(InputError, match="is not a job folder"):
        reprint(tmp_path, [left], OPTIONS)


def test_a_tag_or_a_line_names_every_piece_that_hangs_there(folder: Path, job: JobFolder) -> None:
    tag = named(job, "HV-118")
    by_tag = reprint(folder, ["hv-118"], OPTIONS)
    assert [(each.id, each.quantity) for each in by_tag.markers] == [(tag.id, tag.quantity)]
    (twice,) = reprint(folder, ["HV-118=2"], OPTIONS).markers
    assert (twice.id, twice.quantity) == (tag.id, 2)
    with pytest.raises(InputError, match=r"line 'HV-181'; did you mean .*HV-118"):
        reprint(folder, ["HV-181"], OPTIONS)


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("300x600mm", (300.0, 600.0)),
        ("12 x 24 in", (304.8, 609.6)),
        ("12in x 600mm", (304.8, 600.0)),
        ("30.5×61cm", (305.0, 610.0)),
    ],
)
def test_an_offcut_in_its_own_units(text: str, size: tuple[float, float]) -> None:
    assert offcut_size(text) == pytest.approx(size)
