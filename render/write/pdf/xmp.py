"""Writes the metadata packet as plain text, so that it is the same every time.

Namespaces: XMP specification part 1 and 2 (dc, xmp, xmpMM, pdf); ``pdfxid`` is the namespace
in which a file states its version of PDF/X-4 or later.
"""

from __future__ import annotations

import hashlib
from datetime import UTC, datetime

from layouts.terms.errors import OutputError
from layouts.terms.values import frozen

CLAIM = "PDF/X-4"
PRODUCER = "pipelegend"
# Python's own function for this comes with HTTP and TLS, which take 8 ms to load.
_ESCAPED = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;"})

# The day that a file bears where its standard demands one and nobody gave one: the earliest
# that a ZIP archive can hold, so that every kind of file we write can say the same.
EPOCH = datetime(1980, 1, 1, tzinfo=UTC)


@frozen
class Facts:
    """The data in both the packet and the information dictionary."""

    title: str
    document_id: str
    date: datetime | None
    claim: bool

    @property
    def pdf_date(self) -> str:
        """The date in PDF format; empty if there is none."""
        return self.date.strftime("D:%Y%m%d%H%M%SZ") if self.date else ""


def facts(title: str, document_id: str, date: str | None, claim: bool) -> Facts:
    """The metadata of a document; a PDF/X claim needs a date and uses `EPOCH` if none is given.

    Raises:
        OutputError: the date is neither a day nor an instant of ISO 8601.
    """
    try:
        when = datetime.fromisoformat(date) if date else None
    except ValueError as error:
        raise OutputError(f"the date {date!r} is not ISO 8601, such as 2026-03-31") from error
    if when and when.tzinfo is None:
        when = when.replace(tzinfo=UTC)
    if when:
        when = when.astimezone(UTC)
    return Facts(title, document_id, when or (EPOCH if claim else None), claim)


def packet(about: Facts) -> bytes:
    """The XMP packet as UTF-8."""
    title = about.title.translate(_ESCAPED)
    lines = [
        '<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>',
        '<x:xmpmeta xmlns:x="adobe:ns:meta/">',
        '<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">',
        '<rdf:Description rdf:about=""',
        ' xmlns:dc="http://purl.org/dc/elements/1.1/"',
        ' xmlns:xmp="http://ns.adobe.com/xap/1.0/"',
        ' xmlns:xmpMM="http://ns.adobe.com/xap/1.0/mm/"',
        ' xmlns:pdf="http://ns.adobe.com/pdf/1.3/"',
        ' xmlns:pdfxid="http://www.npes.org/pdfx/ns/id/">',
        f'<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{title}</rdf:li></rdf:Alt></dc:title>',
        f"<pdf:Producer>{PRODUCER}</pdf:Producer>",
        "<pdf:Trapped>False</pdf:Trapped>",
        f"<xmp:CreatorTool>{PRODUCER}</xmp:CreatorTool>",
        f"<xmpMM:DocumentID>uuid:{_uuid(about)}</xmpMM:DocumentID>",
        "<xmpMM:VersionID>1</xmpMM:VersionID>",
        "<xmpMM:RenditionClass>default</xmpMM:RenditionClass>",
    ]
    if about.date:
        stamp = about.date.strftime("%Y-%m-%dT%H:%M:%SZ")
        lines += [
            f"<xmp:{key}>{stamp}</xmp:{key}>"
            for key in ("CreateDate", "ModifyDate", "MetadataDate")
        ]
    if about.claim:
        lines.append(f"<pdfxid:GTS_PDFXVersion>{CLAIM}</pdfxid:GTS_PDFXVersion>")
    lines += ["</rdf:Description>", "</rdf:RDF>", "</x:xmpmeta>", '<?xpacket end="r"?>']
    return "\n".join(lines).encode("utf-8")


def _uuid(about: Facts) -> str:
    """A name-based identifier (the shape of RFC 4122 version 5) of the document's own id."""
    digest = bytearray(hashlib.sha256(about.document_id.encode("utf-8")).digest()[:16])
    digest[6] = digest[6] & 0x0F | 0x50
    digest[8] = digest[8] & 0x3F | 0x80
    text = digest.hex()
    return "-".join((text[:8], text[8:12], text[12:16], text[16:20], text[20:]))
