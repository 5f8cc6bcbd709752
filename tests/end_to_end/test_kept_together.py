"""Markers kept together by area: sheets, position numbers, price, ticket and packs."""

from __future__ import annotations

import json
from collections import Counter, defaultdict
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from layouts.markers.gather import Marker
from layouts.markers.positions import walks
from layouts.nest import Nest, NestRequest, nest
from layouts.order.normal import order_json
from layouts.pages.sheet import placed_map
from layouts.papers.amounts import area_sheets, numbers_text, price_text
from layouts.papers.ticket.group import cut_text
from layouts.sheets import groups as nesting
from layouts.sheets.sheetplan import SheetPlan
from layouts.sheets.stock import Knife, Shop
from layouts.terms.errors import OutputError
from layouts.terms.words import PartRole, Together
from render.cli.show import group_text, job_json
from render.decide import decide
from render.job import JobFolder, build
from render.options import Options
from render.read import read
from render.shop.shopfile import load_shop

Position = tuple[str, int]


@pytest.fixture(scope="module")
def kept(line_list: Path) -> JobFolder:
    order = read(line_list).order
    assert order is not None
    wish = {"keep_together": Together.AREA}
    return build(order.model_copy(update=wish), Options(load_shop()), line_list.name)


def test_every_position_has_its_markers_once(kept: JobFolder) -> None:
    placed: Counter[tuple[PartRole, str, Position]] = Counter()
    for group in kept.groups:
        for sheet in group.sheets:
            for each in sheet.placed:
                placed[group.role, each.name, (each.area, each.number)] += sheet.copies
    wanted = Counter(
        {
            (part.role, stop.marker.id, (area, stop.number)): stop.placing.count
            for area, stops in walks(kept.markers).items()
            for stop in stops
            for part in stop.marker.face.parts
        }
    )
    assert placed == wanted


def test_an_area_lies_in_one_stretch_of_a_roll(kept: JobFolder) -> None:
    for group in kept.groups:
        if not group.is_roll:
            continue
        stretches: dict[str, list[tuple[int, float, float]]] = defaultdict(list)
        for sheet in group.sheets:
            for each in sheet.placed:
                part = group.parts[each.name]
                box = placed_map(part, each).rect(part.box)
                stretches[each.area].append((sheet.number, box.y, box.bottom))
        spans = sorted((min(found), max(found)) for found in stretches.values())
        for (_, (before, _, bottom)), ((after, top, _), _) in pairwise(spans):
            assert (before, bottom) <= (after, top)


def test_the_price_is_that_of_the_same_order_without_the_wish(
    kept: JobFolder, job: JobFolder
) -> None:
    mixed = {group.key: group for group in job.groups}
    assert {group.key for group in kept.groups} == mixed.keys()
    for group in kept.groups:
        assert group.price is not None
        assert group.price.sheets == group.copies - mixed[group.key].copies
        length = (group.nest.length_um - mixed[group.key].nest.length_um) / 1000
        assert group.price.length == pytest.approx(length)
        assert price_text(group) in group_text(group, {each.id: each for each in kept.markers})
    assert all(group.price is None and price_text(group) == "" for group in job.groups)


def test_the_price_is_in_the_files_for_machines(kept: JobFolder, job: JobFolder) -> None:
    groups = json.loads(kept.files["nest.json"])["groups"]
    for table, group in zip(groups, kept.groups, strict=True):
        assert group.price is not None
        assert table["kept_together"]["more_sheets"] == group.price.sheets
    told = json.loads(job_json(kept, Path("out")))["groups"]
    assert all(table["price_of_areas"] is not None for table in told)
    assert all(
        table["kept_together"] is None for table in json.loads(job.files["nest.json"])["groups"]
    )


def test_positions_stand_beside_the_markers_in_that_mode_alone(
    kept: JobFolder, job: JobFolder
) -> None:
    # One more text a piece of another area makes sheets differ that were equal before.
    assert kept.files["print/film-2.pdf"] != job.files["print/film-2.pdf"]
    assert all(not sheet.areas for group in job.groups for sheet in group.sheets)
    assert all(sheet.areas for group in kept.groups for sheet in group.sheets)


