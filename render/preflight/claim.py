"""The claim of PDF/X: what the file says of itself, and whether every place says the same.

Rules of ISO 15930-7:2010 are cited from memory. A file may make no claim; then only what it
does say has to be well formed.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from pikepdf import Array, Object, PdfError, Stream

from render.color.profile import icc_header, intent_fault
from render.preflight.keys import key_faults, number_of
from render.preflight.opened import Opened, Section, section, text_of
from render.preflight.report import Point, fail, note

CODES = {
    "claim-version": "the claim is known",
    "claim-xmp": "the metadata packet is well formed and not compressed",
    "claim-title": "the metadata gives a title",
    "claim-dates": "the metadata gives the three dates",
    "claim-ids": "the metadata identifies the document",
    "claim-trapped": "whether the file is trapped is said",
    "claim-agrees": "metadata and information dictionary agree",
    "info-keys": "the information dictionary is complete",
    "file-id": "the file has an identifier",
}
INTENT_CODES = {
    "intent-missing": "there is an output intent",
    "intent-many": "there is one output intent",
    "intent-keys": "the output intent is complete",
    "intent-profile": "a printer profile is embedded",
    "intent-channels": "the profile's channels are those that its stream states",
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
_DATE = re.compile(r"\d{4}(-\d\d(-\d\d(T\d\d:\d\d(:\d\d(\.\d+)?)?(Z|[+-]\d\d:\d\d)?)?)?)?$")
_TRAPPED = ("/True", "/False")
_IDS = ("xmpMM:DocumentID", "xmpMM:VersionID", "xmpMM:RenditionClass")


def check(file: Opened) -> list[Section]:
    """The claim and its intent; for a file without a claim, its metadata alone."""
    if not file.claims:
        looked_at = {code: CODES[code] for code in ("claim-xmp", "claim-agrees")}
        none = note("claim-none", "the file makes no claim of PDF/X")
        return [section(looked_at, [none, *_packet_points(file), *_agreement(file)])]
    points = [
        *_packet_points(file),
        *_version_points(file),
        *_property_points(file),
        *_info_points(file),
        *_agreement(file),
        *_id_points(file),
    ]
    return [section(CODES, points), section(INTENT_CODES, _intent_points(file))]


def _packet_points(file: Opened) -> Iterator[Point]:
    stream = file.pdf.Root.get("/Metadata")
    right = "write the packet as plain XML"
    if file.metadata.fault and (file.claims or file.metadata.present):
        yield fail("claim-xmp", file.metadata.fault, right=right)
    elif isinstance(stream, Stream):
        for fault in key_faults("Metadata", stream, file.claims):
            yield fail("claim-xmp", fault.what, "metadata", right)
        if "/Filter" in stream and file.claims:
            yield fail("claim-xmp", "the metadata packet is compressed", right=right)


def _version_points(file: Opened) -> Iterator[Point]:
    if file.metadata.fault:
        return
    claim, old = file.metadata.claim, file.info_claim
    if claim and claim not in VERSIONS:
        yield fail("claim-version", f"{claim} is no version of PDF/X", right="claim PDF/X-4")
    elif not claim and not _OLD.match(old):
        what = "there is an output intent for PDF/X, but the metadata claims no version"
        yield fail("claim-version", what, right="state pdfxid:GTS_PDFXVersion")
    elif not claim:
        yield note("claim-version", f"the file claims {old}; it is judged as PDF/X-4 here")


def _property_points(file: Opened) -> Iterator[Point]:
    values = file.metadata.values
    if file.metadata.fault:
        return
    if not values.get("dc:title"):
        yield fail("claim-title", "the metadata has no title", right="give dc:title")
    for key in _DATES:
        if not _DATE.match(values.get(key, "")):
            what = f"{key} is {values[key]!r}" if key in values else f"{key} is missing"
            yield fail("claim-dates", what, right="give a date such as 2026-03-31T00:00:00Z")
    for key in _IDS:
        if not values.get(key):
            yield fail("claim-ids", f"{key} is missing", right="give it")


def _info_points(file: Opened) -> Iterator[Point]:
    for fault in key_faults("Info", file.info, claims=True):
        yield fail(
            fault.row.code, fault.what, "information dictionary", f"give it ({fault.row.source})"
        )
    trapped = text_of(file.info, "/Trapped")
    if trapped and trapped not in _TRAPPED:
        what = f"/Trapped is {trapped}"
        yield fail("claim-trapped", what, "information dictionary", "say /True or /False")


def _agreement(file: Opened) -> Iterator[Point]:
    """Title, trapping and dates, where both places have them."""
    values, info = file.metadata.values, file.info
    if file.metadata.fault or info is None:
        return
    pairs = {"title": (values.get("dc:title", ""), text_of(info, "/Title"))}
    trapped = text_of(info, "/Trapped")
    if trapped in _TRAPPED:
        pairs["trapping"] = (values.get("pdf:Trapped", ""), trapped[1:])
    if file.claims:
        for name, key in (("/CreationDate", "xmp:CreateDate"), ("/ModDate", "xmp:ModifyDate")):
            pairs[key] = (_digits(values.get(key, "")), _digits(text_of(info, name)))
    for what, (packet, dictionary) in pairs.items():
        if packet and dictionary and packet != dictionary:
            text = f"{what}: the metadata says {packet}, the information dictionary {dictionary}"
            yield fail("claim-agrees", text, right="make them say the same")


def _digits(date: str) -> str:
    """Day and time of a date in either notation, to the minute, as bare digits."""
    return re.sub(r"\D", "", date.partition("+")[0])[:12]


def _id_points(file: Opened) -> Iterator[Point]:
    found = file.pdf.trailer.get("/ID")
    if not isinstance(found, Array) or len(found) != 2 or not all(bytes(each) for each in found):
        yield fail("file-id", "the trailer has no identifier", right="give /ID")


def _intent_points(file: Opened) -> Iterator[Point]:
    if not file.intents:
        yield fail("intent-missing", "there is no output intent for PDF/X", right="embed one")
    if len(file.intents) > 1:
        what = f"there are {len(file.intents)} output intents for PDF/X"
        yield fail("intent-many", what, right="keep one")
    for intent in file.intents:
        for fault in key_faults("Intent", intent, claims=True):
            right = f"give it ({fault.row.source})"
            yield fail(fault.row.code, fault.what, "output intent", right)
        profile = intent.get("/DestOutputProfile")
        if isinstance(profile, Stream):
            yield from _profile_points(profile)


def _profile_points(profile: Object) -> Iterator[Point]:
    where = "output intent"
    try:
        data = profile.read_bytes()
    except PdfError:
        return  # reported as a damaged stream
    fault = intent_fault(data)
    if fault:
        yield fail("intent-profile", f"it {fault}", where, "embed the printer's profile")
        return
    for key_fault in key_faults("Profile", profile, claims=True):
        yield fail(key_fault.row.code, key_fault.what, where, f"give it ({key_fault.row.source})")
    stated, real = number_of(profile.get("/N")), icc_header(data).channels
    if stated is not None and stated != real:
        yield fail(
            "intent-channels", f"/N is {stated:g}, the profile has {real}", where, f"state {real}"
        )


def intent_model(file: Opened) -> str:
    """What the intent's printer takes: gray, rgb or cmyk; empty without a usable intent."""
    for intent in file.intents:
        profile = intent.get("/DestOutputProfile")
        if isinstance(profile, Stream):
            channels = number_of(profile.get("/N"))
            return {1: "gray", 3: "rgb", 4: "cmyk"}.get(int(channels or 0), "")
    return ""
