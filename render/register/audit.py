"""``pipelegend audit``: the record of a register for an audit."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

from pydantic import BaseModel, ConfigDict, ValidationError

from layouts.markers.content import Content
from layouts.order.order import Order
from layouts.papers.keeping.audit_record import Audit, AuditApproval, AuditJob, audit_record
from layouts.schemes.model import Scheme
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.tags import natural_key
from render.folder.approval import PROOF, approval_findings, read_approval
from render.options import Options
from render.read import read
from render.read.fonts import typefaces as load_typefaces
from render.register.register_folder import Stored
from render.survey.survey_files import plan_pieces
from render.write import pdf


class _Proof(BaseModel):
    """What the record needs of a proof's own file."""

    model_config = ConfigDict(extra="ignore")
    hash: str
    content: Content


def audit_pdf(stored: Stored, since: str, day: str, options: Options) -> bytes:
    """The record as a PDF; changes are listed from ``since`` on (YYYY-MM-DD, or empty for all).

    Raises:
        InputError: an order, a proof or an approval of the register cannot be read.
    """
    jobs: list[AuditJob] = []
    approvals: list[AuditApproval] = []
    plant, listed = "", dict[str, str]()
    with TemporaryDirectory() as scratch:
        for number, files in sorted(stored.orders().items()):
            folder = Path(scratch) / number
            folder.mkdir()
            for name, data in files.items():
                (folder / name).write_bytes(data)
            order = _order(folder)
            planned = plan_pieces(order, replace(options, folder=folder), number)
            listed |= {piece.id: piece.area for piece in planned.pieces}
            jobs.append(_job(number, order, planned.decided.schemes, files))
            plant = plant or order.plant
            approvals += _approvals(number, folder, files)
    known = stored.register.by_id
    unknown = Counter(area for piece, area in listed.items() if piece not in known)
    by_area = {area: unknown[area] for area in sorted(unknown, key=natural_key)}
    audit = Audit(plant, stored.register, tuple(jobs), tuple(approvals), by_area, since, day)
    return pdf.write(audit_record(audit, load_typefaces(options.font)))


def _order(folder: Path) -> Order:
    reading = read(folder / "order.json")
    if reading.order is None:
        raise InputError(reading.findings)
    return reading.order


def _job(
    number: str, order: Order, schemes: Mapping[str, Scheme], files: Mapping[str, bytes]
) -> AuditJob:
    """What the record tells of an order; a proof that was approved goes before today's schemes."""
    proof = _proof(files, number)
    accepted = () if proof is None else proof.content.accepted
    today = {scheme.key: scheme.edition for scheme in schemes.values()}
    editions = today if proof is None else proof.content.schemes
    return AuditJob(
        number,
        order.title,
        order.revision,
        tuple(sorted(editions.items())),
        "" if proof is None else proof.hash,
        tuple((each.code, each.marker, each.what, each.reason) for each in accepted),
    )


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
