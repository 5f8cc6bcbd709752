"""A file opened for preflight, its metadata, its content, and what every check hands back."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import field
from io import BytesIO
from types import MappingProxyType
from xml.etree import ElementTree

from defusedxml.common import DefusedXmlException
from defusedxml.ElementTree import fromstring
from pikepdf import Array, Dictionary, Object, Page, PasswordError, Pdf, PdfError, Stream

from layouts.terms.values import frozen
from render.preflight.filters import DamagedError, Kept, unpack
from render.preflight.lexer import LexError
from render.preflight.limits import PACKET_BYTES, STREAM_BYTES, Budget, TooLarge
from render.preflight.report import Point, Verdict, fail, unreadable
from render.preflight.rules import Rules

MM_PER_PT = 25.4 / 72
_MENDED = re.compile(r"object (\d+) (\d+) at .*MediaBox is undefined")
_OVER_LIMIT = re.compile(r"memory limit|maximum number of|too many|limits? exceeded", re.IGNORECASE)
_RDF = "{http://www.w3.org/1999/02/22-rdf-syntax-ns#}"
_PREFIXES = {
    "http://purl.org/dc/elements/1.1/": "dc",
    "http://ns.adobe.com/xap/1.0/": "xmp",
    "http://ns.adobe.com/xap/1.0/mm/": "xmpMM",
    "http://ns.adobe.com/pdf/1.3/": "pdf",
    "http://www.npes.org/pdfx/ns/id/": "pdfxid",
}


@frozen
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


@frozen
class Metadata:
    """What the packet says: property names as ``dc:title``, values as text.

    ``fault`` says why there is no readable packet; empty if there is one.
    """

    values: Mapping[str, str]
    fault: str = ""
    present: bool = True

    @property
    def claim(self) -> str:
        """The stated version of PDF/X; empty where there is none."""
        return self.values.get("pdfxid:GTS_PDFXVersion", "")


@frozen
class Opened:
    """A file that could be opened.

    ``steps`` maps a group's identity to its step's key. ``boxless`` are the pages without a
    media box: the PDF library gives them one, and warns. ``damage`` is what else it warned of.
    ``budget`` is what may still be spent on looking at it, ``kept`` what is unpacked already.
    """

    data: bytes
    pdf: Pdf
    metadata: Metadata
    intents: tuple[Object, ...]
    steps: dict[tuple[int, int], str]
    boxless: frozenset[tuple[int, int]]
    damage: tuple[str, ...]
    rules: Rules
    budget: Budget
    kept: Kept = field(default_factory=Kept)

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

    def breach(self, code: str, what: str, where: str = "", right: str = "") -> Point:
        """A fault by the rules of PDF/X: without a claim they are asked for by the house only."""
        return fail(code, what, where, right, house=not self.claims)

    def content_of(self, owner: Page | Object) -> bytes:
        """The decoded content of a page or a form.

        Raises:
            LexError: it cannot be decoded.
            TooLarge: there is too much of it.
        """
        found = owner.obj.get("/Contents") if isinstance(owner, Page) else owner
        parts = found.as_list() if isinstance(found, Array) else [found]
        data, held = [], STREAM_BYTES
        try:
            for part in parts:
                if isinstance(part, Stream):
                    data.append(unpack(part, self.budget, held, self.kept))
                    held -= len(data[-1])
        except (PdfError, DamagedError) as error:
            raise LexError("it cannot be decoded") from error
        whole = b"\n".join(data) if len(data) != 1 else data[0]
        self.budget.read(len(whole))
        return whole


def open_file(data: bytes, rules: Rules, budget: Budget) -> Opened | Point:
    """The opened file, or the point that says why it cannot be.

    Raises:
        TooLarge: it unpacks to more than the PDF library is allowed.
    """
    if b"%PDF-" not in data[:1024]:
        return unreadable("file-syntax", "this is not a PDF file", "give a PDF")
    try:
        pdf = Pdf.open(BytesIO(data))
    except PasswordError:
        return fail("file-encrypted", "the file needs a password", right="save it without one")
    except PdfError as error:
        _refuse_large([str(error)])
        what = f"the file cannot be read ({without_stream_name(str(error))})"
        return unreadable("file-syntax", what, "export it again")
    warnings = [str(each) for each in pdf.get_warnings()]
    _refuse_large(warnings)
    boxless = frozenset(_boxless(warnings))
    damage = tuple(each for each in warnings if not _MENDED.search(each))
    metadata = _read_metadata(pdf, budget)
    return Opened(data, pdf, metadata, _intents(pdf), _steps(pdf), boxless, damage, rules, budget)


def groups_of(pdf: Pdf) -> list[Object]:
    """The optional content groups of a file."""
    properties = pdf.Root.get("/OCProperties")
    found = properties.get("/OCGs") if isinstance(properties, Dictionary) else None
    return [each for each in _as_list(found) if isinstance(each, Dictionary)]


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


def without_stream_name(text: str) -> str:
    """A message of the PDF library without the name that it gives an unnamed stream."""
    return re.sub(r"(?:stream )?<_io\.BytesIO[^>]*>(?:, |: ?| )?", "", text).strip()


def _refuse_large(warnings: Iterable[str]) -> None:
    for text in warnings:
        if _OVER_LIMIT.search(text):
            raise TooLarge("limit-bytes", f"its own tables are too large ({_short(text)})")


def _short(text: str) -> str:
    return without_stream_name(text).rpartition(": ")[2]


def _intents(pdf: Pdf) -> tuple[Object, ...]:
    return tuple(
        each
        for each in _as_list(pdf.Root.get("/OutputIntents"))
        if isinstance(each, Dictionary) and str(each.get("/S")) == "/GTS_PDFX"
    )


def _steps(pdf: Pdf) -> dict[tuple[int, int], str]:
    return {group.objgen: step_key(group) for group in groups_of(pdf) if step_key(group)}


def _boxless(warnings: Iterable[str]) -> Iterator[tuple[int, int]]:
    """Pages that neither have nor inherit a media box, as the PDF library warns of them."""
    for text in warnings:
        found = _MENDED.search(text)
        if found:
            yield int(found[1]), int(found[2])


def _as_list(found: Object | None) -> list[Object]:
    return list(found.as_list()) if isinstance(found, Array) else []


def _read_metadata(pdf: Pdf, budget: Budget) -> Metadata:
    stream = pdf.Root.get("/Metadata")
    if not isinstance(stream, Stream):
        return Metadata(MappingProxyType({}), "there is no metadata packet", present=False)
    try:
        values = _properties(unpack(stream, budget, PACKET_BYTES))
    except (PdfError, DamagedError):
        return Metadata(MappingProxyType({}), "the metadata packet cannot be decoded")
    except ElementTree.ParseError as error:
        return Metadata(MappingProxyType({}), f"the metadata packet is not XML ({error})")
    return Metadata(MappingProxyType(values))


def _properties(packet: bytes) -> dict[str, str]:
    try:
        root: ElementTree.Element = fromstring(packet, forbid_dtd=True)
    except DefusedXmlException as error:
        why = "it has a document type, which a packet cannot have"
        raise ElementTree.ParseError(why) from error
    values: dict[str, str] = {}
    for description in root.iter(f"{_RDF}Description"):
        pairs = [(key, value) for key, value in description.attrib.items()]
        pairs += [(child.tag, _text(child)) for child in description]
        for name, value in pairs:
            space, _, local = name[1:].partition("}")
            if space in _PREFIXES:
                values[f"{_PREFIXES[space]}:{local}"] = value
    return values


def _text(element: ElementTree.Element) -> str:
    """The text of a property, or of the first item of a list in it."""
    item = element.find(f".//{_RDF}li")
    return ((element if item is None else item).text or "").strip()
