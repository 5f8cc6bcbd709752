"""Walks what a page shows: its content, the forms it places and the patterns it fills with.

A form is walked once for every state that can make a difference to what it shows, so a file that
places forms in forms a billion times takes no longer than one that does not. Lines in a form are
told at the width that they have where the form is met first. The glyphs of Type 3 fonts are not
walked.
"""

from __future__ import annotations

from pikepdf import Array, Dictionary, Object, Page, Stream

from render.preflight.brush import Brush
from render.preflight.keys import number_of
from render.preflight.lexer import (
    OUTLINE,
    PATHS,
    PLACED,
    TEXTS,
    LexError,
    NameOperand,
    blocks_in,
    fonts_in,
    instructions,
    names_in,
    pattern_of,
)
from render.preflight.limits import DEPTH, SAVED_STATES, TooLarge, too_deep
from render.preflight.marks import Frame, Ledger, Noted, State, scale_of
from render.preflight.matrix import matrix_of, product
from render.preflight.opened import Opened
from render.preflight.operators import (
    PASSIVE,
    Handler,
    Operands,
    concat,
    in_step,
    line_dash,
    line_width,
    pen_of,
    rectangle,
    shape_matters,
)
from render.preflight.resource_dict import Resources
from render.preflight.resources import Form, Library

_MOST_PATTERNS = 1024  # of forms that are kept
_LONGEST_ALIKE = 8192  # bytes of a form that may look like another
_TEXT_WORK = 5  # operators of a line of text
_STATE_WORK = 20  # what a state that is kept costs, next to an operator that is forgotten


