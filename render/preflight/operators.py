"""Operators: which there are, and those that only change the state or the path of a frame."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import TypeAlias

from render.preflight.lexer import instructions
from render.preflight.marks import Frame, Matrix, Pen, product
from render.preflight.spaces import CMYK, GRAY, RGB, Space
from render.preflight.states import is_dash

PAINTING = {  # operator: fills, strokes, closes
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
DEVICE = {"g": GRAY, "rg": RGB, "k": CMYK}
# Operators (ISO 32000-1, table 51) that change nothing that is looked at here.
PASSIVE = frozenset(
    {
        *("BT", "ET", "BX", "EX", "d0", "d1", "DP", "MP", "i", "j", "J", "M", "ri", "W", "W*"),
        *("T*", "Tc", "Td", "TD", "Tf", "TL", "Tm", "Tr", "Ts", "Tw", "Tz"),
    }
)

Operands: TypeAlias = Sequence[object]
Handler: TypeAlias = Callable[[Frame, Operands], None]


def in_step(count: int, draw: Callable[[Frame, tuple[float, ...]], None]) -> Handler:
    """A path operator with ``count`` operands; it matters inside processing steps alone."""

    def handler(frame: Frame, given: Operands) -> None:
        if len(given) != count:
            raise ValueError(f"{len(given)} operands, not {count}")
        if frame.step:
            draw(frame, numbers(given))

    return handler


def rectangle(frame: Frame, given: tuple[float, ...]) -> None:
    """The operator re: a closed box."""
    x, y, width, height = given
    frame.move(x, y)
    frame.reach(x + width, y, x + width, y + height, x, y + height)
    frame.pen.end(True)


def device_chooser(use: str, space: Space) -> Handler:
    """The operators g, rg, k and their like for strokes."""

    def choose(frame: Frame, given: Operands) -> None:
        frame.state.color(use, space, numbers(given))

    return choose


def concat(frame: Frame, given: Operands) -> None:
    """The operator cm."""
    frame.state.matrix = product(matrix_of(given), frame.state.matrix)


def line_width(frame: Frame, given: Operands) -> None:
    """The operator w."""
    frame.state.width = numbers(given)[0]


def line_dash(frame: Frame, given: Operands) -> None:
    """The operator d."""
    frame.state.dashed = is_dash(given[0])


def matrix_of(given: Operands) -> Matrix:
    """Six operands as a matrix."""
    a, b, c, d, e, f = numbers(given)
    return (a, b, c, d, e, f)


def numbers(given: Operands) -> tuple[float, ...]:
    """Operands that have to be numbers.

    Raises:
        TypeError: one is none.
    """
    for each in given:
        if type(each) is not float:
            raise TypeError(f"{each!r} is no number")
    return tuple(given)  # type: ignore[arg-type]


@lru_cache(maxsize=4096)
def pen_of(run: bytes) -> Pen | None:
    """What a run of path operators draws where it stands, None where it goes on with a contour.

    A sheet repeats few outlines often, so each is read once.
    """
    pen = Pen()
    for operator, operands in instructions(run):
        spots = numbers(operands)
        pairs = list(zip(spots[::2], spots[1::2], strict=True))
        if operator == "m":
            pen.move(pairs[0])
        elif operator == "re":
            (x, y), (width, height) = pairs
            pen.move((x, y))
            pen.points += [(x + width, y), (x + width, y + height), (x, y + height)]
            pen.end(True)
        elif not pen.points:
            return None
        elif operator == "h":
            pen.end(True)
        else:
            pen.points += pairs
    return pen
