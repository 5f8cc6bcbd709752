"""Whether the file is whole, and holds nothing that a print file has no use for.

What PDF/X-4 forbids (actions, LZW, OPI, alternate images, references to other files) is cited
from memory of ISO 15930-7.
"""

from __future__ import annotations

from collections.abc import Iterator

from pikepdf import Array, Dictionary, Object, PdfError, Stream

from layouts.terms.counts import counted
from render.preflight.boxes import box_of, overlap
from render.preflight.filters import DamagedError, filters_of, verify
from render.preflight.opened import Opened, Section, section, without_stream_name
from render.preflight.report import Point, fail, note

CODES = {
    "file-syntax": "the file is whole",
    "file-stream": "every stream can be unpacked",
    "file-encrypted": "not encrypted",
    "file-script": "no scripts and no actions",
    "file-attached": "no attached files",
    "file-external": "nothing is taken from outside the file",
    "file-form": "no form fields",
    "file-annotation": "no annotations on the printed area",
    "file-lzw": "no LZW compression",
    "file-opi": "no images that a server would swap (OPI)",
    "image-alternates": "no image has alternates",
}
_OUTSIDE_CLAIMS = ("PDF/X-5g", "PDF/X-5pg")  # these may refer to other files
_PRESS_MARKS = ("/PrinterMark", "/TrapNet")  # annotations that PDF/X allows anywhere


def check(file: Opened) -> Section:
    """Syntax, encryption, scripts, attachments, forms, annotations."""
    return section(CODES, _points(file))


def _points(file: Opened) -> Iterator[Point]:
    if file.pdf.is_encrypted:
        yield fail("file-encrypted", "the file is encrypted", right="save it without a password")
    yield from _root_points(file)
    for number, page in enumerate(file.pdf.pages, 1):
        file.budget.work(10)
        where = f"page {number}"
        if "/AA" in page.obj:
            yield file.breach(
                "file-script", "the page acts when it is opened", where, "remove the action"
            )
        yield from _annotation_points(file, page.obj, where)
    yield from _object_points(file)
    # Asked last: objects are read when they are first looked at.
    problems = [*file.damage, *map(str, file.pdf.get_warnings())]
    if problems:
        first = without_stream_name(problems[0])
        yield fail("file-syntax", f"the file is damaged: {first}", right="export it again")


def _root_points(file: Opened) -> Iterator[Point]:
    root = file.pdf.Root
    opening = root.get("/OpenAction")
    if opening is not None and not _is_view(opening, file.claims):
        what = "the file runs an action when it is opened (/OpenAction)"
        yield file.breach("file-script", what, right="remove it")
    if "/AA" in root:
        what = "the file runs actions on events (/AA)"
        yield file.breach("file-script", what, right="remove them")
    names = root.get("/Names")
    if isinstance(names, Dictionary):
        if "/JavaScript" in names:
            yield file.breach("file-script", "the file holds scripts", right="remove them")
        if "/EmbeddedFiles" in names:
            yield file.breach("file-attached", "other files are attached", right="remove them")
    if "/AcroForm" in root:
        yield file.breach("file-form", "the file holds form fields", right="flatten them")


def _is_view(opening: Object, claims: bool) -> bool:
    """Whether the file opens at a page: a destination, or an action that only goes there.

    PDF/X allows no action of any kind.
    """
    if isinstance(opening, Array):
        return True
    if not isinstance(opening, Dictionary) or claims:
        return False
    return str(opening.get("/S")) == "/GoTo" and "/Next" not in opening


def _annotation_points(file: Opened, page: Object, where: str) -> Iterator[Point]:
    annotations = page.get("/Annots")
    if not isinstance(annotations, Array) or len(annotations) == 0:
        return
    file.budget.work(len(annotations))
    printed = box_of(page, "/BleedBox") or box_of(page, "/TrimBox") or box_of(page, "/MediaBox")
    inside = 0
    for each in annotations.as_list():
        if isinstance(each, Dictionary) and str(each.get("/Subtype")) not in _PRESS_MARKS:
            box = box_of(each, "/Rect")
            inside += box is None or printed is None or overlap(box, printed)
    if inside:
        what = f"{counted(inside, 'annotation')} on the printed area, which may print or not"
        yield file.breach("file-annotation", what, where, "remove them or move them off the bleed")
    else:
        yield note("file-annotation", "annotations outside the printed area", where)


def _object_points(file: Opened) -> Iterator[Point]:
    """Actions and streams wherever they are."""
    for found in file.pdf.objects:
        file.budget.work(1)
        if isinstance(found, Stream):
            yield from _stream_points(file, found, f"object {found.objgen[0]}")
        elif isinstance(found, Dictionary) and str(found.get("/S")) == "/JavaScript":
            where = f"object {found.objgen[0]}"
            yield file.breach("file-script", "a script", where, "remove it")


def _stream_points(file: Opened, stream: Object, where: str) -> Iterator[Point]:
    if "/F" in stream:
        yield fail("file-external", "a stream is kept in another file", where, "embed it")
        return
    data = None
    try:
        data = verify(stream, file.budget)
    except (PdfError, DamagedError):
        yield fail("file-stream", "a stream is damaged", where, "export the file again")
    if data is not None:
        file.kept.put(stream, data)
    elif "LZWDecode" in filters_of(stream):
        yield _lzw(file, where)
    kind = str(stream.get("/Subtype"))
    if kind in ("/Image", "/Form") and "/OPI" in stream:
        what = "a stand-in that an OPI server would swap for another image"
        yield file.breach("file-opi", what, where, "embed the final image")
    if kind == "/Image" and "/Alternates" in stream:
        what = "an image with alternates, any of which may be printed"
        yield file.breach("image-alternates", what, where, "keep one image")
    if kind == "/Form" and "/Ref" in stream and file.metadata.claim not in _OUTSIDE_CLAIMS:
        what = "a form that stands for a page of another file (/Ref)"
        yield file.breach("file-external", what, where, "embed the page itself")


def _lzw(file: Opened, where: str) -> Point:
    what = "a stream is compressed with LZW"
    if file.claims:
        return fail("file-lzw", what, where, "compress it with Flate")
    return note("file-lzw", what, where)
