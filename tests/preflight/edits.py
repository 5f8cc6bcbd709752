"""Edits of finished PDF files, by objects and by bytes, with no help from the writer."""

from __future__ import annotations

import io
import re
from collections.abc import Callable

import pikepdf
from pikepdf import Array, Dictionary, Name, Object, Pdf, String

Edit = Callable[[Pdf], None]


def edited(data: bytes, edit: Edit) -> bytes:
    """The file with an edit made to its objects."""
    with pikepdf.open(io.BytesIO(data)) as pdf:
        edit(pdf)
        target = io.BytesIO()
        pdf.save(
            target,
            fix_metadata_version=False,
            static_id=True,
            compress_streams=False,
            stream_decode_level=pikepdf.StreamDecodeLevel.none,
        )
    return target.getvalue()


def contents(pdf: Pdf, page: int = 0) -> list[Object]:
    return list(pdf.pages[page].obj["/Contents"])


def forms(pdf: Pdf) -> list[Object]:
    return [
        found
        for found in pdf.objects
        if isinstance(found, pikepdf.Stream) and str(found.get("/Subtype")) == "/Form"
    ]


def layer(pdf: Pdf, title: str) -> Object:
    """The content stream of an optional content group, by the group's title."""
    resources = pdf.pages[0].obj["/Resources"]
    for tag, group in resources["/Properties"].items():
        if str(group["/Name"]) == title:
            begin = f"/OC {tag} BDC".encode()
            return next(each for each in contents(pdf) if begin in each.read_bytes())
    raise LookupError(title)


def group(pdf: Pdf, title: str) -> Object:
    groups = pdf.Root["/OCProperties"]["/OCGs"]
    return next(each for each in groups if str(each["/Name"]) == title)


def swap(stream: Object, old: bytes, new: bytes, count: int = 0) -> None:
    """Replace what matches ``old``, a pattern, in a content stream; it must be there."""
    text, made = re.subn(old, new, stream.read_bytes(), count=count)
    assert made, f"{old!r} is not in the stream"
    stream.write(text)


def put(stream: Object, text: bytes) -> None:
    """Append to a content stream."""
    stream.write(stream.read_bytes() + b"\n" + text)


def add(pdf: Pdf, text: bytes) -> None:
    """Append a content stream of its own to the first page."""
    pdf.pages[0].obj["/Contents"].append(pdf.make_stream(text))


def resource(owner: Object, kind: str, name: str, value: Object) -> None:
    """Put an entry into a resource dictionary, which is made the owner's own."""
    owner["/Resources"] = Dictionary(
        {key: Dictionary(dict(entry.items())) for key, entry in owner["/Resources"].items()}
    )
    if kind not in owner["/Resources"]:
        owner["/Resources"][kind] = Dictionary()
    owner["/Resources"][kind][name] = value


def space_name(owner: Object, ink: str) -> bytes:
    """The resource name of a Separation."""
    spaces = owner["/Resources"]["/ColorSpace"]
    return next(key.encode() for key, value in spaces.items() if str(value[1]) == f"/{ink}")


def separation(ink: str, c1: tuple[float, ...] = (50, 0, 0)) -> Array:
    white = Dictionary(
        {"/WhitePoint": Array([0.9642, 1, 0.8249]), "/Range": Array([-128, 127, -128, 127])}
    )
    tint = Dictionary(
        {
            "/FunctionType": 2,
            "/Domain": Array([0, 1]),
            "/N": 1,
            "/C0": Array([100, 0, 0]),
            "/C1": Array(c1),
        }
    )
    return Array([Name.Separation, Name("/" + ink), Array([Name.Lab, white]), tint])


def metadata(pdf: Pdf, old: bytes, new: bytes) -> None:
    """Replace what matches a pattern in the XMP packet."""
    swap(pdf.Root["/Metadata"], old, new)


def script() -> Dictionary:
    return Dictionary({"/S": Name.JavaScript, "/JS": String("app.alert(1)")})


def image(pdf: Pdf, space: Object, channels: int) -> Object:
    """An image of one pixel."""
    stream = pdf.make_stream(b"\x80" * channels)
    for key, value in {
        "/Type": Name.XObject,
        "/Subtype": Name.Image,
        "/Width": 1,
        "/Height": 1,
        "/BitsPerComponent": 8,
        "/ColorSpace": space,
    }.items():
        stream[key] = value
    return stream
