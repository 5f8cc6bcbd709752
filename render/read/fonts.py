"""Font files as typefaces: outlines, advances and kerning, read through HarfBuzz.

Only this module uses uharfbuzz. HarfBuzz gives outlines as well as kerning, and loads in a
fraction of the time of a full font library.
"""

from __future__ import annotations

import re
import struct
import zlib
from collections.abc import Iterable
from functools import cache
from pathlib import Path as FilePath

import uharfbuzz as hb

from layouts.drawing import Contour, Cubic, Line, Path, Point, Segment
from layouts.drawing.lettering import Glyph, Spacing, Typeface, stem_of
from layouts.drawing.typefaces import Typefaces
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity
from render.files.intake import bytes_of

TYPEFACES = FilePath(__file__).parent / "typefaces"
DEFAULT_DARK = "Roboto-Medium.ttf"
DEFAULT_LIGHT = "Roboto-Regular.ttf"

_FULL_NAME = 4  # OpenType "name" table, name ID 4
_POSTSCRIPT_NAME = 6
_HEAD_BOX = 36  # OpenType "head" table: where xMin, yMin, xMax and yMax begin
_FS_TYPE = 8  # OpenType "OS/2" table: offset of fsType
_MAY_NOT_EMBED = 0x0302  # restricted license, no subsets, bitmaps only
_NOT_IN_PAPERS = ("GDEF", "GPOS", "GSUB", "OS/2", "cmap", "name", "post")  # text has its own codes
_KERNING_ALONE = {"kern": True, "liga": False, "clig": False, "calt": False, "ccmp": False}


@cache
def default_typefaces() -> Typefaces:
    """Roboto Medium for dark legends, Roboto Regular for light ones and for text.

    A stroke of 1/6 of the height suits dark on light, 1/7 to 1/8 light on dark
    (DOD-HDBK-791, 6-5.3.2): Medium has a stem of 0.173, Regular one of 0.132.
    """
    regular = load_typeface(TYPEFACES / DEFAULT_LIGHT)
    return Typefaces(dark=load_typeface(TYPEFACES / DEFAULT_DARK), light=regular, text=regular)


def typefaces(font: FilePath | None = None) -> Typefaces:
    """The default typefaces, with legends in the shop's font if one is given.

    Raises:
        InputError: the font cannot be read.
    """
    default = default_typefaces()
    if font is None:
        return default
    own = load_typeface(font)
    return Typefaces(dark=own, light=own, text=default.text)


def load_typeface(path: FilePath) -> Typeface:
    """The typeface of a TrueType or OpenType file (.ttf, .otf).

    Raises:
        InputError: the file does not exist, is not such a font, or has no capital H to measure.
    """
    try:
        data = bytes_of(path)
    except OSError as error:
        what = f"the font cannot be read ({error.strerror or error})"
        raise _refusal(path, what, "name a TrueType or OpenType file") from error
    face = hb.Face(hb.Blob(data))
    if not face.glyph_count:
        raise _refusal(
            path, "this is not a font that can be read", "a TrueType or OpenType file (.ttf, .otf)"
        )
    font = hb.Font(face)
    unit = _cap_height(font)
    stem = stem_of(_draw_glyph(font, _index(font, "H"), unit)) if unit else None
    if not stem:
        raise _refusal(
            path,
            "the font has no capital H in outlines, so its letter height cannot be measured",
            "a font with Latin capitals in outlines",
        )
    key = f"{zlib.crc32(data):08x}"
    return HarfBuzzTypeface(font, unit, key, str(face.get_name(_FULL_NAME) or path.stem), stem)


class HarfBuzzTypeface:
    """A typeface that reads glyphs and kerning pairs on first use."""

    def __init__(self, font: hb.Font, unit: float, key: str, name: str, stem: float) -> None:
        self.key = key
        self.name = name
        self.stem = stem
        self._font = font
        self._unit = unit
        self._glyphs: dict[str, Glyph | None] = {}
        self._kerns: dict[tuple[str, str], float] = {}
        self.spacing = Spacing(self)
        self.font = HarfBuzzFile(font, unit) if HarfBuzzFile.may_be_embedded(font) else None

    def glyph(self, char: str) -> Glyph | None:
        """The glyph of one character, None if the font lacks it."""
        if char not in self._glyphs:
            index = _index(self._font, char)
            self._glyphs[char] = _draw_glyph(self._font, index, self._unit) if index else None
        return self._glyphs[char]

    def kern(self, first: str, second: str) -> float:
        """The font's own pair kerning (table GPOS, else kern), in cap heights."""
        pair = (first, second)
        if pair not in self._kerns:
            self._kerns[pair] = self._shape_pair(first, second)
        return self._kerns[pair]

    def _shape_pair(self, first: str, second: str) -> float:
        indices = [_index(self._font, first), _index(self._font, second)]
        if not all(indices):
            return 0.0
        buffer = hb.Buffer()
        buffer.add_str(first + second)
        buffer.guess_segment_properties()
        hb.shape(self._font, buffer, _KERNING_ALONE)
        if [info.codepoint for info in buffer.glyph_infos] != indices:
            return 0.0
        shaped: int = sum(position.x_advance for position in buffer.glyph_positions)
        plain: int = sum(self._font.get_glyph_h_advance(index) for index in indices)
        return (shaped - plain) / self._unit


