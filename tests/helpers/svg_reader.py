"""A small SVG reader: groups, uses, transforms, and paths of absolute M, relative l c a, and Z."""

import math
import re
import xml.etree.ElementTree as ET

import numpy as np

from tests.helpers.contours import Points, ReadContour, arc_points, cubic_points

SVG = "{http://www.w3.org/2000/svg}"
HREF = "{http://www.w3.org/1999/xlink}href"
NUMBERS = {"M": 2, "l": 2, "c": 6, "a": 7, "Z": 0}


def root_of(data: bytes) -> ET.Element:
    return ET.fromstring(data)


def layers(data: bytes) -> dict[str, list[ReadContour]]:
    """Contours of each layer group by its ``data-layer``, in painting order."""
    root = root_of(data)
    symbols = {f"#{each.get('id')}": each for each in root.iter(f"{SVG}symbol")}
    found: dict[str, list[ReadContour]] = {}
    for group in root.findall(f"{SVG}g"):
        read: list[ReadContour] = []
        for item in group:
            if item.tag == f"{SVG}use":
                matrix = matrix_of(item.get("transform", ""))
                for path in symbols[item.attrib[HREF]]:
                    read.extend(contours(path.attrib["d"], matrix))
            else:
                read.extend(contours(item.attrib["d"], np.eye(3)))
        found[group.attrib["data-layer"]] = read
    return found


def matrix_of(text: str) -> Points:
    numbers = [float(each) for each in re.findall(r"-?[\d.]+", text)]
    if text.startswith("matrix"):
        a, b, c, d, e, f = numbers
        return np.array([[a, c, e], [b, d, f], [0, 0, 1]])
    if text.startswith("translate"):
        return np.array([[1, 0, numbers[0]], [0, 1, numbers[1]], [0, 0, 1]])
    assert not text, text
    return np.eye(3)


def contours(data: str, matrix: Points) -> list[ReadContour]:
    read: list[ReadContour] = []
    points: list[Points] = []

    def finish(closed: bool) -> None:
        if points:
            flat = np.vstack(points) @ matrix[:2, :2].T + matrix[:2, 2]
            read.append(ReadContour(flat, closed))
            points.clear()

    for letter, numbers in commands(data):
        if letter == "M":
            finish(False)
            points.append(np.array([numbers]))
        elif letter == "Z":
            finish(True)
        elif letter == "l":
            points.append(points[-1][-1] + np.array([numbers]))
        elif letter == "c":
            controls = points[-1][-1] + np.reshape(numbers, (3, 2))
            points.append(cubic_points(np.vstack([points[-1][-1], controls])))
        else:
            points.append(arc(points[-1][-1], numbers))
    finish(False)
    return read


def commands(data: str) -> list[tuple[str, list[float]]]:
    parts = re.findall(r"([MlcaZ])([^MlcaZ]*)", data)
    assert "".join(letter + rest for letter, rest in parts) == data, "unknown command"
    out = []
    for letter, rest in parts:
        numbers = [float(each) for each in rest.split()]
        assert len(numbers) == NUMBERS[letter], (letter, rest)
        out.append((letter, numbers))
    return out


def arc(start: Points, numbers: list[float]) -> Points:
    """SVG 1.1 second edition, appendix F.6.5 and F.6.6, for a circle."""
    rx, ry, rotation, large, sweep, dx, dy = numbers
    assert rx == ry
    assert rotation == 0
    z1 = complex(*start)
    z2 = z1 + complex(dx, dy)
    half = (z1 - z2) / 2
    radius = max(rx, abs(half))
    factor = math.sqrt(max(0.0, radius**2 / abs(half) ** 2 - 1))
    if large == sweep:
        factor = -factor
    center = factor * (half.imag - 1j * half.real) + (z1 + z2) / 2
    angle = float(np.angle((z2 - center) / (z1 - center)))
    if sweep and angle < 0:
        angle += 2 * math.pi
    if not sweep and angle > 0:
        angle -= 2 * math.pi
    return arc_points(center, z1, angle)
