"""A spreadsheet in OpenDocument, by hand."""

from __future__ import annotations

import zipfile
from collections.abc import Sequence
from pathlib import Path


def write_ods(path: Path, rows: Sequence[Sequence[str]]) -> Path:
    """The least that OpenDocument 1.2 (ISO/IEC 26300) asks of a spreadsheet."""
    cells = "".join(
        "<table:table-row>"
        + "".join(
            f'<table:table-cell office:value-type="string"><text:p>{cell}</text:p>'
            "</table:table-cell>"
            for cell in row
        )
        + "</table:table-row>"
        for row in rows
    )
    names = {"office": "office", "table": "table", "text": "text"}
    spaces = " ".join(
        f'xmlns:{key}="urn:oasis:names:tc:opendocument:xmlns:{name}:1.0"'
        for key, name in names.items()
    )
    content = (
        f'<?xml version="1.0"?><office:document-content {spaces} office:version="1.2">'
        f'<office:body><office:spreadsheet><table:table table:name="Lines">{cells}'
        "</table:table></office:spreadsheet></office:body></office:document-content>"
    )
    kind = "application/vnd.oasis.opendocument.spreadsheet"
    space = "urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"
    entries = "".join(
        f'<m:file-entry m:full-path="{name}" m:media-type="{media}"/>'
        for name, media in (("/", kind), ("content.xml", "text/xml"))
    )
    manifest = f'<?xml version="1.0"?><m:manifest xmlns:m="{space}">{entries}</m:manifest>'
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("mimetype", kind)
        archive.writestr("content.xml", content)
        archive.writestr("META-INF/manifest.xml", manifest)
    return path
