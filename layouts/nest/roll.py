"""Rolls: sections of least total length, then sections into frames.

A section is a stretch of roll with a straight cut across at both ends. The sheet search finds them,
with the length of a section for its cost; frames are then packed with whole sections.
"""

from dataclasses import replace

from layouts.nest.grid import exact_grid
from layouts.nest.job import Job, Layout, Plan, Plate, lying, used_length
from layouts.nest.model import Slot
from layouts.nest.sheets import FULL_PARTS, SheetSearch

_SECTION_COST = 3_000_000
"""Most sums for a section's table; the section is made as long as that allows."""
_ODD_LENGTHS = 125
"""Percent of the longest piece that a section may have, where no table is exact."""
_NEAR, _NEAR_LONG = 400, 5000
"""A length within this part of its bound ends the search: for few parts, and for many, where it is
as near as the linear program itself comes."""


def roll_plan(job: Job, target: int) -> Plan | None:
    """Frames for all pieces, or None where another answer must do.

    That is so with keep-outs or limited frames, and for a contour cutter where sizes are too odd
    for an exact table: rounded up they would lose more than the search gains.
    """
    if any(len(plate.regions[0]) != 1 for plate in job.plates):
        return None
    cut = [_exact_section(job, plate) for plate in job.plates]
    if None in cut and not job.guillotine:
        return None
    plates = tuple(
        exact or _cut_down(plate, _longest(job, plate) * _ODD_LENGTHS // 100)
        for exact, plate in zip(cut, job.plates, strict=True)
    )
    near = _NEAR if sum(job.demands) <= FULL_PARTS else _NEAR_LONG
    found = SheetSearch(replace(job, plates=plates)).plan(target + target // near)
    if found is None:
        return None
    plan: Plan = {}
    for plate in job.plates:
        mine = {s: copies for s, copies in found.items() if s.plate == plate.index}
        frames = _frames(job, plate, mine)
        if plate.limit is not None and sum(frames.values()) > plate.limit:
            return None
        plan.update(frames)
    return plan


def _exact_section(job: Job, plate: Plate) -> Plate | None:
    """The plate cut down to the longest section whose exact table is cheap enough, if any is."""
    wanted, longest = _wanted(job), _longest(job, plate)
    height = plate.height
    while True:
        section = _cut_down(plate, height)
        if exact_grid(job, section, wanted, cap=_SECTION_COST):
            return section
        if height <= longest:
            return None
        height = max(longest, height * 4 // 5)


def _longest(job: Job, plate: Plate) -> int:
    """The length that a section needs at least to hold each piece."""
    needed = (min((b for _, b in lying(job, plate, i)), default=0) for i in _wanted(job))
    return max(needed, default=0)


def _wanted(job: Job) -> list[int]:
    return [i for i, demand in enumerate(job.demands) if demand]


def _cut_down(plate: Plate, height: int) -> Plate:
    height = min(height, plate.height)
    return replace(plate, height=height, regions=(((0, 0, plate.width, height),),))


def _frames(job: Job, plate: Plate, sections: Plan) -> Plan:
    """Sections into as few frames as first fit, longest first, can; equal frames become copies."""
    lengths = {s: used_length(job, s) - plate.overhead for s in sections}
    left = dict(sorted(sections.items(), key=lambda item: (-lengths[item[0]], item[0].slots)))
    plan: Plan = {}
    while left:
        room = plate.height
        row: list[tuple[Layout, int]] = []
        for section, copies in left.items():
            times = min(copies, room // lengths[section])
            if times:
                row.append((section, times))
                room -= times * lengths[section]
        copies = min(left[section] // times for section, times in row)
        frame = _stacked(plate, row, lengths)
        plan[frame] = plan.get(frame, 0) + copies
        for section, times in row:
            left[section] -= copies * times
            if not left[section]:
                del left[section]
    return plan


def _stacked(plate: Plate, row: list[tuple[Layout, int]], lengths: dict[Layout, int]) -> Layout:
    slots: list[Slot] = []
    y = 0
    for section, times in row:
        for _ in range(times):
            slots += [replace(slot, y_um=slot.y_um + y) for slot in section.slots]
            y += lengths[section]
    return Layout(plate.index, tuple(sorted(slots)))
