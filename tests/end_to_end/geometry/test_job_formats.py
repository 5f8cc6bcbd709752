"""Print PDF, cut DXF and cut SVG of a whole job hold the same contours within 0.001 mm.

The three readers share no code with the writers: `tests/writers/*_reader.py`.
"""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from layouts.drawing.document import Step
from layouts.sheets.sheetplan import Sheet, SheetPlan
from render.job import JobFolder
from tests.end_to_end.conftest import job_of
from tests.helpers import dxf_reader, pdf_reader, svg_reader
from tests.helpers.contours import ReadContour, furthest

TOLERANCE = 0.001
Layers = dict[str, list[ReadContour]]
CUTS = ("PartialCutting", "Cutting", "Drilling")  # ISO 19593-1 types that a tool follows


def arrangements(job: JobFolder) -> list[tuple[SheetPlan, Sheet]]:
    """Every sheet with a cut file of its own."""
    found: list[tuple[SheetPlan, Sheet]] = []
    for group in job.groups:
        seen: set[int] = set()
        for sheet in group.sheets:
            if sheet.cut not in seen:
                seen.add(sheet.cut)
                found.append((group, sheet))
    return found


Read = tuple[SheetPlan, Sheet, Layers, Layers, Layers]


@pytest.fixture(scope="module")
def read(job: JobFolder) -> list[Read]:
    """Every arrangement with its layers in print PDF, DXF and SVG."""
    found: list[Read] = []
    for group, sheet in arrangements(job):
        cut = f"cut/{group.key}-{sheet.cut}"
        found.append(
            (
                group,
                sheet,
                pdf_reader.layers(job.files[f"print/{group.key}.pdf"], sheet.number - 1),
                dxf_reader.layers(job.files[f"{cut}.dxf"], sheet.length),
                svg_reader.layers(job.files[f"{cut}.svg"]),
            )
        )
    return found


def worst(one: Layers, other: Layers) -> float:
    """The largest distance on any layer of steps; infinite where one has a layer alone."""
    steps = {step.title for step in Step}
    names = {name for layers in (one, other) for name in layers if name in steps}
    return max(apart(one.get(name, []), other.get(name, [])) for name in names)


def apart(ones: list[ReadContour], others: list[ReadContour]) -> float:
    """The largest distance of contours paired by their boxes, each once, in whatever order.

    Infinite where one list has more than the other, or where a contour is closed in one alone.
    """
    if len(ones) != len(others):
        return float("inf")
    if not ones:
        return 0.0
    boxes = np.array([_box(each) for each in others])
    free = np.ones(len(others), dtype=bool)
    largest = 0.0
    for one in ones:
        gaps = np.abs(boxes - _box(one)).max(axis=1)
        nearest = int(np.where(free, gaps, np.inf).argmin())
        free[nearest] = False
        if one.closed != others[nearest].closed:
            return float("inf")
        largest = max(largest, furthest(one, others[nearest]))
    return largest


def _box(contour: ReadContour) -> np.ndarray:
    return np.concatenate([contour.points.min(axis=0), contour.points.max(axis=0)])


@pytest.mark.slow
def test_print_and_cut_files_agree(read: list[Read]) -> None:
    for group, sheet, printed, dxf, svg in read:
        assert worst(printed, dxf) < TOLERANCE, group.key
        assert worst(dxf, svg) < TOLERANCE, group.key
        for name in CUTS:
            assert apart(printed.get(name, []), svg.get(name, [])) < TOLERANCE, group.key
        assert sum(len(dxf.get(name, [])) for name in CUTS) >= len(sheet.placed)


@pytest.mark.slow
def test_sheets_that_share_a_cut_file_are_cut_alike(tmp_path: Path) -> None:
    """Other faces in the same places: the cut contours in print are those of the one file."""
    path = tmp_path / "tags.toml"
    tags = (
        f'[[markers]]\nkind = "valve"\nservice = "HPL"\ntag = "HV-{number}"\n'
        for number in range(101, 131)
    )
    path.write_text("\n".join(('stocks = { tag = "letter" }', *tags)))
    job = job_of(path)
    (group,) = job.groups
    shared = [sheet for sheet in group.sheets if sheet.cut == group.sheets[0].cut]
    assert len(shared) > 1
    dxf = dxf_reader.layers(job.files[f"cut/{group.key}-{shared[0].cut}.dxf"], shared[0].length)
    for sheet in shared:
        printed = pdf_reader.layers(job.files[f"print/{group.key}.pdf"], sheet.number - 1)
        for name in CUTS:
            assert apart(printed.get(name, []), dxf.get(name, [])) < TOLERANCE


@pytest.mark.parametrize("layer", CUTS)
def test_one_nudged_point_is_seen(job: JobFolder, read: list[Read], layer: str) -> None:
    """One vertex moved by 0.002 mm both ways in the bytes of the DXF file."""
    group, sheet, printed, dxf, _ = next(each for each in read if layer in each[3])
    nudged = nudge(job.files[f"cut/{group.key}-{sheet.cut}.dxf"], layer)
    moved = dxf_reader.layers(nudged, sheet.length)
    assert apart(printed[layer], dxf[layer]) < TOLERANCE
    assert TOLERANCE < apart(printed[layer], moved[layer]) < 0.003
    for other in set(CUTS) - {layer}:
        assert apart(printed.get(other, []), moved.get(other, [])) < TOLERANCE


def nudge(data: bytes, layer: str) -> bytes:
    """The file with the first vertex of the layer's last polyline moved."""
    text = data.decode("cp1252")
    polylines = re.finditer(r"LWPOLYLINE\r?\n.*?(?=\n *0\r?\n)", text, re.DOTALL)
    own = [each for each in polylines if re.search(rf"\n *8\r?\n{layer}\r?\n", each[0])]
    vertex = re.compile(r"(\n *10\r?\n)([-\d.]+)(\r?\n *20\r?\n)([-\d.]+)")
    found = vertex.search(text, own[-1].start())
    assert found
    x, y = float(found[2]) + 0.002, float(found[4]) + 0.002
    moved = f"{found[1]}{x:.6f}{found[3]}{y:.6f}"
    return f"{text[: found.start()]}{moved}{text[found.end() :]}".encode("cp1252")
