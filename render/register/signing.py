"""What changes a register: a pack of a job that was signed, a survey, markers taken down.

Each is read whole first; one fault of it and the register stays as it is.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from layouts.register.entries import Signed
from layouts.register.model import Register
from layouts.register.updates import SurveyLook, Unlisted, sign_off, take_down, take_survey
from layouts.survey.outcome import Verdict
from layouts.survey.sightings import read_seen
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Severity
from layouts.terms.synonyms import nearest
from render.files.intake import bytes_of
from render.files.spreadsheet import plain_text
from render.folder.approval import PROOF, approval_findings, proof_of, read_approval
from render.folder.open import Job, open_job
from render.options import Options
from render.read import read
from render.read.schemes import scheme_files
from render.register.register_folder import ORDERS, Stored
from render.survey.found import FOUND, SURVEYED
from render.survey.survey_files import Planned, plan_pieces

Kept = Mapping[str, bytes]


def sign_job(
    stored: Stored,
    folder: Path,
    area: str,
    signed: Signed,
    options: Options,
    without: Sequence[str] = (),
    approval: Path | None = None,
) -> tuple[Register, Kept, tuple[Finding, ...]]:
    """The register once the pack of an area (all areas where it is empty) was signed.

    ``without`` names pieces that were not installed. The register, the files to keep beside it,
    and what to look at.

    Raises:
        InputError: the job, the area, a piece or the approval is wrong.
    """
    job = open_job(folder)
    planned = plan_pieces(job.order(), options, folder.name)
    pieces = [each for each in planned.pieces if not area or _same(each.area, area)]
    if not pieces:
        areas = dict.fromkeys(each.area for each in planned.pieces)
        right = f"its areas are {', '.join(areas)}"
        raise InputError([_fault("register-area", f"the job has no area {area}", right)])
    _refuse_unknown(without, [each.id for each in pieces], "is not in this pack")
    left = {each.upper() for each in without}
    kept = _order_files(planned, job.file("order.json"), options)
    findings: tuple[Finding, ...] = ()
    if PROOF in job.hashes:
        kept[f"{ORDERS}{planned.seal}/{PROOF}"] = job.file(PROOF)
    if approval is not None:
        record, content = read_approval(approval), proof_of(job)
        findings = approval_findings(record, content, approval.name) if content else ()
        name = f"approval-{record.date}-{record.hash[:8]}.json"
        kept[f"{ORDERS}{planned.seal}/{name}"] = bytes_of(approval)
    made = sign_off(
        stored.register,
        [each for each in pieces if each.id not in left],
        planned.seal,
        signed,
        stored.lifetimes,
    )
    return made, kept, findings


def apply_survey(stored: Stored, folder: Path, options: Options) -> tuple[Register, Kept, str]:
    """The register after a survey that `pipelegend found` read, and the last day of looking.

    Raises:
        InputError: the folder is not such a survey, or was changed after it was written.
    """
    job = open_job(folder)
    planned = _surveyed(job, options)
    by_id = {each.id: each for each in planned.pieces}
    looks: dict[str, SurveyLook] = {}
    unlisted: list[Unlisted] = []
    last = ""
    for cells in csv.DictReader(io.StringIO(job.file(FOUND).decode(), newline="")):
        row = {name: plain_text(cell or "") for name, cell in cells.items()}
        signed = Signed(row["by"], row["day"], f"survey {folder.name}")
        last = max(last, row["day"])
        if not row["id"]:
            unlisted.append(_unlisted(row, signed))
        elif row["found"] and row["verdict"] != Verdict.OPEN and row["id"] not in looks:
            # the latest row of a piece comes first
            seen, note = read_seen(row["found"]), _note(row)
            looks[row["id"]] = SurveyLook(row["id"], seen, note, signed, by_id[row["id"]])
    made = take_survey(stored.register, looks.values(), unlisted, planned.seal, stored.lifetimes)
    return made, _order_files(planned, job.file(SURVEYED), options), last


def remove_pieces(stored: Stored, ids: Sequence[str], signed: Signed) -> Register:
    """The register without pieces that were taken down.

    Raises:
        InputError: one of them is not in it.
    """
    known = [entry.id for entry in stored.register.entries]
    _refuse_unknown(ids, known, "is not in the register")
    return take_down(stored.register, [each.upper() for each in ids], signed)


def _surveyed(job: Job, options: Options) -> Planned:
    if FOUND not in job.hashes or SURVEYED not in job.hashes:
        what = f"{job.folder} is no survey: it has no {FOUND} and {SURVEYED}"
        right = "name the folder that `pipelegend found` wrote"
        raise InputError([_fault("register-survey", what, right)])
    job.file(SURVEYED)
    reading = read(job.folder / SURVEYED)
    if reading.order is None:
        raise InputError(reading.findings)
    return plan_pieces(reading.order, replace(options, folder=job.folder), job.folder.name)


def _order_files(planned: Planned, order: bytes, options: Options) -> dict[str, bytes]:
    start = f"{ORDERS}{planned.seal}/"
    own = scheme_files(planned.decided.schemes, options.folder)
    return {f"{start}order.json": order, **{f"{start}{name}": own[name] for name in own}}


def _unlisted(row: Mapping[str, str], signed: Signed) -> Unlisted:
    ends = (f"from {row['from']}" if row["from"] else "", f"to {row['to']}" if row["to"] else "")
    where = ", ".join(
        part for part in (row["location"], " ".join(end for end in ends if end)) if part
    )
    return Unlisted(row["area"], where, row["line_or_tag"], row["reads"], _note(row), signed)


def _note(row: Mapping[str, str]) -> str:
    reads = f"reads {row['reads']!r}" if row["reads"] and row["id"] else ""
    photo = f"photo {row['photo']}" if row["photo"] else ""
    return "; ".join(part for part in (reads, row["note"], photo) if part)


def _refuse_unknown(ids: Iterable[str], known: Sequence[str], what: str) -> None:
    faults = []
    for each in ids:
        if each.upper() not in known:
            near = nearest(each.upper(), known)
            right = f"did you mean {near}?" if near else "see the ids on the pack"
            faults.append(_fault("register-piece", f"{each} {what}", right))
    if faults:
        raise InputError(faults)


def _same(one: str, other: str) -> bool:
    return " ".join(one.casefold().split()) == " ".join(other.casefold().split())


def _fault(code: str, what: str, right: str) -> Finding:
    return Finding(code, Severity.UNREADABLE, what, right)
