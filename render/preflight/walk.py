"""Walks what a page paints: its content, the forms it places and the patterns it fills with."""

from __future__ import annotations

import warnings

from pikepdf import (
    Array,
    ContentStreamInlineImage,
    Dictionary,
    Name,
    Object,
    Page,
    PdfError,
    Stream,
    parse_content_stream,
)

from render.preflight.keys import number_of
from render.preflight.marks import (
    Contour,
    Frame,
    Ledger,
    Mark,
    State,
    product,
    scale_of,
)
from render.preflight.operators import (
    Handler,
    Operands,
    concat,
    device_chooser,
    in_step,
    line_dash,
    line_width,
    matrix_of,
    real,
    rectangle,
)
from render.preflight.spaces import CMYK, GRAY, MISSING, RGB, UNKNOWN, Space, read_space
from render.preflight.states import apply_state

_PAINTING = {  # operator: fills, strokes, closes
    "f": (True, False, False),
    "F": (True, False, False),
    "f*": (True, False, False),
    "B": (True, True, False),
    "B*": (True, True, False),
    "b": (True, True, True),
    "b*": (True, True, True),
    "S": (False, True, False),
    "s": (False, True, True),
    "n": (False, False, False),
}
_DEVICE = {"g": GRAY, "rg": RGB, "k": CMYK}
# Operators (ISO 32000-1, table 51) that change nothing that is looked at here.
_PASSIVE = frozenset(
    {
        *("BT", "ET", "BX", "EX", "d0", "d1", "DP", "MP", "i", "j", "J", "M", "ri", "W", "W*"),
        *("T*", "Tc", "Td", "TD", "Tf", "TL", "Tm", "Tr", "Ts", "Tw", "Tz"),
    }
)


