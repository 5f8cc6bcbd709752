"""Walks what a page shows: its content, the forms it places and the patterns it fills with.

A form is walked once for every state that can make a difference to what it shows, so a file that
places forms in forms a billion times takes no longer than one that does not. Lines in a form are
told at the width that they have where the form is met first. The glyphs of Type 3 fonts are not
walked.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from operator import itemgetter

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
from render.preflight.marks import Frame, Ledger, Noted, State
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
from render.preflight.resources import Form, Library
from render.preflight.walked import Walked

_LONGEST_ALIKE = 8192  # bytes of a form that may look like another
_TEXT_WORK = 5  # operators of a line of text
_MOST_OUTLINES = 256  # that are put off, to be looked at together


class Walk:
    """A walk over the pages of a file; what it finds goes to the ledger."""

    def __init__(self, ledger: Ledger, file: Opened) -> None:
        self._file, self._ledger = file, ledger
        self._budget = file.budget
        self._groups = file.steps
        self._library = Library(self.step_of, file.budget)
        self._walked = Walked(self._library, file.budget)
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

    def let_go(self) -> None:
        """Drop all that is held, at the end.

        Handlers and library hold the walk that holds them, so without a cycle collector the whole
        file would stay in memory.
        """
        vars(self).clear()

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
        pattern, placed = pattern_of(data)
        key, noted = self._walked.alike(frame, pattern, placed)
        if noted is not None:
            self._budget.work(1 + len(noted.art))
            for tally in noted.art:
                tally.count += 1
            return
        frame.noted = Noted()
        self._read(data, frame)
        if len(frame.noted.settled) == len(placed):
            self._walked.note_alike(key, frame)

    def _read(self, data: bytes, frame: Frame) -> None:
        outlines: list[Operands] = []
        try:
            for operator, operands in instructions(data, in_runs=True, budget=self._budget):
                if operator == OUTLINE and len(outlines) < _MOST_OUTLINES:
                    outlines.append(operands)
                    continue
                if outlines:
                    self._outlines(frame, outlines)
                    outlines = []
                self._do(operator, operands, frame)
        except LexError as error:
            self._outlines(frame, outlines)
            self._unreadable(error, frame)
            return
        self._outlines(frame, outlines)
        if frame.saved or frame.marked:
            inside = "q without Q" if frame.saved else "marked content without an end"
            self._brush.fault("content-balance", f"the content ends inside {inside}", frame)

    def _do(self, operator: str, operands: Operands, frame: Frame) -> None:
        handler = self._handlers.get(operator)
        if handler is None:
            if operator not in PASSIVE:
                what = f"{operator[:40]!r} is not an operator of PDF"
                self._brush.fault("content-operator", what, frame)
            return
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
            OUTLINE: lambda frame, given: self._outlines(frame, [given]),
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
        for name in self._walked.new_fonts(frame, fonts):
            self._handlers["Tf"](frame, (name, 1.0))
            self._handlers["TJ"](frame, ([],))
        self._handlers["Tf"](frame, (fonts[-1], 1.0))

    def _outlines(self, frame: Frame, given: Sequence[Operands]) -> None:
        """Paths each moved and stroked, with the state as it was afterwards."""
        state = frame.state
        before = state.matrix
        # The width of a line depends on the first four numbers of a matrix only.
        for _, group in groupby(given, key=itemgetter(0, 1, 2, 3)):
            alike = list(group)
            for *matrix, run in alike if shape_matters(frame.step) else alike[-1:]:
                state.matrix = product(matrix_of(matrix), before)
                self._paths(frame, (run,))
                frame.pen.end(False)
            self._brush.stroke(frame, len(alike))
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
            if name not in settled and self._settle(frame, name):
                settled.add(name)
        if settled.issuperset(names):
            return
        for block in blocks_in(run):
            if not settled.issuperset(names_in(block)):
                for operator, operands in instructions(block, budget=self._budget):
                    self._do(operator, operands, frame)

    def _place(self, frame: Frame, given: Operands) -> None:
        name = str(given[0])
        settled = self._walked.settled(frame)
        if name not in settled and self._placed(frame, name):
            settled.add(name)

    def _settle(self, frame: Frame, name: str) -> bool:
        """Walk a form if its place does not matter, and no other stream has placed it like this.

        Whether its place does not matter.
        """
        found = frame.resources.get("/XObject", name)
        if not isinstance(found, Stream):
            return False
        form = self._library.form(found)
        if form.kind != "/Form" or self._walked.place_matters(frame, form):
            return False
        if form.transparent or not self._walked.knows(frame, form):
            self._place_form(frame, form, name[1:])
        return True

    def _placed(self, frame: Frame, name: str) -> bool:
        """Walk what is placed. Whether another place of it would show nothing new."""
        found = self._brush.resource(frame, "/XObject", name)
        if not isinstance(found, Stream):
            return False
        form, name = self._library.form(found), name[1:]
        if form.kind == "/Form":
            self._place_form(frame, form, name)
            return not self._walked.place_matters(frame, form)
        if form.kind == "/Image":
            self._brush.image(frame, found)
        elif form.kind == "/PS":
            what = f"{name} is PostScript code"
            self._brush.fault("file-postscript", what, frame, "remove it")
        return False

    def _place_form(self, frame: Frame, form: Form, name: str) -> None:
        if form.transparent:
            what = f"form {name} is a transparency group"
            self._brush.fault("transparency", what, frame, "flatten it")
        state = frame.state.copy()
        state.matrix = product(form.matrix, state.matrix)
        self._enter(frame, form, f"form {name}", state)

    def _enter(self, frame: Frame, form: Form, name: str, state: State) -> None:
        """Walk a form or pattern, once for every state that can make a difference."""
        if form.identity in frame.above:
            self._brush.fault("content-loop", f"{name} places itself", frame)
            return
        if len(frame.above) >= DEPTH:
            raise too_deep("forms")
        place_matters = self._walked.place_matters(frame, form)
        if not self._walked.is_new(frame, form, state, place_matters):
            return
        resources = form.resources or frame.resources
        step = form.step or frame.step
        where = f"page {frame.page}, {name}"
        above = (*frame.above, form.identity)
        inner = Frame(where, resources, state, step, above, frame.page)
        if step or place_matters:
            self._run(form.stream, inner)
        else:
            self._run_alike(form.stream, inner)
