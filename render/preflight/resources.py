"""Forms, spaces and states of a file, each read once however often the content names it."""

from __future__ import annotations

from collections.abc import Callable

from pikepdf import Array, Dictionary, Object

from layouts.terms.values import frozen
from render.preflight.keys import entry_of
from render.preflight.limits import Budget
from render.preflight.matrix import UNIT, Matrix, matrix_of
from render.preflight.resource_dict import Resources
from render.preflight.spaces import Space, read_space

Identity = tuple[int, int]


@frozen
class Form:
    """A form or pattern: what its dictionary says. ``resources`` is None where it has none."""

    identity: Identity
    stream: Object
    kind: str
    matrix: Matrix
    step: str
    transparent: bool
    resources: Resources | None


class Library:
    """Everything of a file that content refers to, kept by identity."""

    def __init__(self, step_of: Callable[[Object], str], budget: Budget) -> None:
        self._step_of = step_of
        self._budget = budget
        self._spaces: dict[Identity, Space] = {}
        self._direct: dict[tuple[int, str], tuple[Space, Resources]] = {}
        self._resources: dict[Identity, Resources] = {}
        self._forms: dict[Identity, Form] = {}
        self._matrices: dict[bytes, Matrix] = {}
        self._layered: dict[int, tuple[bool, Resources]] = {}
        self._answers: dict[tuple[str, Identity], bool] = {}

    def once(self, question: str, found: Object, ask: Callable[[Object], bool]) -> bool:
        """The answer to a question about an object, asked once of each that has an identity."""
        if found.objgen == (0, 0):
            return ask(found)
        key = (question, found.objgen)
        if key not in self._answers:
            self._answers[key] = ask(found)
        return self._answers[key]

    def named_space(self, resources: Resources, name: str) -> Space | None:
        """The space that resources hold under a name, slash included; None where they do not."""
        key = (id(resources), name)
        if key not in self._direct:
            found = resources.get("/ColorSpace", name)
            if found is None:
                return None
            # The resources are kept with the space, so that their identity stays theirs.
            self._direct[key] = (self.space(found), resources)
        return self._direct[key][0]

    def space(self, found: Object) -> Space:
        """The space that an object defines. Spaces live as long as the library."""
        if found.objgen == (0, 0):
            return read_space(found, self._budget)
        if found.objgen not in self._spaces:
            self._spaces[found.objgen] = read_space(found, self._budget)
        return self._spaces[found.objgen]

    def resources(self, found: object) -> Resources:
        """The resources that an object holds."""
        identity = found.objgen if isinstance(found, Dictionary) else (0, 0)
        if identity == (0, 0):
            return Resources(found)
        if identity not in self._resources:
            self._resources[identity] = Resources(found)
        return self._resources[identity]

    def form(self, stream: Object) -> Form:
        """What the dictionary of a form, image or pattern says."""
        identity = stream.objgen
        if identity not in self._forms:
            keys = ("/Matrix", "/Group", "/OC", "/Resources")
            matrix, group, layer, own = (entry_of(stream, key) for key in keys)
            self._forms[identity] = Form(
                identity,
                stream,
                str(stream.get("/Subtype")),
                self._matrix(matrix) if isinstance(matrix, Array) else UNIT,
                self._step_of(layer) if isinstance(layer, Dictionary) else "",
                isinstance(group, Dictionary) and str(group.get("/S")) == "/Transparency",
                None if own is None else self.resources(own),
            )
        return self._forms[identity]

    def layered(self, resources: Resources) -> bool:
        """Whether content with these resources, or any form within it, can belong to layers."""
        known = self._layered.get(id(resources))
        if known is None:
            # The resources are kept with their answer, so that their identity stays theirs.
            known = self._layered[id(resources)] = (self._reaches_groups(resources), resources)
        return known[0]

    def _reaches_groups(self, resources: Resources) -> bool:
        met = {id(resources)}
        waiting = [resources]
        while waiting:
            each = waiting.pop()
            forms = [self.form(stream) for stream in each.placed()]
            if each.has_groups or any(form.step for form in forms):
                return True
            for inner in (form.resources for form in forms if form.resources is not None):
                deep, _ = self._layered.get(id(inner), (None, None))
                if deep:
                    return True
                if deep is None and id(inner) not in met:
                    met.add(id(inner))
                    waiting.append(inner)
        return False

    def _matrix(self, found: Object) -> Matrix:
        """The matrix that an array is, read once of those that are written alike."""
        written = found.unparse()
        if written not in self._matrices:
            self._matrices[written] = matrix_of([float(each) for each in found.as_list()])
        return self._matrices[written]
