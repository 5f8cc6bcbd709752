"""Orders that share sheets, on the ticket: what is saved, and a bag for each order."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence

from layouts.markers.gather import Marker
from layouts.papers.amounts import noun_of, numbers_text
from layouts.papers.kit.paper import Paper
from layouts.papers.kit.table import Column
from layouts.sheets.gang import Gang, StockUse, mark_of, without_mark
from layouts.sheets.pieces import marker_of
from layouts.sheets.sheetplan import SheetPlan
from layouts.terms.counts import counted
from layouts.terms.units import MM_PER_INCH

BAG_COLUMNS = ("order", "mark", "marker", "legend", "part", "pieces", "sheets")
_MOST_ROWS = 200  # of a bag on paper; the table beside it has all


def draw_bags(
    paper: Paper, gang: Gang, groups: Sequence[SheetPlan], markers: Mapping[str, Marker]
) -> None:
    """The orders, the saving, and for each order what goes into its bag."""
    paper.heading("Orders on these sheets")
    paper.points(list(saving_texts(gang)))
    bags = _bags(groups)
    rows = [
        (mark, name, _all_sheets(groups, mark), str(sum(count for _, count, _ in bags[mark])))
        for mark, name in gang.names.items()
    ]
    columns = (
        Column("Mark", 14.0),
        Column("Order", 60.0),
        Column("On", paper.width - 92.0),
        Column("Pieces", 18.0, "right"),
    )
    paper.space(1.5)
    paper.table(columns, rows)
    paper.paragraph(
        "Every piece is for one order. Its mark follows the id in the border beside the film and "
        "in the lists of parts above. Bag by order; the packs in each order's folder say where "
        "each piece goes."
    )
    for mark, name in gang.names.items():
        _draw_bag(paper, f"Bag {mark}: {name}", bags[mark], markers)


def _draw_bag(
    paper: Paper,
    title: str,
    bag: Sequence[tuple[str, int, str]],
    markers: Mapping[str, Marker],
) -> None:
    paper.heading(title)
    rows = [
        (without_mark(name), markers[marker_of(name)].face.words, where, str(count))
        for name, count, where in bag[:_MOST_ROWS]
    ]
    columns = (
        Column("Piece", 30.0),
        Column("Legend", paper.width - 108.0),
        Column("On", 60.0),
        Column("Pieces", 18.0, "right"),
    )
    paper.table(columns, rows)
    if len(bag) > _MOST_ROWS:
        paper.paragraph(f"And {counted(len(bag) - _MOST_ROWS, 'more row')}: see bags.csv.")


def saving_texts(gang: Gang) -> Iterator[str]:
    """For each role the stock taken by shared sheets, beside that of separate ones."""
    separate = {use.role: use for use in gang.separate}
    for use in gang.shared:
        apart = separate[use.role]
        yield f"{use.role}, shared: {_use_text(use)}; separate: {_use_text(apart)}.".capitalize()


def _use_text(use: StockUse) -> str:
    square_feet = use.area / MM_PER_INCH**2 / 144
    amounts = [(use.sheets, "sheet"), (use.frames, "frame")]
    on = " and ".join(counted(count, noun) for count, noun in amounts if count)
    return f"{square_feet:.1f} sq ft ({use.area / 1e6:.2f} sq m) on {on}"


def bag_rows(
    gang: Gang, groups: Sequence[SheetPlan], markers: Mapping[str, Marker]
) -> Iterator[tuple[str, ...]]:
    """Every part of every order: pieces, and the sheets that they are on."""
    roles = {group.key: str(group.role) for group in groups}
    for mark, bag in _bags(groups).items():
        for name, count, where in bag:
            words = markers[marker_of(name)].face.words
            part = roles[where.partition(" ")[0]]
            yield gang.names[mark], mark, without_mark(name), words, part, str(count), where


def _bags(groups: Iterable[SheetPlan]) -> Mapping[str, list[tuple[str, int, str]]]:
    """By mark the parts: name, pieces, and where they are."""
    bags: dict[str, list[tuple[str, int, str]]] = defaultdict(list)
    for group in groups:
        counts: Counter[str] = Counter()
        numbers: dict[str, set[int]] = defaultdict(set)
        for sheet in group.sheets:
            for placed in sheet.placed:
                counts[placed.name] += sheet.copies
                numbers[placed.name].add(sheet.number)
        for name in sorted(counts):
            where = _where(group, numbers[name])
            bags[mark_of(name)].append((name, counts[name], where))
    return dict(sorted(bags.items(), key=lambda each: (len(each[0]), each[0])))


def _all_sheets(groups: Iterable[SheetPlan], mark: str) -> str:
    """Every sheet that holds a piece of an order."""
    found = []
    for group in groups:
        numbers = {
            sheet.number
            for sheet in group.sheets
            if any(mark_of(each.name) == mark for each in sheet.placed)
        }
        if numbers:
            found.append(_where(group, numbers))
    return "; ".join(found)


def _where(group: SheetPlan, numbers: Iterable[int]) -> str:
    listed = sorted(numbers)
    noun = noun_of(group) if len(listed) == 1 else f"{noun_of(group)}s"
    return f"{group.key} {noun} {numbers_text(listed)}"
