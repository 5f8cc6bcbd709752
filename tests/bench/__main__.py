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
    grown = [outcome for row, outcome in found if row.name.startswith("own")]
    if len(grown) > 1:
        print("", *growth(grown), sep="\n")
    return len(found) == len(rows)


def growth(found: Sequence[Outcome]) -> Iterator[str]:
    """What a further distinct marker costs from one list to the next, as Markdown."""
    yield "| distinct markers | CPU s | MB | ms a further one | kB a further one |"
    yield "|---|---|---|---|---|"
    before: Outcome | None = None
    for each in found:
        assert each.made is not None
        more = ["–", "–"]
        if before is not None and before.made is not None:
            count = each.made.distinct - before.made.distinct
            more = [
                f"{(each.took.cpu - before.took.cpu) * 1000 / count:.2f}",
                f"{(each.took.largest - before.took.largest) * 1000 / count:.1f}",
            ]
        cells = (
            f"{each.made.distinct:,} of {each.made.markers:,}",
            f"{each.took.cpu:.1f}",
            f"{each.took.largest:,.0f}",
        )
        yield f"| {' | '.join((*cells, *more))} |"
        before = each


if __name__ == "__main__":
    sys.exit(main())
