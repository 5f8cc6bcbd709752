"""Rolls: sections of least total length, then sections into frames.

A section is a stretch of roll with a straight cut across at both ends. The sheet search finds them,
with the length of a section for its cost; frames are then packed with whole sections.
"""

from dataclasses import replace

from layouts.nest.grid import make_grid
from layouts.nest.job import Job, Layout, Plan, Plate, used_length
from layouts.nest.model import Slot
from layouts.nest.sheets import SheetSearch

_SECTION_COST = 3_000_000
"""Most sums for a section's table; the section is made as long as that allows."""
_NEAR = 400
"""A length within this part of its bound ends the search."""


def roll_plan(job: Job, target: int) -> Plan | None:
    """Frames for all pieces, or None where another answer must do.

    That is so with keep-outs or limited frames, and where sizes are too odd for an exact table:
    rounded up they would lose more than the search gains.
    """
    if any(len(plate.regions[0]) != 1 for plate in job.plates):
        return None
    cut = [_section(job, plate) for plate in job.plates]
    plates = tuple(section for section in cut if section is not None)
    if len(plates) < len(cut):
        return None
    found = SheetSearch(replace(job, plates=plates)).plan(target + target // _NEAR)
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


def _section(job: Job, plate: Plate) -> Plate | None:
    """The plate cut down to the longest section whose exact table is cheap enough, if any is."""
    wanted = [i for i, d in enumerate(job.demands) if d]
    longest = 0
    for i in wanted:
        w, h = job.widths[i], job.heights[i]
        ways = [(w, h), (h, w)] if job.turnable[i] else [(w, h)]
        fit = [b for a, b in ways if a <= plate.width and b <= plate.height]
        longest = max(longest, min(fit, default=0))
    height = plate.height
    while True:
        section = replace(plate, height=height, regions=(((0, 0, plate.width, height),),))
        if make_grid(job, section, wanted, cap=_SECTION_COST).exact:
            return section
        if height <= longest:
            return None
        height = max(longest, height * 4 // 5)


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
