"""What a proof approves: the hash knows every change of it and none of anything else."""

from __future__ import annotations

import hashlib
import json
import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from pydantic import TypeAdapter

from layouts.drawing import Affine
from layouts.drawing.document import Fill
from layouts.drawing.inks import Lab
from layouts.face import Face
from layouts.markers.content import Content, content_of, proof_hash, proof_json
from layouts.markers.fingerprint import fingerprint
from layouts.schemes.loader import load_scheme
from layouts.terms.errors import InputError
from layouts.terms.findings import Severity
from render.decide import decide
from render.files.atomic import manifest
from render.folder.approval import approval_findings, approve, read_approval
from render.job import JobFolder
from tests.folder.conftest import (
    DISCHARGE,
    KING,
    LIQUID,
    OPTIONS,
    ROWS,
    SUCTION,
    Row,
    content,
    order_of,
    with_place,
    with_spec,
)

SMALL = with_spec(SUCTION, letter_height="1 in")  # below its row, so it must be accepted
REASON = "its neighbors hang in this size"


def proved_by(rows: tuple[Row, ...] = ROWS, **head: object) -> Content:
    judged = decide(order_of(rows, **head), OPTIONS, "")
    return content_of(judged.gathered.markers, judged.gathered.findings, judged.schemes)


def accepting(reason: str) -> Content:
    return proved_by((SMALL,), accept=[{"code": "letter-below-row", "reason": reason}])


def test_places_names_and_dates_are_not_approved() -> None:
    first = proved_by().hash
    assert proved_by(ROWS[::-1]).hash == first
    assert proved_by(title="Other", revision="F", date="2026-02-03", plant="").hash == first
    assert proved_by((with_place(SUCTION, area="Dock", row=7), *ROWS[1:])).hash == first


@pytest.mark.parametrize(
    "rows",
    [
        (with_place(SUCTION, qty=4), *ROWS[1:]),
        (with_spec(SUCTION, pressure="75 psig"), *ROWS[1:]),
        (with_spec(SUCTION, flow="right"), *ROWS[1:]),
        (SUCTION, with_spec(LIQUID, side="one"), *ROWS[2:]),
        (*ROWS[:2], with_spec(DISCHARGE, environment={"setting": "outdoor"}), *ROWS[3:]),
        (*ROWS[:3], with_spec(KING, function="Main king"), *ROWS[4:]),
        ROWS[:-1],
    ],
)
def test_every_change_of_a_marker_or_a_quantity_shows(rows: tuple[Row, ...]) -> None:
    assert proved_by(rows).hash != proved_by().hash


def test_a_reason_and_an_edition_are_approved() -> None:
    accepted = accepting(REASON)
    assert [each.reason for each in accepted.accepted] == [REASON]
    assert accepting("until the next outage").hash != accepted.hash
    other = replace(accepted, schemes={"ammonia-2014": "another edition"})
    assert other.hash != accepted.hash


def test_the_hash_is_that_of_the_file_by_any_program() -> None:
    # RFC 8259 text, keys sorted, no blanks, UTF-8; SHA-256 of it: read with json and hashlib.
    table = json.loads(proof_json(proved_by()))
    found = table["content"]

    def canonical(value: object) -> str:
        return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False)

    for marker in found["markers"]:
        del marker["id"]
    found["markers"].sort(key=canonical)
    found["accepted"].sort(key=canonical)
    assert hashlib.sha256(canonical(found).encode()).hexdigest() == table["hash"]
    assert proof_hash(proved_by()).replace("-", "").lower() == table["hash"][:16]


def _moved(face: Face, by: Affine | None = None, lab: Lab | None = None) -> Face:
    """The face with its last shape moved, or in another color."""
    part = face.parts[0]
    shape = part.art[-1]
    assert isinstance(shape, Fill)
    assert shape.ink is not None
    ink = replace(shape.ink, lab=lab) if lab else shape.ink
    path = shape.path.mapped(by) if by else shape.path
    art = (*part.art[:-1], Fill(path, ink, shape.overprint))
    return replace(face, parts=(replace(part, art=art), *face.parts[1:]))


def test_a_fingerprint_sees_a_thousandth_of_a_millimeter(job: JobFolder) -> None:
    for marker in job.markers:
        name = fingerprint(marker.face)
        assert fingerprint(_moved(marker.face, Affine.move(0.001, 0.0))) != name
        assert fingerprint(_moved(marker.face, Affine.move(1e-10, 0.0))) == name
        assert fingerprint(_moved(marker.face, lab=Lab(50.0, 0.5, 0.0))) != name
        assert fingerprint(replace(marker.face, id="00000000")) == name
    assert len({fingerprint(marker.face) for marker in job.markers}) == len(job.markers)


def test_an_approved_order_is_recognized(folder: Path, tmp_path: Path, job: JobFolder) -> None:
    path = tmp_path / "approval.json"
    path.write_bytes(approve(folder, "R. Vance", "2026-03-01", "by mail"))
    approval = read_approval(path)
    assert (approval.by, approval.date, approval.revision) == ("R. Vance", "2026-03-01", "A")
    assert approval.proof == hashlib.sha256(job.files["proof.pdf"]).hexdigest()
    assert approval.hash == content(job).hash
    assert approval_findings(approval, content(job)) == ()
    assert path.read_bytes() == approve(folder, "R. Vance", "2026-03-01", "by mail")


