"""A file opened for preflight, and what every check hands back."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from io import BytesIO

from pikepdf import Array, Dictionary, Object, PasswordError, Pdf, PdfError

from render.preflight.metadata import Metadata, read_metadata
from render.preflight.report import Point, Verdict, fail

MM_PER_PT = 25.4 / 72
_MENDED = re.compile(r"object (\d+) (\d+) at .*MediaBox is undefined")


@dataclass(frozen=True, slots=True)
class Section:
    """The outcome of one check: the codes it looked at, and what it found."""

    looked_at: tuple[tuple[str, str], ...]  # code and what it says when all is well
    found: tuple[Point, ...]

    def points(self) -> tuple[Point, ...]:
        """Findings, and a pass for every code without one."""
        spoken = {point.code for point in self.found}
        passed = (
            Point(code, Verdict.PASS, good) for code, good in self.looked_at if code not in spoken
        )
        return (*self.found, *passed)


def section(looked_at: dict[str, str], found: Iterable[Point]) -> Section:
    """A section of codes, each with its sentence for a pass."""
    return Section(tuple(looked_at.items()), tuple(found))


@dataclass(frozen=True, slots=True)
class Opened:
    """A file that could be opened.

    ``steps`` maps a group's identity to its step's key. ``boxless`` are the pages without a
    media box: the PDF library gives them one, and warns. ``damage`` is what else it warned of.
    """

    data: bytes
    pdf: Pdf
    metadata: Metadata
    intents: tuple[Object, ...]
    steps: dict[tuple[int, int], str]
    boxless: frozenset[tuple[int, int]]
    damage: tuple[str, ...]

    @property
    def claims(self) -> bool:
        """Whether the file says, in any place, that it is PDF/X."""
        return bool(self.metadata.claim or self.info_claim or self.intents)

    @property
    def info_claim(self) -> str:
        """The version that the information dictionary states (PDF/X-1a and PDF/X-3)."""
        return text_of(self.info, "/GTS_PDFXVersion")

    @property
    def info(self) -> Object | None:
        """The information dictionary."""
        found = self.pdf.trailer.get("/Info")
        return found if isinstance(found, Dictionary) else None

    @property
    def strict(self) -> bool:
        """Whether the file is held to the rules for print files: it claims PDF/X or has steps."""
        return self.claims or bool(self.steps)


def open_file(data: bytes) -> Opened | Point:
    """The opened file, or the point that says why it cannot be."""
    if b"%PDF-" not in data[:1024]:
        return Point("file-syntax", Verdict.UNREADABLE, "this is no PDF file", right="give a PDF")
    try:
        pdf = Pdf.open(BytesIO(data))
    except PasswordError:
        return fail("file-encrypted", "the file needs a password", right="save it without one")
    except PdfError as error:
        what = f"the file cannot be read ({_without_stream_name(str(error))})"
        return Point("file-syntax", Verdict.UNREADABLE, what, right="write it again")
    intents = tuple(
        each
        for each in _listed(pdf.Root.get("/OutputIntents"))
        if isinstance(each, Dictionary) and str(each.get("/S")) == "/GTS_PDFX"
    )
    warnings = [str(each) for each in pdf.get_warnings()]
    boxless = frozenset(_boxless(warnings))
    damage = tuple(each for each in warnings if not _MENDED.search(each))
    return Opened(data, pdf, read_metadata(pdf), intents, _steps(pdf), boxless, damage)


def groups_of(pdf: Pdf) -> list[Object]:
    """The optional content groups of a file."""
    properties = pdf.Root.get("/OCProperties")
    found = properties.get("/OCGs") if isinstance(properties, Dictionary) else None
    return [each for each in _listed(found) if isinstance(each, Dictionary)]


def step_key(group: Object) -> str:
    """Group and type of a processing step as ``Structural/Cutting``; empty for other layers."""
    step = group.get("/GTS_Metadata")
    if not isinstance(step, Dictionary):
        return ""
    parts = (str(step.get(key, "/"))[1:] for key in ("/GTS_ProcStepsGroup", "/GTS_ProcStepsType"))
    return "/".join(parts)


def text_of(found: Object | None, key: str) -> str:
    """A text string or name of a dictionary; empty where it is missing."""
    value = found.get(key) if found is not None else None
    return "" if value is None else str(value)


def _steps(pdf: Pdf) -> dict[tuple[int, int], str]:
    return {group.objgen: step_key(group) for group in groups_of(pdf) if step_key(group)}


def _boxless(warnings: Iterable[str]) -> Iterator[tuple[int, int]]:
    """Pages that neither have nor inherit a media box, as the PDF library warns of them."""
    for text in warnings:
        found = _MENDED.search(text)
        if found:
            yield int(found[1]), int(found[2])


def _listed(found: Object | None) -> list[Object]:
    return list(found.as_list()) if isinstance(found, Array) else []


def _without_stream_name(text: str) -> str:
    """The message of the PDF library without the name that it gives an unnamed stream."""
    return text.partition(">: ")[2] or text
