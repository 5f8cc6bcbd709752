"""Documents built by hand: what a sheet of markers looks like to a writer."""

from __future__ import annotations

import math
import random

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
    polygon,
    polyline,
    rectangle,
)
from layouts.drawing.document import (
    Document,
    Fill,
    Layer,
    Page,
    Placement,
    Step,
    Stroke,
    Symbol,
)
from layouts.drawing.inks import Ink, InkRole, Lab

ORANGE = Ink("Safety Orange", Lab(61.73, 38.2, 81.82))
YELLOW = Ink("Safety Yellow", Lab(81.14, 1.9, 84.38))
BLUE = Ink("Sky Blue", Lab(60, -15, -30))
RED = Ink("Safety Red", Lab(41.34, 59.08, 42.05))
GREEN = Ink("Safety Green", Lab(40.68, -48.68, 7.57))
BLACK = Ink("Black", Lab(16, 0, 0), InkRole.BLACK)
PAPER = Ink("Paper", Lab(97, 0, 0), InkRole.PAPER)
WHITE = Ink("White", Lab(97, 0, 0), InkRole.WHITE)
KISS = Ink("PartialCutting", Lab(60, 94, -61), InkRole.STEP)

BLEED = 2.0


def letter(kind: str, at: Point, height: float) -> Path:
    """A letter-like path: ``H`` is straight, ``O`` a ring of cubic curves."""
    if kind == "H":
        w, bar = 0.75 * height, 0.17 * height
        xs, ys = (0.0, bar, w - bar, w), (0.0, (height - bar) / 2, (height + bar) / 2, height)
        corners = (
            (0, 0), (1, 0), (1, 1), (2, 1), (2, 0), (3, 0),
            (3, 3), (2, 3), (2, 2), (1, 2), (1, 3), (0, 3),
        )  # fmt: skip
        return polygon(Point(at.x + xs[i], at.y + ys[j]) for i, j in corners)
    center = Point(at.x + 0.4 * height, at.y + height / 2)
    return ring(center, 0.4 * height, 0.5 * height, 1).joined(
        ring(center, 0.23 * height, 0.33 * height, -1)
    )


def ring(center: Point, rx: float, ry: float, turn: int) -> Path:
    """An ellipse of twelve cubic curves, clockwise where ``turn`` is 1."""
    step = turn * math.pi / 6
    reach = 4 / 3 * math.tan(step / 4)

    def on(angle: float) -> tuple[Point, float, float]:
        cos, sin = math.cos(angle), math.sin(angle)
        return Point(center.x + rx * cos, center.y + ry * sin), -rx * sin, ry * cos

    start, dx, dy = on(0)
    segments, at = [], start
    for index in range(1, 13):
        end, ex, ey = on(index * step)
        segments.append(
            Cubic(
                Point(at.x + reach * dx, at.y + reach * dy),
                Point(end.x - reach * ex, end.y - reach * ey),
                end,
            )
        )
        at, dx, dy = end, ex, ey
    return Path((Contour(start, tuple(segments)),))


def arrow(tip: Point, length: float, height: float) -> Path:
    """An arrow to the right, its tip rounded by an arc."""
    back, neck = tip.x - length, tip.x - 0.5 * length
    top, bottom = tip.y - height / 2, tip.y + height / 2
    return Path(
        (
            Contour(
                Point(back, tip.y - height / 5),
                (
                    Line(Point(neck, tip.y - height / 5)),
                    Line(Point(neck, top)),
                    Line(Point(tip.x - 1, tip.y - 1)),
                    Arc(Point(tip.x - 1, tip.y + 1), 0.4),
                    Line(Point(neck, bottom)),
                    Line(Point(neck, tip.y + height / 5)),
                    Line(Point(back, tip.y + height / 5)),
                ),
            ),
        )
    )


def word(kinds: str, at: Point, height: float) -> Path:
    path = Path(())
    for index, kind in enumerate(kinds):
        path = path.joined(letter(kind, Point(at.x + index * height, at.y), height))
    return path


def face(name: str, width: float = 250.0, height: float = 50.0, legend: str = "HOHO") -> Symbol:
    """A marker: orange field with bleed, a blue band, a red band, legend and arrow in black."""
    trim = Rect(0, 0, width, height)
    field = rectangle(trim.grown(BLEED))
    size = 0.5 * height
    middle = (height - size) / 2
    return Symbol(
        name,
        (
            Fill(field, ORANGE),
            Fill(rectangle(Rect(10, -BLEED, 30, height + 2 * BLEED)), BLUE),
            Fill(rectangle(Rect(width - 60, -BLEED, 25, height + 2 * BLEED)), RED),
            Fill(word(legend, Point(50, middle), size), BLACK, overprint=True),
            Fill(word("HO", Point(width - 58, 0.7 * height), 8), PAPER),
            Fill(arrow(Point(width - 5, height / 2), 25, 30), BLACK, overprint=True),
        ),
        trim.grown(BLEED),
    )


