"""Sections of rolls, which the linear program lays out. Nothing compiled is loaded.

A section is a stretch of roll with a straight cut across at both ends.
"""

from dataclasses import replace

from layouts.nest.grid import exact_grid
from layouts.nest.job import Job, Plate, lying

_SECTION_COST = 3_000_000
"""Most sums for a section's table; the section is made as long as that allows."""
_ODD_LENGTHS = 125
"""Percent of the longest piece that a section may have, where no table is exact."""


def sections(job: Job) -> tuple[Plate, ...] | None:
    """The longest section of each roll whose table is cheap, or None where none is worth it.

    That is so with keep-outs, and for a contour cutter where sizes are too odd for an exact table:
    rounded up they would lose more than the linear program gains.
    """
    if any(len(plate.regions[0]) != 1 for plate in job.plates):
        return None
    cut = [_exact_section(job, plate) for plate in job.plates]
    if None in cut and not job.guillotine:
        return None
    return tuple(
        exact or _cut_down(plate, _longest(job, plate) * _ODD_LENGTHS // 100)
        for exact, plate in zip(cut, job.plates, strict=True)
    )


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