class Walk:
    """A walk over pages. ``groups`` gives the step of optional content groups by identity."""

    def __init__(self, ledger: Ledger, groups: dict[tuple[int, int], str]) -> None:
        self._ledger = ledger
        self._groups = groups
        self._spaces: dict[tuple[int, int], Space] = {}
        self._seen: set[tuple[object, ...]] = set()
        self._handlers = self._table()

    def page(self, page: Page, number: int) -> None:
        """Everything that a page paints."""
        scale = number_of(page.obj.get("/UserUnit")) or 1.0
        state = State(matrix=(scale, 0.0, 0.0, scale, 0.0, 0.0))
        self._run(page, Frame(f"page {number}", page.resources, state, page=number))

    def _run(self, content: Page | Object, frame: Frame) -> None:
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("error")  # the parser warns of content that ends early
                instructions = parse_content_stream(content)
        except (PdfError, UserWarning) as error:
            self._fault("content-syntax", f"the content cannot be read ({error})", frame)
            return
        for instruction in instructions:
            if isinstance(instruction, ContentStreamInlineImage):
                self._mark(frame, "image", self._inline_space(frame, instruction))
                continue
            operator = str(instruction.operator)
            handler = self._handlers.get(operator)
            try:
                if handler:
                    handler(frame, list(instruction.operands))
                elif operator not in _PASSIVE:
                    self._fault("content-operator", f"{operator!r} is no operator of PDF", frame)
            except (ValueError, TypeError, IndexError, OverflowError):
                self._fault("content-syntax", f"{operator} has operands that do not fit it", frame)
        if frame.saved or frame.marked:
            inside = "q without Q" if frame.saved else "marked content without an end"
            self._fault("content-balance", f"the content ends inside {inside}", frame)

    def _table(self) -> dict[str, Handler]:
        table: dict[str, Handler] = {
            "q": lambda frame, _: frame.saved.append(frame.state.copy()),
            "Q": self._restore,
            "cm": concat,
            "w": line_width,
            "d": line_dash,
            "gs": self._graphics_state,
            "Do": self._place,
            "sh": self._shade,
            "BMC": lambda frame, _: frame.marked.append(frame.step),
            "BDC": self._begin_marked,
            "EMC": self._end_marked,
            "h": lambda frame, _: frame.end_contour(True),
            "m": in_step(2, lambda frame, xy: frame.move(*xy)),
            "re": in_step(4, rectangle),
        }
        for operator, count in (("l", 2), ("c", 6), ("v", 4), ("y", 4)):
            table[operator] = in_step(count, lambda frame, xy: frame.reach(*xy))
        for use, upper in (("fill", False), ("stroke", True)):
            names = {
                name: name.upper() if upper else name for name in ("cs", "sc", "scn", *_DEVICE)
            }
            table[names["cs"]] = self._space_chooser(use)
            table[names["sc"]] = table[names["scn"]] = self._tint_chooser(use)
            for operator, space in _DEVICE.items():
                table[names[operator]] = device_chooser(use, space)
        for operator, (fills, strokes, closes) in _PAINTING.items():
            table[operator] = self._painter(fills, strokes, closes)
        for operator in ("Tj", "TJ", "'", '"'):
            table[operator] = lambda frame, _: self._mark(
                frame, "text", frame.state.coats["fill"].space
            )
        return table

    # State and color

    def _restore(self, frame: Frame, _: Operands) -> None:
        if frame.saved:
            frame.state = frame.saved.pop()
        else:
            self._fault("content-balance", "the content has Q without q", frame)

    def _graphics_state(self, frame: Frame, given: Operands) -> None:
        found = self._resource(frame, "/ExtGState", given[0])
        if found is not None:
            apply_state(frame.state, found, self._ledger, frame.where)

    def _space_chooser(self, use: str) -> Handler:
        def choose(frame: Frame, given: Operands) -> None:
            space = self._named_space(frame, given[0])
            frame.state.color(use, space, (1.0,) * len(space.inks) if space.inks else (0.0,))

        return choose

    def _tint_chooser(self, use: str) -> Handler:
        def choose(frame: Frame, given: Operands) -> None:
            coat = frame.state.coats[use]
            if given and isinstance(given[-1], Name):
                self._pattern(frame, given[-1], use)
            else:
                frame.state.color(use, coat.space, tuple(map(real, given)))

        return choose

    def _named_space(self, frame: Frame, name: object) -> Space:
        device = read_space(name) if isinstance(name, Name) else UNKNOWN
        if device is not UNKNOWN:
            return device
        found = self._resource(frame, "/ColorSpace", name)
        return self._space(found) if found is not None else MISSING

    def _space(self, found: object) -> Space:
        """The space that an object defines; indirect ones are read once."""
        if not isinstance(found, Object):
            return UNKNOWN
        if found.objgen == (0, 0):
            return read_space(found)
        if found.objgen not in self._spaces:
            self._spaces[found.objgen] = read_space(found)
        return self._spaces[found.objgen]

    def _pattern(self, frame: Frame, name: object, use: str) -> None:
        pattern = self._resource(frame, "/Pattern", name)
        if isinstance(pattern, Stream):
            state = State(matrix=frame.state.matrix, coats=dict(frame.state.coats))
            if pattern.get("/PaintType") == 2 and frame.state.coats[use].space.base:
                state.color("fill", frame.state.coats[use].space.inner(), (1.0,))
                state.color("stroke", frame.state.coats[use].space.inner(), (1.0,))
            self._enter(frame, pattern, f"pattern {str(name)[1:]}", state)
        elif isinstance(pattern, Dictionary):
            self._shading(frame, pattern.get("/Shading"))

    # Marked content

    def _begin_marked(self, frame: Frame, given: Operands) -> None:
        frame.marked.append(frame.step)
        if str(given[0]) == "/OC" and isinstance(given[1], Name):
            group = self._resource(frame, "/Properties", given[1])
            if group is not None:
                frame.step = self.step_of(group) or frame.step

    def _end_marked(self, frame: Frame, _: Operands) -> None:
        if frame.marked:
            frame.step = frame.marked.pop()
        else:
            self._fault("content-balance", "marked content ends that never began", frame)

    def step_of(self, group: Object) -> str:
        """The step of an optional content group, or of the first in a membership dictionary."""
        members = group.get("/OCGs")
        listed = members.as_list() if isinstance(members, Array) else [members, group]
        for each in listed:
            if isinstance(each, Dictionary) and each.objgen in self._groups:
                return self._groups[each.objgen]
        return ""

    # Painting

    def _painter(self, fills: bool, strokes: bool, closes: bool) -> Handler:
        def paint(frame: Frame, _: Operands) -> None:
            if closes:
                frame.end_contour(True)
            contours = frame.take_contours()
            if fills:
                self._mark(frame, "fill", frame.state.coats["fill"].space, contours)
            if strokes:
                self._mark(frame, "stroke", frame.state.coats["stroke"].space, contours)

        return paint

    def _mark(
        self, frame: Frame, kind: str, space: Space, contours: tuple[Contour, ...] = ()
    ) -> None:
        state = frame.state
        strokes = kind == "stroke"
        coat = state.coats["stroke" if strokes else "fill"]
        self._ledger.mark(
            Mark(
                kind,
                space,
                coat.tint,
                coat.overprint,
                state.mode,
                frame.where,
                frame.step,
                contours,
                state.width * scale_of(state.matrix) if strokes else 0.0,
                state.dashed and strokes,
                bool(frame.above),
                frame.page,
            )
        )

    def _shade(self, frame: Frame, given: Operands) -> None:
        self._shading(frame, self._resource(frame, "/Shading", given[0]))

    def _shading(self, frame: Frame, shading: object) -> None:
        if isinstance(shading, Dictionary | Stream):
            self._mark(frame, "shading", self._space(shading.get("/ColorSpace")))

    def _place(self, frame: Frame, given: Operands) -> None:
        found = self._resource(frame, "/XObject", given[0])
        if not isinstance(found, Stream):
            return
        name, kind = str(given[0])[1:], str(found.get("/Subtype"))
        if kind == "/Image":
            self._image(frame, found)
        elif kind == "/PS":
            self._fault("file-postscript", f"{name} is PostScript code", frame, "remove it")
        elif kind == "/Form":
            self._form(frame, found, name)

    def _image(self, frame: Frame, image: Object) -> None:
        masked = bool(image.get("/ImageMask", False))
        space = frame.state.coats["fill"].space if masked else self._space(image.get("/ColorSpace"))
        self._mark(frame, "image", space)
        if isinstance(image.get("/SMask"), Stream):
            self._fault("transparency", "an image with a soft mask", frame, "flatten it")

    def _inline_space(self, frame: Frame, instruction: ContentStreamInlineImage) -> Space:
        image = instruction.iimage
        if image.image_mask:
            return frame.state.coats["fill"].space
        return self._named_space(frame, Name(str(image.colorspace)))

    def _form(self, frame: Frame, form: Object, name: str) -> None:
        state = frame.state.copy()
        matrix = form.get("/Matrix")
        if isinstance(matrix, Array):
            state.matrix = product(matrix_of(list(matrix.as_list())), state.matrix)
        group = form.get("/Group")
        if isinstance(group, Dictionary) and str(group.get("/S")) == "/Transparency":
            self._fault("transparency", f"form {name} is a transparency group", frame, "flatten it")
        self._enter(frame, form, f"form {name}", state)

    def _enter(self, frame: Frame, stream: Object, name: str, state: State) -> None:
        """Walk a form or pattern, once for every state that can make a difference."""
        if stream.objgen in frame.above:
            self._fault("content-loop", f"{name} places itself", frame)
            return
        resources = stream.get("/Resources", frame.resources)
        group = stream.get("/OC")
        step = (self.step_of(group) if isinstance(group, Dictionary) else "") or frame.step
        own_groups = isinstance(resources, Dictionary) and "/Properties" in resources
        place = state.matrix if own_groups or step.startswith("Structural") else None
        key = (stream.objgen, step, place, state.mode, *state.coats.values())
        if stream.objgen != (0, 0) and key in self._seen:
            return
        self._seen.add(key)
        where = f"page {frame.page}, {name}"
        above = (*frame.above, stream.objgen)
        self._run(stream, Frame(where, resources, state, step, above, frame.page))

    def _resource(self, frame: Frame, kind: str, name: object) -> Object | None:
        table = frame.resources.get(kind) if isinstance(frame.resources, Dictionary) else None
        found = table.get(str(name)) if isinstance(table, Dictionary) else None
        if not isinstance(found, Object):
            what = f"{kind[1:]} {str(name)[1:]} is used but not among the resources"
            self._fault("content-resource", what, frame, "add it to the resources")
            return None
        return found

    def _fault(self, code: str, what: str, frame: Frame, right: str = "") -> None:
        self._ledger.fault(code, what, frame.where, right or "write the file again from its source")
