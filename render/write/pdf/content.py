"""Writes content streams: a layer of a page, and a symbol as the body of a form.

Lengths are whole steps. A page's step is a tenth of a micrometer. A symbol has its own step, at
most a micrometer at its largest placement, and its form's matrix converts to the page's.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import TypeAlias

from layouts.drawing import Affine, Path, Rect
from layouts.drawing.document import Fill, Layer, Placement, Shape, Stroke, Symbol
from layouts.terms.values import frozen
from render.files.numbers import plain
from render.write.pdf.letters import STEPS_PER_CAP_HEIGHT, Letters
from render.write.pdf.paths import Outlines, kept_operators, path_operators
from render.write.pdf.separations import Paint, Plates

PAGE_STEPS_PER_MM = 10_000
SYMBOL_STEPS_PER_MM = 1_000.0  # of a symbol that is not enlarged
STEP_LINE_PT = 0.25
_STEP_LINE_MM = STEP_LINE_PT * 25.4 / 72

KNOCKOUT = "Kn"
OVERPRINT = "Ov"  # spots: inks that the shape does not print stay
UNDER = "Un"  # process inks: all four replaced, spots below stay


@dataclass(slots=True)
class Needs:
    """Names that a stream expects in its resource dictionary."""

    spaces: set[str] = field(default_factory=set)
    states: set[str] = field(default_factory=set)
    symbols: set[str] = field(default_factory=set)
    fonts: set[str] = field(default_factory=set)

    def add(self, other: Needs) -> None:
        """Take over the names of another stream."""
        self.spaces |= other.spaces
        self.states |= other.states
        self.symbols |= other.symbols
        self.fonts |= other.fonts


@frozen
class Stream:
    """Operators and the names they need."""

    data: bytes
    needs: Needs


@frozen
class SymbolForm:
    """A symbol as a form: its box in steps, and how many page steps one of them is."""

    body: Stream
    box: tuple[int, int, int, int]
    step: float


def symbol_form(
    symbol: Symbol, plates: Plates, steps_per_mm: float, uses: Mapping[str, Use], letters: Letters
) -> SymbolForm:
    """Draw a symbol in steps; what is placed within it and its glyphs are forms too."""
    pen = _Pen(plates, steps_per_mm, kept_operators)
    mixed = inherits(symbol)
    for shape in symbol.shapes:
        if mixed and (shape.ink is not None or shape.overprint):
            pen.apart(shape)
        elif isinstance(shape, Fill) and not shape.path.is_plain:
            pen.lettering(shape, letters)
        else:
            pen.shape(shape)
    for item in symbol.placed:
        pen.place_within(item.at, uses[item.symbol])
    reach = max((each.width for each in symbol.shapes if isinstance(each, Stroke)), default=0.0)
    return SymbolForm(
        pen.stream(),
        _box(symbol.bounds.grown(reach), steps_per_mm),
        PAGE_STEPS_PER_MM / steps_per_mm,
    )


def glyph_form(glyph: Path) -> SymbolForm:
    """A glyph as a form that takes the color it is placed in, the same in every file."""
    body = f"{kept_operators(glyph, STEPS_PER_CAP_HEIGHT)}\nf".encode("ascii")
    return SymbolForm(Stream(body, Needs()), _box(glyph.bounds(), STEPS_PER_CAP_HEIGHT), 1.0)


@frozen
class TextUse:
    """A line of text: its font's resource name, its strings for ``TJ`` and its size in mm."""

    font: str
    strings: str
    size: float


@frozen
class Use:
    """A symbol's data for placement: its resource name, what inherits the ink, and its steps."""

    name: str
    fills: bool
    strokes: bool
    steps_per_mm: float

    @staticmethod
    def of(symbol: Symbol, name: str, steps_per_mm: float, symbols: Mapping[str, Symbol]) -> Use:
        """Collect the data from the symbol and those within it."""
        within = [shape for item in symbol.placed for shape in symbols[item.symbol].shapes]
        inheriting = {type(each) for each in (*symbol.shapes, *within) if each.ink is None}
        return Use(name, Fill in inheriting, Stroke in inheriting, steps_per_mm)


