"""Walks what a page paints: its content, the forms it places and the patterns it fills with."""

from __future__ import annotations

from pikepdf import Array, Dictionary, Object, Page, Stream

from render.preflight.keys import number_of
from render.preflight.lexer import (
    OUTLINE,
    PATHS,
    PLACED,
    LexError,
    NameOperand,
    blocks_in,
    instructions,
    names_in,
)
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
    DEVICE,
    PAINTING,
    PASSIVE,
    Handler,
    Operands,
    concat,
    device_chooser,
    in_step,
    line_dash,
    line_width,
    matrix_of,
    numbers,
    pen_of,
    rectangle,
)
from render.preflight.resources import Form, Library
from render.preflight.spaces import MISSING, UNKNOWN, Space, device_space
from render.preflight.states import apply_state
from render.preflight.streams import content_of
from render.preflight.walked import Walked


class Walk:
    """A walk over pages. ``groups`` gives the step of optional content groups by identity."""

    def __init__(self, ledger: Ledger, groups: dict[tuple[int, int], str]) -> None:
        self._ledger = ledger
        self._groups = groups
        self._library = Library(self.step_of)
        self._walked = Walked(self._library)
        self._handlers = self._table()

    def page(self, page: Page, number: int) -> None:
        """Everything that a page paints."""
        scale = number_of(page.obj.get("/UserUnit")) or 1.0
        state = State(matrix=(scale, 0.0, 0.0, scale, 0.0, 0.0))
        resources = self._library.resources(page.resources)
        self._run(page, Frame(f"page {number}", resources, state, page=number))

    def _run(self, content: Page | Object, frame: Frame) -> None:
        handlers = self._handlers
        try:
            for operator, operands in instructions(content_of(content), in_runs=True):
                handler = handlers.get(operator)
                if handler:
                    self._handle(handler, operator, operands, frame)
                elif operator not in PASSIVE:
                    self._fault("content-operator", f"{operator!r} is no operator of PDF", frame)
        except LexError as error:
            self._fault("content-syntax", f"the content cannot be read: {error}", frame)
            return
        if frame.saved or frame.marked:
            inside = "q without Q" if frame.saved else "marked content without an end"
            self._fault("content-balance", f"the content ends inside {inside}", frame)

    def _handle(self, handler: Handler, operator: str, operands: Operands, frame: Frame) -> None:
        try:
            handler(frame, operands)
        except (ValueError, TypeError, IndexError, OverflowError):
            self._fault("content-syntax", f"{operator} has operands that do not fit it", frame)

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
            "BI": self._inline_image,
            "EMC": self._end_marked,
            "h": lambda frame, _: frame.pen.end(True),
            PATHS: self._paths,
            OUTLINE: self._outline,
            PLACED: self._place_run,
            "m": in_step(2, lambda frame, xy: frame.move(*xy)),
            "re": in_step(4, rectangle),
        }
        for operator, count in (("l", 2), ("c", 6), ("v", 4), ("y", 4)):
            table[operator] = in_step(count, lambda frame, xy: frame.reach(*xy))
        for use, upper in (("fill", False), ("stroke", True)):
            names = {name: name.upper() if upper else name for name in ("cs", "sc", "scn", *DEVICE)}
            table[names["cs"]] = self._space_chooser(use)
            table[names["sc"]] = table[names["scn"]] = self._tint_chooser(use)
            for operator, space in DEVICE.items():
                table[names[operator]] = device_chooser(use, space)
        for operator, (fills, strokes, closes) in PAINTING.items():
            table[operator] = self._painter(fills, strokes, closes)
        for operator in ("Tj", "TJ", "'", '"'):
            table[operator] = lambda frame, _: self._mark(
                frame, "text", frame.state.coats["fill"].space
            )
        return table

    # Paths

    def _paths(self, frame: Frame, given: Operands) -> None:
        """A run of path operators. Its shape matters inside processing steps alone."""
        run = given[0]
        if not frame.step or not isinstance(run, bytes):
            return
        drawn = pen_of(run)
        if drawn is not None:
            frame.draw(drawn)
            return
        for operator, operands in instructions(run):
            self._handlers[operator](frame, operands)

    def _outline(self, frame: Frame, given: Operands) -> None:
        """A path moved and stroked, with the state as it was afterwards."""
        *matrix, run = given
        state = frame.state
        before = state.matrix
        state.matrix = product(matrix_of(matrix), before)
        self._paths(frame, (run,))
        self._handlers["S"](frame, ())
        state.matrix = before

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
            if given and isinstance(given[-1], NameOperand):
                self._pattern(frame, given[-1], use)
            else:
                frame.state.color(use, frame.state.coats[use].space, numbers(given))

        return choose

    def _named_space(self, frame: Frame, name: object) -> Space:
        device = device_space(str(name))
        if device is not None:
            return device
        found = self._resource(frame, "/ColorSpace", name)
        return self._library.space(found) if found is not None else MISSING

    def _space(self, found: object) -> Space:
        return self._library.space(found) if isinstance(found, Object) else UNKNOWN

    def _pattern(self, frame: Frame, name: str, use: str) -> None:
        pattern = self._resource(frame, "/Pattern", name)
        if isinstance(pattern, Stream):
            state = State(matrix=frame.state.matrix, coats=dict(frame.state.coats))
            below = frame.state.coats[use].space.base
            if pattern.get("/PaintType") == 2 and below:
                state.color("fill", below, (1.0,))
                state.color("stroke", below, (1.0,))
            self._enter(frame, self._library.form(pattern), f"pattern {name[1:]}", state)
        elif isinstance(pattern, Dictionary):
            self._shading(frame, pattern.get("/Shading"))

    # Marked content

    def _begin_marked(self, frame: Frame, given: Operands) -> None:
        frame.marked.append(frame.step)
        if str(given[0]) == "/OC" and isinstance(given[1], NameOperand):
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
                frame.pen.end(True)
            contours = frame.pen.take()
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
        if not frame.step:
            self._ledger.artwork(kind, space, coat, state.mode, frame.where)
            return
        width = state.width * scale_of(state.matrix) if strokes else 0.0
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
            )
        )

    def _shade(self, frame: Frame, given: Operands) -> None:
        self._shading(frame, self._resource(frame, "/Shading", given[0]))

    def _shading(self, frame: Frame, shading: object) -> None:
        if isinstance(shading, Dictionary | Stream):
            self._mark(frame, "shading", self._space(shading.get("/ColorSpace")))

    def _place_run(self, frame: Frame, given: Operands) -> None:
        """Forms placed one after the other; what shows the same anywhere is looked at once."""
        run = given[0]
        if not isinstance(run, bytes):
            return
        settled = self._walked.settled(frame)
        names = names_in(run)
        for name in names:
            if name not in settled:
                self._settle(frame, name, settled)
        if settled.issuperset(names):
            return
        for block in blocks_in(run):
            if not settled.issuperset(names_in(block)):
                for operator, operands in instructions(block):
                    self._handle(self._handlers[operator], operator, operands, frame)

    def _place(self, frame: Frame, given: Operands) -> None:
        name = str(given[0])
        settled = self._walked.settled(frame)
        if name not in settled and self._placed(frame, name):
            settled.add(name)

    def _settle(self, frame: Frame, name: str, settled: set[str]) -> None:
        """Walk a form whose place does not matter, if no other stream has placed it like this."""
        found = frame.resources.get("/XObject", name)
        if not isinstance(found, Stream):
            return
        form = self._library.form(found)
        anywhere = form.kind == "/Form" and not self._walked.place_matters(frame, form)
        if anywhere and (self._walked.knows(frame, form) or self._placed(frame, name)):
            settled.add(name)

    def _placed(self, frame: Frame, name: str) -> bool:
        """Walk what is placed. Whether another place of it would show nothing new."""
        found = self._resource(frame, "/XObject", name)
        if not isinstance(found, Stream):
            return False
        form, name = self._library.form(found), name[1:]
        if form.kind == "/Form":
            if form.transparent:
                what = f"form {name} is a transparency group"
                self._fault("transparency", what, frame, "flatten it")
            state = frame.state.copy()
            state.matrix = product(form.matrix, state.matrix)
            self._enter(frame, form, f"form {name}", state)
            return not self._walked.place_matters(frame, form)
        if form.kind == "/Image":
            self._image(frame, found)
        elif form.kind == "/PS":
            self._fault("file-postscript", f"{name} is PostScript code", frame, "remove it")
        return False

    def _image(self, frame: Frame, image: Object) -> None:
        masked = bool(image.get("/ImageMask", False))
        space = frame.state.coats["fill"].space if masked else self._space(image.get("/ColorSpace"))
        self._mark(frame, "image", space)
        if isinstance(image.get("/SMask"), Stream):
            self._fault("transparency", "an image with a soft mask", frame, "flatten it")

    def _inline_image(self, frame: Frame, given: Operands) -> None:
        entries = given[0]
        if not isinstance(entries, dict):
            return
        if entries.get("/IM", entries.get("/ImageMask")) is True:
            space = frame.state.coats["fill"].space
        else:
            space = self._inline_space(frame, entries.get("/CS", entries.get("/ColorSpace")))
        self._mark(frame, "image", space)

    def _inline_space(self, frame: Frame, found: object) -> Space:
        if isinstance(found, list) and len(found) > 1:
            return self._inline_space(frame, found[1])  # an index table; its base is painted
        return self._named_space(frame, found) if isinstance(found, NameOperand) else UNKNOWN

    def _enter(self, frame: Frame, form: Form, name: str, state: State) -> None:
        """Walk a form or pattern, once for every state that can make a difference."""
        if form.identity in frame.above:
            self._fault("content-loop", f"{name} places itself", frame)
            return
        if not self._walked.is_new(frame, form, state):
            return
        resources = form.resources or frame.resources
        step = form.step or frame.step
        where = f"page {frame.page}, {name}"
        above = (*frame.above, form.identity)
        self._run(form.stream, Frame(where, resources, state, step, above, frame.page))

    def _resource(self, frame: Frame, kind: str, name: object) -> Object | None:
        found = frame.resources.get(kind, str(name))
        if found is None:
            what = f"{kind[1:]} {str(name)[1:]} is used but not among the resources"
            self._fault("content-resource", what, frame, "add it to the resources")
        return found

    def _fault(self, code: str, what: str, frame: Frame, right: str = "") -> None:
        self._ledger.fault(code, what, frame.where, right or "write the file again from its source")
