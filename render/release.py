"""What leaves a job: each file is made, inspected, put into its folder and let go, one by one.

Pieces of this work run in any process. What they give back is small: names, sizes and hashes of
the files, and faults as sentences.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import partial

from layouts.drawing.document import Step
from layouts.markers.gather import Marker
from layouts.pages.check import check_face
from layouts.sheets.sheetplan import SheetPlan
from layouts.terms.errors import OutputError
from layouts.terms.values import frozen
from render.files.atomic import Entry, JobFiles
from render.options import Progress
from render.preflight import HOUSE, PAPERS, Report, Rules, inspect, inspect_apart, unlimited
from render.processes import run_all
from render.write.paperwork import Files
from render.write.sheetfiles import FaultySheetsError

_FACES_AT_ONCE = 4000
_LARGE_BYTES = 4_000_000  # inspecting more takes over 50 MB, and starting a process 0.2 s


@frozen
class _Released:
    """What a piece of work gave: its files, faults of geometry, and failing points of its files."""

    entries: tuple[Entry, ...] = ()
    geometry: tuple[str, ...] = ()
    failing: tuple[str, ...] = ()


def release(
    makers: Sequence[Files],
    markers: Sequence[Marker],
    groups: Iterable[SheetPlan],
    files: JobFiles,
    processes: int,
    progress: Progress,
) -> None:
    """Put every file of the makers into ``files``, each inspected; the faces are judged as well.

    Raises:
        OutputError: the geometry of faces or sheets has a fault, or a file failed its inspection;
            every fault is named. Or a file cannot be written.
    """
    files.begin()
    wanted_so = _wanted_so(groups)
    some = [
        markers[start : start + _FACES_AT_ONCE] for start in range(0, len(markers), _FACES_AT_ONCE)
    ]
    pieces = [
        *(partial(_release, maker, files, wanted_so) for maker in makers),
        *(partial(_judge_faces, each) for each in some),
    ]
    released = run_all(pieces, processes, partial(progress, "writing"))
    made, faces = released[: len(makers)], released[len(makers) :]
    geometry = [fault for each in (*faces, *made) for fault in each.geometry]
    if geometry:
        raise OutputError(f"the sheets failed their inspection: {'; '.join(geometry)}")
    failing = [fault for each in made for fault in each.failing]
    if failing:
        raise OutputError(f"a written file failed its inspection: {'; '.join(failing)}")
    for each in made:
        for entry in each.entries:
            files.add(entry)


def _release(make: Files, files: JobFiles, wanted_so: frozenset[str]) -> _Released:
    """Make, inspect and store the files of one maker, each before the next is made."""
    entries: list[Entry] = []
    failing: list[str] = []
    try:
        for name, data in make():
            if name.endswith(".pdf"):
                failing += _failing_points(name, data, wanted_so)
            entries.append(files.put(name, data))
    except FaultySheetsError as error:
        return _Released(geometry=error.faults)
    return _Released(tuple(entries), failing=tuple(failing))


def _judge_faces(markers: Iterable[Marker]) -> _Released:
    return _Released(geometry=tuple(fault for each in markers for fault in check_face(each.face)))


def _failing_points(name: str, data: bytes, wanted_so: frozenset[str]) -> Iterator[str]:
    """The failing points of a file, each with the file's name; papers may hold fonts."""
    rules = HOUSE if name.startswith("print/") else PAPERS
    for point in _inspected(data, rules).failures:
        if point.code not in wanted_so:
            yield f"{name}: {point.what} [{point.code}]"


def _inspected(data: bytes, rules: Rules) -> Report:
    if len(data) > _LARGE_BYTES:
        return inspect_apart(data, rules)
    return inspect(data, rules=rules, budget=unlimited())


def _wanted_so(groups: Iterable[SheetPlan]) -> frozenset[str]:
    """House rules of the inspection that the shop's file turns off."""
    printers = [group.printer for group in groups]
    codes = {"cut-open"} if any(each.merge_edges for each in printers) else set()
    if any(len(set(each.step_inks.values())) < len(each.step_inks) for each in printers):
        codes.add("step-shared")
    if any(set(each.step_inks.values()) & {step.title for step in Step} for each in printers):
        codes.add("step-shared")
    return frozenset(codes)