def layer_stream(
    layer: Layer,
    plates: Plates,
    uses: Mapping[str, Use],
    texts: Mapping[str, TextUse],
    outlines: Outlines,
    tag: str,
) -> Stream:
    """Draw a layer; ``texts`` are lines of text by their symbols.

    ``tag`` is the resource name of its optional content group, if it has one.

    In a layer with a step everything takes the step's ink and overprints, and lines have the width
    that machines recognize as a cut line.
    """
    pen = _Pen(plates, PAGE_STEPS_PER_MM)
    step = plates.step(layer.step) if layer.step else None
    pen.put(f"/OC /{tag} BDC q" if tag else "q")
    for item in layer.items:
        if isinstance(item, Placement):
            paint = step or (plates.ink(item.ink) if item.ink else None)
            text = texts.get(item.symbol)
            if text is not None:
                pen.text(item.at, text, paint, step is not None)
            else:
                pen.place(item.at, uses[item.symbol], paint, step is not None)
        elif step is None:
            pen.shape(item)
        else:
            pen.step_shape(item, step, outlines)
    pen.put("Q EMC" if tag else "Q")
    return pen.stream()


Turn: TypeAlias = tuple[float, float, float, float]


@dataclass(slots=True)
class _Letters:
    """Tracks a line of letters: each is placed relative to the one before, to save bytes.

    It is used only for letters that are not enlarged: their steps are finer than the page's, so no
    letter is off by more than half a step of the page.
    """

    turn: Turn
    x: float
    y: int

    def advance(self, x: int) -> int:
        """The move to the next letter, in the letters' steps; the rounding error is carried."""
        way = round((x - self.x) / self.turn[0])
        self.x += way * self.turn[0]
        return way