class Walk:
    """A walk over the pages of a file; what it finds goes to the ledger."""

    def __init__(self, ledger: Ledger, file: Opened) -> None:
        self._file, self._ledger = file, ledger
        self._budget = file.budget
        self._groups = file.steps
        self._library = Library(self.step_of, file.budget)
        self._walked = Walked(self._library, file)
        self._brush = Brush(ledger, self._library, file.budget, self._enter)
        self._handlers = self._table()

    def page(self, page: Page, number: int) -> None:
        """Everything that a page shows.

        Raises:
            TooLarge: it is more than the file's budget allows.
        """
        scale = number_of(page.obj.get("/UserUnit")) or 1.0
        state = State(matrix=(scale, 0.0, 0.0, scale, 0.0, 0.0))
        resources = self._library.resources(page.resources)
        frame = Frame(f"page {number}", resources, state, page=number)
        self._run(page, frame)
        group = page.obj.get("/Group")
        if isinstance(group, Dictionary) and str(group.get("/S")) == "/Transparency":
            what = "the page is a transparency group"
            self._brush.fault("transparency", what, frame, "flatten it")

    def _run(self, content: Page | Object, frame: Frame) -> None:
        """Walk the content of a page or a form."""
        try:
            data = self._file.content_of(content)
        except LexError as error:
            self._unreadable(error, frame)
        else:
            self._read(data, frame)

    def _unreadable(self, error: LexError, frame: Frame) -> None:
        what = f"the content cannot be read: {error}"
        self._brush.fault("content-syntax", what, frame)

    def _run_alike(self, content: Object, frame: Frame) -> None:
        """Walk a form whose shapes do not matter, unless one that looks like it has been walked.

        Forms look alike that differ only in the points of paths and in which forms they place
        where, if these need no further look. What such a form paints is counted again.
        """
        try:
            data = self._file.content_of(content)
        except LexError as error:
            self._unreadable(error, frame)
            return
        if len(data) > _LONGEST_ALIKE:
            self._read(data, frame)
            return
        pattern, runs = pattern_of(data)
        key, noted = self._walked.alike(frame, pattern)
        if noted is not None and all(map(_is_settled, noted.settled, runs)):
            self._budget.work(1 + len(noted.art))
            for tally in noted.art:
                tally.count += 1
            return
        frame.noted = Noted()
        self._read(data, frame)
        if len(frame.noted.settled) == len(runs):
            self._walked.note_alike(key, frame)

    def _read(self, data: bytes, frame: Frame) -> None:
        handlers = self._handlers
        try:
            for operator, operands in instructions(data, in_runs=True, budget=self._budget):
                handler = handlers.get(operator)
                if handler:
                    self._handle(handler, operator, operands, frame)
                elif operator not in PASSIVE:
                    what = f"{operator[:40]!r} is not an operator of PDF"
                    self._brush.fault("content-operator", what, frame)
        except LexError as error:
            self._unreadable(error, frame)
            return
        if frame.saved or frame.marked:
            inside = "q without Q" if frame.saved else "marked content without an end"
            self._brush.fault("content-balance", f"the content ends inside {inside}", frame)

    def _handle(self, handler: Handler, operator: str, operands: Operands, frame: Frame) -> None:
        try:
            handler(frame, operands)
        except (ValueError, TypeError, IndexError, OverflowError):
            what = f"{operator} has operands that do not fit it"
            self._brush.fault("content-syntax", what, frame)

    def _table(self) -> dict[str, Handler]:
        table: dict[str, Handler] = {
            "q": self._save,
            "Q": self._restore,
            "cm": concat,
            "w": line_width,
            "d": line_dash,
            "Do": self._place,
            "BMC": lambda frame, _: self._begin(frame),
            "BDC": self._begin_marked,
            "EMC": self._end_marked,
            "h": lambda frame, _: frame.pen.end(True),
            PATHS: self._paths,
            OUTLINE: self._outline,
            PLACED: self._place_run,
            TEXTS: self._texts,
            "m": in_step(2, lambda frame, xy: frame.move(*xy)),
            "re": in_step(4, rectangle),
            **self._brush.handlers(),
        }
        for operator, count in (("l", 2), ("c", 6), ("v", 4), ("y", 4)):
            table[operator] = in_step(count, lambda frame, xy: frame.reach(*xy))
        return table

    # Paths and states

    def _paths(self, frame: Frame, given: Operands) -> None:
        """A run of path operators. Its shape matters where a machine follows it."""
        run = given[0]
        if not shape_matters(frame.step) or not isinstance(run, bytes):
            return
        drawn = pen_of(run, self._budget)
        if drawn is not None:
            frame.draw(drawn)
            return
        for operator, operands in instructions(run, budget=self._budget):
            self._handlers[operator](frame, operands)

    def _texts(self, frame: Frame, given: Operands) -> None:
        """A run of text: each font is looked at once, and the last one stays chosen."""
        run = given[0]
        if not isinstance(run, bytes):
            return
        fonts = fonts_in(run)
        self._budget.work(_TEXT_WORK * len(fonts))
        for name in dict.fromkeys(fonts):
            self._handlers["Tf"](frame, (NameOperand(name), 1.0))
            self._handlers["TJ"](frame, ([],))
        self._handlers["Tf"](frame, (NameOperand(fonts[-1]), 1.0))

    def _outline(self, frame: Frame, given: Operands) -> None:
        """A path moved and stroked, with the state as it was afterwards."""
        *matrix, run = given
        state = frame.state
        before = state.matrix
        state.matrix = product(matrix_of(matrix), before)
        self._paths(frame, (run,))
        self._handlers["S"](frame, ())
        state.matrix = before

    def _save(self, frame: Frame, _: Operands) -> None:
        frame.saved.append(frame.state.copy())
        if len(frame.saved) > SAVED_STATES:
            raise TooLarge("limit-depth", f"more than {SAVED_STATES:,} states are saved (q)")

    def _restore(self, frame: Frame, _: Operands) -> None:
        if frame.saved:
            frame.state = frame.saved.pop()
        else:
            self._brush.fault("content-balance", "the content has Q without q", frame)

    # Marked content

    def _begin(self, frame: Frame) -> None:
        frame.marked.append(frame.step)
        if len(frame.marked) > SAVED_STATES:
            what = f"marked content is nested more than {SAVED_STATES:,} deep"
            raise TooLarge("limit-depth", what)

    def _begin_marked(self, frame: Frame, given: Operands) -> None:
        self._begin(frame)
        if str(given[0]) == "/OC" and isinstance(given[1], NameOperand):
            group = self._brush.resource(frame, "/Properties", given[1])
            if group is not None:
                frame.step = self.step_of(group) or frame.step

    def _end_marked(self, frame: Frame, _: Operands) -> None:
        if frame.marked:
            frame.step = frame.marked.pop()
        else:
            self._brush.fault("content-balance", "marked content ends that never began", frame)

    def step_of(self, group: Object) -> str:
        """The step of an optional content group, or of the first in a membership dictionary."""
        members = group.get("/OCGs")
        listed = members.as_list() if isinstance(members, Array) else [members, group]
        for each in listed:
            if isinstance(each, Dictionary) and each.objgen in self._groups:
                return self._groups[each.objgen]
        return ""

    # Forms

    def _place_run(self, frame: Frame, given: Operands) -> None:
        """Forms placed one after the other; what shows the same anywhere is looked at once."""
        run = given[0]
        if not isinstance(run, bytes):
            return
        settled = self._walked.settled(frame)
        if frame.noted is not None:
            frame.noted.settled.append(settled)
        names = names_in(run)
        for name in names:
            if name not in settled:
                self._settle(frame, name, settled)
        if settled.issuperset(names):
            return
        for block in blocks_in(run):
            if not settled.issuperset(names_in(block)):
                for operator, operands in instructions(block, budget=self._budget):
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
        found = self._brush.resource(frame, "/XObject", name)
        if not isinstance(found, Stream):
            return False
        form, name = self._library.form(found), name[1:]
        if form.kind == "/Form":
            if form.transparent:
                what = f"form {name} is a transparency group"
                self._brush.fault("transparency", what, frame, "flatten it")
            state = frame.state.copy()
            state.matrix = product(form.matrix, state.matrix)
            self._enter(frame, form, f"form {name}", state)
            return not self._walked.place_matters(frame, form)
        if form.kind == "/Image":
            self._brush.image(frame, found)
        elif form.kind == "/PS":
            what = f"{name} is PostScript code"
            self._brush.fault("file-postscript", what, frame, "remove it")
        return False

    def _enter(self, frame: Frame, form: Form, name: str, state: State) -> None:
        """Walk a form or pattern, once for every state that can make a difference."""
        if form.identity in frame.above:
            self._brush.fault("content-loop", f"{name} places itself", frame)
            return
        if len(frame.above) >= DEPTH:
            raise too_deep("forms")
        if not self._walked.is_new(frame, form, state):
            return
        resources = form.resources or frame.resources
        step = form.step or frame.step
        where = f"page {frame.page}, {name}"
        above = (*frame.above, form.identity)
        inner = Frame(where, resources, state, step, above, frame.page)
        if step or self._walked.place_matters(frame, form):
            self._run(form.stream, inner)
        else:
            self._run_alike(form.stream, inner)


