"""Rolls: sections of least total length, then sections into frames.

A section is a stretch of roll with a straight cut across at both ends. The pattern search finds
sections, with the length of a section for its cost; frames are then packed with whole sections.
What is read here to choose a stage (`sections`) loads neither the compiler nor the solver.
"""

from dataclasses import replace

from layouts.nest.model import Slot
from layouts.nest.patterns.grid import exact_grid
from layouts.nest.problem import Bin, Pattern, Plan, Problem, orientations_in, used_length

_NEAR, _NEAR_LONG = 400, 5000
"""A length within this part of its bound ends the search: for few parts, and for many, where it is
as near as the linear program itself comes."""
_SECTION_COST = 3_000_000
"""Most sums for a section's table; the section is made as long as that allows."""
_ODD_LENGTHS = 125
"""Percent of the longest piece that a section may have, where no table is exact."""


def sections(problem: Problem) -> tuple[Bin, ...] | None:
    """The longest section of each roll whose table is cheap, or None if none is worthwhile.

    That is so with keep-outs, and for a contour cutter where sizes are too odd for an exact table:
    rounded up they would lose more than the linear program gains.
    """
    if any(len(bin_.regions[0]) != 1 for bin_ in problem.bins):
        return None
    cut = [_exact_section(problem, bin_) for bin_ in problem.bins]
    if None in cut and not problem.guillotine:
        return None
    return tuple(
        exact or _cut_down(bin_, _longest(problem, bin_) * _ODD_LENGTHS // 100)
        for exact, bin_ in zip(cut, problem.bins, strict=True)
    )


def _exact_section(problem: Problem, bin_: Bin) -> Bin | None:
    """The bin cut down to the longest section whose exact table is cheap enough, if any is."""
    wanted, longest = _demand_of(problem), _longest(problem, bin_)
    height = bin_.height
    while True:
        section = _cut_down(bin_, height)
        if exact_grid(problem, section, wanted, cap=_SECTION_COST):
            return section
        if height <= longest:
            return None
        height = max(longest, height * 4 // 5)


def _longest(problem: Problem, bin_: Bin) -> int:
    """The minimum section length that holds each piece."""
    needed = (
        min((b for _, b in orientations_in(problem, bin_, i)), default=0)
        for i in _demand_of(problem)
    )
    return max(needed, default=0)


def _demand_of(problem: Problem) -> list[int]:
    return [i for i, demand in enumerate(problem.demands) if demand]


def _cut_down(bin_: Bin, height: int) -> Bin:
    height = min(height, bin_.height)
    return replace(bin_, height=height, regions=(((0, 0, bin_.width, height),),))


def roll_plan(problem: Problem, target: int) -> tuple[Plan | None, int]:
    """Frames for all items, and the tables filled; None where frames or sections do not suffice."""
    # Loads the compiler and the solver.
    from layouts.nest.patterns.dive import FULL_PARTS, PatternSearch

    bins = sections(problem)
    if bins is None:
        return None, 0
    near = _NEAR if sum(problem.demands) <= FULL_PARTS else _NEAR_LONG
    search = PatternSearch(replace(problem, bins=bins))
    found = search.plan(target + target // near)
    if found is None:
        return None, search.work
    plan: Plan = {}
    for bin_ in problem.bins:
        mine = {s: copies for s, copies in found.items() if s.bin == bin_.index}
        frames = _frames(problem, bin_, mine)
        if bin_.limit is not None and sum(frames.values()) > bin_.limit:
            return None, search.work
        plan.update(frames)
    return plan, search.work


def _frames(problem: Problem, bin_: Bin, sections: Plan) -> Plan:
    """Sections packed into frames by first fit, longest first; equal frames become copies."""
    lengths = {s: used_length(problem, s) - bin_.overhead for s in sections}
    left = dict(sorted(sections.items(), key=lambda item: (-lengths[item[0]], item[0].slots)))
    plan: Plan = {}
    while left:
        room = bin_.height
        row: list[tuple[Pattern, int]] = []
        for section, copies in left.items():
            times = min(copies, room // lengths[section])
            if times:
                row.append((section, times))
                room -= times * lengths[section]
        copies = min(left[section] // times for section, times in row)
        frame = _stack_row(bin_, row, lengths)
        plan[frame] = plan.get(frame, 0) + copies
        for section, times in row:
            left[section] -= copies * times
            if not left[section]:
                del left[section]
    return plan


def _stack_row(bin_: Bin, row: list[tuple[Pattern, int]], lengths: dict[Pattern, int]) -> Pattern:
    slots: list[Slot] = []
    y = 0
    for section, times in row:
        for _ in range(times):
            slots += [replace(slot, y_um=slot.y_um + y) for slot in section.slots]
            y += lengths[section]
    return Pattern(bin_.index, tuple(sorted(slots)))
