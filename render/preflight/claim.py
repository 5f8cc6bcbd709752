"""The claim of PDF/X: what the file says of itself, and whether every place says the same.

Rules of ISO 15930-7:2010 are cited from memory. A file may make no claim; then only what it
does say has to be well formed.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta, timezone

from pikepdf import Array, Stream

from render.preflight.keys import key_faults
from render.preflight.opened import Opened, Section, section, text_of
from render.preflight.report import Point, fail, note, warn

CODES = {
    "claim-version": "the claim is known",
    "claim-base": "the version of PDF suits the claim",
    "claim-xmp": "the metadata packet is well formed and not compressed",
    "claim-title": "the metadata gives a title",
    "claim-dates": "the metadata gives the three dates",
    "claim-ids": "the metadata identifies the document",
    "claim-trapped": "the file says whether it is trapped",
    "claim-agrees": "metadata and information dictionary agree",
    "info-keys": "the information dictionary is well formed",
    "file-id": "the file has an identifier",
}
VERSIONS = (
    "PDF/X-4",
    "PDF/X-4p",
    "PDF/X-5g",
    "PDF/X-5n",
    "PDF/X-5pg",
    "PDF/X-6",
    "PDF/X-6p",
    "PDF/X-6n",
)
_OLD = re.compile(r"PDF/X-(1|1a|2|3)(:\d{4})?$")
_DATES = ("xmp:CreateDate", "xmp:ModifyDate", "xmp:MetadataDate")
_XMP_DATE = re.compile(r"\d{4}(-\d\d(-\d\d(T\d\d:\d\d(:\d\d(\.\d+)?)?(Z|[+-]\d\d:\d\d)?)?)?)?$")
_ANY_DATE = re.compile(
    r"(?:D:)?(\d{4})-?(\d\d)?-?(\d\d)?T?(\d\d)?:?(\d\d)?:?(?:\d\d(?:\.\d+)?)?"
    r"(?:(Z)|([+-])(\d\d)[:']?(\d\d)?)?"
)
_TRAPPED = ("/True", "/False")
_IDS = ("xmpMM:DocumentID", "xmpMM:VersionID", "xmpMM:RenditionClass")
_PLACE = "information dictionary"


def check(file: Opened) -> Section:
    """The claim; for a file without one, its metadata only."""
    if not file.claims:
        looked_at = {code: CODES[code] for code in ("claim-xmp", "claim-agrees")}
        none = note("claim-none", "the file makes no claim of PDF/X")
        return section(looked_at, [none, *_packet_points(file), *_agreement(file)])
    points = [
        *_packet_points(file),
        *_version_points(file),
        *_property_points(file),
        *_info_points(file),
        *_agreement(file),
        *_id_points(file),
    ]
    return section(CODES, points)


def _packet_points(file: Opened) -> Iterator[Point]:
    stream = file.pdf.Root.get("/Metadata")
    right = "write the packet as plain XML"
    if file.metadata.fault and (file.claims or file.metadata.present):
        yield file.breach("claim-xmp", file.metadata.fault, right=right)
    elif isinstance(stream, Stream):
        for fault in key_faults("Metadata", stream, file.claims):
            yield file.breach("claim-xmp", fault.what, "metadata", right)
        if "/Filter" in stream and file.claims:
            yield fail("claim-xmp", "the metadata packet is compressed", right=right)


def _version_points(file: Opened) -> Iterator[Point]:
    if file.metadata.fault:
        return
    claim, old = file.metadata.claim, file.info_claim
    if claim and claim not in VERSIONS:
        yield fail("claim-version", f"{claim} is not a version of PDF/X", right="claim PDF/X-4")
    elif not claim and not _OLD.match(old):
        what = "there is an output intent for PDF/X, but the metadata claims no version"
        yield fail("claim-version", what, right="state pdfxid:GTS_PDFXVersion")
    elif not claim:
        yield note("claim-version", f"the file claims {old}; it is judged as PDF/X-4 here")
    yield from _base_points(file, claim or old)


def _base_points(file: Opened, claim: str) -> Iterator[Point]:
    """PDF/X-4 and X-5 are built on PDF 1.6, PDF/X-6 on PDF 2.0 (from memory)."""
    stated = text_of(file.pdf.Root, "/Version").removeprefix("/")
    version = max(file.pdf.pdf_version, stated, key=_version)
    newest = (2, 0) if claim.startswith("PDF/X-6") else (1, 6)
    if _version(version) >= (2, 0) and newest < (2, 0):
        what = f"the file is PDF {version}; {claim} is built on PDF 1.6"
        yield fail("claim-base", what, right="save it as PDF 1.6, or claim PDF/X-6")
    elif _version(version) > newest:
        what = f"the file is PDF {version}; {claim} is built on PDF 1.6"
        yield warn("claim-base", what, right="save it as PDF 1.6")


def _version(text: str) -> tuple[int, int]:
    found = re.fullmatch(r"(\d)\.(\d)", text)
    return (int(found[1]), int(found[2])) if found else (0, 0)


def _property_points(file: Opened) -> Iterator[Point]:
    values = file.metadata.values
    if file.metadata.fault:
        return
    if not values.get("dc:title"):
        yield fail("claim-title", "the metadata has no title", right="give dc:title")
    for key in _DATES:
        if not _XMP_DATE.match(values.get(key, "")):
            what = f"{key} is {values[key]!r}" if key in values else f"{key} is missing"
            yield fail("claim-dates", what, right="give a date such as 2026-03-31T00:00:00Z")
    for key in _IDS:
        if not values.get(key):
            yield fail("claim-ids", f"{key} is missing", right="give it")


def _info_points(file: Opened) -> Iterator[Point]:
    """In PDF/X-4 the metadata is what counts; the information dictionary may be left out."""
    for fault in key_faults("Info", file.info, claims=True):
        yield fail(fault.row.code, fault.what, _PLACE, f"correct it ({fault.row.source})")
    trapped = text_of(file.info, "/Trapped")
    if trapped and trapped not in _TRAPPED:
        yield fail("claim-trapped", f"/Trapped is {trapped}", _PLACE, "say /True or /False")
    elif not trapped and file.metadata.values.get("pdf:Trapped") not in ("True", "False"):
        what = "the file does not say whether it is trapped"
        yield fail("claim-trapped", what, right="set pdf:Trapped to True or False")


def _agreement(file: Opened) -> Iterator[Point]:
    """Title, trapping and dates, where both places have them."""
    values, info = file.metadata.values, file.info
    if file.metadata.fault or info is None:
        return
    pairs = {"title": (values.get("dc:title", ""), text_of(info, "/Title"))}
    trapped = text_of(info, "/Trapped")
    if trapped in _TRAPPED:
        pairs["trapping"] = (values.get("pdf:Trapped", ""), trapped[1:])
    for what, (packet, dictionary) in pairs.items():
        if packet and dictionary and packet != dictionary:
            yield _disagreement(file, what, packet, dictionary)
    if file.claims:
        for name, key in (("/CreationDate", "xmp:CreateDate"), ("/ModDate", "xmp:ModifyDate")):
            packet, dictionary = values.get(key, ""), text_of(info, name)
            if packet and dictionary and not same_instant(packet, dictionary):
                yield _disagreement(file, name.removeprefix("/"), packet, dictionary)


def _disagreement(file: Opened, what: str, packet: str, dictionary: str) -> Point:
    text = f"{what}: the metadata says {packet}, the information dictionary {dictionary}"
    return file.breach("claim-agrees", text, right="make them say the same")


def same_instant(one: str, other: str) -> bool:
    """Whether two dates, each in the notation of XMP or of PDF, can mean the same minute.

    A zone that is not given is that of the other date. Where one date is short, as many parts as
    both give are compared as they are written.
    """
    first, second = _ANY_DATE.match(one), _ANY_DATE.match(other)
    if first is None or second is None:
        return True  # an invalid date is reported separately
    parts = [[int(each) for each in match.groups()[:5] if each] for match in (first, second)]
    given = min(map(len, parts))
    zones = [_zone(first), _zone(second)]
    if given < 5 or None in zones:
        return parts[0][:given] == parts[1][:given]
    try:
        moments = {
            datetime(year, month, day, hour, minute, tzinfo=zone)
            for (year, month, day, hour, minute), zone in zip(parts, zones, strict=True)
        }
    except ValueError:  # a month 13 or the like
        return one == other
    return len(moments) == 1


def _zone(match: re.Match[str]) -> timezone | None:
    utc, sign, hours, minutes = match.groups()[5:]
    if utc:
        return UTC
    if not sign:
        return None
    away = timedelta(hours=int(hours), minutes=int(minutes or 0))
    return timezone(away if sign == "+" else -away) if away < timedelta(hours=24) else None


def _id_points(file: Opened) -> Iterator[Point]:
    found = file.pdf.trailer.get("/ID")
    if not isinstance(found, Array) or len(found) != 2 or not all(bytes(each) for each in found):
        yield fail("file-id", "the trailer has no identifier", right="give /ID")
