"""`make bench`: every benchmark, or the rows that are named.

    python -m tests.bench [ROW ...] [--rows] [--instances FOLDER]

Each row is a command in a process of its own, whose work is checked afterwards, and prints as a row
of a Markdown table. ``--rows`` lists the rows with the time that each needs. Lists can have any
length: ``own300`` and ``list5k`` are rows as well. The folder holds the nester's instances from
the literature, see `nest_bench`.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path

from tests.bench.order_rows import Listed, order_rows, ordered, sized
from tests.bench.processes import Budget
from tests.bench.rows import Outcome, Place, Row, heading, measured, program
from tests.bench.short_rows import short_rows


def main() -> int:
    """Print the rows asked for; 1 where one of them failed."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("row", nargs="*", help="default: all of them")
    parser.add_argument("--rows", action="store_true", help="list the rows, and run none")
    parser.add_argument("--instances", type=Path)
    asked = parser.parse_args()
    known = {row.name: row for row in (*short_rows(asked.instances), *order_rows())}
    try:
        rows = [known.get(name) or sized(name) for name in asked.row] or list(known.values())
    except ValueError as fault:
        parser.error(f"no row is named {fault}; --rows lists them")
    minutes = sum(row.seconds for row in rows) / 60
    number = f"{len(rows)} row{'' if len(rows) == 1 else 's'}"
    print(f"{number}, about {max(1, round(minutes))} min on two quiet cores\n", flush=True)
    if asked.rows:
        for row in rows:
            print(f"{row.name:<16}{row.seconds:>7,.0f} s  {row.about}")
        return 0
    with tempfile.TemporaryDirectory(prefix="pipelegend-bench-") as name:
        place = Place(Path(name), Path(name) / "bytecode")
        _warm(place)
        return 0 if _report(rows, place) else 1


def _warm(place: Place) -> None:
    """Compile what is compiled once: Python's code and the nester's kernels."""
    budget = Budget(600)
    program(("-c", "from layouts.nest import warm; warm()"), place, budget)
    listed = Listed(60, own=True)
    ordered(listed.written(place), place.work / "warm", place, budget)
    listed.checked(place.work / "warm")


def _report(rows: Sequence[Row], place: Place) -> bool:
    """Print the rows as they are done, then the further tables; whether all of them ended well."""
    print(heading(), flush=True)
    found: list[tuple[Row, Outcome]] = []
    for row in rows:
        line, outcome = measured(row, place)
        print(line, flush=True)
        if outcome is not None:
            found.append((row, outcome))
    for row, outcome in found:
        for table in outcome.tables:
            print(f"\n{row.name}: {row.about}\n\n{table}")
    named = [(row.name, outcome) for row, outcome in found if outcome.made is not None]
    own = [outcome for name, outcome in named if name.startswith("own")]
    plain = [outcome for name, outcome in named if name.startswith("list")]
    if own and len(own) + len(plain) > 1:
        print("", *growth(own, plain), sep="\n")
    return len(found) == len(rows)


def growth(own: Sequence[Outcome], plain: Sequence[Outcome]) -> Iterator[str]:
    """What a distinct marker costs, as Markdown.

    Once from one list with its own names to the next longer one, where rows and sheets grow as
    well, and once over the list of the same length whose names repeat.
    """
    yield (
        "| distinct markers | CPU s | MB | ms, kB a further one from the line above "
        "| ms, kB over repeated names |"
    )
    yield "|---|---|---|---|---|"
    before: Outcome | None = None
    for each in own:
        assert each.made is not None
        length = each.made.markers
        alike = [
            other for other in plain if other.made is not None and other.made.markers == length
        ]
        cells = (
            f"{each.made.distinct:,} of {length:,}",
            f"{each.took.cpu:.1f}",
            f"{each.took.largest:,.0f}",
            _a_further_one(each, before),
            _a_further_one(each, alike[0] if alike else None),
        )
        yield f"| {' | '.join(cells)} |"
        before = each


def _a_further_one(more: Outcome, fewer: Outcome | None) -> str:
    """Milliseconds and kilobytes by which the two differ, for each distinct marker between them."""
    if fewer is None or more.made is None or fewer.made is None:
        return "–"
    count = more.made.distinct - fewer.made.distinct
    if count < 1:
        return "–"
    cpu, megabytes = more.took.cpu - fewer.took.cpu, more.took.largest - fewer.took.largest
    return f"{cpu * 1000 / count:.2f}, {megabytes * 1000 / count:.1f}"


if __name__ == "__main__":
    sys.exit(main())
