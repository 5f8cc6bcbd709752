"""Legend lettering: outlines scaled on cap height, set so that letters never crowd.

All figures of a typeface are in cap heights: the flat capital H is 1.0 high, the baseline is at 0
and y runs down, so capitals go from -1 to 0. A letter height is therefore what a ruler reads.

Spacing of a legend follows NUREG-0700 revision 3: the gap between characters is at least one
stroke, the gap between words at least one character. One stroke is the vertical stem of H; the
gap is the shortest distance between the two outlines, in any direction, so that pairs such as
AV may lean over each other. Kerning may close a pair down to that gap and no further. One
character is the width of H.
"""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Iterable
from typing import Protocol, TypeAlias

from layouts.drawing import Affine, Arc, Contour, Cubic, Line, Path, Point, arc_to_cubics
from layouts.terms.values import frozen

# How far a chord may lie inside its curve, in cap heights: 0.2 % of a usual stem.
FLATNESS = 0.0003

Edge: TypeAlias = tuple[float, float, float, float]  # x, y of the upper end, x, y of the lower


@frozen
class Glyph:
    """One character, in cap heights.

    ``left_edges`` and ``right_edges`` are the chords of the outline that face left and right;
    level chords belong to neither, since their ends do. ``ink_left`` and ``ink_right`` are the
    outermost x of the ink. A blank has no contours and no edges.
    """

    path: Path
    advance: float
    ink_left: float = 0.0
    ink_right: float = 0.0
    left_edges: tuple[Edge, ...] = ()
    right_edges: tuple[Edge, ...] = ()

    @staticmethod
    def drawn(path: Path, advance: float) -> Glyph:
        """The glyph of an outline, its sides found from the outline's own direction.

        The largest contour tells which way round ink is drawn; counters go the other way.
        """
        if not path.contours:
            return Glyph(path, advance)
        rings = [flatten(contour, FLATNESS) for contour in path.contours]
        clockwise = max((_signed_area(ring) for ring in rings), key=abs) > 0
        left: list[Edge] = []
        right: list[Edge] = []
        for ring in rings:
            for start, end in zip(ring, [*ring[1:], ring[0]], strict=True):
                if start.y < end.y:
                    side = right if clockwise else left
                    side.append((start.x, start.y, end.x, end.y))
                elif start.y > end.y:
                    side = left if clockwise else right
                    side.append((end.x, end.y, start.x, start.y))
        bounds = path.bounds()
        left.sort(key=lambda edge: min(edge[0], edge[2]))
        right.sort(key=lambda edge: -max(edge[0], edge[2]))
        return Glyph(path, advance, bounds.x, bounds.right, tuple(left), tuple(right))


class FontFile(Protocol):
    """A font file that may be embedded in papers, for text that can be searched.

    ``name`` is its PostScript name and ``em`` its em in cap heights; ``box`` is around all glyphs
    (left, low, right, high, y up) in thousandths of an em.
    """

    @property
    def name(self) -> str: ...  # noqa: D102
    @property
    def em(self) -> float: ...  # noqa: D102
    @property
    def box(self) -> tuple[int, int, int, int]: ...  # noqa: D102

    def index(self, char: str) -> int:
        """The number of a character's glyph, 0 where there is none."""

    def subset(self, indices: Iterable[int]) -> bytes:
        """A TrueType file of these glyphs under the same numbers."""


class Typeface(Protocol):
    """A typeface as data.

    ``key`` is a short stable identifier that changes with the font file; ``stem`` is the
    vertical stem of H in cap heights; ``spacing`` keeps what was measured on this typeface;
    ``font`` is None where papers cannot hold the file.
    """

    @property
    def key(self) -> str: ...  # noqa: D102
    @property
    def name(self) -> str: ...  # noqa: D102
    @property
    def stem(self) -> float: ...  # noqa: D102
    @property
    def spacing(self) -> Spacing: ...  # noqa: D102
    @property
    def font(self) -> FontFile | None: ...  # noqa: D102

    def glyph(self, char: str) -> Glyph | None:
        """The glyph of one character, None where the typeface lacks it."""

    def kern(self, first: str, second: str) -> float:
        """The typeface's own correction between two characters, in cap heights."""


@frozen
class Lettering:
    """A legend in outlines, mm: ink begins at x = 0, the baseline is y = 0.

    ``width`` is that of the ink. ``missing`` names the characters that the typeface lacks;
    they are left out of the path.
    """

    path: Path
    width: float
    letter_height: float
    missing: tuple[str, ...] = ()


@frozen
class SetLine:
    """A set line in cap heights: its ink begins at x = 0 and is ``width`` wide."""

    width: float
    path: Path


_MOST_PLACED = 1 << 14


