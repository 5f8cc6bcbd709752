"""``pipelegend audit``: the record of a register for an audit."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from tempfile import TemporaryDirectory

from pydantic import BaseModel, ConfigDict, ValidationError

from layouts.markers.content import Content
from layouts.papers.keeping.audit_record import Audit, AuditApproval, AuditJob, audit_record
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity
from render.folder.approval import PROOF, approval_findings, read_approval
from render.options import Options
from render.read import read
from render.read.fonts import typefaces as load_typefaces
from render.read.schemes import load_schemes
from render.register.store import Stored
from render.write import pdf


class _Proof(BaseModel):
    """What the record needs of a proof's own file."""

    model_config = ConfigDict(extra="ignore")
    hash: str
    content: Content


def audit_pdf(stored: Stored, since: str, day: str, options: Options) -> bytes:
    """The record as a PDF; changes are told from ``since`` on (YYYY-MM-DD, or empty for all).

    Raises:
        InputError: an order, a proof or an approval of the register cannot be read.
    """
    jobs: list[AuditJob] = []
    approvals: list[AuditApproval] = []
    plant = ""
    with TemporaryDirectory() as scratch:
        for number, files in sorted(stored.orders().items()):
            folder = Path(scratch) / number
            folder.mkdir()
            for name, data in files.items():
                (folder / name).write_bytes(data)
            job, own_plant = _job(number, folder, files)
            jobs.append(job)
            plant = plant or own_plant
            approvals += _approvals(number, folder, files)
    audit = Audit(plant, stored.register, tuple(jobs), tuple(approvals), since, day)
    return pdf.write(audit_record(audit, load_typefaces(options.font)))


def _job(number: str, folder: Path, files: Mapping[str, bytes]) -> tuple[AuditJob, str]:
    reading = read(folder / "order.json")
    if reading.order is None:
        raise InputError(reading.findings)
    order = reading.order
    schemes = load_schemes(order, folder)
    proof = _proof(files, number)
    editions = tuple((scheme.key, scheme.edition) for scheme in schemes.values())
    accepted = () if proof is None else proof.content.accepted
    job = AuditJob(
        number,
        order.title,
        order.revision,
        tuple(sorted(proof.content.schemes.items())) if proof is not None else editions,
        proof.hash if proof is not None else "",
        tuple((each.code, each.marker, each.what, each.reason) for each in accepted),
    )
    return job, order.plant


def _proof(files: Mapping[str, bytes], number: str) -> _Proof | None:
    if PROOF not in files:
        return None
    try:
        return _Proof.model_validate_json(files[PROOF])
    except ValidationError as error:
        what = f"the proof of order {number} cannot be read"
        place = Place(PROOF)
        fault = Finding(
            "register-proof", Severity.UNREADABLE, what, "sign the job off again", place=place
        )
        raise InputError([fault]) from error


def _approvals(number: str, folder: Path, files: Mapping[str, bytes]) -> Iterator[AuditApproval]:
    """Approvals of an order, each held against the proof that was signed off."""
    proof = _proof(files, number)
    for name in sorted(files):
        if name.startswith("approval-"):
            record = read_approval(folder / name)
            changed = approval_findings(record, proof.content, name) if proof is not None else ()
            since = "; ".join(each.what for each in changed)
            yield AuditApproval(number, record.by, record.date, record.hash, since)
