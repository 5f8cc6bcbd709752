"""Faults of the file as a whole, of page boxes and of layers."""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Iterator

import pikepdf
from pikepdf import Array, Dictionary, Encryption, Name, Object, Pdf, String

from tests.preflight.edits import contents, forms, group, script
from tests.preflight.mutants import Mutant


def mutants() -> Iterator[Mutant]:
    yield Mutant("no header", "file-syntax", cut=lambda data: data.replace(b"%PDF-", b"%XDF-"))
    yield Mutant("cut short", "file-syntax", cut=lambda data: data[: len(data) * 2 // 3])
    yield Mutant(
        "wrong start",
        "file-syntax",
        cut=lambda data: re.sub(rb"startxref\n\d+", b"startxref\n7", data),
    )
    yield Mutant("wrong length", "file-syntax", cut=_wrong_length)
    yield Mutant("stream cut short", "file-stream", edit=_short_stream)
    yield Mutant("stream damaged", "file-stream", edit=_damaged_stream)
    yield Mutant("password", "file-encrypted", cut=lambda data: _encrypted(data, "secret"))
    yield Mutant("owner password", "file-encrypted", cut=lambda data: _encrypted(data, ""))
    yield Mutant(
        "script on opening", "file-script", edit=lambda pdf: _root(pdf, "/OpenAction", script())
    )
    yield Mutant("named script", "file-script", edit=_named_script)
    yield Mutant(
        "page action",
        "file-script",
        edit=lambda pdf: _page(pdf, "/AA", Dictionary({"/O": script()})),
    )
    yield Mutant("attachment", "file-attached", edit=_attach)
    yield Mutant(
        "form fields",
        "file-form",
        edit=lambda pdf: _root(pdf, "/AcroForm", Dictionary({"/Fields": Array()})),
    )
    yield Mutant("annotation", "file-annotation", edit=_annotate)
    yield Mutant("data elsewhere", "file-external", edit=_external)
    yield Mutant("lzw", "file-lzw", edit=_lzw, claims=True)
    yield Mutant("form by reference", "file-external", edit=_refer, claims=True)
    yield Mutant(
        "form of an image server",
        "file-opi",
        edit=lambda pdf: _put(forms(pdf)[0], "/OPI", Dictionary()),
        claims=True,
    )
    yield Mutant(
        "go to another file",
        "file-script",
        edit=lambda pdf: _root(pdf, "/OpenAction", Dictionary({"/S": Name.GoToR})),
    )
    yield Mutant(
        "go to a page by an action, claimed",
        "file-script",
        edit=lambda pdf: _root(pdf, "/OpenAction", Dictionary({"/S": Name.GoTo})),
        claims=True,
    )
    yield from _boxes()
    yield from _layers()


def _boxes() -> Iterator[Mutant]:
    wide = Array([0, 0, 900, 700])
    yield Mutant("no trim box", "box-trim", edit=lambda pdf: _drop(pdf, "/TrimBox"))
    yield Mutant(
        "no trim box, claimed", "box-trim", edit=lambda pdf: _drop(pdf, "/TrimBox"), claims=True
    )
    yield Mutant(
        "art box", "box-trim", edit=lambda pdf: _page(pdf, "/ArtBox", Array([40, 40, 800, 580]))
    )
    yield Mutant(
        "trim of names", "box-trim", edit=lambda pdf: _page(pdf, "/TrimBox", Array([Name.A] * 4))
    )
    yield Mutant(
        "trim over bleed",
        "box-order",
        edit=lambda pdf: _page(pdf, "/TrimBox", Array([20, 40, 800, 580])),
    )
    yield Mutant(
        "bleed over media",
        "box-order",
        edit=lambda pdf: _page(pdf, "/BleedBox", Array([28, 28, 900, 600])),
    )
    yield Mutant("crop over media", "box-order", edit=lambda pdf: _page(pdf, "/CropBox", wide))
    yield Mutant(
        "no media box", "box-media", cut=lambda data: data.replace(b"/MediaBox", b"/MediaBux")
    )
    yield Mutant(
        "media of three",
        "box-media",
        cut=lambda data: data.replace(b"/MediaBox [ 0", b"/MediaBox [  "),
    )
    yield Mutant(
        "bleed a string", "box-bleed", edit=lambda pdf: _page(pdf, "/BleedBox", String("30"))
    )
    yield Mutant("crop a number", "box-crop", edit=lambda pdf: _page(pdf, "/CropBox", 30))
    yield Mutant(
        "too long", "box-size", edit=lambda pdf: _page(pdf, "/MediaBox", Array([0, 0, 20000, 700]))
    )
    yield Mutant("page scaled down", "box-unit", edit=lambda pdf: _page(pdf, "/UserUnit", 0.99))
    yield Mutant("page scaled a little", "box-unit", edit=lambda pdf: _page(pdf, "/UserUnit", 1.01))
    yield Mutant("unit a name", "box-unit", edit=lambda pdf: _page(pdf, "/UserUnit", Name.Two))


def _layers() -> Iterator[Mutant]:
    def config(key: str, value: Callable[[Pdf], Object]) -> Callable[[Pdf], None]:
        return lambda pdf: _put(pdf.Root["/OCProperties"]["/D"], key, value(pdf))

    yield Mutant(
        "no name", "layers-name", edit=lambda pdf: _remove(pdf.Root["/OCProperties"]["/D"], "/Name")
    )
    yield Mutant(
        "short order",
        "layers-order",
        edit=lambda pdf: pdf.Root["/OCProperties"]["/D"]["/Order"].__delitem__(0),
    )
    yield Mutant("automatic", "layers-auto", edit=config("/AS", lambda _: Array()))
    yield Mutant(
        "cut hidden",
        "layers-hidden",
        edit=config("/OFF", lambda pdf: Array([group(pdf, "Kiss cut")])),
    )
    yield Mutant("all hidden", "layers-hidden", edit=config("/BaseState", lambda _: Name.OFF))
    yield Mutant(
        "group unnamed", "layers-list", edit=lambda pdf: _remove(group(pdf, "Notes"), "/Name")
    )
    yield Mutant(
        "no default", "layers-list", edit=lambda pdf: _remove(pdf.Root["/OCProperties"], "/D")
    )
    yield Mutant(
        "misspelt group", "step-group", edit=lambda pdf: _step(pdf, "Notes", "Group", Name.Legends)
    )
    yield Mutant(
        "small letters",
        "step-group",
        edit=lambda pdf: _step(pdf, "Kiss cut", "Group", Name.structural),
    )
    yield Mutant(
        "no group",
        "step-group",
        edit=lambda pdf: _remove(group(pdf, "Kiss cut")["/GTS_Metadata"], "/GTS_ProcStepsGroup"),
    )
    yield Mutant(
        "group a string",
        "step-group",
        edit=lambda pdf: _step(pdf, "Kiss cut", "Group", String("Structural")),
    )
    yield Mutant(
        "misspelt type",
        "step-type",
        edit=lambda pdf: _step(pdf, "Through cut", "Type", Name.Cuting),
    )
    yield Mutant(
        "no type",
        "step-type",
        edit=lambda pdf: _remove(group(pdf, "Kiss cut")["/GTS_Metadata"], "/GTS_ProcStepsType"),
    )
    yield Mutant(
        "type on notes", "step-type", edit=lambda pdf: _step(pdf, "Notes", "Type", Name.Cutting)
    )
    yield Mutant(
        "another group's type",
        "step-type",
        edit=lambda pdf: _step(pdf, "Holes", "Type", Name.Barcode),
    )


def _put(owner: Object, key: str, value: object) -> None:
    owner[key] = value


def _remove(owner: Object, key: str) -> None:
    del owner[key]


def _root(pdf: Pdf, key: str, value: object) -> None:
    _put(pdf.Root, key, value)


def _page(pdf: Pdf, key: str, value: object) -> None:
    _put(pdf.pages[0].obj, key, value)


def _drop(pdf: Pdf, key: str) -> None:
    _remove(pdf.pages[0].obj, key)


def _step(pdf: Pdf, title: str, which: str, value: object) -> None:
    _put(group(pdf, title)["/GTS_Metadata"], f"/GTS_ProcSteps{which}", value)


def _wrong_length(data: bytes) -> bytes:
    match = re.search(rb"/Filter /FlateDecode[^>]*?/Length (\d+)", data)
    assert match
    start, end = match.span(1)
    wrong = str(int(match[1]) + 7).encode().rjust(end - start, b"0")[: end - start]
    return data[:start] + wrong + data[end:]


def _short_stream(pdf: Pdf) -> None:
    form = forms(pdf)[0]
    form.write(form.read_raw_bytes()[:-20], filter=Name.FlateDecode)


def _damaged_stream(pdf: Pdf) -> None:
    form = forms(pdf)[0]
    raw = bytearray(form.read_raw_bytes())
    raw[30:40] = bytes(10)
    form.write(bytes(raw), filter=Name.FlateDecode)


def _encrypted(data: bytes, user: str) -> bytes:
    target = io.BytesIO()
    with pikepdf.open(io.BytesIO(data)) as pdf:
        pdf.save(target, encryption=Encryption(owner="owner", user=user))
    return target.getvalue()


def _lzw(pdf: Pdf) -> None:
    """Clear, the letters q and Q with a blank between, end: nine bits a code."""
    bits = "".join(f"{code:09b}" for code in (256, *b"q Q", 257))
    packed = int(bits.ljust(48, "0"), 2).to_bytes(6, "big")
    stream = pdf.make_stream(b"")
    stream.write(packed, filter=Name.LZWDecode)
    pdf.pages[0].obj["/Contents"].append(stream)


def _refer(pdf: Pdf) -> None:
    page = Dictionary({"/F": String("other.pdf"), "/Page": 0})
    _put(forms(pdf)[0], "/Ref", page)


def _named_script(pdf: Pdf) -> None:
    pdf.Root["/Names"] = Dictionary(
        {"/JavaScript": Dictionary({"/Names": Array([String("a"), script()])})}
    )


def _attach(pdf: Pdf) -> None:
    pdf.attachments["note.txt"] = b"hello"


def _annotate(pdf: Pdf) -> None:
    mark = Dictionary(
        {"/Type": Name.Annot, "/Subtype": Name.Square, "/Rect": Array([50, 50, 90, 90])}
    )
    _page(pdf, "/Annots", Array([pdf.make_indirect(mark)]))


def _external(pdf: Pdf) -> None:
    elsewhere = pdf.make_stream(b"")
    elsewhere["/F"] = String("elsewhere.bin")
    contents(pdf)[0]["/Elsewhere"] = pdf.make_indirect(elsewhere)
