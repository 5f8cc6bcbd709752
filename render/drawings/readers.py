"""Which reader takes which drawing, how large one may be, and findings on what it lacks."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path

from layouts.crosscheck.drawn import DrawnSheet
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity
from render.drawings.dexpi import dexpi_sheet
from render.drawings.dxf_texts import dxf_sheets
from render.drawings.name_tables import table_sheets
from render.drawings.pdf_texts import pdf_sheets
from render.drawings.unreadable import DrawingError
from render.files.intake import opened

MOST_BYTES = 200_000_000


def _dexpi_sheets(path: Path) -> Iterator[DrawnSheet]:
    yield dexpi_sheet(path)


_READERS: Mapping[str, Callable[[Path], Iterator[DrawnSheet]]] = {
    ".pdf": pdf_sheets,
    ".dxf": dxf_sheets,
    ".csv": table_sheets,
    ".xml": _dexpi_sheets,
    ".dexpi": _dexpi_sheets,
}


def read_drawings(paths: Iterable[Path]) -> tuple[tuple[DrawnSheet, ...], tuple[Finding, ...]]:
    """The sheets of all files, and a finding for each sheet that holds no text.

    Raises:
        InputError: a file is of another kind, too large, broken, or hostile; the error holds all
        of them.
    """
    sheets: list[DrawnSheet] = []
    faults: list[Finding] = []
    for path in paths:
        try:
            sheets += _read(path)
        except InputError as error:
            faults += error.findings
    if faults:
        raise InputError(faults)
    return tuple(sheets), tuple(_without_text(sheets))


def _read(path: Path) -> Sequence[DrawnSheet]:
    reader = _READERS.get(path.suffix.lower())
    if reader is None:
        right = f"export it as one of {', '.join(_READERS)}"
        raise _refused(path, f"{path.suffix or 'a file without suffix'} is not read here", right)
    try:
        size = path.stat().st_size
        if size > MOST_BYTES:
            what = f"has {size / 1e6:.0f} MB; at most {MOST_BYTES / 1e6:.0f} MB are read"
            raise _refused(path, what, "export its sheets one by one")
        opened(path, MOST_BYTES).close()  # the readers would wait for a pipe for ever
        return list(reader(path))
    except OSError as error:
        why = error.strerror or type(error).__name__
        raise _refused(path, f"cannot be opened ({why})", "name a file that can be read") from error
    except DrawingError as error:
        raise _refused(path, str(error), "export the drawing again") from error


def _without_text(sheets: Sequence[DrawnSheet]) -> Iterator[Finding]:
    """Report a scan; nothing on it is guessed."""
    for sheet in sheets:
        if not sheet.texts and not sheet.things:
            what = f"{sheet.title} holds no text: a scan, or lettering drawn as lines"
            right = "ask for DEXPI, DXF or a PDF with text, or check this sheet by eye"
            place = Place(sheet.file)
            yield Finding("drawing-no-text", Severity.BLOCKING, what, right, place=place)


def _refused(path: Path, what: str, right: str) -> InputError:
    place = Place(path.name)
    return InputError(
        [Finding("drawing-unreadable", Severity.UNREADABLE, what, right, place=place)]
    )
