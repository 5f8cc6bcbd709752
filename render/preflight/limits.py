"""How much of a file is looked at before preflight gives up on it, and what it says then.

A PDF of a few kilobytes can unpack to gigabytes or place a form a billion times. Each check pays
for its work from one `Budget`; when that is spent, or something is nested too deeply, the file
is too large to judge. The figures are far above what a print file needs (a roll of the demo plant,
3 m of film: 2.5 MB of content, 20,000 steps of work) and below what takes 500 MB or 10 seconds.
Files that we have just written are judged without a limit to their number of markers.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from pikepdf.settings import get_qpdf_limits, set_qpdf_limits

MEGABYTE = 1 << 20
FILE_BYTES = 192 * MEGABYTE  # the file itself
STREAM_BYTES = 32 * MEGABYTE  # one stream that is held in memory: content, function, profile
PACKET_BYTES = 4 * MEGABYTE  # the metadata, which grows tenfold as a tree
UNPACKED_BYTES = 1024 * MEGABYTE  # all streams, which are unpacked in pieces and discarded
DEPTH = 64  # forms in forms, arrays in arrays, color spaces in color spaces
SAVED_STATES = 10_000
_CONTENT_BYTES = 256 * MEGABYTE  # content that is read, each time it is
_STEPS = 3_000_000  # operators and operands, of about a microsecond each
_POINTS = 1_000_000  # points of contours in processing steps


class TooLarge(Exception):  # noqa: N818 - a verdict about a file, not an error of the program
    """The file asks for more than preflight spends on one. ``code`` is the point's."""

    def __init__(self, code: str, what: str) -> None:
        super().__init__(what)
        self.code = code


@dataclass(slots=True)
class Budget:
    """What may still be spent on one file: bytes, steps of work, points."""

    unpacked: int = UNPACKED_BYTES
    content: int = _CONTENT_BYTES
    steps: int = _STEPS
    points: int = _POINTS

    def unpack(self, count: int) -> None:
        """Pay for bytes that were unpacked.

        Raises:
            TooLarge: there are too many; so for all that is paid here.
        """
        self.unpacked -= count
        if self.unpacked < 0:
            whole = UNPACKED_BYTES // MEGABYTE
            raise TooLarge("limit-bytes", f"the streams unpack to more than {whole} MB")

    def read(self, count: int) -> None:
        """Pay for bytes of content that are read, or read again."""
        self.content -= count
        if self.content < 0:
            whole = _CONTENT_BYTES // MEGABYTE
            raise TooLarge("limit-bytes", f"the pages show more than {whole} MB of content")

    def work(self, count: int) -> None:
        """Pay for operators, operands and entries."""
        self.steps -= count
        if self.steps < 0:
            raise TooLarge("limit-work", f"the pages take more than {_STEPS:,} operations to draw")

    def draw(self, count: int) -> None:
        """Pay for points of contours, which are all kept."""
        self.points -= count
        if self.points < 0:
            raise TooLarge("limit-work", f"the processing steps have more than {_POINTS:,} points")


def unlimited() -> Budget:
    """The budget of a file that we have written ourselves."""
    return Budget(*[1 << 60] * 4)


def too_deep(what: str) -> TooLarge:
    """The verdict on things that lie in one another."""
    return TooLarge("limit-depth", f"{what} are nested more than {DEPTH} deep")


@contextmanager
def library_limits() -> Iterator[None]:
    """Hold the PDF library to limits too, for as long as a file is looked at."""
    before = get_qpdf_limits()
    set_qpdf_limits(  # the library unpacks some streams by itself, when it opens a file
        flate_max_memory=2 * STREAM_BYTES,
        run_length_max_memory=2 * STREAM_BYTES,
        dct_max_memory=2 * STREAM_BYTES,
        png_max_memory=STREAM_BYTES // 2,
        tiff_max_memory=STREAM_BYTES // 2,
        parser_max_container_size=2_000_000,
        doc_max_warnings=200,
    )
    try:
        yield
    finally:
        for name, value in before.items():
            if not isinstance(value, bool):
                set_qpdf_limits(**{name: value})  # type: ignore[arg-type]
