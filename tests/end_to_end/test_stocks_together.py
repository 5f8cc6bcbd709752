"""Stocks taken together: sizes by cost, limited sheets, roll widths, offcuts first, zones."""

from __future__ import annotations

import csv
import io
import json
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest
from typer.testing import CliRunner

from layouts.drawing import Rect
from layouts.drawing.typeset import Typesetter
from layouts.pages.margin import SheetText
from layouts.pages.marks import mark_places, marks_wanted
from layouts.pages.sheet import placed_map
from layouts.sheets.sheetplan import SheetPlan
from layouts.sheets.stock import Printer, Shop, Stock
from layouts.terms.counts import counted
from layouts.terms.errors import InputError
from layouts.terms.words import PartRole
from render.cli import app
from render.cli.show import group_text
from render.job import JobFolder, build
from render.options import Options
from render.read import read
from render.read.fonts import default_typefaces
from render.shop.offcuts import Choices, with_choices
from render.shop.shopfile import load_shop
from tests.helpers.sheet_pages import assemble, check_sheets

CLAMPS = (Rect(0, 0, 40, 40), Rect(120, 1980, 60, 20), Rect(300, 500, 100, 120))


def with_stocks(*stocks: Stock, offcuts: tuple[Stock, ...] = ()) -> Shop:
    built_in = load_shop()
    own = {stock.key: stock for stock in stocks}
    return Shop({**built_in.stocks, **own}, built_in.printer, offcuts)


def sized(key: str, of: str, **fields: object) -> Stock:
    return replace(load_shop().stocks[of], key=key, title=key, **fields)  # type: ignore[arg-type]


def made(line_list: Path, shop: Shop, wishes: Choices) -> JobFolder:
    order = read(line_list).order
    assert order is not None
    wanted, stocked = with_choices(order, shop, wishes)
    options = Options(stocked)
    return build(wanted, options, line_list.name)


def films(job: JobFolder) -> list[SheetPlan]:
    return [group for group in job.groups if group.role is PartRole.FILM]


def all_placed(job: JobFolder) -> Counter[tuple[PartRole, str]]:
    counts: Counter[tuple[PartRole, str]] = Counter()
    for group in job.groups:
        for sheet in group.sheets:
            for each in sheet.placed:
                counts[group.role, each.name] += sheet.copies
    return counts


@pytest.mark.slow
def test_the_nester_chooses_the_roll_that_wastes_least(line_list: Path) -> None:
    rolls = [
        sized(f"roll-{width}", "roll-54in", width=width, group="rolls") for width in (600.0, 1371.6)
    ]
    job = made(line_list, with_stocks(*rolls), Choices(film="rolls"))
    used = {sheet.stock.key for group in films(job) for sheet in group.sheets}
    # A few short markers waste half of a wide roll's width.
    assert "roll-600.0" in used
    for group in films(job):
        assert group.request.stocks[0].cost * 1371.6 == pytest.approx(
            group.request.stocks[1].cost * 600.0, rel=0.001
        )
    assert all_placed(job) == all_placed(made(line_list, load_shop(), Choices()))


def test_sizes_without_a_cost_tell_the_least_count_of_any_mix(line_list: Path) -> None:
    small = sized("small", "sheet-24x48in", group="both")
    large = sized("large", "sheet-48x96in", group="both")
    job = made(line_list, with_stocks(small, large), Choices(film="both"))
    for group in films(job):
        least = group.nest.bound.sheets
        assert 1 <= least <= group.copies
        said = f"no mix of these stocks takes fewer than {counted(least, 'sheet')}"
        by_id = {marker.id: marker for marker in job.markers}
        assert said in group_text(group, by_id)
        priced = tuple(replace(each, cost=float(n)) for n, each in enumerate(group.stocks, 1))
        assert "no mix" not in group_text(replace(group, stocks=priced), by_id)


def test_sizes_by_cost_and_in_limited_number(line_list: Path) -> None:
    cheap = sized("cheap", "sheet-48x96in", group="both", cost=10.0, sheets=1)
    dear = sized("dear", "sheet-48x96in", group="both", cost=90.0)
    job = made(line_list, with_stocks(cheap, dear), Choices(film="both"))
    used = Counter(
        {
            key: sum(
                sheet.copies
                for group in films(job)
                for sheet in group.sheets
                if sheet.stock.key == key
            )
            for key in ("cheap", "dear")
        }
    )
    # One cheap sheet is there for the whole order, whatever its groups.
    assert used["cheap"] == 1
    assert used["dear"] >= 2


def test_stock_that_is_used_up_is_told(line_list: Path) -> None:
    few = sized("few", "sheet-48x96in", sheets=1)
    with pytest.raises(InputError, match="are left when all of few is used; give more of it"):
        made(line_list, with_stocks(few), Choices(film="few"))


