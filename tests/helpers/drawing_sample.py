"""A small document with every kind of segment, placement and step; all of it invented."""

import math

from layouts.drawing import (
    Affine,
    Arc,
    Contour,
    Cubic,
    Line,
    Path,
    Point,
    Rect,
    Size,
    circle,
    polyline,
    rectangle,
)
from layouts.drawing.document import (
    Document,
    Fill,
    Item,
    Layer,
    Page,
    Placement,
    Step,
    Stroke,
    Symbol,
)
from layouts.drawing.inks import Ink, InkRole, Lab

ORANGE = Ink("Field Orange", Lab(61.73, 38.19, 81.82))
BLACK = Ink("Black", Lab(16.0, 0.0, 0.0), InkRole.BLACK)
PAPER = Ink("Paper", Lab(95.0, 0.0, 0.0), InkRole.PAPER)
WHITE = Ink("White", Lab(96.0, 0.0, 0.0), InkRole.WHITE)
STEP_INKS = {
    step: Ink(step.title, Lab(50.0, 60.0 - 9 * number, 9.0 * number), InkRole.STEP)
    for number, step in enumerate(Step)
}
HAIRLINE = 25.4 / 72 / 4


def turned(degrees: float) -> Affine:
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return Affine(cos, sin, -sin, cos)


# A leaf of two cubics, one with an inflection, one line and an arc of three quarters of a turn.
LEAF = Path(
    (
        Contour(
            Point(0, 0),
            (
                Cubic(Point(7.3, -6.1), Point(11.9, 8.8), Point(21.7, 0.4)),
                Line(Point(23.1, 9.2)),
                Arc(Point(17.1, 9.2), math.tan(math.radians(270) / 4)),
                Cubic(Point(12.0, 11.0), Point(1.5, 12.5), Point(0, 3.3)),
            ),
        ),
    )
)


def cut(step: Step, path: Path) -> Stroke:
    return Stroke(path, STEP_INKS[step], HAIRLINE, overprint=True)


def page(number: int = 1) -> Page:
    size = Size(310.0, 222.25)
    face = rectangle(Rect(0, 0, 120.65, 31.75), 3.175)
    places = (
        Affine.move(20, 20),
        Affine.quarter_turns(1).then(Affine.move(300, 25.4)),
        turned(17.3).then(Affine.move(40, 110.0251)),
    )
    kiss: tuple[Item, ...] = tuple(cut(Step.KISS_CUT, face.mapped(at)) for at in places)
    holes: tuple[Item, ...] = tuple(
        cut(Step.HOLE, circle(Point(x, 200), 6.4)) for x in (20.0, 33.333333, 46.666667)
    )
    marks: tuple[Item, ...] = tuple(
        cut(Step.MARKS, circle(Point(x, y), 5)) for x in (8.0, 302.0) for y in (8.0, 214.25)
    )
    layers = (
        Layer("white", (Fill(rectangle(Rect(18, 18, 125, 36)), WHITE),), Step.WHITE),
        Layer(
            "print",
            (
                *(Placement("face", at) for at in places),
                Placement("leaf", Affine.move(60, 70), BLACK),
                Placement("leaf", Affine(-1.5, 0, 0, 1.5, 250, 150), ORANGE),
            ),
        ),
        Layer("kiss", kiss, Step.KISS_CUT),
        Layer(
            "through",
            (cut(Step.THROUGH_CUT, rectangle(Rect(5, 5, 300, 212.25))),),
            Step.THROUGH_CUT,
        ),
        Layer("holes", holes, Step.HOLE),
        Layer("fold", (cut(Step.FOLD, polyline((Point(10, 60), Point(150.5, 61)))),), Step.FOLD),
        Layer(
            "notes & sizes",
            (Placement("leaf", turned(-30).then(Affine.move(120, 180)), STEP_INKS[Step.NOTES]),),
            Step.NOTES,
        ),
        Layer("marks", marks, Step.MARKS),
    )
    trim = Rect(5, 5, 300, 212.25)
    return Page(f"sheet-{number}", f"Sheet {number} <of> 2 & more", size, trim, trim, layers)


def document() -> Document:
    face = Symbol(
        "face",
        (
            Fill(rectangle(Rect(-1.5, -1.5, 123.65, 34.75), 4), ORANGE),
            Fill(rectangle(Rect(10, 8, 30, 16)), PAPER),
            Fill(LEAF.mapped(Affine.move(60, 10)), BLACK, overprint=True),
            Stroke(polyline((Point(100, 10), Point(110, 20))), BLACK, 0.8, (2.0, 1.0)),
        ),
        Rect(-1.5, -1.5, 123.65, 34.75),
    )
    leaf = Symbol("leaf", (Fill(LEAF, None), Stroke(LEAF, None, 0.4)), LEAF.bounds())
    return Document(
        "order-7", "Two sheets", (page(1), page(2)), {"face": face, "leaf": leaf}, "2026-03-01"
    )
