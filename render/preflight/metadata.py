"""The XMP packet of a file, read into a flat table."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from xml.etree import ElementTree

from pikepdf import Pdf, PdfError, Stream

_RDF = "{http://www.w3.org/1999/02/22-rdf-syntax-ns#}"
_PREFIXES = {
    "http://purl.org/dc/elements/1.1/": "dc",
    "http://ns.adobe.com/xap/1.0/": "xmp",
    "http://ns.adobe.com/xap/1.0/mm/": "xmpMM",
    "http://ns.adobe.com/pdf/1.3/": "pdf",
    "http://www.npes.org/pdfx/ns/id/": "pdfxid",
}


@dataclass(frozen=True, slots=True)
class Metadata:
    """What the packet says: property names as ``dc:title``, values as text.

    ``fault`` says why there is no packet that can be read; empty where there is one.
    """

    values: Mapping[str, str]
    fault: str = ""
    present: bool = True

    @property
    def claim(self) -> str:
        """The stated version of PDF/X; empty where there is none."""
        return self.values.get("pdfxid:GTS_PDFXVersion", "")


def read_metadata(pdf: Pdf) -> Metadata:
    """The document's metadata."""
    stream = pdf.Root.get("/Metadata")
    if not isinstance(stream, Stream):
        return Metadata(MappingProxyType({}), "there is no metadata packet", present=False)
    try:
        values = _values(stream.read_bytes())
    except PdfError:
        return Metadata(MappingProxyType({}), "the metadata packet cannot be decoded")
    except ElementTree.ParseError as error:
        return Metadata(MappingProxyType({}), f"the metadata packet is no XML ({error})")
    return Metadata(MappingProxyType(values))


def _values(data: bytes) -> dict[str, str]:
    if re.search(rb"<!DOCTYPE|<!ENTITY", data):
        raise ElementTree.ParseError("a document type, which a packet cannot have")
    values: dict[str, str] = {}
    for description in ElementTree.fromstring(data).iter(f"{_RDF}Description"):
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