@pytest.mark.slow
def test_offcuts_go_first_and_nothing_is_lost(line_list: Path) -> None:
    offcut = "450x2000mm of vinyl film, general acrylic adhesive"
    job = made(line_list, load_shop(), Choices(offcuts=(offcut,)))
    plain = made(line_list, load_shop(), Choices())
    first = next(group for group in films(job) if group.is_offcut)
    assert first.copies == 1
    assert first.stock.sheets == 1
    rest = next(group for group in films(job) if group.build == first.build and not group.is_offcut)
    whole = next(group for group in films(plain) if group.build == first.build)
    assert rest.nest.length_um < whole.nest.length_um
    assert all_placed(job) == all_placed(plain)
    # The bill takes the offcut apart from the roll, and both hold all pieces.
    bill = list(csv.DictReader(io.StringIO(job.files["materials.csv"].decode())))
    assert any(row["size"] == first.stock.title for row in bill)
    assert f"print/{first.key}.pdf" in job.files


@pytest.mark.slow
def test_offcuts_and_areas_kept_together(line_list: Path) -> None:
    offcut = "900x800mm of vinyl film, general acrylic adhesive"
    wishes = Choices(offcuts=(offcut,), keep_together="area")
    job = made(line_list, load_shop(), wishes)
    assert all_placed(job) == all_placed(made(line_list, load_shop(), Choices()))
    assert json.loads(job.files["order.json"])["keep_together"] == "area"


def test_an_offcut_of_nobody_knows_what_is_refused(line_list: Path) -> None:
    with pytest.raises(InputError, match="may be of 3 materials of this order; say which"):
        made(line_list, load_shop(), Choices(offcuts=("300x600mm",)))


@pytest.mark.slow
@pytest.mark.parametrize(
    "wishes", [Choices(film="clamped"), Choices("clamped", keep_together="area")]
)
def test_clamps_are_kept_free_of_parts_and_marks(line_list: Path, wishes: Choices) -> None:
    clamped = sized("clamped", "sheet-48x96in", keep_outs=CLAMPS, width=900.0, length=2000.0)
    job = made(line_list, with_stocks(clamped), wishes)
    for group in films(job):
        for sheet in group.sheets:
            for each in sheet.placed:
                part = group.parts[each.name]
                box = placed_map(part, each).rect(part.box.grown(group.stock.border))
                assert not any(touch(box, zone) for zone in CLAMPS)
            marks = mark_places(sheet, Printer())
            assert len(marks) == marks_wanted(sheet, Printer()) > 4
            assert not any(
                touch(Rect(mark.x, mark.y, 0, 0).grown(2.5), zone)
                for mark in marks
                for zone in CLAMPS
            )


def touch(box: Rect, zone: Rect) -> bool:
    across = min(box.right, zone.right) - max(box.x, zone.x)
    down = min(box.bottom, zone.bottom) - max(box.y, zone.y)
    return across > 1e-6 and down > 1e-6


def test_the_judge_of_sheets_sees_a_part_on_a_clamp(job: JobFolder) -> None:
    group = films(job)[0]
    sheet = group.sheets[0]
    part = group.parts[sheet.placed[0].name]
    box = placed_map(part, sheet.placed[0]).rect(part.box)
    stock = replace(sheet.stock, keep_outs=(Rect(box.x + 5, box.y + 5, 1, 1),))
    clamped = replace(group, sheets=(replace(sheet, stock=stock), *group.sheets[1:]))
    setter = Typesetter(default_typefaces().text)
    document = assemble(clamped, SheetText("t", ()), Printer(), setter)
    faults = check_sheets(clamped, document)
    assert any("lies in a zone to be kept free" in fault for fault in faults)


def test_a_mark_without_a_place_is_a_fault(job: JobFolder) -> None:
    group = films(job)[0]
    sheet = group.sheets[0]
    left = Rect(0, 0, sheet.stock.margin, sheet.length)
    stock = replace(sheet.stock, keep_outs=(left,))
    barred = replace(group, sheets=(replace(sheet, stock=stock), *group.sheets[1:]))
    setter = Typesetter(default_typefaces().text)
    document = assemble(barred, SheetText("t", ()), Printer(), setter)
    assert any("marks have no place" in fault for fault in check_sheets(barred, document))


@pytest.mark.slow
def test_the_command_takes_all_wishes(line_list: Path, tmp_path: Path) -> None:
    out = tmp_path / "job"
    wishes = ["--film", "sheet-48x96in", "--keep-together", "area", "--long-parts", "split"]
    offcut = ["--offcut", "plate 500x900mm"]
    run = CliRunner().invoke(app, ["order", str(line_list), "-o", str(out), *wishes, *offcut])
    assert run.exit_code == 0, run.output
    assert "offcut 500 x 900 mm of 48 x 96 in plate" in run.output
    assert "kept together" in run.output
    order = read(out / "order.json").order
    assert order is not None
    assert (order.stocks.film, order.keep_together, order.long_parts) == (
        "sheet-48x96in",
        "area",
        "split",
    )
    wrong = CliRunner().invoke(
        app, ["order", str(line_list), "-o", str(out), "--keep-together", "row"]
    )
    assert wrong.exit_code == 2
