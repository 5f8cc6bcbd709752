"""The output intent: the printing condition that a PDF/X file was made for.

Keys follow ISO 32000-1, table 365, and ISO 15930-7, both cited from memory.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from pikepdf import Dictionary, Object, PdfError, Stream

from render.color.profile import icc_header, intent_fault
from render.preflight.filters import DamagedError, unpack
from render.preflight.keys import key_faults, number_of
from render.preflight.opened import Opened, Section, section, text_of
from render.preflight.report import Point, fail, warn

CODES = {
    "intent-missing": "there is an output intent",
    "intent-many": "there is one output intent",
    "intent-keys": "the output intent is complete",
    "intent-profile": "a printer profile is embedded",
    "intent-channels": "the profile's channels are those that its stream states",
}
_WHERE = "output intent"
_NEWEST_ICC = 4  # of PDF 1.7 and 2.0; ICC version 5 is another standard (from memory)
# Names of printing conditions that the ICC's registry of characterization data lists (from memory).
_REGISTERED = re.compile(
    r"(FOGRA\d+L?|CGATS[ .]?(TR|21)[ -]?[\w-]+|TR ?00\d|JC20\d\d\d*|JCN?\d{4}|IFRA\d+|OF_COM_\w+|"
    r"GRACoL\d*\w*|SWOP\d*\w*|PSR_\w+)$",
    re.IGNORECASE,
)
_MODELS = {1: "gray", 3: "rgb", 4: "cmyk"}
_NAMED_MODELS = {"GRAY": "gray", "RGB": "rgb", "CMYK": "cmyk"}


def check(file: Opened) -> Section | None:
    """The intents of a file that claims PDF/X; None for any other."""
    return section(CODES, _points(file)) if file.claims else None


def model_of(file: Opened) -> str:
    """What the intent's printer takes: gray, rgb or cmyk; ``any`` where a profile that is not
    embedded decides it; empty without a usable intent.
    """
    for intent in file.intents:
        profile = intent.get("/DestOutputProfile")
        if isinstance(profile, Stream):
            return _MODELS.get(int(number_of(profile.get("/N")) or 0), "")
        if _by_reference(file):
            reference = intent.get("/DestOutputProfileRef")
            space = text_of(reference, "/ProfileCS") if isinstance(reference, Dictionary) else ""
            return _NAMED_MODELS.get(space.strip(), "any")
    return ""


def _by_reference(file: Opened) -> bool:
    """Whether the claimed version leaves the profile outside the file: PDF/X-4p and its kind."""
    return file.metadata.claim.endswith(("p", "pg"))


def _points(file: Opened) -> Iterator[Point]:
    if not file.intents:
        yield fail("intent-missing", "there is no output intent for PDF/X", right="embed one")
    if len(file.intents) > 1:
        what = f"there are {len(file.intents)} output intents for PDF/X"
        yield fail("intent-many", what, right="keep one")
    for intent in file.intents:
        for fault in key_faults("Intent", intent, claims=True):
            right = f"correct it ({fault.row.source})"
            yield fail(fault.row.code, fault.what, _WHERE, right)
        yield from _condition_points(intent)
        profile = intent.get("/DestOutputProfile")
        if isinstance(profile, Stream):
            yield from _profile_points(file, profile)
        elif profile is None and not _by_reference(file):
            what = "/DestOutputProfile is missing"
            yield fail("intent-profile", what, _WHERE, "embed the printer's profile")
        elif profile is None and "/DestOutputProfileRef" not in intent:
            what = "the profile is neither embedded nor referred to"
            yield warn("intent-profile", what, _WHERE, "name it by /DestOutputProfileRef")


def _condition_points(intent: Object) -> Iterator[Point]:
    """A condition that no registry lists has to be described in /Info."""
    condition = text_of(intent, "/OutputConditionIdentifier")
    if not condition or _REGISTERED.match(condition):
        return
    if "/Info" not in intent:
        what = f"/Info is missing, and {condition} is not a registered condition"
        yield fail("intent-keys", what, _WHERE, "describe the printing condition in /Info")


def _profile_points(file: Opened, profile: Object) -> Iterator[Point]:
    right = "embed the printer's profile"
    try:
        data = unpack(profile, file.budget)
    except (PdfError, DamagedError):
        return  # reported as a damaged stream
    fault = intent_fault(data)
    if fault:
        yield fail("intent-profile", f"it {fault}", _WHERE, right)
        return
    header = icc_header(data)
    if int(header.version.partition(".")[0]) > _NEWEST_ICC:
        what = f"the profile is of ICC version {header.version}, which PDF does not know"
        yield fail("intent-profile", what, _WHERE, "embed a profile of version 2 or 4")
    for key_fault in key_faults("Profile", profile, claims=True):
        yield fail(key_fault.row.code, key_fault.what, _WHERE, f"give it ({key_fault.row.source})")
    stated, real = number_of(profile.get("/N")), header.channels
    if stated is not None and stated != real:
        what = f"/N is {stated:g}, the profile has {real}"
        yield fail("intent-channels", what, _WHERE, f"state {real}")
