"""The stock a group of sheets takes, in words: amount, proven minimum, layouts, price."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import pairwise

from layouts.sheets.sheetplan import SheetPlan
from layouts.terms.counts import counted
from layouts.terms.units import feet

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
        used = group.cost
        return f"{_cost_text(group, bound.cost)} (this nest: {_cost_text(group, used)})"
    if group.is_roll:
        return length_text(least_length(group))
    return counted(bound.sheets, "sheet")


def least_length(group: SheetPlan) -> float:
    """The proven minimum of a roll in mm: the nest's, or the longest part's length."""
    return max(group.nest.bound.length_um / 1000, group.forced_length)


def forced_text(group: SheetPlan) -> str:
    """That one long part sets the minimum, so that a low use is not the nest's; else empty."""
    if group.forced_length <= group.nest.bound.length_um / 1000:
        return ""
    return (
        "the longest part cannot lie across the roll: it sets the proven minimum of "
        f"{length_text(group.forced_length)}"
    )


def mix_text(group: SheetPlan) -> str:
    """Of several stocks without a price or at the same one: the least of any mix; else empty."""
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
    """The number of layouts, and the number that filling row by row would have given."""
    distinct = len(group.sheets)
    text = counted(distinct, f"{noun_of(group)} layout")
    if group.by_rows > distinct:
        text += f" ({group.by_rows} if filled row by row)"
    return f"{text}, {counted(len({sheet.cut for sheet in group.sheets}), 'cut file')}"


def price_text(group: SheetPlan) -> str:
    """The cost of keeping areas together; empty if not requested."""
    if group.price is None:
        return ""
    sheets, length = group.price.sheets, group.price.length
    kept = "each area's markers are kept together"
    if not sheets and not round(length):
        return f"{kept}, at no extra material"
    amounts = [_difference_text(sheets, counted(abs(sheets), noun_of(group)))]
    if group.is_roll:
        amounts.insert(0, _difference_text(length, length_text(abs(length))))
    return f"{kept}, which costs {' and '.join(amounts)}"


def _difference_text(difference: float, amount: str) -> str:
    """``2 more sheets``, ``3.1 ft (0.95 m) less``."""
    if not amount[-1].isalpha():
        return f"{amount} {'less' if difference < 0 else 'more'}"
    number, noun = amount.split(" ", 1)
    return f"{number} {'fewer' if difference < 0 else 'more'} {noun}"


def shelf_text(group: SheetPlan) -> str:
    """Offcuts that were on hand but not used; empty if all were."""
    if not group.shelved:
        return ""
    saved = "roll length" if group.is_roll else "sheet"
    titles = ", ".join(offcut.title for offcut in group.shelved)
    return f"left on the shelf because it would save no {saved}: {titles}"


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
