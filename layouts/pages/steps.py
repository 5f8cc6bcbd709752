"""Processing steps: their inks, their hairlines, and the contours of parts by step."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from layouts.drawing import Affine, Path, Point, Rect, rectangle
from layouts.drawing.document import Fill, Item, Layer, Placement, Step, Stroke
from layouts.drawing.inks import Ink, InkRole, Lab
from layouts.drawing.typeset import Typesetter
from layouts.face.model import Part
from layouts.sheets.stock import Printer
from layouts.terms.words import PartRole

# Screen colors of lines that never print, our own: far from every safety color and each other.
STEP_LABS: Mapping[Step, Lab] = {
    Step.KISS_CUT: Lab(55.0, 85.0, -35.0),
    Step.THROUGH_CUT: Lab(45.0, 25.0, -80.0),
    Step.HOLE: Lab(60.0, -45.0, -30.0),
    Step.ENGRAVE: Lab(35.0, 30.0, 40.0),
    Step.FOLD: Lab(60.0, -60.0, 40.0),
    Step.SIZES: Lab(50.0, 0.0, 0.0),
    Step.NOTES: Lab(40.0, 0.0, -30.0),
    Step.WHITE: Lab(95.0, 0.0, 0.0),
    Step.MARKS: Lab(30.0, 40.0, 20.0),
}
_TICK = 2.2  # of the top-of-pipe mark, mm: inside a border of 3 mm
_TOP_SIZE = 0.8
HAIRLINE = 0.25 * 25.4 / 72  # a quarter point, the line of every cut step


def step_ink(step: Step, printer: Printer) -> Ink:
    """The ink of a step: its ISO type name, or the name that the shop's machine expects.

    Steps that share a name share the color of the first of them.
    """
    role = InkRole.WHITE if step is Step.WHITE else InkRole.STEP
    name = printer.step_inks.get(step, step.title)
    first = next(each for each in Step if printer.step_inks.get(each, each.title) == name)
    return Ink(name, STEP_LABS[first], role)


def cut_layers(
    parts: Iterable[tuple[Part, Affine]], border: float, printer: Printer
) -> tuple[Layer, ...]:
    """Flat contours by step, inside before outside: words, holes, kiss cuts, through cuts."""
    order = (Step.ENGRAVE, Step.HOLE, Step.KISS_CUT, Step.THROUGH_CUT)
    paths: dict[Step, list[Path]] = {step: [] for step in order}
    for part, at in parts:
        if part.engraving is not None:
            paths[Step.ENGRAVE].append(part.engraving.mapped(at))
        if part.holes is not None:
            paths[Step.HOLE].append(part.holes.mapped(at))
        if part.role is PartRole.FILM:
            paths[Step.KISS_CUT].append(part.outline.mapped(at))
            outer = part.box.grown(border)
            paths[Step.THROUGH_CUT].append(rectangle(outer, border).mapped(at))
        else:
            paths[Step.THROUGH_CUT].append(part.outline.mapped(at))
    return tuple(
        Layer(step.title, step_strokes(each, step, printer), step)
        for step, each in paths.items()
        if each
    )


def top_of_pipe_mark(part: Part, ink: Ink, setter: Typesetter) -> tuple[Item, ...]:
    """A tick and the word TOP at both ends of a wrap, in the border that is cut away."""
    if part.top_of_pipe is None:
        return ()
    items: list[Item] = []
    for left in (-_TICK - 0.3, part.size.width + 0.3):
        items.append(Fill(rectangle(Rect(left, part.top_of_pipe - 0.15, _TICK, 0.3)), ink))
        word = Point(left + _TICK / 2, part.top_of_pipe - 0.6)
        items += setter.line("TOP", word, _TOP_SIZE, ink, "center")
    return tuple(items)


def move_item(item: Item, at: Affine) -> Item:
    """The item's image."""
    match item:
        case Placement():
            return Placement(item.symbol, item.at.then(at), item.ink)
        case Fill():
            return Fill(item.path.mapped(at), item.ink, item.overprint)
        case Stroke():
            return replace(item, path=item.path.mapped(at))


def step_strokes(paths: Iterable[Path], step: Step, printer: Printer) -> tuple[Item, ...]:
    """Hairlines in the step's ink, overprinting so that they knock nothing out."""
    ink = step_ink(step, printer)
    return tuple(Stroke(path, ink, HAIRLINE, overprint=True) for path in paths)
