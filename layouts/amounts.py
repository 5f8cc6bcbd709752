"""How much a group of sheets takes, in words: amount, proven minimum, distinct sheets, price."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import pairwise

from layouts.nest import cost_of
from layouts.paper import counted
from layouts.sheetplan import SheetPlan
from layouts.units import feet

_UM_PER_M = 1_000_000


def length_text(mm: float) -> str:
    """Feet with meters beside them."""
    return f"{feet(mm)} ({mm / 1000:.2f} m)"


def noun_of(group: SheetPlan) -> str:
    """What is printed: a sheet, or a frame of a roll."""
    return "frame" if group.is_roll else "sheet"


def amount_text(group: SheetPlan) -> str:
    """Sheets or frames, by stock where there are several."""
    copies: dict[str, int] = {}
    for sheet in group.sheets:
        copies[sheet.stock.title] = copies.get(sheet.stock.title, 0) + sheet.copies
    if len(copies) < 2:
        return counted(group.copies, noun_of(group))
    return f"{group.copies} {noun_of(group)}s: " + ", ".join(
        f"{count} of {title}" for title, count in copies.items()
    )


def least_text(group: SheetPlan) -> str:
    """The proven minimum in words; over several stocks it is one of their cost."""
    bound = group.nest.bound
    if len(group.stocks) > 1:
        used = cost_of(group.request, group.nest)
        return f"{_cost_text(group, bound.cost)} (this nest: {_cost_text(group, used)})"
    if group.is_roll:
        return length_text(bound.length_um / 1000)
    return counted(bound.sheets, "sheet")


def mix_text(group: SheetPlan) -> str:
    """Of several stocks at no price or at the same: the least of any mix; empty elsewhere."""
    if len(group.stocks) == 1 or len({stock.cost for stock in group.stocks}) > 1:
        return ""
    bound = group.nest.bound
    if group.is_roll:
        return f"no mix of these rolls is shorter than {length_text(bound.length_um / 1000)}"
    return f"no mix of these stocks takes fewer than {counted(bound.sheets, 'sheet')}"


def _cost_text(group: SheetPlan, cost: int) -> str:
    """The cost as the shop counts it, else as area of stock."""
    amount = cost / _UM_PER_M if group.is_roll else float(cost)
    if all(stock.cost is not None for stock in group.stocks):
        return f"cost {amount / 100:.2f}"
    return f"{amount / 1000:.2f} sq m" if group.is_roll else f"{amount / 10_000:.2f} sq m"


def counts_text(group: SheetPlan) -> str:
    """Distinct printed sheets against what filling them row by row would have given."""
    distinct = len(group.sheets)
    printed = "printed " * any(part.art for part in group.parts.values())
    text = counted(distinct, f"distinct {printed}{noun_of(group)}")
    if group.by_rows > distinct:
        text += f" (filled row by row: {group.by_rows})"
    return f"{text}, {counted(group.nest.distinct, 'cut file')}"


def price_text(group: SheetPlan) -> str:
    """What keeping areas together costs; empty where it was not asked for."""
    if group.price is None:
        return ""
    sheets = group.price.sheets
    kept = "each area's markers are kept together"
    if not sheets and not round(group.price.length):
        return f"{kept}, at no price"
    more = f"{counted(abs(sheets), noun_of(group))} {'less' if sheets < 0 else 'more'}"
    if group.is_roll:
        length = group.price.length
        more = f"{length_text(abs(length))} {'less' if length < 0 else 'more'}, {more}"
    return f"{kept}, at a price of {more}"


def shelf_text(group: SheetPlan) -> str:
    """Offcuts that were at hand and are not used; empty where all are."""
    if not group.shelved:
        return ""
    saved = "roll length" if group.is_roll else "sheet"
    titles = ", ".join(offcut.title for offcut in group.shelved)
    return f"left on the shelf, as it would save no {saved}: {titles}"


def area_sheets(groups: Iterable[SheetPlan]) -> Mapping[str, Sequence[str]]:
    """For each area whose markers were kept together: group and sheets, ``film-1 sheets 2, 3``."""
    found: dict[str, list[str]] = {}
    for group in groups:
        numbers: dict[str, list[int]] = {}
        for sheet in group.sheets:
            for area in sheet.areas:
                numbers.setdefault(area, []).append(sheet.number)
        for area, listed in numbers.items():
            noun = noun_of(group) if len(listed) == 1 else f"{noun_of(group)}s"
            found.setdefault(area, []).append(f"{group.key} {noun} {numbers_text(listed)}")
    return found


def numbers_text(numbers: Sequence[int]) -> str:
    """``1 to 3, 5`` for 1, 2, 3, 5."""
    return ", ".join(
        str(first) if first == last else f"{first}{', ' if last == first + 1 else ' to '}{last}"
        for first, last in _runs(numbers)
    )


def _runs(numbers: Sequence[int]) -> Iterator[tuple[int, int]]:
    ordered = sorted(numbers)
    starts = [ordered[0], *(b for a, b in pairwise(ordered) if b != a + 1)] if ordered else []
    ends = [*(a for a, b in pairwise(ordered) if b != a + 1), *ordered[-1:]]
    yield from zip(starts, ends, strict=True)