class Walked:
    """Forms by the states that they were walked in, so that the same is looked at once."""

    def __init__(self, library: Library, file: Opened) -> None:
        self._library = library
        self._budget = file.budget
        self._seen: set[tuple[object, ...]] = set()
        self._settled: dict[tuple[object, ...], tuple[set[str], Resources]] = {}
        self._alike: dict[tuple[object, ...], tuple[Noted, Resources]] = {}

    def place_matters(self, frame: Frame, form: Form) -> bool:
        """Whether the same form elsewhere can say something else: cut lines and layers can."""
        step = form.step or frame.step
        return shape_matters(step) or self._library.layered(form.resources or frame.resources)

    def settled(self, frame: Frame) -> set[str]:
        """Names of forms that need no second look in the frame's state, to be added to."""
        # Resources are kept, so that their identities stay theirs.
        key = (id(frame.resources), frame.step, *_look(frame.state))
        known = self._settled.get(key)
        if known is None:
            self._budget.work(_STATE_WORK)
            known = self._settled[key] = (set(), frame.resources)
        return known[0]

    def alike(self, frame: Frame, pattern: bytes) -> tuple[tuple[object, ...], Noted | None]:
        """What has been noted of a form with the same pattern in the same state, and its key."""
        state = frame.state
        key = (pattern, id(frame.resources), scale_of(state.matrix), *_look(state))
        known = self._alike.get(key)
        return key, None if known is None else known[0]

    def note_alike(self, key: tuple[object, ...], frame: Frame) -> None:
        """Keep what has been noted of a form, and its resources, so that their identity stays."""
        if frame.noted is not None and len(self._alike) < _MOST_PATTERNS:
            self._alike[key] = (frame.noted, frame.resources)

    def knows(self, frame: Frame, form: Form) -> bool:
        """Whether another place in the frame's state would show nothing new to report."""
        return not form.transparent and self._key(frame, form, frame.state) in self._seen

    def is_new(self, frame: Frame, form: Form, state: State) -> bool:
        """Whether a form or pattern is met for the first time in a state; it is noted."""
        key = self._key(frame, form, state)
        if key in self._seen:
            return False
        self._budget.work(_STATE_WORK)
        self._seen.add(key)
        return True

    def _key(self, frame: Frame, form: Form, state: State) -> tuple[object, ...]:
        """All that can make a difference to what a form shows; its place seldom does."""
        place = state.matrix if self.place_matters(frame, form) else None
        return (form.identity, form.step or frame.step, place, *_look(state))


def _is_settled(settled: set[str], run: bytes) -> bool:
    """Whether all that a run places needs no further look."""
    return settled.issuperset(names_in(run))


def _look(state: State) -> tuple[object, ...]:
    """The parts of a state that affect what is painted."""
    fill, stroke = state.coats["fill"], state.coats["stroke"]
    # Spaces live as long as the walk, so that an identity means one space.
    return (
        *(state.mode, id(fill.space), fill.tint, fill.overprint),
        *(id(stroke.space), stroke.tint, stroke.overprint),
    )
