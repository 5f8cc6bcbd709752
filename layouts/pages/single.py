"""One marker, or its right- and left-hand pair, on one page: full size, cuts included."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from layouts.drawing import Affine, Point, Rect, Size, polyline
from layouts.drawing.document import Document, Item, Layer, Page, Placement, Step, Symbol
from layouts.drawing.inks import Ink, black_among
from layouts.drawing.typeset import Typesetter
from layouts.face.model import Part, part_text
from layouts.markers.gather import Marker
from layouts.pages.steps import cut_layers, move_item, step_strokes, top_of_pipe_mark
from layouts.sheets.stock import Printer
from layouts.terms.units import inches

_MARGIN = 12.0
_BORDER = 3.0
_APART = 12.0
_TEXT = 2.0


def single(
    markers: Sequence[Marker], printer: Printer, setter: Typesetter, date: str | None
) -> Document:
    """All parts of the markers below each other on one page, with a line about each."""
    rows: list[tuple[Marker, Part, Affine]] = []
    y = _MARGIN
    for marker in markers:
        for part in marker.face.parts:
            rows.append((marker, part, Affine.move(_MARGIN, y)))
            y += part.size.height + _APART
    size = Size(max(part.size.width for _, part, _ in rows) + 2 * _MARGIN, y)
    symbols = {
        f"face-{marker.id}": Symbol(
            f"face-{marker.id}",
            part.art,
            part.box.grown(part.bleed),
        )
        for marker, part, _ in rows
        if part.art
    }
    faces = tuple(Placement(f"face-{marker.id}", at) for marker, part, at in rows if part.art)
    live = Rect(0.0, 0.0, size.width, size.height).grown(-_MARGIN + _BORDER)
    black = black_among(shape.ink for _, part, _ in rows for shape in part.art)
    layers = (
        Layer("Print", faces),
        Layer("Slug", tuple(item for row in rows for item in _slug(row, black, setter))),
        *cut_layers(((part, at) for _, part, at in rows), _BORDER, printer),
        _notes(rows, printer, setter),
        Layer(Step.SIZES.title, tuple(_sizes(rows, printer, setter)), Step.SIZES),
    )
    page = Page(
        f"marker-{markers[0].id}",
        markers[0].plan.name,
        size,
        live,
        live,
        tuple(layer for layer in layers if layer.items),
    )
    return Document(page.id, page.title, (page,), {**symbols, **setter.symbols()}, date)


def _slug(row: tuple[Marker, Part, Affine], black: Ink, setter: Typesetter) -> tuple[Item, ...]:
    """The caption, and where a wrap meets the top of its pipe."""
    _, part, at = row
    marks = top_of_pipe_mark(part, black, setter)
    return (*_caption(row, black, setter), *(move_item(item, at) for item in marks))


def _caption(
    row: tuple[Marker, Part, Affine], black: Ink, setter: Typesetter
) -> tuple[Placement, ...]:
    """Which marker and part this is, below the border that is cut away."""
    marker, part, at = row
    plan = marker.plan
    text = "  |  ".join(
        each
        for each in (
            f"{marker.id} {plan.name} {plan.hand}".strip(),
            part.role.value,
            f"{inches(part.size.width)} x {inches(part.size.height)}",
            f"{plan.scheme}, {plan.row}",
        )
        if each
    )
    line = at.point(Point(0.0, part.size.height + _BORDER + 1.5 + _TEXT))
    fitting = min(_TEXT, max(part.size.width, 60.0) / setter.width(text, 1.0))
    return setter.line(text, line, fitting, black)


def _notes(
    rows: Sequence[tuple[Marker, Part, Affine]], printer: Printer, setter: Typesetter
) -> Layer:
    """How the marker is built and held, once, above the first part."""
    plan = rows[0][0].plan
    faces = ("Both faces alike.",) if rows[0][1].two_faced else ()
    made_of = f"{part_text(rows[0][1], plan.build)}; {plan.build.mount_text}."
    text = " ".join((made_of, *faces, *plan.build.notes))
    widest = max(part.size.width for _, part, _ in rows)
    size = min(_TEXT, widest / setter.width(text, 1.0))
    path = setter.outline_text(text, Point(_MARGIN, _MARGIN - _BORDER - 2.0), size)
    return Layer(Step.NOTES.title, step_strokes((path,), Step.NOTES, printer), Step.NOTES)


def _sizes(
    rows: Sequence[tuple[Marker, Part, Affine]], printer: Printer, setter: Typesetter
) -> Iterator[Item]:
    """Length below and height beside each part, as lines with their figures."""
    for _, part, at in rows:
        width, height = part.size.width, part.size.height
        low, right = height + _BORDER + 0.8, width + _BORDER + 0.8
        along = setter.outline_text(inches(width), Point(width - 14.0, low + 2.2), 1.6, "right")
        up = setter.outline_text(inches(height), Point(0.0, 0.0), 1.6, "center")
        turned = Affine.quarter_turns(3).then(Affine.move(right + 2.2, height / 2))
        paths = (
            polyline((Point(0.0, low), Point(width, low))),
            polyline((Point(right, 0.0), Point(right, height))),
            along,
            up.mapped(turned),
        )
        yield from step_strokes((path.mapped(at) for path in paths), Step.SIZES, printer)
