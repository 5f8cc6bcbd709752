"""Nothing lost and nothing twice, from the rows of a list to everything that is made of them.

What is asked for is counted here from the rows alone: quantities, both sides, valves of a range,
and runs by the common rule (one marker each 40 ft, at least one; common practice, no source).
"""

from __future__ import annotations

import csv
import io
import json
import math
import tempfile
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from layouts.markers.content import content_of
from layouts.markers.gather import Marker
from layouts.markers.positions import NO_AREA
from layouts.order.normal import order_json
from layouts.order.order import Order
from layouts.papers.materials import Bill, materials
from layouts.papers.materials.hardware import packing_list
from layouts.papers.materials.model import Line, Material, Unit
from layouts.papers.packs import install
from layouts.papers.schedule import valve_rows
from layouts.sheets.groups import lay_out
from layouts.sheets.pieces import marker_of
from layouts.sheets.sheetplan import SheetPlan
from layouts.terms.units import inches
from layouts.terms.words import Kind, PartRole
from render.decide import Decided, decide
from render.options import Options
from render.read import read
from render.shop.shopfile import load_shop
from render.write.tables import markers_csv, nest_json
from tests.helpers.packs_reading import all_letters, boxes, list_rows, numbers, squeezed

Row = dict[str, str]
AREAS = st.sampled_from(["Hall", "Roof", "Store", ""])
COUNTS = st.integers(1, 6).map(str)
# Indoors and out, on jackets and bare, hot (plates on straps) and frosted (stand-offs).
PLACES = st.sampled_from(
    [
        {"covering_in": "1.5", "environment": "indoor"},
        {"covering_in": "0", "environment": "outdoor"},
        {"covering_in": "0", "environment": "indoor", "surface_f": "190"},
        {"covering_in": "0", "environment": "indoor", "surface_f": "20", "frost_in": "1"},
        {"covering_in": "0", "environment": "outdoor washdown", "applied_f": "10"},
    ]
)
PIPES = st.fixed_dictionaries(
    {
        "kind": st.just("pipe"),
        "service": st.sampled_from(["HTRS", "LTRS"]),
        "state": st.just("both"),
        "pressure_psig": st.just("30"),
        "pipe": st.sampled_from(["NPS 1/2", "NPS 2", "NPS 4", "NPS 6"]),
        "area": AREAS,
    }
)
LIES = st.sampled_from(
    [
        {"flow": "right", "side": "one"},
        {"flow": "left", "side": "both"},
        {"flow": "up", "run": "vertical", "side": "both"},
    ]
)
AMOUNTS = COUNTS.map(lambda count: {"qty": count}) | st.integers(1, 260).map(
    lambda feet: {"length_ft": str(feet)}
)
PIPE_ROWS = st.builds(
    lambda pipe, lie, place, amount: pipe | lie | place | amount, PIPES, LIES, PLACES, AMOUNTS
)
MACHINE_ROWS = st.fixed_dictionaries(
    {
        "kind": st.just("equipment"),
        "tag": st.sampled_from(["HSC-1", "HSC-2", "HPR-1"]),
        "legend": st.just("Machine"),
        "environment": st.sampled_from(["indoor", "outdoor"]),
        "area": AREAS,
        "qty": COUNTS,
    }
)
VALVE_ROWS = st.lists(
    st.tuples(st.integers(1, 7), st.sampled_from(["one", "both"]), AREAS, COUNTS), max_size=3
)


def valves(ranges: list[tuple[int, str, str, str]]) -> list[Row]:
    """Ranges of valves that do not overlap, so that each number is a valve of its own."""
    rows, first = [], 101
    for long, side, area, qty in ranges:
        tag = f"HV-{first}" if long == 1 else f"HV-{first}..HV-{first + long - 1}"
        rows.append({"kind": "valve", "tag": tag, "service": "HPL", "side": side})
        rows[-1] |= {"area": area, "qty": qty, "drawing": "R-1"}
        first += long
    return rows


