"""Faults of the claim, its metadata and its output intent."""

from __future__ import annotations

import re
import zlib
from collections.abc import Callable, Iterator

from pikepdf import Name, Object, Pdf

from tests.helpers.pdf_system import PROFILES
from tests.preflight.edits import metadata
from tests.preflight.mutants import Mutant


def mutants() -> Iterator[Mutant]:
    yield from _packet()
    yield from _information()
    yield from _intent()


def _widened(pdf: Pdf) -> None:
    """A document type in a packet of another encoding."""
    packet = pdf.Root["/Metadata"]
    text = re.sub(r"^.*?<x:xmpmeta", "<x:xmpmeta", packet.read_bytes().decode(), flags=re.DOTALL)
    text = f'<!DOCTYPE a [<!ENTITY b "c">]>{text}'.partition("<?xpacket")[0]
    packet.write(text.encode("utf-16"))


def _packet() -> Iterator[Mutant]:
    def changed(name: str, code: str, old: bytes, new: bytes = b"") -> Mutant:
        return Mutant(name, code, edit=lambda pdf: metadata(pdf, old, new), claims=True)

    yield changed("claim left out", "claim-version", rb"<pdfxid:GTS_PDFXVersion>.*?</[^>]*>")
    yield changed("claim unknown", "claim-version", rb"PDF/X-4", b"PDF/X-9")
    yield changed(
        "claim of another space", "claim-version", rb"npes.org/pdfx/ns/id/", b"npes.org/pdfx/ns/"
    )
    yield changed("broken packet", "claim-xmp", rb"</rdf:RDF>")
    yield changed(
        "entity", "claim-xmp", rb"<x:xmpmeta", b'<!DOCTYPE a [<!ENTITY b "c">]><x:xmpmeta'
    )
    yield Mutant("entity in UTF-16", "claim-xmp", edit=_widened, claims=True)
    yield changed("no title", "claim-title", rb"<dc:title>.*?</dc:title>")
    yield changed("no creation", "claim-dates", rb"<xmp:CreateDate>.*?</[^>]*>")
    yield changed("no change", "claim-dates", rb"<xmp:ModifyDate>.*?</[^>]*>")
    yield changed("no stamp", "claim-dates", rb"<xmp:MetadataDate>.*?</[^>]*>")
    yield changed("date a word", "claim-dates", rb"(?<=ModifyDate>)[^<]+", b"yesterday")
    yield changed("no document id", "claim-ids", rb"<xmpMM:DocumentID>.*?</[^>]*>")
    yield changed("no version id", "claim-ids", rb"<xmpMM:VersionID>.*?</[^>]*>")
    yield changed("no rendition", "claim-ids", rb"<xmpMM:RenditionClass>.*?</[^>]*>")
    yield changed("another title", "claim-agrees", rb"Sample sheet", b"Other sheet")
    yield changed("another trapping", "claim-agrees", rb"Trapped>False", b"Trapped>True")
    yield changed("another date", "claim-agrees", rb"CreateDate>2026", b"CreateDate>2025")
    yield Mutant(
        "no packet", "claim-xmp", edit=lambda pdf: _remove(pdf.Root, "/Metadata"), claims=True
    )
    yield Mutant("packed packet", "claim-xmp", cut=_packed, claims=True)
    yield Mutant(
        "packet untyped",
        "claim-xmp",
        edit=lambda pdf: _put(pdf.Root["/Metadata"], "/Subtype", Name.Text),
        claims=True,
    )
    yield Mutant(
        "broken packet, no claim", "claim-xmp", edit=lambda pdf: metadata(pdf, rb"</rdf:RDF>", b"")
    )


def _information() -> Iterator[Mutant]:
    def changed(name: str, code: str, key: str, value: object) -> Mutant:
        return Mutant(
            name, code, edit=lambda pdf: _put(pdf.trailer["/Info"], key, value), claims=True
        )

    yield Mutant("trapping not said", "claim-trapped", edit=_no_trapping, claims=True)
    yield changed("trapping unknown", "claim-trapped", "/Trapped", Name.Unknown)
    yield changed("trapping misspelt", "claim-trapped", "/Trapped", Name("/False_"))
    yield changed("trapping a boolean", "claim-trapped", "/Trapped", False)
    yield changed("date a number", "info-keys", "/CreationDate", 2026)
    yield changed("change a number", "info-keys", "/ModDate", 2026)
    yield Mutant(
        "no identifier", "file-id", cut=lambda data: data.replace(b"/ID [", b"/IX ["), claims=True
    )


