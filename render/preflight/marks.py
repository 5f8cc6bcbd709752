"""What a walk over a page hands on: marks with the state they were painted in."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Protocol

from pikepdf import Object

from layouts.terms.values import frozen
from render.preflight.matrix import UNIT, Matrix
from render.preflight.resource_dict import Resources
from render.preflight.spaces import GRAY, Space

Spot = tuple[float, float]
Box = tuple[float, float, float, float]


@frozen
class Ring:
    """A contour's points where it is drawn, start, controls and ends, with the box around them.

    The box is (left, bottom, right, top).
    """

    points: tuple[Spot, ...]
    box: Box

    @staticmethod
    def through(points: Iterable[Spot]) -> Ring:
        """The ring with its box worked out."""
        listed = tuple(points)
        xs, ys = zip(*listed, strict=True)
        return Ring(listed, (min(xs), min(ys), max(xs), max(ys)))


@frozen
class Contour:
    """A contour in page points: a ring, where it lies, and whether it returns to its start.

    A sheet repeats few outlines often, so the points in their place are worked out when asked.
    """

    ring: Ring
    closed: bool
    at: Matrix = UNIT

    @property
    def start(self) -> Spot:
        """The first point."""
        return moved(self.ring.points[0], self.at)

    @property
    def end(self) -> Spot:
        """The last point."""
        return moved(self.ring.points[-1], self.at)

    def points(self) -> list[Spot]:
        """All points in their place."""
        a, b, c, d, e, f = self.at
        return [(a * x + c * y + e, b * x + d * y + f) for x, y in self.ring.points]

    def box(self) -> Box:
        """The box around all points in their place: left, bottom, right, top."""
        a, b, c, d, e, f = self.at
        if (b or c) and (a or d):
            return Ring.through(self.points()).box
        left, bottom, right, top = self.ring.box
        x0, y0 = a * left + c * bottom + e, b * left + d * bottom + f
        x1, y1 = a * right + c * top + e, b * right + d * top + f
        return (min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1))


@dataclass(slots=True)
class Pen:
    """Contours under construction: those that are done, and the points of the one at work."""

    contours: list[Contour] = field(default_factory=list)
    points: list[Spot] = field(default_factory=list)

    def move(self, at: Spot) -> None:
        """Begin a contour."""
        self.end(False)
        self.points = [at]

    def end(self, closed: bool) -> None:
        """Put the contour away; a single point draws nothing and is dropped."""
        if len(self.points) > 1:
            self.contours.append(Contour(Ring.through(self.points), closed))
        self.points = self.points[:1] if closed else []

    def take(self) -> tuple[Contour, ...]:
        """All contours since the last painting, which ends with this."""
        self.end(False)
        taken, self.contours = tuple(self.contours), []
        return taken


@frozen
class Coat:
    """What fills or strokes are painted with."""

    space: Space = GRAY
    tint: tuple[float, ...] = (0.0,)
    overprint: bool = False


@frozen
class Mark:
    """A painting operation of a processing step, whose key is ``step``, or ``count`` equal ones.

    ``kind`` is fill, stroke, text, image or shading. ``placed`` marks lie in a form or pattern.
    """

    kind: str
    space: Space
    coat: Coat
    where: str
    page: int
    step: str
    contours: tuple[Contour, ...]
    width_pt: float
    dashed: bool
    placed: bool
    count: int


@dataclass(slots=True, eq=False)
class Tally:
    """Where one kind of artwork was met first, and how often it was met."""

    where: str
    count: int = 0


@dataclass(slots=True)
class Noted:
    """What a form shows by itself, for others that look like it.

    ``art`` has the tally of each painting operation. ``settled`` are, for each run of placed
    forms, the names that need no further look there.
    """

    art: list[Tally] = field(default_factory=list)
    settled: list[set[str]] = field(default_factory=list)


class Ledger(Protocol):
    """Takes what the walk finds."""

    def artwork(
        self, kind: str, space: Space, coat: Coat, mode: int, width_pt: float, where: str
    ) -> Tally:
        """Something outside of every step was painted; the tally in which that is counted.

        ``kind`` is that of `Mark`; ``mode`` the overprint mode (OPM); ``width_pt`` a stroke's
        width, 0 where nothing is stroked.
        """

    def font(self, name: str, embedded: bool, where: str) -> None:
        """Something is lettered in a font."""

    def mark(self, mark: Mark) -> None:
        """Something of a step was painted."""

    def fault(self, code: str, what: str, where: str, right: str) -> None:
        """Something in the content is wrong by itself."""


@dataclass(slots=True)
class State:
    """The graphics state, as far as it matters here. ``coats`` holds "fill" and "stroke"."""

    matrix: Matrix = UNIT
    coats: dict[str, Coat] = field(default_factory=lambda: {"fill": Coat(), "stroke": Coat()})
    mode: int = 0
    width: float = 1.0
    dashed: bool = False
    font: Object | None = None

    def copy(self) -> State:
        """A state that can go its own way."""
        return State(self.matrix, dict(self.coats), self.mode, self.width, self.dashed, self.font)

    def color(self, use: str, space: Space, tint: tuple[float, ...]) -> None:
        """Choose a color for fills or strokes."""
        self.coats[use] = Coat(space, tint, self.coats[use].overprint)


@dataclass(slots=True)
class Frame:
    """One stream being walked: where it is, its resources, its state and stacks."""

    where: str
    resources: Resources
    state: State
    step: str = ""
    above: tuple[tuple[int, int], ...] = ()  # forms that this one lies in, itself the last
    page: int = 0
    saved: list[State] = field(default_factory=list)
    marked: list[str] = field(default_factory=list)
    pen: Pen = field(default_factory=Pen)
    noted: Noted | None = None

    def move(self, x: float, y: float) -> None:
        """Begin a contour."""
        self.pen.move(self._at(x, y))

    def reach(self, *coordinates: float) -> None:
        """Go on through the points given as x, y, x, y, ..."""
        pairs = zip(coordinates[::2], coordinates[1::2], strict=True)
        self.pen.points += [self._at(x, y) for x, y in pairs]

    def draw(self, drawn: Pen) -> None:
        """Another pen's drawing, moved into place; it started with its own point."""
        at = self.state.matrix
        self.pen.end(False)
        self.pen.contours += [Contour(each.ring, each.closed, at) for each in drawn.contours]
        self.pen.points = [moved(each, at) for each in drawn.points]

    def _at(self, x: float, y: float) -> Spot:
        return moved((x, y), self.state.matrix)


def moved(spot: Spot, by: Matrix) -> Spot:
    """Where a matrix brings a point."""
    (x, y), (a, b, c, d, e, f) = spot, by
    return (a * x + c * y + e, b * x + d * y + f)


def scale_of(matrix: Matrix) -> float:
    """How much a matrix enlarges lengths, in the mean of both directions."""
    return math.sqrt(abs(matrix[0] * matrix[3] - matrix[1] * matrix[2]))
