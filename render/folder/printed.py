"""Reduces each face in a print file to bytes, so that two files can be compared.

A face is a form of the PDF that sets its own colors. A file numbers its plates and glyphs in order
of use, so the same face can name them differently in two files. Here each plate is replaced by its
ink's name and Lab value, and each glyph by the hash of its form. Everything else stays as it is in
the file.
"""

from __future__ import annotations

import hashlib
import re
from io import BytesIO

import pikepdf

from layouts.terms.errors import OutputError

_PLATE = re.compile(rb"/(\w+) (cs|CS)\b")
_GLYPH = re.compile(rb"/(\w+) Do\b")
_COLORED = re.compile(rb"\b(?:cs|CS|k|K)\b")


def printed_faces(pdf: bytes) -> dict[str, bytes]:
    """Every face in a print file by its SHA-256 (hex).

    Raises:
        OutputError: the file is not a readable PDF.
    """
    try:
        with pikepdf.open(BytesIO(pdf)) as opened:
            forms = [_face(each) for each in opened.objects if _is_form(each)]
    except pikepdf.PdfError as error:
        raise OutputError(f"a print file cannot be read: {error}") from error
    return {hashlib.sha256(each).hexdigest(): each for each in forms if each}


def _is_form(found: pikepdf.Object) -> bool:
    return isinstance(found, pikepdf.Stream) and found.get("/Subtype") == pikepdf.Name.Form


def _face(form: pikepdf.Object) -> bytes:
    """Box, matrix and operators of a form; empty for one that takes its placement's color."""
    operators = form.read_bytes()
    if not _COLORED.search(operators):
        return b""
    resources = form.get("/Resources", pikepdf.Dictionary())
    spaces = resources.get("/ColorSpace", pikepdf.Dictionary())

    def plate(found: re.Match[bytes]) -> bytes:
        return _plate(spaces[f"/{found[1].decode()}"]) + b" " + found[2]

    def glyph(found: re.Match[bytes]) -> bytes:
        inner = resources.XObject[f"/{found[1].decode()}"]
        within = _head(inner) + inner.read_bytes()
        return hashlib.sha256(within).hexdigest().encode() + b" Do"

    return _head(form) + _GLYPH.sub(glyph, _PLATE.sub(plate, operators))


def _head(form: pikepdf.Object) -> bytes:
    return f"{_numbers(form['/BBox'])} / {_numbers(form['/Matrix'])}\n".encode()


def _plate(space: pikepdf.Object) -> bytes:
    """``/Black Lab 15.33 0 0`` for a Separation."""
    _, name, _, tint = (space[index] for index in range(4))
    return f"{name} Lab {_numbers(tint['/C1'])}".encode()


def _numbers(array: pikepdf.Object) -> str:
    return " ".join(str(array[index]) for index in range(len(array)))