def _intent() -> Iterator[Mutant]:
    def at(name: str, code: str, key: str, value: object) -> Mutant:
        return Mutant(name, code, edit=lambda pdf: _put(_first(pdf), key, value), claims=True)

    def without(name: str, code: str, key: str) -> Mutant:
        return Mutant(name, code, edit=lambda pdf: _remove(_first(pdf), key), claims=True)

    def profile(name: str, code: str, edit: Callable[[Object], None]) -> Mutant:
        return Mutant(
            name, code, edit=lambda pdf: edit(_first(pdf)["/DestOutputProfile"]), claims=True
        )

    yield Mutant(
        "no intent",
        "intent-missing",
        edit=lambda pdf: _remove(pdf.Root, "/OutputIntents"),
        claims=True,
    )
    yield at("intent of another kind", "intent-missing", "/S", Name.GTS_PDFA1)
    yield Mutant(
        "two intents",
        "intent-many",
        edit=lambda pdf: pdf.Root["/OutputIntents"].append(_first(pdf)),
        claims=True,
    )
    yield without("no condition", "intent-keys", "/OutputConditionIdentifier")
    yield at("condition a name", "intent-keys", "/OutputConditionIdentifier", Name.Coated)
    yield at("registry a name", "intent-keys", "/RegistryName", Name.Registry)
    yield without("no information", "intent-keys", "/Info")
    yield without("no profile", "intent-profile", "/DestOutputProfile")
    yield profile("profile of a display", "intent-profile", _display)
    yield profile(
        "profile cut short", "intent-profile", lambda found: found.write(found.read_bytes()[:5000])
    )
    yield profile(
        "profile of noise", "intent-profile", lambda found: found.write(b"no profile" * 100)
    )
    yield profile("profile of the next ICC", "intent-profile", _next_version)
    yield profile(
        "profile with a kilobyte behind it",
        "intent-profile",
        lambda found: found.write(found.read_bytes() + bytes(1024)),
    )
    yield Mutant(
        "base too new",
        "claim-base",
        edit=lambda pdf: _put(pdf.Root, "/Version", Name("/2.0")),
        claims=True,
    )
    yield Mutant(
        "header too new",
        "claim-base",
        cut=lambda data: data.replace(b"%PDF-1.6", b"%PDF-2.0"),
        claims=True,
    )
    yield profile("three channels said", "intent-channels", lambda found: _put(found, "/N", 3))
    yield profile("channels not said", "intent-channels", lambda found: _remove(found, "/N"))


def _first(pdf: Pdf) -> Object:
    return pdf.Root["/OutputIntents"][0]


def _put(owner: Object, key: str, value: object) -> None:
    owner[key] = value


def _remove(owner: Object, key: str) -> None:
    del owner[key]


def _packed(data: bytes) -> bytes:
    """The packet compressed, in as many bytes as before, so that every offset stays true."""
    found = re.search(rb"<<([^<>]*/Type /Metadata[^<>]*)/Length (\d+) >>\nstream\n", data)
    assert found
    start, length = found.end(), int(found[2])
    head = found[1] + b"/Filter /FlateDecode "
    room = length - len(b"/Filter /FlateDecode ")
    body = zlib.compress(data[start : start + length]).ljust(room, b"\0")
    size = str(room).encode().rjust(len(found[2]), b"0")
    made = b"<<" + head + b"/Length " + size + b" >>\nstream\n" + body
    return data[: found.start()] + made + data[start + length :]


def _no_trapping(pdf: Pdf) -> None:
    metadata(pdf, rb"<pdf:Trapped>.*?</[^>]*>", b"")
    _remove(pdf.trailer["/Info"], "/Trapped")


def _next_version(found: Object) -> None:
    data = bytearray(found.read_bytes())
    data[8:10] = b"\x05\x00"
    found.write(bytes(data))


def _display(found: Object) -> None:
    found.write((PROFILES / "srgb.icc").read_bytes())
    _put(found, "/N", 3)
