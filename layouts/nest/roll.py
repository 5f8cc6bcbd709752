"""Rolls: sections of least total length, then sections into frames.

The sheet search finds sections, with the length of a section for its cost; frames are then packed
with whole sections.
"""

from dataclasses import replace

from layouts.nest.job import Job, Layout, Plan, Plate, used_length
from layouts.nest.model import Slot
from layouts.nest.sections import sections
from layouts.nest.sheets import FULL_PARTS, SheetSearch

_NEAR, _NEAR_LONG = 400, 5000
"""A length within this part of its bound ends the search: for few parts, and for many, where it is
as near as the linear program itself comes."""


def roll_plan(job: Job, target: int) -> Plan | None:
    """Frames for all pieces, or None where another answer must do: no sections, or few frames."""
    plates = sections(job)
    if plates is None:
        return None
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
