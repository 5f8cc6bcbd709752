"""A small PDF reader on parsed content streams (ISO 32000-1, 8.3.4, 8.5.2 and 8.11.3).

pikepdf splits the streams into operators; what they mean is worked out here.
"""

import io
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import SupportsFloat

import numpy as np
import pikepdf

from tests.helpers.contours import Points, ReadContour, cubic_points

MM = 25.4 / 72


@dataclass
class _Reading:
    height_pt: float
    found: dict[str, list[ReadContour]] = field(default_factory=dict)
    layer: str = ""


def layers(data: bytes, page: int = 0) -> dict[str, list[ReadContour]]:
    """Contours by the name of their optional content group ('' for none), in page mm, y down."""
    with pikepdf.open(io.BytesIO(data)) as pdf:
        sheet = pdf.pages[page]
        left, bottom, _, top = (float(each) for each in sheet.mediabox)
        assert (left, bottom) == (0, 0)
        scale = float(sheet.obj.get("/UserUnit", 1))
        reading = _Reading(top)
        _read(sheet, sheet.obj.Resources, np.eye(3), reading)
    return {
        name: [ReadContour(each.points * scale, each.closed) for each in read]
        for name, read in reading.found.items()
    }


def _read(
    source: pikepdf.Object | pikepdf.Page,
    resources: pikepdf.Object,
    matrix: Points,
    reading: _Reading,
) -> None:
    stack: list[Points] = []
    path = _Path()
    for instruction in pikepdf.parse_content_stream(source):
        operands, name = instruction.operands, str(instruction.operator)
        if name == "q":
            stack.append(matrix)
        elif name == "Q":
            matrix = stack.pop()
        elif name == "cm":
            matrix = matrix @ _matrix(operands)
        elif name == "BDC":
            assert operands[0] == "/OC"
            reading.layer = str(resources.Properties[str(operands[1])].Name)
        elif name == "EMC":
            reading.layer = ""
        elif name == "Do":
            form = resources.XObject[str(operands[0])]
            inner = matrix @ _matrix(form.get("/Matrix", [1, 0, 0, 1, 0, 0]))
            _read(form, form.get("/Resources", resources), inner, reading)
        elif name in ("m", "l", "c", "h"):
            path.add(name, [float(each) for each in operands], matrix, reading.height_pt)
        elif name in ("S", "f"):
            reading.found.setdefault(reading.layer, []).extend(path.finished())
        else:
            assert name in ("w", "d", "gs", "cs", "CS", "scn", "SCN", "k", "K", "j", "J"), name
    assert not stack


class _Path:
    def __init__(self) -> None:
        self.contours: list[tuple[list[Points], bool]] = []

    def add(self, name: str, numbers: list[float], matrix: Points, height_pt: float) -> None:
        if name == "h":
            self.contours[-1] = (self.contours[-1][0], True)
            return
        placed = np.reshape(numbers, (-1, 2)) @ matrix[:2, :2].T + matrix[:2, 2]
        placed = np.column_stack([placed[:, 0], height_pt - placed[:, 1]]) * MM
        if name == "m":
            self.contours.append(([placed], False))
            return
        points = self.contours[-1][0]
        if name == "c":
            placed = cubic_points(np.vstack([points[-1][-1], placed]))
        points.append(placed)

    def finished(self) -> list[ReadContour]:
        done = [ReadContour(np.vstack(points), closed) for points, closed in self.contours]
        self.contours = []
        return done


def _matrix(numbers: Iterable[SupportsFloat]) -> Points:
    a, b, c, d, e, f = (float(each) for each in numbers)
    return np.array([[a, c, e], [b, d, f], [0, 0, 1]])