class _Pen:
    """Writes operators and tracks the graphics state, so that nothing is set twice.

    A state of None is unknown: a form does not know the state at its placement.
    """

    def __init__(
        self,
        plates: Plates,
        steps_per_mm: float,
        operators: Callable[[Path, float], str] = path_operators,
    ) -> None:
        self._operators = operators
        self._plates = plates
        self._scale = steps_per_mm
        self._parts: list[str] = []
        self._needs = Needs()
        self._fill: str | None = None
        self._stroke: str | None = None
        self._state: str | None = None
        self._width: float | None = None
        self._dash: tuple[float, ...] | None = None
        self._line_of_letters: _Letters | None = None

    def put(self, text: str) -> None:
        """Write operators, after the end of a line of letters."""
        if self._line_of_letters:
            self._parts.append("Q")
            self._line_of_letters = None
        self._parts.append(text)

    def stream(self) -> Stream:
        if self._line_of_letters:
            self.put("")
        return Stream("\n".join(self._parts).encode("ascii"), self._needs)

    def shape(self, shape: Shape) -> None:
        """A shape in its own ink, or in the one that the placement chose."""
        paint = self._plates.ink(shape.ink) if shape.ink else None
        if paint:
            self._overprint(shape.overprint, paint)
        elif shape.overprint:
            self._set_state(OVERPRINT)
        self._draw(shape, paint)

    def lettering(self, shape: Fill, letters: Letters) -> None:
        """A filled path of glyphs, row by row."""
        paint = self._plates.ink(shape.ink) if shape.ink else None
        if paint:
            self._overprint(shape.overprint, paint)
            self._fill_with(paint)
        elif shape.overprint:
            self._set_state(OVERPRINT)
        step = self._scale / STEPS_PER_CAP_HEIGHT
        for row, at in shape.path.rows():
            told = letters.row(row)
            self._needs.symbols |= told.names
            turn = _matrix((at.a * step, at.b * step, at.c * step, at.d * step), 10)
            x = round((at.a * told.x + at.e) * self._scale)
            y = round((at.b * told.x + at.f) * self._scale)
            self.put(f"q {turn} {x} {y} cm{told.text}")

    def apart(self, shape: Shape) -> None:
        """A shape in its own ink that leaves the placement's choice for the next one."""
        self.put("q")
        before = (self._fill, self._stroke, self._state, self._width, self._dash)
        self.shape(shape)
        self._fill, self._stroke, self._state, self._width, self._dash = before
        self.put("Q")

    def step_shape(self, shape: Shape, paint: Paint, outlines: Outlines) -> None:
        """A shape of a processing step: the step's ink, overprinting, thin lines.

        A matrix moves lines into position, since a sheet repeats a few outlines.
        """
        self._overprint(True, paint)
        if isinstance(shape, Fill):
            self._draw(shape, paint)
            return
        self._stroke_with(paint)
        self._line(_STEP_LINE_MM, shape.dash)
        start = shape.path.contours[0].start
        x, y = round(start.x * self._scale), round(start.y * self._scale)
        self.put(f"q 1 0 0 1 {x} {y} cm\n{outlines.operators(shape.path)}\nS Q")

    def place(self, at: Affine, use: Use, paint: Paint | None, over: bool) -> None:
        """A symbol at its place; ``paint`` colors those of its shapes that have no ink."""
        if paint and (use.fills or use.strokes):
            self._overprint(over, paint)
            if use.fills:
                self._fill_with(paint)
            if use.strokes:
                self._stroke_with(paint)
        self._put_placed(at, (at.a, at.b, at.c, at.d), use, paint is not None)

    def text(self, at: Affine, text: TextUse, paint: Paint | None, over: bool) -> None:
        """A line of text with its baseline along the x axis of ``at``."""
        if paint:
            self._overprint(over, paint)
            self._fill_with(paint)
        self._needs.fonts.add(text.font)
        size, turn = _size_and_turn(text.size * self._scale, at.a, at.b, at.c, at.d)
        x, y = round(at.e * self._scale), round(at.f * self._scale)
        self.put(f"BT /{text.font} {size} Tf {turn} {x} {y} Tm[{text.strings}]TJ ET")

    def place_within(self, at: Affine, use: Use) -> None:
        """A symbol within the one being drawn, whose steps are not the page's."""
        step = self._scale / PAGE_STEPS_PER_MM
        self._put_placed(at, (at.a * step, at.b * step, at.c * step, at.d * step), use, True)

    def _put_placed(self, at: Affine, turn: Turn, use: Use, in_line: bool) -> None:
        """The operators of a placement; ``in_line`` if it may start a line of letters."""
        self._needs.symbols.add(use.name)
        x, y = round(at.e * self._scale), round(at.f * self._scale)
        letters = self._line_of_letters
        if letters and letters.turn == turn and letters.y == y:
            self._parts.append(f"1 0 0 1 {letters.advance(x)} 0 cm/{use.name} Do")
            return
        placed = f"q {_matrix(turn)} {x} {y} cm/{use.name} Do"
        if in_line and at.b == at.c == 0 and 0 < turn[0] <= 1:
            self.put(placed)
            self._line_of_letters = _Letters(turn, x, y)
        else:
            self.put(f"{placed} Q")

    def _draw(self, shape: Shape, paint: Paint | None) -> None:
        path = self._operators(shape.path, self._scale)
        if isinstance(shape, Fill):
            if paint:
                self._fill_with(paint)
            self.put(f"{path}\nf")
        else:
            if paint:
                self._stroke_with(paint)
            self._line(shape.width, shape.dash)
            self.put(f"{path}\nS")

    def _fill_with(self, paint: Paint) -> None:
        if self._fill != paint.fill:
            self._fill = paint.fill
            self.put(paint.fill)
            self._note(paint)

    def _stroke_with(self, paint: Paint) -> None:
        if self._stroke != paint.stroke:
            self._stroke = paint.stroke
            self.put(paint.stroke)
            self._note(paint)

    def _note(self, paint: Paint) -> None:
        if paint.resource:
            self._needs.spaces.add(paint.resource)

    def _overprint(self, on: bool, paint: Paint) -> None:
        if on:
            self._set_state(OVERPRINT if paint.resource else UNDER)
        else:
            self._set_state(KNOCKOUT)

    def _set_state(self, name: str) -> None:
        if self._state != name:
            self._state = name
            self._needs.states.add(name)
            self.put(f"/{name} gs")

    def _line(self, width_mm: float, dash_mm: tuple[float, ...]) -> None:
        if self._width != width_mm:
            self._width = width_mm
            self.put(f"{round(width_mm * self._scale)} w")
        if self._dash != dash_mm:
            self._dash = dash_mm
            self.put(f"[{' '.join(str(round(each * self._scale)) for each in dash_mm)}] 0 d")


@lru_cache(maxsize=256)  # a paper has a few sizes
def _size_and_turn(size: float, a: float, b: float, c: float, d: float) -> tuple[int, str]:
    """The size of a font in whole steps and the factors of its matrix."""
    enlarged = math.hypot(a, b)
    return round(size * enlarged), " ".join(plain(each / enlarged) for each in (a, b, -c, -d))


def inherits(symbol: Symbol) -> bool:
    """Whether anything takes its ink from the placement."""
    return bool(symbol.placed) or any(shape.ink is None for shape in symbol.shapes)


@lru_cache(maxsize=4096)
def _matrix(turn: Turn, places: int = 8) -> str:
    return " ".join([plain(value, places) for value in turn])


def _box(bounds: Rect, scale: float) -> tuple[int, int, int, int]:
    """The form's box, one step wider than the drawing on every side."""
    return (
        math.floor(bounds.x * scale) - 1,
        math.floor(bounds.y * scale) - 1,
        math.ceil(bounds.right * scale) + 1,
        math.ceil(bounds.bottom * scale) + 1,
    )