LISTS = st.builds(
    lambda pipes, machines, ranges: [*pipes, *machines, *valves(ranges)],
    st.lists(PIPE_ROWS, min_size=1, max_size=5),
    st.lists(MACHINE_ROWS, max_size=2),
    VALVE_ROWS,
)
HEADS = st.sampled_from(["", 'keep_together = "area"\n'])


def tags_of(row: Row) -> int:
    """How many valves a row stands for."""
    first, _, last = (part.rpartition("-")[2] for part in row["tag"].partition(".."))
    return int(last or first) - int(first) + 1


def pieces(row: Row) -> int:
    """The pieces that a row asks for, counted by hand."""
    each = 2 if row.get("side") == "both" else 1
    if "length_ft" in row:
        return each * max(1, math.ceil(int(row["length_ft"]) / 40))
    return each * int(row["qty"]) * (tags_of(row) if row["kind"] == "valve" else 1)


def places(row: Row) -> int:
    """The entries that packs give a row: a run's spots, a range's valves, a hand each."""
    hands = 2 if row["kind"] == "pipe" and row["side"] == "both" and "run" not in row else 1
    if row["kind"] == "valve":
        return tags_of(row)
    spots = pieces({**row, "side": "one"}) if "length_ft" in row else 1
    return hands * spots


@dataclass(frozen=True)
class Job:
    """A list with all that is made of it."""

    order: Order
    judged: Decided
    groups: tuple[SheetPlan, ...]
    bill: Bill

    @property
    def markers(self) -> tuple[Marker, ...]:
        return self.judged.gathered.markers


def job_of(rows: list[Row], head: str) -> Job:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "list.csv"
        with path.open("w", newline="") as file:
            writer = csv.DictWriter(file, sorted({name for row in rows for name in row}), "")
            writer.writeheader()
            writer.writerows(rows)
        order_file = Path(folder) / "order.toml"
        order_file.write_text(f'line_list = "list.csv"\n{head}')
        reading = read(order_file)
    assert reading.order is not None, reading.findings
    options = Options(load_shop())
    judged = decide(reading.order, options, reading.listed)
    assert not any(finding.blocks for finding in judged.gathered.findings)
    groups, unplaced = lay_out(judged.gathered.markers, reading.order, options.shop)
    assert not unplaced
    return Job(
        reading.order, judged, groups, materials(judged.gathered.markers, groups, prices=None)
    )


def amounts(bill: Bill, material: Material) -> list[Line]:
    return [line for line in bill.lines if line.material is material]


def pieces_of(bill: Bill, material: Material) -> Counter[tuple[str, str]]:
    """Pieces by name and size."""
    found: Counter[tuple[str, str]] = Counter()
    for line in amounts(bill, material):
        count = line.amount(Unit.PIECE)
        assert count is not None
        found[line.item, line.size] += round(count)
    return found


