"""Resource dictionaries and forms, each looked up once however often the content names them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from pikepdf import Array, Dictionary, Object, Page, PdfError, Stream

from render.preflight.lexer import LexError
from render.preflight.marks import UNIT, Matrix
from render.preflight.operators import matrix_of
from render.preflight.spaces import Space, read_space

Identity = tuple[int, int]


class Resources:
    """The entries of one resource dictionary."""

    def __init__(self, found: object) -> None:
        self._found = found if isinstance(found, Dictionary) else None
        self._entries: dict[tuple[str, str], Object | None] = {}

    @property
    def has_groups(self) -> bool:
        """Whether content with these resources can belong to layers."""
        return self._found is not None and "/Properties" in self._found

    def get(self, kind: str, name: str) -> Object | None:
        """The entry of a kind (``/XObject``) and a name, slash included."""
        key = (kind, name)
        if key not in self._entries:
            table = self._found.get(kind) if self._found is not None else None
            value = table.get(name) if isinstance(table, Dictionary) and name != "/" else None
            self._entries[key] = value if isinstance(value, Object) else None
        return self._entries[key]


@dataclass(frozen=True, slots=True)
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

    def __init__(self, step_of: Callable[[Object], str]) -> None:
        self._step_of = step_of
        self._spaces: dict[Identity, Space] = {}
        self._direct: list[Space] = []
        self._resources: dict[Identity, Resources] = {}
        self._forms: dict[Identity, Form] = {}

    def space(self, found: Object) -> Space:
        """The space that an object defines. Spaces live as long as the library."""
        if found.objgen == (0, 0):
            self._direct.append(read_space(found))
            return self._direct[-1]
        if found.objgen not in self._spaces:
            self._spaces[found.objgen] = read_space(found)
        return self._spaces[found.objgen]

    def resources(self, found: object) -> Resources:
        """The resources that an object holds."""
        if not isinstance(found, Dictionary) or found.objgen == (0, 0):
            return Resources(found)
        if found.objgen not in self._resources:
            self._resources[found.objgen] = Resources(found)
        return self._resources[found.objgen]

    def form(self, stream: Object) -> Form:
        """What the dictionary of a form, image or pattern says."""
        identity = stream.objgen
        if identity not in self._forms:
            matrix, group = stream.get("/Matrix"), stream.get("/Group")
            layer, own = stream.get("/OC"), stream.get("/Resources")
            self._forms[identity] = Form(
                identity,
                stream,
                str(stream.get("/Subtype")),
                _matrix(matrix) if isinstance(matrix, Array) else UNIT,
                self._step_of(layer) if isinstance(layer, Dictionary) else "",
                isinstance(group, Dictionary) and str(group.get("/S")) == "/Transparency",
                None if own is None else self.resources(own),
            )
        return self._forms[identity]


def content_of(owner: Page | Object) -> bytes:
    """The decoded content of a page or a form.

    Raises:
        LexError: it cannot be decoded.
    """
    found = owner.obj.get("/Contents") if isinstance(owner, Page) else owner
    parts = found.as_list() if isinstance(found, Array) else [found]
    try:
        return b"\n".join(part.read_bytes() for part in parts if isinstance(part, Stream))
    except PdfError as error:
        raise LexError("it cannot be decoded") from error


def _matrix(found: Object) -> Matrix:
    return matrix_of([float(each) for each in found.as_list()])