def test_each_pack_names_the_sheets_of_its_area(kept: JobFolder) -> None:
    found = area_sheets(kept.groups)
    assert found.keys() == walks(kept.markers).keys()
    assert any(text.startswith("tag-1 sheet 1") for text in found["Machinery room"])
    plain = area_sheets([replace(group, price=None) for group in kept.groups])
    assert plain == found


@pytest.mark.parametrize(
    ("numbers", "text"), [([1], "1"), ([2, 1], "1, 2"), ([1, 2, 3, 5], "1 to 3, 5"), ([], "")]
)
def test_numbers_are_told_in_runs(numbers: list[int], text: str) -> None:
    assert numbers_text(numbers) == text


def test_the_wish_stands_in_the_order_file_and_is_kept(tmp_path: Path, line_list: Path) -> None:
    path = tmp_path / "order.toml"
    path.write_text(f'keep_together = "area"\nline_list = "{line_list}"\n')
    order = read(path).order
    assert order is not None
    assert order.keep_together is Together.AREA
    (tmp_path / "order.json").write_bytes(order_json(order))
    assert read(tmp_path / "order.json").order == order
    path.write_text(f'keep_together = "are"\nline_list = "{line_list}"\n')
    (fault,) = [each for each in read(path).findings if each.place.field == "keep_together"]
    assert "did you mean area?" in fault.right


def test_a_nest_that_fails_its_judge_stops_the_job(
    line_list: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def shifted(request: NestRequest) -> Nest:
        found = nest(request)
        first, *rest = found.arrangements
        slot, *slots = first.slots
        moved = replace(first, slots=(replace(slot, x_um=slot.x_um - 20_000), *slots))
        return replace(found, arrangements=(moved, *rest))

    monkeypatch.setattr("layouts.sheets.groups.nest", shifted)
    order = read(line_list).order
    assert order is not None
    with pytest.raises(OutputError, match=r"nest of film-1 failed its judge: .* over the edge"):
        build(order, Options(load_shop()), line_list.name)


def nested(path: Path, options: Options) -> tuple[tuple[Marker, ...], tuple[SheetPlan, ...]]:
    order = read(path).order
    assert order is not None
    markers = decide(order, options, path.name).gathered.markers
    groups, left = nesting.lay_out(markers, order, options.shop)
    assert not left
    return markers, groups


def test_distinct_sheets_are_counted_beside_those_of_filling_by_rows(tmp_path: Path) -> None:
    # 30 tags of one size, of two kinds in turn, on small sheets: many equal sheets either way,
    # and never more of them than faces put in one after the other would give.
    rows = [f",valve,HPL,,,,,,,,,,,,HV-{n},Stop,,1,Hall," for n in range(200, 230)]
    path = tmp_path / "tags.csv"
    path.write_text(
        "line,kind,service,state,pressure_psig,flow,run,side,pipe,covering_in,od_in,environment,"
        "surface_f,frost_in,tag,function,emergency,qty,area,legend\n" + "\n".join(rows)
    )
    _, groups = nested(path, Options(load_shop()))
    assert all(0 < len(group.sheets) <= group.by_rows for group in groups)


@pytest.mark.slow
def test_straight_cuts_of_sheets_that_keep_areas_together(line_list: Path) -> None:
    built_in = load_shop()
    stocks = {key: replace(each, knife=Knife.STRAIGHT) for key, each in built_in.stocks.items()}
    order = read(line_list).order
    assert order is not None
    wanted = order.model_copy(update={"keep_together": Together.AREA})
    options = Options(Shop(stocks, built_in.printer))
    markers = decide(wanted, options, "").gathered.markers
    groups, _ = nesting.lay_out(markers, wanted, options.shop)
    for group in groups:
        for arrangement in group.nest.arrangements:
            # Each piece is parted from its neighbor or from the waste beside it.
            steps = cut_text(arrangement.cuts).split("; ")
            assert len(steps) == len(arrangement.cuts) >= len(arrangement.slots)
            assert steps[0].startswith("1. ")
