"""Whether the file is whole, and holds nothing that a print file has no use for."""

from __future__ import annotations

import re
from collections.abc import Iterator

from pikepdf import Array, Dictionary, Object, PdfError, Stream

from render.preflight.opened import Opened, Section, section
from render.preflight.report import Point, counted, fail
from render.preflight.streams import inflated, is_flate

CODES = {
    "file-syntax": "the file is whole",
    "file-stream": "every stream can be decoded",
    "file-encrypted": "not encrypted",
    "file-script": "no scripts and no actions",
    "file-attached": "no attached files",
    "file-external": "nothing is taken from outside the file",
    "file-form": "no form fields",
    "file-annotation": "no annotations",
}
_ACTION_KEYS = ("/OpenAction", "/AA")


def check(file: Opened) -> Section:
    """Syntax, encryption, scripts, attachments, forms, annotations."""
    return section(CODES, _points(file))


def _points(file: Opened) -> Iterator[Point]:
    if file.pdf.is_encrypted:
        yield fail("file-encrypted", "the file is encrypted", right="save it without a password")
    yield from _root_points(file.pdf.Root)
    for number, page in enumerate(file.pdf.pages, 1):
        yield from _page_points(page.obj, f"page {number}")
    yield from _object_points(file)
    # Asked last: objects are read when they are first looked at.
    problems = [*file.damage, *map(str, file.pdf.get_warnings())]
    if problems:
        first = re.sub(r"^.*?stream <[^>]*>:?,? ?", "", problems[0])
        yield fail("file-syntax", f"the file is damaged: {first}", right="write it again")


def _root_points(root: Object) -> Iterator[Point]:
    for key in _ACTION_KEYS:
        if key in root:
            yield fail("file-script", f"the file acts when it is opened ({key})", right="remove it")
    names = root.get("/Names")
    if isinstance(names, Dictionary):
        if "/JavaScript" in names:
            yield fail("file-script", "the file holds scripts", right="remove them")
        if "/EmbeddedFiles" in names:
            yield fail("file-attached", "other files are attached", right="remove them")
    if "/AcroForm" in root:
        yield fail("file-form", "the file holds form fields", right="flatten them")


def _page_points(page: Object, where: str) -> Iterator[Point]:
    if "/AA" in page:
        yield fail("file-script", "the page acts when it is opened", where, "remove the action")
    annotations = page.get("/Annots")
    if isinstance(annotations, Array) and len(annotations) > 0:
        what = counted(len(annotations), "annotation")
        yield fail("file-annotation", what, where, "remove them; they may print or not")


def _object_points(file: Opened) -> Iterator[Point]:
    """Actions and streams wherever they are."""
    for found in file.pdf.objects:
        where = f"object {found.objgen[0]}" if isinstance(found, Object) else ""
        if isinstance(found, Dictionary) and str(found.get("/S")) == "/JavaScript":
            yield fail("file-script", "a script", where, "remove it")
        if isinstance(found, Stream):
            if "/F" in found:
                yield fail("file-external", "a stream lies in another file", where, "embed it")
            elif not _decodes(found):
                yield fail("file-stream", "a stream is damaged", where, "write the file again")


def _decodes(stream: Object) -> bool:
    """Whether the data can be unpacked to its end."""
    try:
        if is_flate(stream):
            return inflated(stream) is not None
        stream.read_raw_bytes()
    except PdfError:
        return False
    return True
