"""A small DXF reader on group codes alone (DXF Reference, ENTITIES and HEADER sections)."""

import math
from collections.abc import Iterator

import numpy as np

from tests.helpers.contours import Points, ReadContour, arc_points

Entity = list[tuple[int, str]]


def pairs(data: bytes) -> Iterator[tuple[int, str]]:
    lines = data.decode("cp1252").split("\n")
    for code, value in zip(lines[::2], lines[1::2], strict=False):
        yield int(code), value.strip()


def header(data: bytes) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    name = ""
    for code, value in pairs(data):
        if code == 9:
            name = value
            found[name] = []
        elif code == 0 and value == "ENDSEC":
            return found
        elif name:
            found[name].append(value)
    raise AssertionError("the header does not end")


def entities(data: bytes) -> list[Entity]:
    found: list[Entity] = []
    inside = False
    for code, value in pairs(data):
        if code == 2 and value == "ENTITIES":
            inside = True
        elif inside and code == 0:
            if value == "ENDSEC":
                return found
            found.append([(0, value)])
        elif inside and found:
            found[-1].append((code, value))
    raise AssertionError("the entities do not end")


def value(entity: Entity, code: int) -> str:
    return next(text for number, text in entity if number == code)


def layers(data: bytes, height: float, unit_mm: float = 1.0) -> dict[str, list[ReadContour]]:
    """Polylines by layer, turned back to page millimeters with y down."""
    found: dict[str, list[ReadContour]] = {}
    for entity in entities(data):
        if value(entity, 0) == "LWPOLYLINE":
            found.setdefault(value(entity, 8), []).append(polyline(entity, height, unit_mm))
    return found


def points(data: bytes, height: float) -> list[tuple[float, float]]:
    return [
        (float(value(each, 10)), height - float(value(each, 20)))
        for each in entities(data)
        if value(each, 0) == "POINT"
    ]


def polyline(entity: Entity, height: float, unit_mm: float) -> ReadContour:
    corners: list[list[float]] = []
    for code, text in entity:
        if code == 10:
            corners.append([float(text) * unit_mm, 0.0, 0.0])
        elif code == 20 and corners:
            corners[-1][1] = float(text) * unit_mm
        elif code == 42 and corners:
            corners[-1][2] = float(text)
    assert len(corners) == int(value(entity, 90))
    closed = bool(int(value(entity, 70)) & 1)
    out: list[Points] = [np.array([corners[0][:2]])]
    following = corners[1:] + ([corners[0]] if closed else [])
    for (x, y, bulge), (x2, y2, _) in zip(corners, following, strict=False):
        if bulge == 0:
            out.append(np.array([[x2, y2]]))
            continue
        start, end = complex(x, y), complex(x2, y2)
        # Positive bulges turn counter-clockwise; bulge = tan(angle / 4).
        center = (start + end) / 2 + (end - start) * 1j * (1 - bulge**2) / (4 * bulge)
        out.append(arc_points(center, start, 4 * math.atan(bulge)))
    flat = np.vstack(out)
    if closed:
        flat = flat[:-1]
    return ReadContour(np.column_stack([flat[:, 0], height - flat[:, 1]]), closed)
