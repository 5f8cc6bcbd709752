"""The order of the checks: open, look at the whole, the claim, boxes, layers, paint, cuts."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

from pikepdf import PdfError

from render.preflight import (
    boxes,
    claim,
    colors_used,
    cuts,
    intents,
    layers,
    painted,
    plates,
    safety,
)
from render.preflight.limits import FILE_BYTES, MEGABYTE, Budget, TooLarge, library_limits
from render.preflight.opened import Opened, Section, open_file
from render.preflight.report import (
    PageFacts,
    Point,
    Report,
    Verdict,
    fail,
    too_large,
    unreadable,
)
from render.preflight.rules import HOUSE, Rules

# What the PDF library and plain Python raise where an object is of another kind than expected.
_UNFORESEEN = (
    PdfError,
    TypeError,
    ValueError,
    KeyError,
    AttributeError,
    IndexError,
    ArithmeticError,
    NotImplementedError,
)
# What no limit foresaw: the last resort.
_EXHAUSTED = (RecursionError, MemoryError)


def inspect(
    source: bytes | Path,
    with_plates: bool = False,
    rules: Rules = HOUSE,
    budget: Budget | None = None,
) -> Report:
    """Judge any PDF.

    ``source`` is the file or its bytes; ``with_plates`` renders it by Ghostscript as well;
    ``rules`` are the house rules and ``budget`` is that of an unknown file unless given.

    Raises:
        OSError: the file cannot be read.
    """
    data = source if isinstance(source, bytes) else None
    size = len(source) if isinstance(source, bytes) else source.stat().st_size
    if size > FILE_BYTES:
        what = f"the file has {size // MEGABYTE} MB, more than {FILE_BYTES // MEGABYTE}"
        return Report((too_large("limit-bytes", what),), rules=rules.name)
    if data is None and isinstance(source, Path):
        if not source.is_file():
            raise OSError(f"{source} is not a file")
        data = source.read_bytes()
    with library_limits():
        file = _open_file(data or b"", rules, budget or Budget())
        if isinstance(file, Point):
            return Report((file,), rules=rules.name)
        with file.pdf:
            return _judge(file, with_plates)


def _open_file(data: bytes, rules: Rules, budget: Budget) -> Opened | Point:
    try:
        return open_file(data, rules, budget)
    except TooLarge as error:
        return too_large(error.code, str(error))
    except _EXHAUSTED as error:
        return _exhausted_point("file", error)
    except _UNFORESEEN as error:
        what = f"the file cannot be understood ({error})"
        return unreadable("file-structure", what, "export it again")


def _judge(file: Opened, with_plates: bool) -> Report:
    points: list[Point] = []
    painting = painted.Painting()

    def run(name: str, check: Callable[[], Section | None]) -> None:
        """A check that meets objects of an unforeseen kind says so; the others go on."""
        try:
            found = check()
        except TooLarge as error:
            points.append(too_large(error.code, str(error)))
        except _EXHAUSTED as error:
            points.append(_exhausted_point(name, error))
        except _UNFORESEEN as error:
            what = f"the {name} cannot be read ({type(error).__name__}: {error})"
            points.append(fail("file-structure", what, right="export the file again"))
        else:
            points.extend(found.points() if found else ())

    def paint() -> Section:
        painted.walk(file, painting)
        return painted.check(file, painting)

    run("file", lambda: safety.check(file))
    run("claim", lambda: claim.check(file))
    run("output intent", lambda: intents.check(file))
    run("page boxes", lambda: boxes.check(file))
    run("layers", lambda: layers.check(file))
    run("content", paint)
    run("colors", lambda: colors_used.check(file, painting))
    run("processing steps", lambda: cuts.check(file, painting))
    if with_plates:
        run("plates", lambda: plates.check(file.data))
    return Report(
        file.rules.applied(_once(points)),
        _page_facts(file),
        tuple(dict.fromkeys((*painted.printed_inks(painting), *_step_inks(painting)))),
        file.metadata.claim or file.info_claim,
        file.rules.name,
    )


def _exhausted_point(name: str, error: BaseException) -> Point:
    deep = isinstance(error, RecursionError)
    what = f"the {name} is nested too deeply" if deep else f"the {name} takes too much memory"
    return too_large("limit-depth" if deep else "limit-bytes", what)


def _page_facts(file: Opened) -> tuple[PageFacts, ...]:
    try:
        pages = enumerate(file.pdf.pages, 1)
        facts = [boxes.page_facts(file, page, number) for number, page in pages]
    except (*_UNFORESEEN, *_EXHAUSTED):
        return ()  # reported by the check of the boxes
    return tuple(each for each in facts if each)


def _once(points: list[Point]) -> Iterator[Point]:
    """Passes only for codes that nothing else speaks of, and no faults that follow from another.

    A damaged file makes its content look wrong in any way, so only the damage is reported. A check
    that gave up at a limit has passed nothing.
    """
    spoken = {point.code for point in points if point.verdict is not Verdict.PASS}
    told: set[Point] = set()
    for point in points:
        follows = point.code.startswith("content-") and spoken & {"file-stream", "file-syntax"}
        if follows or point in told or (point.verdict is Verdict.PASS and point.code in spoken):
            continue
        told.add(point)
        yield point


def _step_inks(painting: painted.Painting) -> list[str]:
    spaces = {mark.space: None for marks in painting.steps.values() for mark in marks}
    return [ink for space in spaces for ink in space.inks]
