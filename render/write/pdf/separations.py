"""Inks as plates: which Separation an ink prints on, and the operators that choose it.

One name has one definition in a file. A tint runs from the white of the paper to the ink's
Lab value in a straight line.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from layouts.drawing.document import Step
from layouts.drawing.inks import Ink, InkRole, Lab
from layouts.terms.errors import OutputError
from layouts.terms.values import frozen
from render.color.profile import Cmyk
from render.files.numbers import plain
from render.write.pdf.press import Press

BLACK = "Black"  # the process plate: a Separation of this name prints on it (ISO 32000-1, 8.6.6.4)

# Screen color of a step if the document gives none; it is never printed.
_STEP_LAB = {
    Step.KISS_CUT: Lab(60, 94, -61),
    Step.THROUGH_CUT: Lab(54, 80, 67),
    Step.HOLE: Lab(32, 79, -108),
    Step.ENGRAVE: Lab(35, 30, 40),
    Step.FOLD: Lab(60, 0, -60),
    Step.SIZES: Lab(50, 0, -30),
    Step.NOTES: Lab(45, 20, -50),
    Step.WHITE: Lab(96, 0, 0),
    Step.MARKS: Lab(50, -60, 40),
}
_BLACK_LAB = Lab(16, 0, 0)
_PRINTED = frozenset({InkRole.COLOR, InkRole.BLACK, InkRole.PAPER})
_STEPS_BY_TITLE = {step.title: step for step in Step}


@frozen
class Plate:
    """One Separation: its name and color, and its name in resource dictionaries."""

    name: str
    lab: Lab
    resource: str


@frozen
class Paint:
    """How to choose a color: the operators for fills and strokes, and the space they need.

    ``resource`` is None where the color is DeviceCMYK, which needs none.
    """

    fill: str
    stroke: str
    resource: str | None


class Plates:
    """The plates of one file, each defined once."""

    def __init__(self, press: Press) -> None:
        self._press = press
        self._plates: dict[str, Plate] = {}
        self._assumed: set[str] = set()  # plates whose color no ink has given yet
        self._paints: dict[int, Paint] = {}
        # By identity, so that two inks of one name are both looked at and a difference shows.
        self._inks: dict[int, Ink] = {}
        self._printed: set[str] = set()
        self._steps: set[Step] = set()

    def add(self, inks: Iterable[Ink], steps: Iterable[Step] = ()) -> None:
        """Define the plates of further inks, used beside those of further steps.

        Raises:
            OutputError: an ink has two definitions, two steps share a plate that the shop did not
                name, or artwork uses a step's ink.
        """
        self._steps.update(steps)
        new = {id(ink): ink for ink in inks if id(ink) not in self._inks}
        self._inks |= new
        self._printed |= {self.plate_name(ink) for ink in new.values() if ink.role in _PRINTED}
        self._refuse_shared()
        for ink in new.values():
            if ink.role is not InkRole.PAPER and not self._process_value(ink):
                self._define(self.plate_name(ink), ink.lab)

    def plate_name(self, ink: Ink) -> str:
        """The name of the plate that an ink prints on."""
        match ink.role:
            case InkRole.BLACK | InkRole.PAPER:
                return BLACK
            case InkRole.WHITE:
                return self._press.step_ink(Step.WHITE)
            case InkRole.STEP if ink.name in _STEPS_BY_TITLE:
                return self._press.step_ink(_STEPS_BY_TITLE[ink.name])
            case _:
                return ink.name

    def ink(self, ink: Ink) -> Paint:
        """The operators of an ink; paper is not a tint of black, so it takes every ink away."""
        paint = self._paints.get(id(ink))
        if paint is None:
            process = self._process_value(ink)
            if process:
                paint = _process_paint(process)
            elif ink.role is InkRole.PAPER:
                paint = _paint(self._assume(BLACK, _BLACK_LAB), 0)
            else:
                paint = _paint(self._plates[self.plate_name(ink)], 1)
            # It was added and is held here, so its id is unique.
            self._paints[id(ink)] = paint
        return paint

    def step(self, step: Step) -> Paint:
        """The operators of a step's ink."""
        name = self._press.step_ink(step)
        return _paint(self._assume(name, _STEP_LAB[step]), 1)

    def __iter__(self) -> Iterator[Plate]:
        return iter(self._plates.values())

    def _process_value(self, ink: Ink) -> Cmyk | None:
        return self._press.process.get(ink.name) if ink.role is InkRole.COLOR else None

    def _assume(self, name: str, lab: Lab) -> Plate:
        """The plate of a name; its color is ``lab`` unless an ink gives another, then or later."""
        known = self._plates.get(name)
        if known is None:
            known = self._define(name, lab)
            self._assumed.add(name)
        return known

    def _define(self, name: str, lab: Lab) -> Plate:
        known = self._plates.get(name)
        if known is None:
            known = self._plates[name] = Plate(name, lab, f"C{len(self._plates)}")
        elif name in self._assumed:
            self._assumed.remove(name)
            known = self._plates[name] = replace(known, lab=lab)
        elif known.lab != lab:
            raise OutputError(
                f"ink {name} has two definitions, {_lab_text(known.lab)} and {_lab_text(lab)}; "
                "one name has one color"
            )
        return known

    def _refuse_shared(self) -> None:
        """Refuse steps that share a plate the shop did not name, and artwork in a step's ink."""
        owners: dict[str, Step] = {}
        for step in sorted(self._steps, key=lambda each: each.name):
            name = self._press.step_ink(step)
            if name in owners and name not in self._press.step_inks.values():
                raise OutputError(
                    f"steps {owners[name].title} and {step.title} share the ink {name}; "
                    "name it for both in the shop's file, or give each an ink"
                )
            if name in self._printed:
                raise OutputError(
                    f"step {step.title} has the ink {name}, which artwork is printed with; "
                    f"give step_inks.{step.title} of the shop's file another name"
                )
            owners[name] = step


def _paint(plate: Plate, tint: int) -> Paint:
    at = plate.resource
    return Paint(f"/{at} cs {tint} scn", f"/{at} CS {tint} SCN", at)


def _process_paint(cmyk: Cmyk) -> Paint:
    values = (cmyk.cyan, cmyk.magenta, cmyk.yellow, cmyk.black)
    text = " ".join(plain(value) for value in values)
    return Paint(f"{text} k", f"{text} K", None)


def _lab_text(lab: Lab) -> str:
    return f"Lab {plain(lab.lightness, 2)} {plain(lab.a, 2)} {plain(lab.b, 2)}"