@settings(
    deadline=None,
    max_examples=20,
    derandomize=True,
    phases=(Phase.explicit, Phase.generate),  # a job is too long to be shrunk
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
@given(LISTS, HEADS)
def test_every_piece_asked_for_is_made_packed_and_listed_once(rows: list[Row], head: str) -> None:
    job = job_of(rows, head)
    asked = Counter[str]()
    for row in rows:
        asked[row["kind"]] += pieces(row)
    _made(job, asked)
    _on_sheets(job)
    _in_packs(job, rows)
    _on_the_schedule(job, rows)
    _in_the_bill(job)
    _in_the_tables(job, asked)


def _made(job: Job, asked: Counter[str]) -> None:
    made = Counter[str]()
    for marker in job.markers:
        made[str(marker.plan.kind)] += marker.quantity
        assert marker.quantity == sum(placing.count for placing in marker.placings)
    assert made == +asked


def _on_sheets(job: Job) -> None:
    """Every part of every marker as often as it is wanted, on sheets of its own role."""
    placed: Counter[tuple[PartRole, str]] = Counter()
    for group in job.groups:
        for sheet in group.sheets:
            for each in sheet.placed:
                placed[group.role, marker_of(each.name)] += sheet.copies
    wanted = {
        (part.role, marker.id): marker.quantity
        for marker in job.markers
        for part in marker.face.parts
    }
    assert placed == wanted


def _in_packs(job: Job, rows: list[Row]) -> None:
    """A position of the list stands in the pack of its area, as often as it has markers."""
    packs = install(job.order, job.markers, job.judged.typefaces, groups=job.groups)
    assert set(packs) == {row["area"] or NO_AREA for row in rows}
    for area, pack in packs.items():
        text = all_letters(pack)
        here = [(n, row) for n, row in enumerate(rows, 2) if (row["area"] or NO_AREA) == area]
        counted = Counter(list_rows(pack))
        assert counted == {number: places(row) for number, row in here}
        assert squeezed(f"Positions {counted.total()}") in text
        assert numbers(pack) == [*range(1, counted.total() + 1)]
        assert boxes(pack) == sum(pieces(row) for _, row in here)


def _on_the_schedule(job: Job, rows: list[Row]) -> None:
    listed = valve_rows(job.order, job.judged.schemes)
    flagged = [row for row in rows if row["kind"] == "valve"]
    assert len({row.number for row in listed}) == len(listed) == sum(map(tags_of, flagged))
    assert sum(row.tags for row in listed) == sum(map(pieces, flagged))
    assert sum(row.tags for row in listed) == sum(
        marker.quantity for marker in job.markers if marker.plan.kind is Kind.VALVE
    )


def _in_the_bill(job: Job) -> None:
    """Stock as the sheets take it; what holds the markers as all packs together ask for it."""
    for material, role in (
        (Material.FILM, PartRole.FILM),
        (Material.PLATE, PartRole.PLATE),
        (Material.TAG, PartRole.TAG),
    ):
        groups = [group for group in job.groups if group.role is role]
        billed = sum(line.amount(Unit.SQUARE_METER) or 0.0 for line in amounts(job.bill, material))
        used = sum(s.copies * s.width * s.length for group in groups for s in group.sheets)
        assert math.isclose(billed, used / 1e6, rel_tol=1e-9)
        assert pieces_of(job.bill, material).total() == sum(
            sheet.copies * len(sheet.placed) for group in groups for sheet in group.sheets
        )
    packed = _packed_by_area(job)
    billed_parts = {
        (item or str(material), size): count
        for material in (Material.STRAP, Material.STAND_OFF)
        for (item, size), count in pieces_of(job.bill, material).items()
    }
    assert packed == billed_parts
    taken = Counter({(part, size): int(count) for part, size, count in packing_list(job.markers)})
    assert {key: taken[key] for key in packed} == packed


def _packed_by_area(job: Job) -> Counter[tuple[str, str]]:
    """Straps and stand-offs position by position, from each one's own build."""
    packed: Counter[tuple[str, str]] = Counter()
    for marker in job.markers:
        plates = [part for part in marker.face.parts if part.role is PartRole.PLATE]
        for placing in marker.placings:
            build = placing.plan.build
            if build.straps:
                size = f"{inches(build.strap_length)} long"
                packed[build.strap, size] += build.straps * placing.count
            if build.stand_off and plates and plates[0].holes is not None:
                holes = len(plates[0].holes.contours)
                packed["stand-off", f"{inches(build.stand_off)} high"] += holes * placing.count
    return packed


def _in_the_tables(job: Job, asked: Counter[str]) -> None:
    total = asked.total()
    listed = list(csv.DictReader(io.StringIO(markers_csv(job.markers).decode("utf-8-sig"))))
    assert len(listed) == len(job.markers)
    assert sum(int(row["qty"]) for row in listed) == total
    content = content_of(job.markers, job.judged.gathered.findings, job.judged.schemes)
    assert sum(each.quantity for each in content.markers) == total
    assert json.loads(nest_json(job.groups))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "order.json"
        path.write_bytes(order_json(job.order))
        again = read(path).order
    assert again is not None
    assert again.quantity == job.order.quantity