class Spacing:
    """The distances between the letters of one typeface, each measured once."""

    def __init__(self, face: Typeface) -> None:
        self._face = face
        self._steps: dict[tuple[str, str], float] = {}
        self._lines: dict[str, SetLine] = {}
        self._placed: dict[tuple[int, float], tuple[Path, float]] = {}
        self.whole: set[str] = set()  # characters known to leave ink, and blanks
        # The offset is exact for chords; the ink of a curve may bulge beyond both of them.
        self._gap = face.stem + 2 * FLATNESS
        flat, round_ = face.glyph("H"), face.glyph("O")
        self.word_gap = flat.ink_right - flat.ink_left if flat else 1.0
        self.tracking = 0.0
        if round_:
            natural = round_.advance + face.kern("O", "O") - (round_.ink_right - round_.ink_left)
            self.tracking = max(0.0, face.stem - natural)

    def step(self, first: str, second: str) -> float:
        """Distance between the origins of two neighbors: kerned, tracked, never too close."""
        pair = (first, second)
        if pair not in self._steps:
            one, other = self._face.glyph(first), self._face.glyph(second)
            if one is None or other is None:
                raise ValueError(f"{self._face.name} lacks a character of {first + second!r}")
            natural = one.advance + self._face.kern(first, second) + self.tracking
            self._steps[pair] = max(natural, least_step(one, other, self._gap))
        return self._steps[pair]

    def line(self, text: str) -> SetLine:
        """The text set on one line; runs of blanks count as one word gap."""
        if text not in self._lines:
            self._lines[text] = self._set_line(text)
        return self._lines[text]

    def _set_line(self, text: str) -> SetLine:
        placed: list[tuple[float, Glyph]] = []
        left, right = math.inf, -math.inf
        for word in text.split():
            glyphs = self._word(word)
            if not glyphs:
                continue
            start = min(x + glyph.ink_left for x, glyph in glyphs)
            shift = right + self.word_gap - start if placed else 0.0
            placed += [(x + shift, glyph) for x, glyph in glyphs]
            left = min(left, start + shift)
            right = max(x + glyph.ink_right for x, glyph in placed)
        if not placed:
            return SetLine(0.0, Path(()))
        row = tuple([self._at(glyph.path, x - left) for x, glyph in placed])
        return SetLine(right - left, Path.of_row(row))

    def _at(self, path: Path, x: float) -> tuple[Path, float]:
        """A glyph at its place; tags that begin alike share their first ones."""
        known = self._placed.get((id(path), x))
        if known is None:
            known = path, x
            if len(self._placed) < _MOST_PLACED:
                self._placed[id(path), x] = known  # it keeps the path, and so its identity
        return known

    def _word(self, word: str) -> list[tuple[float, Glyph]]:
        """A word's glyphs, each clear of the two before it (a low dot hides under a T)."""
        known = [
            (char, glyph)
            for char in word
            if (glyph := _standing(self._face, char)) and glyph.path.contours
        ]
        placed: list[tuple[float, Glyph]] = []
        for index, (char, glyph) in enumerate(known):
            x = 0.0
            if index:
                x = placed[-1][0] + self.step(known[index - 1][0], char)
            if index > 1:
                far_x, far = placed[-2]
                if x + glyph.ink_left - far_x - far.ink_right < self._gap:
                    x = max(x, far_x + least_step(far, glyph, self._gap))
            placed.append((x, glyph))
        return placed


def missing(face: Typeface, text: str) -> tuple[str, ...]:
    """The characters of the text that leave no ink, each once; blanks never count.

    An accent that has no character in common with its letter counts as lacking, too.
    """
    signs, whole = compose_accents(text), face.spacing.whole
    if whole.issuperset(signs):
        return ()
    lacking = tuple(
        char for char in dict.fromkeys(signs) if not char.isspace() and not _has_ink(face, char)
    )
    whole.update(set(signs).difference(lacking))
    return lacking


def measure(face: Typeface, text: str, letter_height: float) -> float:
    """Width of the ink in mm at a letter height in mm; 0 where nothing can be drawn."""
    return face.spacing.line(compose_accents(text)).width * letter_height


def outline(face: Typeface, text: str, letter_height: float) -> Lettering:
    """The text as outlines, ``letter_height`` mm high measured on H."""
    line = face.spacing.line(compose_accents(text))
    path = line.path.mapped(Affine.scale(letter_height))
    return Lettering(path, line.width * letter_height, letter_height, missing(face, text))


def compose_accents(text: str) -> str:
    """The text with letter and accent as one character where Unicode has it (form NFC)."""
    return text if text.isascii() else unicodedata.normalize("NFC", text)


def lacking(text: str, typeface: Typeface) -> list[str]:
    """The characters of a text that the typeface has no glyph for, each once, in their order."""
    if text.isascii():
        return []
    signs = dict.fromkeys(compose_accents(text))
    return [sign for sign in signs if not sign.isspace() and typeface.glyph(sign) is None]


