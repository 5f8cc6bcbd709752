"""The change sheet: existing and new marker, where and why, to check off on site."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace

from layouts.drawing import Point, Rect, polyline, rectangle
from layouts.drawing.document import Document, Item, Stroke, Symbol
from layouts.drawing.inks import Ink, black_among
from layouts.drawing.typefaces import Typefaces
from layouts.markers.positions import Hanging
from layouts.markers.revision import Action, Change
from layouts.order.order import Order, PipeMarker, Position
from layouts.papers.differences import list_differences, seen_differences
from layouts.papers.kit.cautions import Audience, cautions_for
from layouts.papers.kit.figure import draw_figure
from layouts.papers.kit.paper import (
    BODY,
    BOLD,
    NAME,
    THIN,
    Cell,
    Drawn,
    Paper,
    Running,
    baseline,
    draw_title,
    form,
    rule,
    text_block,
    voices_of,
)
from layouts.papers.kit.table import Column
from layouts.terms.counts import counted
from layouts.terms.site_lengths import feet_and_inches
from layouts.terms.values import frozen

_RULE = (
    "Matched by line or number and by area, location, from and to; what one list leaves empty "
    "matches anything. A place that was only renamed shows up twice below, as removed and as "
    "added, each naming the other: look before you do either."
)
_HEADINGS = {
    Action.REPLACE: "Replace",
    Action.ADD: "Add",
    Action.REMOVE: "Remove",
}
_COLUMN = 90.0  # left edge to the right-hand column, mm
_FIGURE = Rect(0.0, 0.0, 74.0, 22.0)  # the most that a drawing takes
_BOX = 2.4  # of a square to tick
_LEAST = 46.0  # no entry with its first place is lower


@frozen
class _Entry:
    """Changes with the same pictures and reason, in one or many places."""

    action: Action
    why: str
    changes: tuple[Change, ...]

    @property
    def pieces(self) -> int:
        return sum(change.count for change in self.changes)


def change_sheet(
    old: Order, new: Order, changes: Sequence[Change], typefaces: Typefaces, date: str | None = None
) -> Document:
    """The sheet on US letter pages; ``date`` is used where the new order has none."""
    day = new.date or date
    title = new.title if new.title == old.title else f"{old.title} to {new.title}"
    about = "  |  ".join(each for each in (title, new.plant, _revisions(old, new)) if each)
    foot = "  |  ".join(each for each in (title, _revisions(old, new), day or "") if each)
    paper = Paper(Running("Change sheet", about, foot), voices_of(typefaces), _black(changes))
    symbols: dict[str, Symbol] = {}
    paper.block(lambda at: draw_title(paper, title, "Change sheet", at))
    paper.block(lambda at: form(paper, _head_rows(old, new, changes, day), at))
    paper.space(2.0)
    paper.paragraph(_RULE)
    paper.heading("Before you change anything")
    paper.points(cautions_for(Audience.CHANGES))
    if all(change.action is Action.UNCHANGED for change in changes):
        paper.heading("No changes")
    for action, heading in _HEADINGS.items():
        entries = _entries(changes, action)
        if entries:
            pieces = counted(sum(entry.pieces for entry in entries), "piece")
            paper.heading(f"{heading}: {pieces}")
        for entry in entries:
            _draw_entry(paper, entry, symbols)
    return Document(
        "changes",
        f"Change sheet: {title}",
        paper.finish("changes", "Change sheet"),
        {**symbols, **paper.voices.symbols()},
        day,
    )


def why(change: Change) -> str:
    """Why a piece is changed: the list first, then its visible effect."""
    if change.action is Action.REPLACE and change.old and change.new:
        listed = list_differences(change.old, change.new)
        seen = "; ".join(seen_differences(change.old, change.new))
        reason = "; ".join(listed) or "the same entry of the list now gives a different marker"
        return f"{reason}. Seen: {seen}" if seen else reason
    if change.twin is None:
        return ""
    other = place_text(change.twin.placing.position)
    done = "removed from" if change.action is Action.ADD else "added at"
    return f"the same marker is {done}: {other}; if only the name is new, leave it in place"


def thing_text(hanging: Hanging) -> str:
    """The line of a pipe, the number of a valve or a machine."""
    spec = hanging.spec
    return hanging.placing.position.line if isinstance(spec, PipeMarker) else spec.tag


def place_text(position: Position) -> str:
    """A place in one line, without its area's heading."""
    ends = " to ".join(each for each in (position.from_, position.to) if each)
    if position.to and not position.from_:
        ends = f"to {position.to}"
    elif position.from_ and not position.to:
        ends = f"from {position.from_}"
    parts = (position.area, position.line, position.location, ends)
    return ", ".join(each for each in parts if each) or "no place given"


def _black(changes: Sequence[Change]) -> Ink:
    markers = (each.at.marker for each in changes)
    return black_among(
        shape.ink for marker in markers for part in marker.face.parts for shape in part.art
    )


def _revisions(old: Order, new: Order) -> str:
    if not (old.revision or new.revision):
        return ""
    return f"revision {old.revision or '–'} to {new.revision or '–'}"


def _head_rows(
    old: Order, new: Order, changes: Sequence[Change], day: str | None
) -> Sequence[Sequence[Cell]]:
    counts = dict.fromkeys(Action, 0)
    for change in changes:
        counts[change.action] += change.count
    return [
        [
            Cell("Plant", new.plant or "–", 2.0),
            Cell("Existing: revision", old.revision or "–"),
            Cell("New: revision", new.revision or "–"),
            Cell("Date", day or "–"),
        ],
        [Cell(str(action).capitalize(), str(count)) for action, count in counts.items()],
    ]


