"""The job folder as a whole: what is in it, that it adds up, and that it is always the same."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import random
from collections import Counter
from pathlib import Path

import pytest

from layouts.terms.errors import BlockedError, InputError
from layouts.terms.words import PartRole
from render.job import JobFolder, build
from render.options import Options, printed_date
from render.read import read
from render.shop.shopfile import load_shop
from tests.end_to_end.conftest import LIST, QUANTITY, job_of
from tests.helpers.sheet_pages import assemble, check_sheets


def test_every_marker_is_placed_as_often_as_it_is_wanted(job: JobFolder) -> None:
    assert sum(marker.quantity for marker in job.markers) == QUANTITY
    placed: Counter[tuple[PartRole, str]] = Counter()
    for group in job.groups:
        for sheet in group.sheets:
            for each in sheet.placed:
                placed[group.role, each.name] += sheet.copies
    wanted = {
        (part.role, marker.id): marker.quantity
        for marker in job.markers
        for part in marker.face.parts
    }
    assert placed == wanted


def test_a_mounted_marker_is_two_parts_on_their_own_stocks(job: JobFolder) -> None:
    mounted = [marker for marker in job.markers if marker.plan.design.plate is not None]
    assert {marker.plan.name.split()[0] for marker in mounted} == {"HSD", "BS"}
    for marker in mounted:
        film, plate = marker.face.parts
        assert plate.size.width > film.size.width
        assert plate.size.height > film.size.height
        assert plate.holes is not None
        assert plate.art == ()


def test_manifest_names_every_file_with_its_hash(job: JobFolder) -> None:
    table = json.loads(job.files["manifest.json"])["files"]
    assert table.keys() == job.files.keys() - {"manifest.json"}
    for name, entry in table.items():
        assert entry["sha256"] == hashlib.sha256(job.files[name]).hexdigest()


def test_markers_csv_has_one_row_a_distinct_marker(job: JobFolder) -> None:
    rows = list(csv.DictReader(io.StringIO(job.files["markers.csv"].decode())))
    assert [row["id"] for row in rows] == [marker.id for marker in job.markers]
    assert sum(int(row["qty"]) for row in rows) == QUANTITY


def test_same_list_in_another_order_gives_the_same_bytes(job: JobFolder, tmp_path: Path) -> None:
    header, *rows = csv.reader(io.StringIO(LIST))
    columns = list(range(len(header)))
    random.Random(7).shuffle(columns)
    path = tmp_path / "plant.csv"
    with path.open("w", newline="") as stream:
        csv.writer(stream).writerows(
            [[row[column] for column in columns] for row in (header, *rows)]
        )
    again = job_of(path)
    assert dict(again.files) == dict(job.files)


def test_another_quantity_gives_other_bytes(job: JobFolder, tmp_path: Path) -> None:
    path = tmp_path / "plant.csv"
    path.write_text(LIST.replace(",,,,,,3,Machinery", ",,,,,,4,Machinery"))
    assert job_of(path).files["nest.json"] != job.files["nest.json"]


def test_printed_date_never_comes_from_the_clock(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("SOURCE_DATE_EPOCH", raising=False)
    assert printed_date(None) is None
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "86400")
    assert printed_date(None) == "1970-01-02"
    assert printed_date("2026-02-03") == "2026-02-03"
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "soon")
    with pytest.raises(InputError, match="SOURCE_DATE_EPOCH"):
        printed_date(None)


def order_of(text: str, tmp_path: Path) -> JobFolder:
    path = tmp_path / "order.toml"
    path.write_text(text)
    reading = read(path)
    assert reading.order is not None, reading.findings
    return build(reading.order, Options(load_shop(), folder=tmp_path), path.name)


MARKER = """
[[markers]]
service = "HPL"
state = "liquid"
pressure = "185 psig"
pipe = "NPS 12"
covering = "2 in"
flow = "right"
"""


def test_a_marker_too_long_for_its_stock_names_the_stock_that_would_do(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="does not fit US letter sheet; use a stock with"):
        order_of('stocks = { film = "letter" }\n' + MARKER, tmp_path)


def test_an_unknown_stock_is_refused_with_those_that_fit(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"no stock 'moon'; use roll-54in"):
        order_of('stocks = { film = "moon" }\n' + MARKER, tmp_path)


def test_a_blocking_finding_stops_the_job_until_it_is_accepted(tmp_path: Path) -> None:
    text = MARKER.replace('"HPL"', '"XQ"')
    with pytest.raises(BlockedError, match="not a service code"):
        order_of(text, tmp_path)
    accepted = text + '[[accept]]\ncode = "service-unknown"\nreason = "trial line of this plant"\n'
    job = order_of(accepted, tmp_path)
    (finding,) = [each for each in job.findings if each.code == "service-unknown"]
    assert finding.accepted == "trial line of this plant"


def test_a_letter_that_the_font_lacks_is_named(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no glyph for 氨"):
        order_of(MARKER + 'legend = "氨"\n', tmp_path)


def test_a_scheme_file_beside_the_order_is_used(tmp_path: Path) -> None:
    (tmp_path / "ours.toml").write_text(
        'key = "our-plant"\nextends = "ammonia-2014"\ntitle = "Our plant"\n'
        '[[services]]\ncode = "XQ"\nmeaning = "trial line"\n'
        'source = "plant standard"\nstatus = "confirmed"\n'
    )
    job = order_of('scheme = "ours.toml"\n' + MARKER.replace('"HPL"', '"XQ"'), tmp_path)
    assert {finding.code for finding in job.findings} == set()
    assert job.markers[0].plan.scheme == "our-plant"


def test_the_judge_sees_a_part_moved_by_a_millimeter(job: JobFolder) -> None:
    from dataclasses import replace

    from layouts.drawing.typeset import Typesetter
    from layouts.pages.margin import SheetText
    from layouts.sheets.stock import Printer
    from render.read.fonts import default_typefaces

    group = next(group for group in job.groups if len(group.sheets[0].placed) > 1)
    sheet = group.sheets[0]
    moved = tuple(
        replace(each, x=each.x - 3.0) if index == 1 else each
        for index, each in enumerate(sorted(sheet.placed, key=lambda each: (each.y, each.x)))
    )
    broken = replace(group, sheets=(replace(sheet, placed=moved), *group.sheets[1:]))
    document = assemble(broken, SheetText("t", ()), Printer(), Typesetter(default_typefaces().text))
    assert check_sheets(group, document) == ()
    assert any(
        "closer than" in fault or "margin" in fault for fault in check_sheets(broken, document)
    )
