"""The content of a drawing: sheets with placed texts, or with things that it names itself."""

from __future__ import annotations

from layouts.terms.values import frozen
from layouts.terms.words import Kind


@frozen
class DrawnText:
    """A text with its lower left corner and its height, in units of the drawing, y upward.

    A height of 0 says that nothing is known of its place.
    """

    text: str
    x: float = 0.0
    y: float = 0.0
    height: float = 0.0


@frozen
class DrawnThing:
    """A thing that a drawing names: a valve, a machine or a line, with what is said of it.

    ``emergency`` is None where the drawing does not say.
    """

    kind: Kind
    name: str
    size: str = ""
    service: str = ""
    piping_class: str = ""
    emergency: bool | None = None


@frozen
class DrawnSheet:
    """One sheet: its file, what it is called there, its revision where it says so.

    A drawing with ``things`` is one that knows what its objects are; else ``texts`` are searched.
    """

    file: str
    name: str = ""
    revision: str = ""
    texts: tuple[DrawnText, ...] = ()
    things: tuple[DrawnThing, ...] = ()

    @property
    def title(self) -> str:
        """``R-101 rev 3 (pids.pdf)``, as far as known."""
        revision = f"rev {self.revision}" if self.revision else ""
        called = " ".join(part for part in (self.name, revision) if part)
        return f"{called} ({self.file})" if called else self.file
