"""The operators that choose colors, fonts and paint."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

from pikepdf import Array, Dictionary, Object, Stream

from render.preflight.filters import filter_names
from render.preflight.lexer import NameOperand
from render.preflight.limits import Budget
from render.preflight.marks import Contour, Frame, Ledger, Mark, State, scale_of
from render.preflight.matrix import numbers
from render.preflight.operators import (
    DEVICE,
    PAINTING,
    Handler,
    Operands,
    StateChange,
    device_chooser,
)
from render.preflight.resources import Form, Library
from render.preflight.spaces import MISSING, UNKNOWN, Space, device_space

Enter: TypeAlias = Callable[[Frame, Form, str, State], None]
_FONT_FILES = ("/FontFile", "/FontFile2", "/FontFile3")
_MARK_WORK = 15  # what a mark that is kept costs, next to an operator that is forgotten


class Brush:
    """Paints for a walk. ``enter`` is the walk's way into the forms that patterns are."""

    def __init__(self, ledger: Ledger, library: Library, budget: Budget, enter: Enter) -> None:
        self._ledger = ledger
        self._library = library
        self._budget = budget
        self._enter = enter
        self._changes: dict[tuple[int, int], StateChange] = {}

    def handlers(self) -> dict[str, Handler]:
        """The operators with what they do."""
        table: dict[str, Handler] = {
            "gs": self._graphics_state,
            "sh": self._shade,
            "BI": self._inline_image,
            "Tf": self._choose_font,
        }
        for use, upper in (("fill", False), ("stroke", True)):
            names = {name: name.upper() if upper else name for name in ("cs", "sc", "scn", *DEVICE)}
            table[names["cs"]] = self._space_chooser(use)
            table[names["sc"]] = table[names["scn"]] = self._tint_chooser(use)
            for operator, space in DEVICE.items():
                table[names[operator]] = device_chooser(use, space)
        for operator, (fills, strokes, closes) in PAINTING.items():
            table[operator] = self._painter(fills, strokes, closes)
        for operator in ("Tj", "TJ", "'", '"'):
            table[operator] = self._letter
        return table

    def resource(self, frame: Frame, kind: str, name: object) -> Object | None:
        """What a name in the content means; a name that means nothing is a fault."""
        found = frame.resources.get(kind, str(name))
        if found is None:
            what = f"{kind[1:]} {str(name)[1:]} is used but not among the resources"
            self.fault("content-resource", what, frame, "add it to the resources")
        return found

    def fault(self, code: str, what: str, frame: Frame, right: str = "") -> None:
        """Tell the ledger of a fault at this place."""
        self._ledger.fault(code, what, frame.where, right or "export the file again")

    # State, color and font

    def _graphics_state(self, frame: Frame, given: Operands) -> None:
        found = self.resource(frame, "/ExtGState", given[0])
        if found is None:
            return
        self._change(found).apply(frame.state, self._ledger, frame.where)

    def _change(self, found: Object) -> StateChange:
        """What a graphics state dictionary sets, read once of each that has an identity."""
        identity = found.objgen
        change = self._changes.get(identity)
        if change is None:
            change = StateChange.of(found)
            if identity != (0, 0):
                self._changes[identity] = change
        return change

    def _choose_font(self, frame: Frame, given: Operands) -> None:
        frame.state.font = self.resource(frame, "/Font", given[0])

    def _space_chooser(self, use: str) -> Handler:
        def choose(frame: Frame, given: Operands) -> None:
            space = self._named_space(frame, given[0])
            frame.state.color(use, space, space.first_tint)

        return choose

    def _tint_chooser(self, use: str) -> Handler:
        def choose(frame: Frame, given: Operands) -> None:
            if given and isinstance(given[-1], NameOperand):
                self._pattern(frame, given[-1], use)
            else:
                frame.state.color(use, frame.state.coats[use].space, numbers(given))

        return choose

    def _named_space(self, frame: Frame, name: object) -> Space:
        device = device_space(str(name))
        if device is not None:
            return device
        found = self._library.named_space(frame.resources, str(name))
        if found is None:
            self.resource(frame, "/ColorSpace", name)
        return found or MISSING

    def _space(self, found: object) -> Space:
        return self._library.space(found) if isinstance(found, Object) else UNKNOWN

    def _pattern(self, frame: Frame, name: str, use: str) -> None:
        pattern = self.resource(frame, "/Pattern", name)
        if isinstance(pattern, Stream):
            state = State(matrix=frame.state.matrix, coats=dict(frame.state.coats))
            below = frame.state.coats[use].space.base
            if pattern.get("/PaintType") == 2 and below:
                state.color("fill", below, (1.0,))
                state.color("stroke", below, (1.0,))
            self._enter(frame, self._library.form(pattern), f"pattern {name[1:]}", state)
        elif isinstance(pattern, Dictionary):
            self._shading(frame, pattern.get("/Shading"))

    # Painting

    def _painter(self, fills: bool, strokes: bool, closes: bool) -> Handler:
        def paint(frame: Frame, _: Operands) -> None:
            if closes:
                frame.pen.end(True)
            contours = frame.pen.take()
            if fills:
                self._mark(frame, "fill", frame.state.coats["fill"].space, contours)
            if strokes:
                self._mark(frame, "stroke", frame.state.coats["stroke"].space, contours)

        return paint

    def stroke(self, frame: Frame, count: int) -> None:
        """Stroke the contours of ``count`` operations at once."""
        space = frame.state.coats["stroke"].space
        self._mark(frame, "stroke", space, frame.pen.take(), count)

    def _letter(self, frame: Frame, _: Operands) -> None:
        self._mark(frame, "text", frame.state.coats["fill"].space)
        font = frame.state.font
        if isinstance(font, Dictionary):
            name = str(font.get("/BaseFont", font.get("/Name", "/unnamed")))[1:]
            self._ledger.font(name, self._library.once("font", font, is_embedded), frame.where)

    def _mark(
        self,
        frame: Frame,
        kind: str,
        space: Space,
        contours: tuple[Contour, ...] = (),
        count: int = 1,
    ) -> None:
        state = frame.state
        strokes = kind == "stroke"
        coat = state.coats["stroke" if strokes else "fill"]
        width = state.width * scale_of(state.matrix) if strokes else 0.0
        if not frame.step:
            tally = self._ledger.artwork(kind, space, coat, state.mode, width, frame.where)
            tally.count += count
            if frame.noted is not None:
                frame.noted.art += [tally] * count
            return
        self._budget.work(_MARK_WORK * count)
        self._ledger.mark(
            Mark(
                kind,
                space,
                coat,
                frame.where,
                frame.page,
                frame.step,
                contours,
                width,
                state.dashed and strokes,
                bool(frame.above),
                count,
            )
        )

    def _shade(self, frame: Frame, given: Operands) -> None:
        self._shading(frame, self.resource(frame, "/Shading", given[0]))

    def _shading(self, frame: Frame, shading: object) -> None:
        if isinstance(shading, Dictionary | Stream):
            self._mark(frame, "shading", self._space(shading.get("/ColorSpace")))

    def image(self, frame: Frame, image: Object) -> None:
        """An image that the content places."""
        masked = bool(image.get("/ImageMask", False))
        space = frame.state.coats["fill"].space if masked else self._space(image.get("/ColorSpace"))
        self._mark(frame, "image", space)
        if isinstance(image.get("/SMask"), Stream):
            self.fault("transparency", "an image with a soft mask", frame, "flatten it")

    def _inline_image(self, frame: Frame, given: Operands) -> None:
        entries = given[0]
        if not isinstance(entries, dict):
            return
        if entries.get("/IM", entries.get("/ImageMask")) is True:
            space = frame.state.coats["fill"].space
        else:
            space = self._inline_space(frame, entries.get("/CS", entries.get("/ColorSpace")))
        self._mark(frame, "image", space)
        if "LZWDecode" in filter_names(entries.get("/F", entries.get("/Filter"))):
            what = "an image in the content is compressed with LZW"
            self.fault("image-lzw", what, frame, "compress it with Flate")

    def _inline_space(self, frame: Frame, found: object) -> Space:
        if isinstance(found, list) and len(found) > 1:
            return self._inline_space(frame, found[1])  # an index table; its base is painted
        return self._named_space(frame, found) if isinstance(found, NameOperand) else UNKNOWN


def is_embedded(font: Object) -> bool:
    """Whether a font's outlines are in the file; those of Type 3 are drawn by its content."""
    if str(font.get("/Subtype")) == "/Type3":
        return True
    below = font.get("/DescendantFonts")
    if isinstance(below, Array) and len(below) > 0 and isinstance(below[0], Dictionary):
        font = below[0]
    described = font.get("/FontDescriptor")
    return isinstance(described, Dictionary) and any(key in described for key in _FONT_FILES)
