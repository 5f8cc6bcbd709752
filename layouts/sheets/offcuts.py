"""Offcuts before whole stock, where that saves any of it; else they stay on the shelf."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace

from layouts.nest import nest
from layouts.sheets.pieces import Wanted, Work
from layouts.sheets.planning import Nester, plan_sheets, planned
from layouts.sheets.sheetplan import SheetPlan
from layouts.sheets.stock import Stock
from layouts.terms.findings import Finding
from layouts.terms.values import frozen
from layouts.terms.words import PartRole


@frozen
class _Way:
    """One way to make a group: sheets on offcuts and on whole stock, and what found no room."""

    plans: tuple[SheetPlan, ...]
    findings: tuple[Finding, ...] = ()

    @property
    def taken(self) -> tuple[int, int]:
        """Parts without room, then what it takes of whole stock: less is better."""
        whole = [plan for plan in self.plans if not plan.is_offcut]
        lost = sum(rest.count for plan in whole for rest in plan.nest.unplaced)
        return lost, sum(plan.cost for plan in whole)

    @property
    def offcuts(self) -> set[str]:
        """Keys of the offcuts it uses."""
        return {sheet.stock.key for plan in self.plans if plan.is_offcut for sheet in plan.sheets}


@frozen
class Group:
    """Parts of one build on one kind of stock; ``number`` counts the role's groups of sheets."""

    role: PartRole
    number: int
    build: str
    wanted: Sequence[Wanted]
    together: bool

    @property
    def key(self) -> str:
        """The key of its first sheets."""
        return f"{self.role}-{self.number}"


def plan_group(
    group: Group, whole: Sequence[Stock], offcuts: Sequence[Stock], nester: Nester = nest
) -> tuple[tuple[SheetPlan, ...], tuple[Finding, ...]]:
    """The group's sheets, those on offcuts first, and what found no room.

    Offcuts are used where they save a sheet, roll length or their cost; the last sheets name the
    unused ones as left on the shelf.

    Raises:
        OutputError: a nest failed its judge.
    """
    best = _on_whole(group, whole, nester)
    if offcuts:
        other = _with_offcuts(group, whole, offcuts)
        if other.taken < best.taken:
            best = _fewest(group, whole, offcuts, other)
    shelved = tuple(each for each in offcuts if each.key not in best.offcuts)
    last = replace(best.plans[-1], shelved=shelved)
    return (*best.plans[:-1], last), best.findings


def _fewest(group: Group, whole: Sequence[Stock], offcuts: Sequence[Stock], best: _Way) -> _Way:
    """The way without each offcut, small ones first, that it saves nothing to use."""
    for offcut in sorted(offcuts, key=lambda each: (each.width * each.length, each.key)):
        kept = [each for each in offcuts if each.key in best.offcuts - {offcut.key}]
        if kept and offcut.key in best.offcuts:
            other = _with_offcuts(group, whole, kept)
            if other.taken <= best.taken:
                best = other
    return best


def _with_offcuts(group: Group, whole: Sequence[Stock], offcuts: Sequence[Stock]) -> _Way:
    first, rest = _on_offcuts(
        group.key, offcuts, group.role, group.build, group.wanted, group.together
    )
    if first is None:
        return _on_whole(group, whole, nest)
    if not rest:
        return _Way((first,))
    behind = _on_whole(replace(group, number=group.number + 1, wanted=rest), whole, nest)
    return _Way((first, *behind.plans), behind.findings)


def _on_whole(group: Group, whole: Sequence[Stock], nester: Nester) -> _Way:
    plan, left = plan_sheets(
        group.key,
        whole,
        group.role,
        group.build,
        group.wanted,
        group.together,
        nester,
    )
    return _Way((plan,), left)


def _on_offcuts(
    key: str,
    offcuts: Sequence[Stock],
    role: PartRole,
    build: str,
    wanted: Iterable[Wanted],
    together: bool,
) -> tuple[SheetPlan | None, tuple[Wanted, ...]]:
    """What the offcuts can take, and what is left to be made of whole stock."""
    work = Work(offcuts, wanted)
    plan = planned(key, role, build, work, together, nest)
    if not plan.sheets:
        return None, tuple(work.wanted)
    made: Counter[str] = Counter()
    for_due: Counter[tuple[str, str, int]] = Counter()
    for sheet in plan.sheets:
        for each in sheet.placed:
            made[each.name] += sheet.copies
            for_due[each.name, each.area, each.number] += sheet.copies
    rest = tuple(
        replace(
            each,
            quantity=each.quantity - made[each.name],
            dues=tuple(
                due.counted(due.count - for_due[each.name, due.area, due.number])
                for due in each.dues
                if due.count > for_due[each.name, due.area, due.number]
            ),
        )
        for each in work.wanted
        if each.quantity > made[each.name]
    )
    parts = {name: part for name, part in plan.parts.items() if made[name]}
    return replace(plan, parts=parts, quantities={name: made[name] for name in parts}), rest