def spelled(text: str, typeface: Typeface) -> str:
    """The text with each character that the typeface lacks as its number, ``<U+51B7>``."""
    numbers = {ord(sign): f"<U+{ord(sign):04X}>" for sign in lacking(text, typeface)}
    return compose_accents(text).translate(numbers)


def stem_of(glyph: Glyph) -> float | None:
    """Width of the first upright of H in cap heights, taken at a quarter of its height.

    None where the glyph has no upright there.
    """
    level = -0.25
    enter, leave = (
        min((_x_at(edge, level) for edge in edges if edge[1] <= level < edge[3]), default=None)
        for edges in (glyph.left_edges, glyph.right_edges)
    )
    return leave - enter if enter is not None and leave is not None and leave > enter else None


def flatten(contour: Contour, flatness: float) -> list[Point]:
    """The contour's corners, its curves cut into chords at most ``flatness`` away from them."""
    points = [contour.start]
    at = contour.start
    for segment in contour.segments:
        match segment:
            case Line(end):
                points.append(end)
            case Cubic():
                points += _chords(at, segment, flatness)
            case Arc():
                for cubic in arc_to_cubics(at, segment):
                    points += _chords(points[-1], cubic, flatness)
        at = segment.end
    return points


def least_step(first: Glyph, second: Glyph, gap: float) -> float:
    """The least distance between two origins that keeps the outlines ``gap`` apart.

    Exact for the chords: the points where ``second`` touches ``first`` grown by a disc of
    radius ``gap`` are those of a capsule about an edge of one and a corner of the other.
    Minus infinity where the two pass each other above and below.
    """
    best = -math.inf
    for ax0, ay0, ax1, ay1 in first.right_edges:
        reach = max(ax0, ax1) + gap
        for bx0, by0, bx1, by1 in second.left_edges:
            if reach - min(bx0, bx1) <= best:
                break
            if ay0 - by1 >= gap or by0 - ay1 >= gap:
                continue
            corners = (
                (ax0 - bx0, ay0 - by0),
                (ax0 - bx1, ay0 - by1),
                (ax1 - bx1, ay1 - by1),
                (ax1 - bx0, ay1 - by0),
            )
            if max(x for x, _ in corners) + gap <= best:
                continue
            before = corners[3]
            for corner in corners:
                best = max(best, _reach(*before, *corner, gap))
                before = corner
    return best


def _reach(ux: float, uy: float, vx: float, vy: float, radius: float) -> float:
    """Greatest x at y = 0 of the points within ``radius`` of the segment u v."""
    best = -math.inf
    if abs(uy) < radius:
        best = ux + math.sqrt(radius * radius - uy * uy)
    if abs(vy) < radius:
        best = max(best, vx + math.sqrt(radius * radius - vy * vy))
    dx, dy = vx - ux, vy - uy
    if dy != 0:
        length = math.copysign(math.hypot(dx, dy), dy)
        nx, ny = radius * dy / length, -radius * dx / length
        share = -(uy + ny) / dy
        if 0 <= share <= 1:
            best = max(best, ux + share * dx + nx)
    return best


def _standing(face: Typeface, char: str) -> Glyph | None:
    """The glyph of a character that can appear by itself, unlike a lone accent."""
    return None if unicodedata.combining(char) else face.glyph(char)


def _has_ink(face: Typeface, char: str) -> bool:
    glyph = _standing(face, char)
    return glyph is not None and bool(glyph.path.contours)


def _x_at(edge: Edge, y: float) -> float:
    x0, y0, x1, y1 = edge
    return x0 + (x1 - x0) * (y - y0) / (y1 - y0)


def _chords(start: Point, cubic: Cubic, flatness: float) -> list[Point]:
    """End points of equal-parameter chords; the bound is that of the second differences."""
    x0, y0, x3, y3 = start.x, start.y, cubic.end.x, cubic.end.y
    x1, y1, x2, y2 = cubic.control_1.x, cubic.control_1.y, cubic.control_2.x, cubic.control_2.y
    bend = max(
        math.hypot(x0 - 2 * x1 + x2, y0 - 2 * y1 + y2),
        math.hypot(x1 - 2 * x2 + x3, y1 - 2 * y2 + y3),
    )
    count = max(1, math.ceil(math.sqrt(0.75 * bend / flatness)))
    points: list[Point] = []
    for index in range(1, count):
        t = index / count
        u = 1 - t
        w0, w1, w2, w3 = u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t
        points.append(
            Point(w0 * x0 + w1 * x1 + w2 * x2 + w3 * x3, w0 * y0 + w1 * y1 + w2 * y2 + w3 * y3)
        )
    points.append(cubic.end)
    return points


def _signed_area(ring: list[Point]) -> float:
    """Twice the area, positive for clockwise on the page (y down)."""
    return math.fsum(
        one.x * other.y - other.x * one.y
        for one, other in zip(ring, [*ring[1:], ring[0]], strict=True)
    )
