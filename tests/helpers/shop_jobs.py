"""A shop's files as other programs read them: pikepdf, ezdxf, the XML parser of Python."""

from __future__ import annotations

import io
import math
import xml.etree.ElementTree as ET
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path

import ezdxf
import pikepdf
from ezdxf.entities.lwpolyline import LWPolyline

Pair = tuple[float, float]
MM = 25.4 / 72
_SVG = "{http://www.w3.org/2000/svg}"


@dataclass
class Painted:
    """What one layer of a PDF page holds: inks, overprint, lengths in mm, closed contours."""

    inks: set[str] = field(default_factory=set)
    overprints: set[bool] = field(default_factory=set)
    closed: int = 0
    opened: int = 0
    length: float = 0.0
    boxes: list[tuple[float, float, float, float]] = field(default_factory=list)


@dataclass
class _State:
    matrix: pikepdf.Matrix
    fill: str = ""
    stroke: str = ""
    over: bool = False


def separations(data: bytes) -> set[str]:
    """The names of all Separations of a file."""
    with pikepdf.open(io.BytesIO(data)) as pdf:
        return {
            str(each[1])[1:]
            for each in pdf.objects
            if isinstance(each, pikepdf.Array) and len(each) == 4 and each[0] == "/Separation"
        }


def page_sizes(data: bytes) -> list[Pair]:
    """Width and length of every page in mm; no page may measure in a unit of its own."""
    with pikepdf.open(io.BytesIO(data)) as pdf:
        assert not any("/UserUnit" in page.obj for page in pdf.pages)
        boxes = [[float(side) for side in page.mediabox] for page in pdf.pages]
    return [((box[2] - box[0]) * MM, (box[3] - box[1]) * MM) for box in boxes]


def painted(data: bytes) -> dict[str, Painted]:
    """What every layer of the first page holds, by ISO type or group; '' for artwork."""
    with pikepdf.open(io.BytesIO(data)) as pdf:
        page = pdf.pages[0]
        found: dict[str, Painted] = defaultdict(Painted)
        state = _State(pikepdf.Matrix())
        _walk(page, page.obj.Resources, state, found, "", float(page.mediabox[3]))
        return dict(found)


def _walk(
    stream: pikepdf.Page | pikepdf.Object,
    resources: pikepdf.Object,
    state: _State,
    found: dict[str, Painted],
    layer: str,
    top: float,
) -> None:
    stack: list[_State] = []
    path: list[list[Pair]] = []
    closed = False
    for instruction in pikepdf.parse_content_stream(stream):
        operands, name = list(instruction.operands), str(instruction.operator)
        match name:
            case "q":
                stack.append(_State(state.matrix, state.fill, state.stroke, state.over))
            case "Q":
                state = stack.pop()
            case "cm":
                numbers = [float(each) for each in operands]
                state.matrix = pikepdf.Matrix(*numbers) @ state.matrix
            case "BDC":
                layer = _step(resources.Properties[str(operands[1])])
            case "EMC":
                layer = ""
            case "gs":
                state.over = bool(resources.ExtGState[str(operands[0])].get("/OP", False))
            case "cs":
                state.fill = _ink(resources, str(operands[0]))
            case "CS":
                state.stroke = _ink(resources, str(operands[0]))
            case "k" | "K":
                setattr(state, "fill" if name == "k" else "stroke", "process")
            case "m":
                path.append([_at(state, operands)])
            case "l" | "c":
                path[-1].append(_at(state, operands[-2:]))
            case "h":
                closed = True
            case "f" | "S":
                _paint(found[layer], state, path, closed, name == "f", top)
                path, closed = [], False
            case "Do":
                form = resources.XObject[str(operands[0])]
                inner = _State(state.matrix, state.fill, state.stroke, state.over)
                inner.matrix = pikepdf.Matrix(*(float(n) for n in form.Matrix)) @ inner.matrix
                _walk(form, form.Resources, inner, found, layer, top)


def _paint(
    into: Painted, state: _State, path: list[list[Pair]], closed: bool, filled: bool, top: float
) -> None:
    into.inks.add(state.fill if filled else state.stroke)
    into.overprints.add(state.over)
    for points in path:
        ring = [*points, points[0]] if closed else points
        into.length += sum(math.dist(a, b) for a, b in pairwise(ring)) * MM
        into.closed += closed
        into.opened += not closed
        xs, ys = [x for x, _ in points], [top - y for _, y in points]
        into.boxes.append((min(xs) * MM, min(ys) * MM, max(xs) * MM, max(ys) * MM))


def _at(state: _State, operands: list[pikepdf.Object]) -> Pair:
    x, y = (float(each) for each in operands)
    return state.matrix.transform((x, y))


def _ink(resources: pikepdf.Object, name: str) -> str:
    return str(resources.ColorSpace[name][1])[1:]


def _step(group: pikepdf.Object) -> str:
    meta = group["/GTS_Metadata"]
    return str(meta.get("/GTS_ProcStepsType", meta["/GTS_ProcStepsGroup"]))[1:]


@dataclass(frozen=True)
class CutFile:
    """A DXF file as ezdxf reads it."""

    units: int
    layers: dict[str, int]  # polylines by layer
    opened: dict[str, int]
    texts: list[str]
    points: list[Pair]
    length: dict[str, float]


def cut_file(path: Path) -> CutFile:
    """A DXF file, audited."""
    drawing = ezdxf.readfile(path)  # type: ignore[attr-defined]
    assert not drawing.audit().errors
    space = drawing.modelspace()
    layers: dict[str, int] = defaultdict(int)
    opened: dict[str, int] = defaultdict(int)
    length: dict[str, float] = defaultdict(float)
    for line in space.query("LWPOLYLINE"):
        assert isinstance(line, LWPolyline)
        layers[line.dxf.layer] += 1
        opened[line.dxf.layer] += not line.closed
        length[line.dxf.layer] += _length([tuple(each) for each in line.get_points("xy")], line)
    texts = [each.dxf.text for each in space.query("TEXT")]
    points = [(each.dxf.location.x, each.dxf.location.y) for each in space.query("POINT")]
    units = int(drawing.header["$INSUNITS"])
    return CutFile(units, dict(layers), dict(opened), texts, points, dict(length))


def _length(points: list[tuple[float, ...]], line: LWPolyline) -> float:
    ring = [*points, points[0]] if line.closed else points
    return sum(math.dist(a, b) for a, b in pairwise(ring))


def svg_layers(path: Path) -> Iterator[tuple[str, int]]:
    """The layer name of every group of an SVG file with its paths and texts."""
    for group in ET.parse(path).getroot().findall(f"{_SVG}g"):
        yield group.attrib["data-layer"], len(list(group))