def glyphs() -> dict[str, Symbol]:
    """Letters of cap height 1 that take the ink of their placement."""
    return {
        kind: Symbol(kind, (Fill(letter(kind, Point(0, 0), 1), None),), Rect(0, 0, 1, 1))
        for kind in "HO"
    }


def text(line: str, at: Point, size: float, ink: Ink | None) -> tuple[Placement, ...]:
    return tuple(
        Placement(kind, Affine(size, 0, 0, size, at.x + index * size, at.y), ink)
        for index, kind in enumerate(line)
    )


def sheet(rows: int = 3, date: str | None = "2026-03-31") -> Document:
    """One sheet with kiss cuts, a through cut, holes, sizes, notes and mark centers."""
    name = "face-1"
    size = Size(300.0, 60.0 * rows + 40)
    places = [Point(20.0, 20 + 60.0 * row) for row in range(rows)]
    art = Layer("Print", tuple(Placement(name, Affine.move(at.x, at.y)) for at in places))
    slug = Layer("Slug", text("HOHHO", Point(20, size.height - 12), 2.5, BLACK))
    kiss = tuple(Stroke(rectangle(Rect(at.x, at.y, 250, 50), 3.0), KISS, 0.1) for at in places)
    outer = Rect(20, 20, 250, 60.0 * rows - 10).grown(4)
    layers = (
        art,
        slug,
        Layer("Kiss cut", kiss, Step.KISS_CUT),
        Layer("Through cut", (Stroke(rectangle(outer), None, 0.1),), Step.THROUGH_CUT),
        Layer("Holes", (Stroke(circle(Point(10, 10), 6), None, 0.1),), Step.HOLE),
        Layer("Notes", text("OHO", Point(120, size.height - 12), 3, None), Step.NOTES),
        Layer("Marks", (Stroke(circle(Point(290, 10), 5), None, 0.1),), Step.MARKS),
    )
    bleed = Rect(10, 10, size.width - 20, size.height - 20)
    page = Page("sheet-1", "Sheet 1 of 1", size, bleed.grown(-2), bleed, layers)
    return Document("sample-sheet", "Sample sheet", (page,), {name: face(name), **glyphs()}, date)


def white_sheet() -> Document:
    """Clear film: a white underprint, an orange field over it, a legend in black and white."""
    size, box = Size(160.0, 80.0), Rect(20, 20, 120, 40)
    under = Layer("White", (Fill(rectangle(box), WHITE),), Step.WHITE)
    art = Layer(
        "Print",
        (
            Fill(rectangle(box), ORANGE, overprint=True),
            Fill(rectangle(Rect(30, 30, 20, 20)), BLACK, overprint=True),
            Fill(rectangle(Rect(60, 30, 20, 20)), PAPER),
            Fill(rectangle(Rect(90, 30, 20, 20)), WHITE),
        ),
    )
    fold = Layer("Fold", (Stroke(polyline((Point(80, 10), Point(80, 70))), None, 0.1),), Step.FOLD)
    sizes = Layer(
        "Sizes", (Stroke(polyline((Point(20, 70), Point(140, 70))), None, 0.1),), Step.SIZES
    )
    page = Page("clear", "Clear film", size, box.grown(-2), box, (under, art, fold, sizes))
    return Document("white-sheet", "White underprint", (page,), {})


def proof_page(lines: int = 40) -> Document:
    """A page of running text in letters placed one by one, with rules."""
    rng = random.Random(7)
    items: list[Placement | Stroke] = []
    for row in range(lines):
        words = "".join(rng.choice("HO") for _ in range(80))
        items += text(words, Point(15, 15 + 4 * row), 1.8, BLACK)
    items.append(Stroke(polyline((Point(15, 10), Point(200, 10))), BLACK, 0.35, overprint=True))
    box = Rect(0, 0, 215.9, 279.4)
    page = Page("proof-1", "Proof", box.size, box, box, (Layer("Text", tuple(items)),))
    return Document("proof", "Proof & <notes>", (page,), glyphs())


def big_page() -> Document:
    """A page of 5,080 mm, the longest that needs no larger unit than the point."""
    box = Rect(0, 0, 5080, 300)
    bar = Rect(100, 100, 4880, 100)
    layers = (
        Layer("Print", (Fill(rectangle(bar), ORANGE),)),
        Layer("Kiss cut", (Stroke(rectangle(bar, 5), KISS, 0.1),), Step.KISS_CUT),
    )
    page = Page("long", "Long", box.size, box.grown(-5), box.grown(-3), layers)
    return Document("big", "Long", (page,), {})
