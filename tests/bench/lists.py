"""Line lists of any length for the benchmarks: one row a marker, the same rows for the same count.

The list is that of a company with many cold stores built alike: a plant has about 2,000 markers,
and longer lists repeat its services and sizes in other places. Valves have numbers of their own,
those of the first plant; the others' tags hang already. So the distinct markers grow up to a
plant's and no further, while the places never repeat. With ``own_tags`` every valve and vessel has
a name of its own and every place a number, so that distinct markers grow with the list. The plant
is invented.
"""

from __future__ import annotations

import csv
import random
from collections.abc import Iterator
from pathlib import Path

HEADINGS = (
    *("line", "kind", "service", "state", "pressure_psig", "flow", "run", "pipe", "covering_in"),
    *("environment", "surface_f", "tag", "function", "valve_size", "qty", "area", "location"),
    "legend",
)
# Service, state, pressure, pipe sizes, coverings in inches, peak surface in F.
_LINES = (
    ("HSD", "vapor", "185", ("3", "4", "6", "8"), ("0",), "190"),
    ("CD", "liquid", "181", ("2", "3", "4"), ("0",), ""),
    ("HPL", "liquid", "181", ("1-1/4", "2", "3"), ("0",), ""),
    ("TSS", "liquid", "181", ("2", "3"), ("0",), ""),
    ("TSV", "vapor", "181", ("1-1/2", "2"), ("0",), ""),
    ("OD", "liquid", "33.5", ("1", "1-1/2"), ("0",), ""),
    ("HGD", "vapor", "100", ("1-1/4", "2", "3"), ("1",), ""),
    ("HTRL", "liquid", "63.5", ("1", "2", "3"), ("1", "1.5"), ""),
    ("HTRS", "both", "33.5", ("3", "4", "6"), ("1.5", "2"), ""),
    ("HSS", "vapor", "33.5", ("6", "8", "10"), ("2",), ""),
    ("LTRL", "liquid", "25.7", ("1-1/2", "2", "3"), ("2", "2.5"), ""),
    ("LTRS", "both", "8.7 inHg vac", ("6", "8", "10", "12"), ("2.5", "3"), ""),
    ("BS", "vapor", "8.7 inHg vac", ("8", "10"), ("3",), ""),
    ("RV", "vapor", "0", ("2", "3"), ("0",), ""),
    ("DC", "both", "60", ("1-1/4", "2"), ("1.5",), ""),
)
_AREAS = ("machinery room", "rooftop", "freezer", "dock", "blast cell", "corridor")
_VESSELS = ("HIGH PRESSURE RECEIVER", "INTERCOOLER", "RECIRCULATOR", "OIL POT", "ACCUMULATOR")
_FUNCTIONS = ("Liquid stop", "Suction stop", "Hot gas stop", "Drain")
_PLANT_VALVES, _PLANT_VESSELS = 240, 40
_MARKERS_A_PLANT = 2_000


def rows(count: int, seed: int = 1, own_tags: bool = False) -> Iterator[tuple[str, ...]]:
    """As many rows as markers are wanted, under ``HEADINGS``."""
    chance = random.Random(seed)
    valves = iter(range(count if own_tags else _PLANT_VALVES))
    vessels = iter(range(count)) if own_tags else None
    for number in range(count):
        plant = number // _MARKERS_A_PLANT + 1
        share = chance.random()
        area = chance.choice(_AREAS)
        bay = f" bay {number + 1}" if own_tags else ""
        where = (f"plant {plant} {area}", f"column {number % 97}{bay}")
        valve = next(valves, None) if 0.85 <= share < 0.97 else None
        if valve is not None:
            yield _valve(valve, where)
        elif share < 0.97:
            yield _pipe(number, area, where, chance)
        else:
            number_of_it = next(vessels) if vessels else chance.randrange(_PLANT_VESSELS)
            yield _vessel(number_of_it, where)


def _pipe(number: int, area: str, where: tuple[str, str], chance: random.Random) -> tuple[str, ...]:
    service, state, pressure, sizes, coverings, surface = chance.choice(_LINES)
    size, covering = chance.choice(sizes), chance.choice(coverings)
    vertical = chance.random() < 0.2
    flow = chance.choice(("up", "down") if vertical else ("right", "left"))
    run = "vertical" if vertical else "horizontal"
    setting = "outdoor" if area == "rooftop" else "indoor"
    place = (f"{service}-{size}-{number + 1}", "pipe", service, state, pressure, flow, run)
    return (
        *(*place, f"NPS {size}", covering, setting, surface, "", "", "", "1"),
        *(*where, ""),
    )


def _valve(number: int, where: tuple[str, str]) -> tuple[str, ...]:
    service, _state, _pressure, sizes, *_rest = _LINES[number % len(_LINES)]
    function, size = _FUNCTIONS[number % len(_FUNCTIONS)], f"NPS {sizes[number % len(sizes)]}"
    spec = ("", "valve", service, "", "", "", "", "", "", "indoor", "")
    return (*spec, f"HV-{101 + number}", function, size, "1", *where, "")


def _vessel(number: int, where: tuple[str, str]) -> tuple[str, ...]:
    spec = ("", "equipment", "", "", "181", "", "", "", "", "indoor", "")
    return (*spec, f"V-{number + 1}", "", "", "1", *where, _VESSELS[number % len(_VESSELS)])


def tags_of(count: int, own_tags: bool = False, seed: int = 1) -> set[str]:
    """Tags of the valves and vessels in the list of so many markers."""
    column = HEADINGS.index("tag")
    return {row[column] for row in rows(count, seed, own_tags)} - {""}


def write_list(path: Path, count: int, own_tags: bool = False, seed: int = 1) -> Path:
    """The list as CSV, or as a workbook by the path's suffix."""
    path.parent.mkdir(parents=True, exist_ok=True)
    if path.suffix == ".xlsx":
        import xlsxwriter

        with xlsxwriter.Workbook(str(path), {"constant_memory": True}) as book:
            sheet = book.add_worksheet()
            for row, cells in enumerate((HEADINGS, *rows(count, seed, own_tags))):
                sheet.write_row(row, 0, cells)
        return path
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.writer(stream)
        writer.writerow(HEADINGS)
        writer.writerows(rows(count, seed, own_tags))
    return path
