"""Orders written and read back, and lists whose columns stand in another order."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layouts.order.normal import normalize, order_json
from layouts.order.order import (
    Acceptance,
    Environment,
    EquipmentMarker,
    Item,
    MeasuredRun,
    Neighbor,
    Order,
    PipeMarker,
    Position,
    RoomAlong,
    StockChoice,
    ValveTag,
)
from layouts.order.position import PlaceDetails
from layouts.terms.pipes import STEEL
from layouts.terms.tags import expand_tags
from layouts.terms.words import Flow, Kind, Level, Outline, Run, Setting, Side, State
from render.read import Reading, read
from tests.helpers.lists import write_csv

TEXT = st.text(
    st.characters(exclude_categories=("C", "Z"), include_characters=" "), max_size=20
).map(str.strip)


def is_one_tag(tag: str) -> bool:
    """Whether a text is one tag, with no sign of a list or a range in it."""
    try:
        return expand_tags(tag) == [" ".join(tag.split())]
    except ValueError:
        return not tag


ONE_TAG = TEXT.filter(is_one_tag)
NUMBERS = st.floats(0, 20_000, allow_nan=False).map(lambda value: f"{value:.9f} mm")
LENGTHS = st.none() | NUMBERS | st.sampled_from(["1-1/4 in", "40 mm", "6 ft 3 in", "0.00001 mm", 3])
PRESSURES = st.none() | st.floats(-14.6, 3000) | st.sampled_from(["12.5 bar", "10 inHg vac"])
HEAT = st.none() | st.floats(-400, 1000) | st.sampled_from(["95 C", "-40 F", "-0.00001 C"])
PIPES = st.none() | st.one_of(
    st.sampled_from([f"NPS {nps}" for nps, _dn, _od in STEEL]),
    st.sampled_from([f"DN{dn}" for _nps, dn, _od in STEEL]),
    st.floats(1, 2000).map(lambda od: f"{od:.4f} mm"),
    st.floats(0.1, 20).map(lambda od: f"tube {od:.4f} in"),
    st.sampled_from(["copper 3/4 in", "OD 4.5 in", "2-1/2"]),
)
ENVIRONMENTS = st.builds(
    Environment,
    setting=st.sampled_from(Setting),
    surface=HEAT,
    frost=LENGTHS.filter(lambda value: value is not None),
    washdown=st.booleans(),
    applied_at=HEAT,
)
NEIGHBORS = st.none() | st.builds(
    Neighbor, letter_height=LENGTHS, marker_height=LENGTHS, length=LENGTHS
)


def maybe(words: Any) -> st.SearchStrategy[Any]:
    return st.none() | st.sampled_from(words)


PIPE_MARKERS = st.builds(
    PipeMarker,
    contents=TEXT,
    service=TEXT,
    meaning=TEXT,
    state=maybe(State),
    pressure=PRESSURES,
    level=maybe(Level),
    flow=maybe(Flow),
    run=st.sampled_from(Run),
    side=st.sampled_from(Side),
    pipe=PIPES,
    covering=LENGTHS.filter(lambda value: value is None or isinstance(value, str)),
    girth=LENGTHS,
    od=st.sampled_from([None, "1-1/4 in", "40 mm", "0.00001 mm"]),
    viewing_distance=LENGTHS,
    straight=LENGTHS,
    paint=TEXT,
    wrap=st.booleans(),
    lines=st.sampled_from([1, 2]),
    legend=TEXT,
    letter_height=LENGTHS,
    length=LENGTHS,
    environment=ENVIRONMENTS,
    neighbor=NEIGHBORS,
    scheme=TEXT,
)
EQUIPMENT_MARKERS = st.builds(
    EquipmentMarker,
    kind=st.just(Kind.EQUIPMENT),
    name=TEXT,
    tag=ONE_TAG,
    pressure=PRESSURES,
    lines=maybe([1, 2]),
    small=st.booleans(),
    environment=ENVIRONMENTS,
    neighbor=NEIGHBORS,
)
VALVE_TAGS = st.builds(
    ValveTag,
    kind=st.just(Kind.VALVE),
    tag=ONE_TAG.filter(bool),
    viewing_distance=LENGTHS,
    function=TEXT,
    valve_size=PIPES,
    emergency=st.booleans(),
    sides=st.sampled_from([1, 2]),
    shape=st.sampled_from(Outline),
)
PLACE = st.floats(0, 20_000, allow_nan=False).map(lambda mm: round(mm, 6))
EXACT = st.none() | PLACE
ALONG = st.integers(0, 200) | st.lists(PLACE, min_size=1, max_size=3).map(
    lambda places: tuple(sorted(places))
)
NAMES = TEXT.filter(lambda text: text and not set(text) & set("(),;") and not text.isdecimal())
RUNS = st.none() | st.builds(
    MeasuredRun,
    length=EXACT,
    rooms=st.integers(1, 200)
    | st.lists(st.builds(RoomAlong, NAMES, EXACT), min_size=1, max_size=3).map(tuple),
    turns=ALONG,
    branches=ALONG,
    valves=ALONG,
    penetrations=st.none() | ALONG,
    spacing=TEXT,
)
DETAILS = st.builds(
    PlaceDetails,
    drawing=TEXT,
    from_=TEXT,
    to=TEXT,
    note=TEXT,
    spot=TEXT,
    at=EXACT,
    height=EXACT,
)
POSITIONS = st.builds(
    Position,
    quantity=st.integers(1, 10_000),
    area=TEXT,
    location=TEXT,
    line=TEXT,
    row=st.none() | st.integers(1, 10**6),
    details=DETAILS,
)
ON_RUNS = st.builds(
    lambda position, run: replace(position, details=replace(position.details, pipe_run=run)),
    POSITIONS,
    RUNS,
)
ITEMS = st.builds(
    Item, spec=PIPE_MARKERS, positions=st.lists(ON_RUNS, min_size=1, max_size=3).map(tuple)
) | st.builds(
    Item,
    spec=EQUIPMENT_MARKERS | VALVE_TAGS,
    positions=st.lists(POSITIONS, min_size=1, max_size=3).map(tuple),
)
ORDERS = st.builds(
    Order,
    title=TEXT,
    plant=TEXT,
    revision=TEXT,
    date=st.none() | st.dates().map(lambda day: day.isoformat()),
    scheme=TEXT,
    spacing=TEXT,
    stocks=st.builds(StockChoice, film=TEXT),
    accept=st.lists(
        st.builds(Acceptance, code=st.just("level-conflict"), reason=st.just("measured twice")),
        max_size=2,
    ).map(tuple),
    items=st.lists(ITEMS, min_size=1, max_size=3).map(tuple),
)


def read_bytes(name: str, write: Callable[[Path], object]) -> Reading:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / name
        write(path)
        return read(path)


@pytest.mark.slow
@settings(deadline=None, max_examples=150)
@given(ORDERS)
def test_an_order_reads_back_from_its_json(order: Order) -> None:
    data = order_json(order)
    reading = read_bytes("order.json", lambda path: path.write_bytes(data))
    assert reading == Reading(normalize(order), ())
    assert reading.order is not None
    assert order_json(reading.order) == data


ROWS = st.fixed_dictionaries(
    {
        "service": st.sampled_from(["HPL", "HTRS", "EQ"]),
        "state": st.sampled_from(["liquid", "VAP", ""]),
        "pressure_bar": st.sampled_from(["12.5", "30 psig", "10 inHg vac", ""]),
        "flow": st.sampled_from(["left", "R", ""]),
        "pipe": st.sampled_from(["NPS 4", "4", "DN100", "114.3 mm"]),
        "covering_in": st.sampled_from(["", "1-1/2", "38.1 mm"]),
        "environment": st.sampled_from(["", "outdoor washdown"]),
        "qty": st.sampled_from(["", "1", "12"]),
        "area": st.sampled_from(["", "Dock", "Freezer, upper"]),
        "note": TEXT.filter(lambda text: not text.startswith("#")),
    }
)


def _under(names: list[str], rows: list[dict[str, str]]) -> list[list[str]]:
    return [names, *([row[name] for name in names] for row in rows)]


@settings(deadline=None, max_examples=60)
@given(st.lists(ROWS, min_size=1, max_size=8), st.randoms(use_true_random=False))
def test_columns_in_another_order_give_the_same_bytes(
    rows: list[dict[str, str]], random: Any
) -> None:
    headings = list(rows[0])
    shuffled = random.sample(headings, len(headings))
    found = [
        read_bytes("list.csv", partial(write_csv, cells=_under(names, rows)))
        for names in (headings, shuffled)
    ]
    assert found[0].findings == found[1].findings == ()
    assert found[0].order is not None
    assert found[1].order is not None
    assert order_json(found[0].order) == order_json(found[1].order)
    assert found[0].order.quantity == sum(int(row["qty"] or 1) for row in rows)
