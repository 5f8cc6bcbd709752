"""The order of the checks: open, look at the whole, the claim, boxes, layers, paint, cuts."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

from pikepdf import PdfError

from render.preflight import boxes, claim, cuts, layers, painted, plates, safety
from render.preflight.opened import Opened, Section, open_file
from render.preflight.report import PageFacts, Point, Report, Verdict, fail

# What the PDF library and plain Python raise where an object is of another kind than expected.
_UNFORESEEN = (PdfError, TypeError, ValueError, KeyError, AttributeError, IndexError)


def inspect(source: bytes | Path, with_plates: bool = False) -> Report:
    """Judge any PDF.

    ``source`` is the file or its bytes; ``with_plates`` renders it by Ghostscript as well.

    Raises:
        OSError: the file cannot be read.
    """
    data = source if isinstance(source, bytes) else source.read_bytes()
    try:
        file = open_file(data)
    except _UNFORESEEN as error:
        what = f"the file cannot be understood ({error})"
        file = Point("file-structure", Verdict.UNREADABLE, what, right="write it again")
    if isinstance(file, Point):
        return Report((file,))
    with file.pdf:
        return _judge(file, with_plates)


def _judge(file: Opened, with_plates: bool) -> Report:
    points: list[Point] = []
    painting = painted.Painting()

    def run(name: str, check: Callable[[], Section | list[Section] | None]) -> None:
        """A check that meets objects of an unforeseen kind says so; the others go on."""
        try:
            found = check()
        except _UNFORESEEN as error:
            what = f"the {name} cannot be read ({type(error).__name__}: {error})"
            points.append(fail("file-structure", what, right="write the file again"))
            return
        for part in found if isinstance(found, list) else [found] if found else []:
            points.extend(part.points())

    def paint() -> list[Section]:
        nonlocal painting
        painting = painted.walk(file)
        return painted.check(file, painting)

    run("file", lambda: safety.check(file))
    run("claim", lambda: claim.check(file))
    run("page boxes", lambda: boxes.check(file))
    run("layers", lambda: layers.check(file))
    run("content", paint)
    run("processing steps", lambda: cuts.check(file, painting))
    pages = _page_facts(file)
    if with_plates:
        longest = max((max(page.width, page.height) for page in pages), default=0.0)
        run("plates", lambda: plates.check(file.data, longest))
    return Report(
        tuple(_once(points)),
        pages,
        tuple(dict.fromkeys((*painted.printed_inks(painting), *_step_inks(painting)))),
        file.metadata.claim or file.info_claim,
    )


def _page_facts(file: Opened) -> tuple[PageFacts, ...]:
    try:
        pages = enumerate(file.pdf.pages, 1)
        facts = [boxes.page_facts(file, page, number) for number, page in pages]
    except _UNFORESEEN:
        return ()  # told of by the check of the boxes
    return tuple(each for each in facts if each)


def _once(points: list[Point]) -> Iterator[Point]:
    """Passes only for codes that nothing else speaks of, and no faults that follow from another.

    A damaged file makes its content look wrong in any way, so the damage alone is told.
    """
    spoken = {point.code for point in points if point.verdict is not Verdict.PASS}
    for point in points:
        follows = point.code.startswith("content-") and spoken & {"file-stream", "file-syntax"}
        if not follows and (point.verdict is not Verdict.PASS or point.code not in spoken):
            yield point


def _step_inks(painting: painted.Painting) -> list[str]:
    spaces = {mark.space: None for marks in painting.steps.values() for mark in marks}
    return [ink for space in spaces for ink in space.inks]