def _entries(changes: Sequence[Change], action: Action) -> list[_Entry]:
    groups: dict[tuple[str, str, str], list[Change]] = defaultdict(list)
    for change in changes:
        if change.action is action:
            old, new = (each.marker.id if each else "" for each in (change.old, change.new))
            groups[old, new, why(change)].append(change)
    return [_Entry(action, reason, tuple(same)) for (_, _, reason), same in groups.items()]


def _draw_entry(paper: Paper, entry: _Entry, symbols: dict[str, Symbol]) -> None:
    paper.keep(_LEAST)
    paper.block(lambda at: _draw_pair(paper, entry, symbols, at))
    rest = paper.width - 10.0
    columns = (
        Column("Done", 10.0),
        Column("Pieces", 14.0, "right"),
        Column("Area", rest * 0.22),
        Column("Line or tag", rest * 0.2),
        Column("Where", rest * 0.58 - 14.0),
    )
    paper.table(
        columns, [_row(change) for change in entry.changes], lambda _, box: _tick_box(paper, box)
    )
    paper.space(3.0)


def _draw_pair(paper: Paper, entry: _Entry, symbols: dict[str, Symbol], at: Point) -> Drawn:
    """The existing marker on the left, the new one on the right, the reason below."""
    items: list[Item] = [rule(at.x, at.y, paper.width, 2 * THIN, paper.ink)]
    top = at.y + 1.6
    sides = (
        ("Existing", [change.old for change in entry.changes], at.x),
        ("New", [change.new for change in entry.changes], at.x + _COLUMN),
    )
    height = 0.0
    for label, hangings, x in sides:
        found = [each for each in hangings if each is not None]
        drawn = _draw_side(paper, label, found, symbols, Point(x, top))
        items += drawn.items
        height = max(height, drawn.height)
    if entry.action is Action.REMOVE:
        box = Rect(at.x + _COLUMN, top + 5.0, 20.0, 12.0)
        items += _draw_cross(box, paper.ink)
    bottom = top + height
    if entry.why:
        label = "Why" if entry.action is Action.REPLACE else "Check first"
        text = f"{label}: {entry.why}"
        block = text_block(
            paper.voices.plain, text, Point(at.x, bottom), BODY, paper.width, paper.ink
        )
        items += block.items
        bottom += block.height
    return Drawn(tuple(items), bottom + 1.5 - at.y)


def _draw_side(
    paper: Paper, label: str, found: Sequence[Hanging], symbols: dict[str, Symbol], at: Point
) -> Drawn:
    """One distinct marker and its mounting at these places, or nothing."""
    plain, ink = paper.voices.plain, paper.ink
    line = baseline(at.y, BODY)
    items: list[Item] = [*plain.line(label, Point(at.x, line), BODY, ink)]
    if not found:
        nothing = Point(at.x + 20.0, line)
        items += paper.voices.strong.line("nothing", nothing, BODY, ink)
        return Drawn(tuple(items), 5.0)
    marker, plan = found[0].marker, found[0].placing.plan
    hand = f", {plan.hand}" if plan.hand else ""
    name = text_block(
        paper.voices.strong,
        f"{plan.name}{hand}  {marker.id}",
        Point(at.x + 20.0, at.y),
        NAME,
        _COLUMN - 24.0,
        ink,
    )
    top = at.y + name.height + 0.8
    drawn = draw_figure(marker.face, Point(at.x, top), _FIGURE, paper.voices, ink)
    symbols[drawn.symbol.id] = drawn.symbol
    below = Point(at.x, top + drawn.height + 0.6)
    held = "; ".join(dict.fromkeys(each.placing.plan.build.mount_text for each in found))
    mount = text_block(plain, held, below, BODY, _COLUMN - 6.0, ink)
    items += (*name.items, *drawn.items, *mount.items)
    return Drawn(tuple(items), below.y + mount.height + 0.8 - at.y)


def _row(change: Change) -> tuple[str, ...]:
    at: Hanging = change.at
    position = at.placing.position
    where = place_text(replace(position, area="", line=""))
    drawing = f"drawing {position.drawing}" if position.drawing else ""
    old = " of the old list" if change.action is Action.REMOVE else ""
    row = f"row {position.row}{old}" if position.row is not None else ""
    spot = f"{feet_and_inches(position.at)} from start" if position.at is not None else ""
    known = [each for each in (where, spot, drawing, row) if each and each != "no place given"]
    thing = thing_text(at) or "–"
    return "", str(change.count), position.area or "–", thing, ", ".join(known) or "–"


def _tick_box(paper: Paper, box: Rect) -> tuple[Item, ...]:
    square = Rect(box.x + 1.0, box.y + box.height / 2 - _BOX / 2, _BOX, _BOX)
    return (Stroke(rectangle(square), paper.ink, THIN),)


def _draw_cross(box: Rect, ink: Ink) -> tuple[Item, ...]:
    """An empty place, crossed out: the marker is removed and not replaced."""
    corners = (
        (Point(box.x, box.y), Point(box.right, box.bottom)),
        (Point(box.x, box.bottom), Point(box.right, box.y)),
    )
    cross = (Stroke(polyline(ends), ink, BOLD) for ends in corners)
    return Stroke(rectangle(box), ink, THIN), *cross