class HarfBuzzFile:
    """A TrueType file and its subsets."""

    def __init__(self, font: hb.Font, unit: float) -> None:
        self._font = font
        face = font.face
        self.em = face.upem / unit
        self.name = re.sub(r"[^A-Za-z0-9-]", "", str(face.get_name(_POSTSCRIPT_NAME) or "Font"))
        corners = struct.unpack_from(">4h", face.reference_table("head").data, _HEAD_BOX)
        left, low, right, high = (round(each * 1000 / face.upem) for each in corners)
        self.box = left, low, right, high

    @staticmethod
    def may_be_embedded(font: hb.Font) -> bool:
        """Whether the font can be embedded: TrueType outlines, and license bits that allow it."""
        tables = font.face.table_tags
        if not {"glyf", "head", "OS/2"} <= set(tables) or "fvar" in tables:
            return False
        (bits,) = struct.unpack_from(">H", font.face.reference_table("OS/2").data, _FS_TYPE)
        return not bits & _MAY_NOT_EMBED

    def index(self, char: str) -> int:
        """The number of a character's glyph, 0 if there is none."""
        return _index(self._font, char)

    def subset(self, indices: Iterable[int]) -> bytes:
        """A TrueType file of these glyphs under the same numbers."""
        wanted = hb.SubsetInput()
        wanted.flags = hb.SubsetFlags.RETAIN_GIDS | hb.SubsetFlags.NO_HINTING
        wanted.sets(hb.SubsetInputSets.GLYPH_INDEX).update(indices)
        wanted.sets(hb.SubsetInputSets.DROP_TABLE_TAG).update(map(_tag, _NOT_IN_PAPERS))
        return bytes(wanted.subset(self._font.face).blob.data)


def _tag(name: str) -> int:
    return int.from_bytes(name.encode(), "big")


class _Pen:
    """Takes an outline in font units, y up, and keeps it in cap heights, y down."""

    def __init__(self, unit: float) -> None:
        self._unit = unit
        self._start = self._at = Point(0.0, 0.0)
        self._segments: list[Segment] = []
        self.contours: list[Contour] = []

    def moveTo(self, to: tuple[float, float]) -> None:  # noqa: N802
        self._start = self._at = self._point(to)
        self._segments = []

    def lineTo(self, to: tuple[float, float]) -> None:  # noqa: N802
        end = self._point(to)
        if end != self._at:
            self._segments.append(Line(end))
            self._at = end

    def qCurveTo(self, control: tuple[float, float], to: tuple[float, float]) -> None:  # noqa: N802
        """A quadratic curve, converted to the equivalent cubic."""
        at, middle, end = self._at, self._point(control), self._point(to)
        first = Point(at.x + (middle.x - at.x) * 2 / 3, at.y + (middle.y - at.y) * 2 / 3)
        second = Point(end.x + (middle.x - end.x) * 2 / 3, end.y + (middle.y - end.y) * 2 / 3)
        self._segments.append(Cubic(first, second, end))
        self._at = end

    def curveTo(  # noqa: N802
        self, one: tuple[float, float], two: tuple[float, float], to: tuple[float, float]
    ) -> None:
        end = self._point(to)
        self._segments.append(Cubic(self._point(one), self._point(two), end))
        self._at = end

    def closePath(self) -> None:  # noqa: N802
        if self._segments:
            self.contours.append(Contour(self._start, tuple(self._segments)))

    def _point(self, raw: tuple[float, float]) -> Point:
        return Point(raw[0] / self._unit, -raw[1] / self._unit)


def _index(font: hb.Font, char: str) -> int:
    """The font's glyph number for a character, 0 if it has none."""
    return int(font.get_nominal_glyph(ord(char)) or 0)


def _draw_glyph(font: hb.Font, index: int, unit: float) -> Glyph:
    pen = _Pen(unit)
    font.draw_glyph_with_pen(index, pen)
    return Glyph.drawn(Path(tuple(pen.contours)), float(font.get_glyph_h_advance(index)) / unit)


def _cap_height(font: hb.Font) -> float:
    """Height of H in font units by its outline, 0 if it has none."""
    index = _index(font, "H")
    if not index:
        return 0.0
    path = _draw_glyph(font, index, 1.0).path
    return -path.bounds().y if path.contours else 0.0


def _refusal(path: FilePath, what: str, right: str) -> InputError:
    place = Place(file=str(path))
    return InputError([Finding("font-unreadable", Severity.UNREADABLE, what, right, place=place)])