@pytest.mark.parametrize(
    ("now", "said"),
    [
        (
            lambda: proved_by((with_place(SUCTION, qty=9), *ROWS[1:])),
            "HTRS LIQ VAP AMMONIA LOW in another quantity",
        ),
        (lambda: proved_by(ROWS[:-1]), "HIGH PRESSURE RECEIVER HPR-1 no longer there"),
        (
            lambda: proved_by((with_spec(SUCTION, pressure="75 psig"), *ROWS[1:])),
            "HTRS LIQ VAP AMMONIA HIGH new or drawn otherwise; HTRS LIQ VAP AMMONIA LOW no longer",
        ),
        (
            lambda: proved_by(
                (*ROWS, with_place(SMALL, line="X")),
                accept=[{"code": "letter-below-row", "reason": REASON}],
            ),
            "letter-below-row newly accepted",
        ),
        (
            lambda: replace(proved_by(), schemes={"ammonia-2014": "3rd"}),
            "scheme ammonia-2014 of edition 3rd, was " + load_scheme("ammonia-2014").edition,
        ),
    ],
)
def test_an_order_that_has_changed_says_so(folder: Path, now: object, said: str) -> None:
    assert callable(now)
    record = folder.parent / "approval.json"
    record.write_bytes(approve(folder, "R. Vance", "2026-03-01"))
    (finding,) = approval_findings(read_approval(record), now())
    assert (finding.code, finding.severity) == ("approval-outdated", Severity.WARNING)
    assert "what R. Vance approved on 2026-03-01" in finding.what
    assert said in finding.what


@pytest.mark.parametrize(
    ("by", "date", "said"),
    [
        ("", "2026-03-01", "give the name of the one who approves"),
        ("R. Vance", "", "as in 2026-03-01"),
        ("R. Vance", "2026-02-30", "as in 2026-03-01"),
        ("R. Vance", "today", "as in 2026-03-01"),
    ],
)
def test_nobody_approves_without_name_and_day(folder: Path, by: str, date: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        approve(folder, by, date)


def test_what_was_altered_is_not_approved(folder: Path, tmp_path: Path) -> None:
    altered = tmp_path / "job"
    shutil.copytree(folder, altered)
    (altered / "proof.pdf").write_bytes((folder / "proof.pdf").read_bytes() + b"\n")
    with pytest.raises(InputError, match=r"proof\.pdf is not the file that the manifest vouches"):
        approve(altered, "R. Vance", "2026-03-01")
    (altered / "proof.pdf").unlink()
    with pytest.raises(InputError, match=r"proof\.pdf is missing"):
        approve(altered, "R. Vance", "2026-03-01")
    with pytest.raises(InputError, match="not a job folder"):
        approve(tmp_path, "R. Vance", "2026-03-01")


def test_a_folder_without_the_record_must_be_made_again(folder: Path, tmp_path: Path) -> None:
    old = tmp_path / "job"
    shutil.copytree(folder, old)
    (old / "proof.json").unlink()
    names = [path for path in old.rglob("*") if path.is_file() and path.name != "manifest.json"]
    files = {str(path.relative_to(old)): path.read_bytes() for path in names}
    (old / "manifest.json").write_bytes(manifest(files))
    with pytest.raises(InputError, match=r"has no proof\.json; make the job again"):
        approve(old, "R. Vance", "2026-03-01")


def test_an_approval_changed_by_hand_is_refused(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "approval.json"
    table = json.loads(approve(folder, "R. Vance", "2026-03-01"))
    table["content"]["markers"][0]["quantity"] += 1
    path.write_text(json.dumps(table))
    with pytest.raises(InputError, match="its content is not what was approved"):
        read_approval(path)
    path.write_text('{"by": "R. Vance"}')
    with pytest.raises(InputError, match="date is wrong"):
        read_approval(path)
    with pytest.raises(InputError, match="cannot be opened"):
        read_approval(tmp_path / "none.json")


@pytest.mark.parametrize("file", ["proof.json", "order.json"])
def test_a_proof_of_other_quantities_is_not_approved(
    folder: Path, tmp_path: Path, file: str
) -> None:
    """Sealed again, with a hash that is right for what it says."""
    forged = tmp_path / "job"
    shutil.copytree(folder, forged)
    table = json.loads((forged / file).read_bytes())
    if file == "proof.json":
        table["content"]["markers"][0]["quantity"] += 40
        table["hash"] = TypeAdapter(Content).validate_python(table["content"]).hash
    else:
        table["markers"][0]["positions"][0]["qty"] += 40
    (forged / file).write_text(json.dumps(table))
    files = {
        path.relative_to(forged).as_posix(): path.read_bytes()
        for path in forged.rglob("*")
        if path.is_file() and path.name != "manifest.json"
    }
    (forged / "manifest.json").write_bytes(manifest(files))
    with pytest.raises(InputError, match=r"counts other pieces than the order asks for"):
        approve(forged, "R. Vance", "2026-03-01")
