"""The outside view of lettering: font files read by fontTools, distances and pictures of our own.

Nothing here uses the code under test but for the geometry of its results.
"""

import io
from collections.abc import Iterable
from functools import cache
from pathlib import Path as FilePath
from typing import Any

import cairosvg
import font_roboto
import numpy as np
from fontTools.pens.boundsPen import BoundsPen
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.ttLib import TTFont
from PIL import Image

from layouts.drawing import Cubic, Line, Path
from layouts.drawing.lettering import Lettering
from tests.helpers.contours import Points

FILES = {
    "dark": FilePath(font_roboto.font_directory) / "Roboto-Medium.ttf",
    "light": FilePath(font_roboto.font_directory) / "Roboto-Regular.ttf",
}
STEPS = 24  # chords a curve: about 1e-5 cap heights off for these fonts


class RawFont:
    """A font file in its own units, y up, as fontTools gives it."""

    def __init__(self, path: FilePath) -> None:
        self.font = TTFont(path)
        self.glyphs = self.font.getGlyphSet()
        self.cmap = self.font.getBestCmap()
        bounds = self.bounds("H")
        self.cap: float = bounds[3] - min(0, bounds[1])

    def bounds(self, char: str) -> tuple[float, float, float, float]:
        pen = BoundsPen(self.glyphs)
        self.glyphs[self.cmap[ord(char)]].draw(pen)
        left, low, right, high = pen.bounds
        return left, low, right, high

    def advance(self, char: str) -> float:
        width: float = self.font["hmtx"][self.cmap[ord(char)]][0]
        return width / self.cap

    @cache  # noqa: B019 - lives as long as the test run
    def rings(self, char: str) -> list[Points]:
        """Closed polylines of a character in cap heights, y down, each an array of points."""
        pen = DecomposingRecordingPen(self.glyphs)
        self.glyphs[self.cmap[ord(char)]].draw(pen)
        return [np.array(ring) / (self.cap, -self.cap) for ring in _flat(pen.value)]

    @cache  # noqa: B019
    def kern(self, first: str, second: str) -> float:
        """Pair adjustment of the GPOS feature "kern", read by the OpenType rules, cap heights.

        OpenType specification 1.9.1, GPOS lookup type 2: in each lookup the first subtable that
        covers the first glyph and, in format 1, lists the second, is the one that counts.
        """
        table = self.font["GPOS"].table
        one, other = self.cmap[ord(first)], self.cmap[ord(second)]
        script = next(s.Script for s in table.ScriptList.ScriptRecord if s.ScriptTag == "latn")
        wanted = {
            lookup
            for index in script.DefaultLangSys.FeatureIndex
            if (record := table.FeatureList.FeatureRecord[index]).FeatureTag == "kern"
            for lookup in record.Feature.LookupListIndex
        }
        total = 0.0
        for index in sorted(wanted):
            for subtable in table.LookupList.Lookup[index].SubTable:
                subtable = getattr(subtable, "ExtSubTable", subtable)
                value = _pair_value(subtable, one, other)
                if value is not None:
                    total += value
                    break
        return total / self.cap


@cache
def raw(weight: str) -> RawFont:
    return RawFont(FILES[weight])


def _pair_value(subtable: Any, one: str, other: str) -> float | None:
    if one not in subtable.Coverage.glyphs:
        return None
    if subtable.Format == 1:
        pairs = subtable.PairSet[subtable.Coverage.glyphs.index(one)].PairValueRecord
        for record in pairs:
            if record.SecondGlyph == other:
                return getattr(record.Value1, "XAdvance", 0) if record.Value1 else 0
        return None
    row = subtable.Class1Record[subtable.ClassDef1.classDefs.get(one, 0)]
    value = row.Class2Record[subtable.ClassDef2.classDefs.get(other, 0)].Value1
    return getattr(value, "XAdvance", 0) if value else 0


def _flat(
    commands: Iterable[tuple[str, tuple[Any, ...]]],
) -> list[list[Points]]:
    rings, t = [], np.linspace(0, 1, STEPS + 1)[1:, None]
    for name, points in commands:
        if name == "moveTo":
            rings.append([np.array(points[0], float)])
        elif name == "lineTo":
            rings[-1].append(np.array(points[0], float))
        elif name == "qCurveTo":
            if points[-1] is None:  # a contour without a corner: it begins between two controls
                begin = tuple(np.mean([points[0], points[-2]], axis=0))
                rings.append([np.array(begin)])
                points = (*points[:-1], begin)
            *controls, end = (np.array(point, float) for point in points)
            for index, control in enumerate(controls):
                last = index == len(controls) - 1
                stop = end if last else (control + controls[index + 1]) / 2
                start = rings[-1][-1]
                rings[-1] += list((1 - t) ** 2 * start + 2 * t * (1 - t) * control + t**2 * stop)
        else:
            assert name == "closePath", name
    return rings


