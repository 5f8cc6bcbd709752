"""Operators: which there are, those that only change a frame, and graphics state dictionaries."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import lru_cache
from typing import TypeAlias

from pikepdf import Array, Dictionary, Object

from layouts.terms.values import frozen
from render.preflight.keys import number_of
from render.preflight.lexer import instructions
from render.preflight.limits import Budget
from render.preflight.marks import Coat, Frame, Ledger, Pen, State
from render.preflight.matrix import matrix_of, numbers, product
from render.preflight.spaces import CMYK, GRAY, RGB, Space

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
        *("T*", "Tc", "Td", "TD", "TL", "Tm", "Tr", "Ts", "Tw", "Tz"),
    }
)

_PLAIN_MODES = frozenset({"/Normal", "/Compatible"})
_PLAIN_TRANSFERS = frozenset({"/Identity", "/Default"})
_KEPT_BYTES = 4096  # longer runs seldom come twice

Operands: TypeAlias = Sequence[object]
Handler: TypeAlias = Callable[[Frame, Operands], None]


def in_step(count: int, draw: Callable[[Frame, tuple[float, ...]], None]) -> Handler:
    """A path operator with ``count`` operands; it matters where a machine follows the path."""

    def handler(frame: Frame, given: Operands) -> None:
        if len(given) != count:
            raise ValueError(f"{len(given)} operands, not {count}")
        found = numbers(given)
        if shape_matters(frame.step):
            draw(frame, found)

    return handler


def shape_matters(step: str) -> bool:
    """Whether contours are looked at: in steps of the group Structural, which machines follow."""
    return step.startswith("Structural")


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


def pen_of(run: bytes, budget: Budget) -> Pen | None:
    """What a run of path operators draws as it is written, None where it goes on with a contour.

    Raises:
        TooLarge: the budget has no more points.
    """
    pen = _kept_pen(run) if len(run) <= _KEPT_BYTES else _draw_run(run, budget)
    if pen is not None:
        budget.draw(len(pen.contours))
    return pen


@lru_cache(maxsize=4096)
def _kept_pen(run: bytes) -> Pen | None:
    """A sheet repeats few outlines often, so each is read once."""
    return _draw_run(run, Budget())


def _draw_run(run: bytes, budget: Budget) -> Pen | None:
    pen = Pen()
    for operator, operands in instructions(run, budget=budget):
        spots = numbers(operands)
        pairs = list(zip(spots[::2], spots[1::2], strict=True))
        budget.draw(len(pairs))
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


@frozen
class StateChange:
    """What an ExtGState dictionary sets; None leaves a value as it is.

    ``faults`` are what in it is wrong: code, what, and what would be right.
    """

    overprint: tuple[tuple[str, bool], ...]
    mode: int | None
    width: float | None
    dashed: bool | None
    font: Object | None
    faults: tuple[tuple[str, str, str], ...]

    @staticmethod
    def of(found: Object) -> StateChange:
        """Read the dictionary."""
        stroke = found.get("/OP")
        # op follows OP where it is not given (ISO 32000-1, table 58).
        uses = (("stroke", stroke), ("fill", found.get("/op", stroke)))
        mode, dash, font = found.get("/OPM"), found.get("/D"), found.get("/Font")
        return StateChange(
            tuple((use, bool(value)) for use, value in uses if isinstance(value, bool)),
            mode if isinstance(mode, int) else None,
            number_of(found.get("/LW")),
            is_dash(dash[0]) if isinstance(dash, Array) and len(dash) == 2 else None,
            font[0] if isinstance(font, Array) and len(font) == 2 else None,
            tuple(_state_faults(found)),
        )

    def apply(self, state: State, ledger: Ledger, where: str) -> None:
        """Change a state; the faults go to the ledger."""
        for use, value in self.overprint:
            coat = state.coats[use]
            if coat.overprint != value:
                state.coats[use] = Coat(coat.space, coat.tint, value)
        if self.mode is not None:
            state.mode = self.mode
        if self.width is not None:
            state.width = self.width
        if self.dashed is not None:
            state.dashed = self.dashed
        if self.font is not None:
            state.font = self.font
        for code, what, right in self.faults:
            ledger.fault(code, what, where, right)


def _state_faults(found: Object) -> Iterator[tuple[str, str, str]]:
    for what in _transparencies(found):
        yield "transparency", what, "flatten it: paint solid inks only"
    for key in ("/TR", "/TR2"):
        if key in found and str(found[key]) not in _PLAIN_TRANSFERS:
            yield "state-transfer", f"a transfer function ({key})", "remove it"
    if "/HTP" in found:
        yield "state-transfer", "a halftone phase (/HTP)", "remove it"


def _transparencies(found: Object) -> list[str]:
    """What in a graphics state dictionary makes marks transparent."""
    faults = []
    for key in ("/ca", "/CA"):
        value = number_of(found.get(key))
        if value is not None and value < 1:
            faults.append(f"opacity {value:g} ({key})")
    blend = found.get("/BM")
    modes = blend.as_list() if isinstance(blend, Array) else [blend]
    if modes and modes[0] is not None and str(modes[0]) not in _PLAIN_MODES:
        faults.append(f"blend mode {str(modes[0])[1:]}")
    if isinstance(found.get("/SMask"), Dictionary):
        faults.append("a soft mask")
    return faults


def is_dash(found: object) -> bool:
    """Whether a dash array breaks a line."""
    return isinstance(found, Array | list) and len(found) > 0
