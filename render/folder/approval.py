"""Approvals: who approved a proof and when, and whether an order still matches it."""

from __future__ import annotations

import datetime
import hashlib
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, StringConstraints
from pydantic import ValidationError as Invalid

from layouts.markers.content import Content, ContentIn, json_file
from layouts.markers.gather import plan_order
from layouts.order.order import Order, Text
from layouts.schemes.choices import with_choices
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity
from render.files.intake import bytes_of
from render.folder.open import Job, job_refusal, open_job
from render.read.schemes import load_schemes

PROOF, PROOF_PDF = "proof.json", "proof.pdf"
_MOST_NAMED = 4  # markers named in a finding


def _real_day(text: str) -> str:
    datetime.date.fromisoformat(text)
    return text


Day = Annotated[str, StringConstraints(pattern=r"^\d{4}-\d{2}-\d{2}$"), AfterValidator(_real_day)]
Hash = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]


class _Table(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Approval(_Table):
    """Who approved a proof and when, as stated by them; ``content`` is what they approved."""

    version: Literal[1] = 1
    by: Annotated[Text, StringConstraints(min_length=2)]
    date: Day
    note: Text = ""
    title: Text = ""
    revision: Text = ""
    hash: Hash
    proof: Annotated[Hash, Field(description="SHA-256 of the proof.pdf that was looked at")]
    content: Content


class _ProofFile(_Table):
    hash: Hash
    content: Content


def proof_of(job: Job) -> Content | None:
    """The content that approving a job folder's proof covers; None if an old folder lacks it.

    Raises:
        InputError: the file was altered or cannot be read.
    """
    if PROOF not in job.hashes:
        return None
    try:
        found = _ProofFile.model_validate_json(job.file(PROOF))
    except Invalid as error:
        what = f"{PROOF} cannot be read"
        raise job_refusal("job-altered", what, "make the job again", job) from error
    if found.hash != found.content.hash:
        what = f"{PROOF} is not what its hash was taken of"
        raise job_refusal("job-altered", what, "make the job again", job)
    return found.content


def approve(folder: Path, by: str, date: str, note: str = "") -> bytes:
    """The record of an approval, for ``approval.json``: who, when, and the proof's hash.

    The approver gives ``date`` as YYYY-MM-DD.

    Raises:
        InputError: the proof is missing or altered, counts other pieces than the order, or the
        name or the date is wrong.
    """
    job = open_job(folder)
    order, content = job.order(), proof_of(job)
    if content is None:
        what, right = f"the folder has no {PROOF}", "make the job again and look at its proof"
        raise job_refusal("proof-unrecorded", what, right, job)
    if sum(each.quantity for each in content.markers) not in _pieces_of(order, folder):
        what = f"{PROOF} counts other pieces than the order asks for"
        raise job_refusal("job-altered", what, "make the job again", job)
    looked_at = hashlib.sha256(job.file(PROOF_PDF)).hexdigest()
    try:
        record = Approval(
            by=by,
            date=date,
            note=note,
            title=order.title,
            revision=order.revision,
            hash=content.hash,
            proof=looked_at,
            content=content,
        )
    except Invalid as error:
        raise InputError(list(_faults(error, ""))) from error
    return json_file({**record.model_dump(mode="json"), "content": content.table})


def _pieces_of(order: Order, folder: Path) -> range:
    """From the least to the most pieces that an order's markers come in.

    A tag to be read from both sides may be one piece, where the shop makes both its faces.
    """
    try:
        named = load_schemes(order, folder)
    except InputError:  # a scheme from elsewhere is not in the folder: two hands, two tags each
        return range(order.quantity, 4 * order.quantity + 1)
    schemes = with_choices(named, order.colors, order.cutoffs, order.face)
    least = most = 0
    for each in plan_order(order.items, schemes, order.scheme):
        for decided in each.plans:
            least += each.item.quantity
            most += each.item.quantity * decided.per_position
    return range(least, most + 1)


def read_approval(path: Path) -> Approval:
    """An approval from its file.

    Raises:
        InputError: it cannot be read, or its content does not match its hash.
    """
    place = Place(path.name)
    try:
        found = Approval.model_validate_json(bytes_of(path))
    except OSError as error:
        what = f"the approval cannot be opened ({error.strerror})"
        right = "name the approval.json that `pipelegend approve` wrote"
        raise InputError([_unreadable(what, right, place)]) from error
    except Invalid as error:
        raise InputError(list(_faults(error, path.name))) from error
    if found.content.hash != found.hash:
        what, right = "its content is not what was approved", "approve the proof again"
        raise InputError([_unreadable(what, right, place)])
    return found


def is_approval(data: bytes) -> bool:
    """Whether a file contains an approval."""
    try:
        Approval.model_validate_json(data)
    except Invalid:
        return False
    return True


def approval_findings(
    approval: Approval, content: Content, file: str = "approval.json"
) -> tuple[Finding, ...]:
    """No findings if the order is as approved, otherwise one warning with the differences."""
    if approval.hash == content.hash:
        return ()
    changed = "; ".join(_change_lines(approval.content, content))
    return (
        Finding(
            "approval-outdated",
            Severity.WARNING,
            f"the order is not what {approval.by} approved on {approval.date}: {changed}",
            "have its new proof approved",
            place=Place(file),
        ),
    )


def judged_by(approval: Approval, content_in: ContentIn) -> tuple[Finding, ...]:
    """The findings for an order, with its content taken in the format of the approval."""
    return approval_findings(approval, content_in(approval.content.version))


def _change_lines(approved: Content, now: Content) -> Iterator[str]:
    before, after = _pieces(approved), _pieces(now)
    added = [key for key in after if key not in before]
    gone = [key for key in before if key not in after]
    counted = [key for key in after if key in before and after[key] != before[key]]
    for keys, what in (
        (added, "new or drawn otherwise"),
        (gone, "no longer there"),
        (counted, "in another quantity"),
    ):
        if keys:
            yield f"{_name_list(sorted(key[0] for key in keys))} {what}"
    old, new = set(approved.accepted), set(now.accepted)
    for findings, what in ((new - old, "newly accepted"), (old - new, "no longer accepted")):
        if findings:
            yield f"{_name_list(sorted({each.code for each in findings}))} {what}"
    if approved.ids != now.ids:
        yield f"ids on the pieces {now.ids or 'none'}, were {approved.ids or 'none'}"
    for key in sorted({*approved.schemes, *now.schemes}):
        was, is_now = approved.schemes.get(key, "none"), now.schemes.get(key, "none")
        if was != is_now:
            yield f"scheme {key} of edition {is_now}, was {was}"


def _pieces(content: Content) -> Counter[tuple[str, ...]]:
    pieces: Counter[tuple[str, ...]] = Counter()
    for each in content.markers:
        pieces[each.words, each.face, *each.build] += each.quantity
    return pieces


def _name_list(names: Sequence[str]) -> str:
    more = len(names) - _MOST_NAMED
    text = ", ".join(names[:_MOST_NAMED])
    return f"{text} and {more} more" if more > 0 else text


def _faults(error: Invalid, file: str) -> Iterator[Finding]:
    rights = {
        "by": "give the name of the one who approves",
        "date": "write the day of the approval as in 2026-03-01",
    }
    for each in error.errors(include_url=False)[:_MOST_NAMED]:
        field = ".".join(map(str, each["loc"]))
        message = each["msg"].removeprefix("Value error, ")
        what = f"{field or 'the file'} is wrong: {message[:1].lower()}{message[1:]}"
        right = rights.get(field, "name the approval.json that `pipelegend approve` wrote")
        yield _unreadable(what, right, Place(file, field=field))


def _unreadable(what: str, right: str, place: Place) -> Finding:
    return Finding("approval-unreadable", Severity.UNREADABLE, what, right, place=place)
