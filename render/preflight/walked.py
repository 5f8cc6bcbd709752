"""What a walk has looked at, so that what shows the same is looked at once."""

from __future__ import annotations

from render.preflight.marks import Frame, State
from render.preflight.resources import Form, Library, Resources


class Walked:
    """Forms by the states that they were walked in."""

    def __init__(self, library: Library) -> None:
        self._library = library
        self._seen: set[tuple[object, ...]] = set()
        self._settled: dict[tuple[object, ...], tuple[set[str], Resources]] = {}

    def place_matters(self, frame: Frame, form: Form) -> bool:
        """Whether the same form elsewhere can say something else: cut lines and layers can."""
        step = form.step or frame.step
        return step.startswith("Structural") or self._library.layered(
            form.resources or frame.resources
        )

    def settled(self, frame: Frame) -> set[str]:
        """Names of forms that need no second look in the frame's state, to be added to."""
        # Resources are kept, so that their identities stay theirs.
        key = (id(frame.resources), frame.step, *_look(frame.state))
        known = self._settled.get(key)
        if known is None:
            known = self._settled[key] = (set(), frame.resources)
        return known[0]

    def knows(self, frame: Frame, form: Form) -> bool:
        """Whether another place in the frame's state would show nothing that was not told of."""
        return not form.transparent and self._key(frame, form, frame.state) in self._seen

    def is_new(self, frame: Frame, form: Form, state: State) -> bool:
        """Whether a form or pattern is met for the first time in a state; it is noted."""
        key = self._key(frame, form, state)
        if key in self._seen:
            return False
        self._seen.add(key)
        return True

    def _key(self, frame: Frame, form: Form, state: State) -> tuple[object, ...]:
        """All that can make a difference to what a form shows; its place seldom does."""
        place = state.matrix if self.place_matters(frame, form) else None
        return (form.identity, form.step or frame.step, place, *_look(state))


def _look(state: State) -> tuple[object, ...]:
    """What of a state shows in what is painted with it."""
    fill, stroke = state.coats["fill"], state.coats["stroke"]
    # Spaces live as long as the walk, so that an identity means one space.
    return (
        *(state.mode, id(fill.space), fill.tint, fill.overprint),
        *(id(stroke.space), stroke.tint, stroke.overprint),
    )
