"""What a walk has met already: forms, runs of text, and the states that they were met in."""

from __future__ import annotations

from collections.abc import Iterable

from render.preflight.limits import Budget
from render.preflight.marks import Frame, Noted, State, scale_of
from render.preflight.matrix import Matrix
from render.preflight.operators import shape_matters
from render.preflight.resource_dict import Resources
from render.preflight.resources import Form, Library

_MOST_PATTERNS = 1024  # of forms that are kept
_MOST_TEXTS = 4096  # states of text that are kept
_STATE_WORK = 20  # what a state that is kept costs, next to an operator that is forgotten


class Walked:
    """Forms by the states that they were walked in, so that the same is looked at once."""

    def __init__(self, library: Library, budget: Budget) -> None:
        self._library = library
        self._budget = budget
        self._seen: set[tuple[object, ...]] = set()
        self._settled: dict[tuple[object, ...], tuple[set[str], Resources]] = {}
        self._alike: dict[tuple[object, ...], tuple[Noted, Resources]] = {}
        self._fonts: dict[tuple[object, ...], tuple[set[str], Resources]] = {}

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

    def new_fonts(self, frame: Frame, fonts: Iterable[str]) -> Iterable[str]:
        """The fonts of a text that were not met in the frame's state; in a step each counts."""
        different = dict.fromkeys(fonts)
        if frame.step:
            return different
        key = (id(frame.resources), *_look(frame.state))
        known = self._fonts.get(key)
        if known is None:
            known = (set(), frame.resources)
            if len(self._fonts) < _MOST_TEXTS:
                self._fonts[key] = known
        new = [font for font in different if font not in known[0]]
        known[0].update(new)
        return new

    def alike(
        self, frame: Frame, pattern: bytes, placed: Iterable[list[str]]
    ) -> tuple[tuple[object, ...], Noted | None]:
        """What has been noted of a form with the same pattern in the same state, and its key.

        Nothing if one of the forms ``placed`` in a run has still to be looked at itself.
        """
        state = frame.state
        key = (pattern, id(frame.resources), scale_of(state.matrix), *_look(state))
        known = self._alike.get(key)
        if known is None:
            return key, None
        noted, _ = known
        settled = all(map(set.issuperset, noted.settled, placed))
        return key, noted if settled else None

    def note_alike(self, key: tuple[object, ...], frame: Frame) -> None:
        """Keep what has been noted of a form, and its resources, so that their identity stays."""
        if frame.noted is not None and len(self._alike) < _MOST_PATTERNS:
            self._alike[key] = (frame.noted, frame.resources)

    def knows(self, frame: Frame, form: Form) -> bool:
        """Whether a form whose place does not matter was met in the frame's state."""
        return _key(frame, form, frame.state, None) in self._seen

    def is_new(self, frame: Frame, form: Form, state: State, place_matters: bool) -> bool:
        """Whether a form or pattern is met for the first time in a state; it is noted."""
        key = _key(frame, form, state, state.matrix if place_matters else None)
        if key in self._seen:
            return False
        self._budget.work(_STATE_WORK)
        self._seen.add(key)
        return True


def _key(frame: Frame, form: Form, state: State, place: Matrix | None) -> tuple[object, ...]:
    """All that can make a difference to what a form shows; its place seldom does."""
    return (form.identity, form.step or frame.step, place, *_look(state))


def _look(state: State) -> tuple[object, ...]:
    """The parts of a state that affect what is painted."""
    fill, stroke = state.coats["fill"], state.coats["stroke"]
    # Spaces live as long as the walk, so that an identity means one space.
    return (
        *(state.mode, id(fill.space), fill.tint, fill.overprint),
        *(id(stroke.space), stroke.tint, stroke.overprint),
    )