def path_rings(path: Path) -> list[Points]:
    """Our own path as closed polylines, one array of points a contour."""
    rings, t = [], np.linspace(0, 1, STEPS + 1)[1:, None]
    for contour in path.contours:
        ring = [np.array((contour.start.x, contour.start.y))]
        for segment in contour.segments:
            end = np.array((segment.end.x, segment.end.y))
            if isinstance(segment, Line):
                ring.append(end)
                continue
            assert isinstance(segment, Cubic)
            one = np.array((segment.control_1.x, segment.control_1.y))
            two = np.array((segment.control_2.x, segment.control_2.y))
            ring += list(
                (1 - t) ** 3 * ring[-1]
                + 3 * t * (1 - t) ** 2 * one
                + 3 * t**2 * (1 - t) * two
                + t**3 * end
            )
        rings.append(np.array(ring))
    return rings


def placed_letters(raw_font: RawFont, text: str, lettering: Lettering) -> list[list[Points]]:
    """The raw outlines of each letter, moved to where the lettering has put it (cap heights).

    Every contour of the lettering must be the raw one but for a shift along the line.
    """
    ours = path_rings(lettering.path)
    placed = []
    for char in text.replace(" ", ""):
        rings = raw_font.rings(char)
        own, ours = ours[: len(rings)], ours[len(rings) :]
        left = min(ring[:, 0].min() for ring in own) / lettering.letter_height
        shift = (left - min(ring[:, 0].min() for ring in rings), 0)
        moved = [ring + shift for ring in rings]
        for ring, mine in zip(moved, own, strict=True):
            assert _apart(ring, mine / lettering.letter_height).min(axis=1).max() < 1e-4
        placed.append(moved)
    assert ours == []
    return placed


def ink_gap(one: list[Points], other: list[Points]) -> float:
    """Shortest distance between two sets of closed polylines."""
    return min(min(_corner_to_edge(a, b), _corner_to_edge(b, a)) for a in one for b in other)


def _corner_to_edge(corners: Points, ring: Points) -> float:
    """Least distance from any corner to any edge of a closed ring."""
    return float(_apart(ring, corners).min())


def _apart(ring: Points, corners: Points) -> Points:
    """Distance of each corner (rows) to each edge of a closed ring (columns)."""
    start, way = ring, np.roll(ring, -1, axis=0) - ring
    square = np.maximum((way**2).sum(axis=1), 1e-30)
    share = ((corners[:, None] - start) * way).sum(axis=2) / square
    foot = start + np.clip(share, 0, 1)[..., None] * way
    x, y = np.moveaxis(corners[:, None] - foot, 2, 0)
    apart: Points = np.hypot(x, y)
    return apart


def path_data(path: Path) -> str:
    """SVG path data; arcs are not expected."""
    parts = []
    for contour in path.contours:
        parts.append(f"M{contour.start.x:.6f},{contour.start.y:.6f}")
        for segment in contour.segments:
            points = [segment.end]
            if isinstance(segment, Cubic):
                points = [segment.control_1, segment.control_2, segment.end]
            letter = "C" if isinstance(segment, Cubic) else "L"
            parts.append(letter + " ".join(f"{each.x:.6f},{each.y:.6f}" for each in points))
        parts.append("Z" if contour.closed else "")
    return "".join(parts)


def picture(paths: Iterable[Path], box: tuple[float, float, float, float], per_mm: float) -> Points:
    """Black ink of the paths in a box (left, top, width, height in mm): coverage 0 to 1."""
    left, top, width, height = box
    drawn = "".join(f'<path d="{path_data(path)}"/>' for path in paths)
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{left} {top} {width} {height}" '
        f'width="{round(width * per_mm)}" height="{round(height * per_mm)}">'
        f'<rect x="{left}" y="{top}" width="{width}" height="{height}" fill="#fff"/>{drawn}</svg>'
    )
    image = Image.open(io.BytesIO(cairosvg.svg2png(svg.encode()))).convert("L")
    return 1 - np.asarray(image, float) / 255
