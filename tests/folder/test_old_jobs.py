"""Job folders of earlier programs, stored as they were written, and what today's makes of them.

``job_first`` is from before orders knew spacing rules and proofs had a record; ``job_version_1``
has the record and its print files. They stay as they are. Where a new program cannot read one,
it cannot read what plants keep: let it read the old form too. Where a marker of
``job_version_1`` is drawn otherwise on purpose, plants can no longer have it again: say so in
its test, and store a folder of the new program beside it.
"""

from __future__ import annotations

import csv
import json
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from layouts.markers.revision import Action
from layouts.order.normal import normalize, order_json
from layouts.order.order import Order
from layouts.terms.errors import InputError
from render.decide import decide
from render.files.atomic import manifest
from render.folder.approval import proof_of
from render.folder.compare import compare, diff
from render.folder.open import open_job, read_order
from render.folder.reprint import reprint
from tests.folder.conftest import KING, OPTIONS, SUCTION, order_of, with_place

HERE = Path(__file__).parent
FIRST, VERSION_1 = HERE / "job_first", HERE / "job_version_1"

# What job_first was ordered as, by hand from the list that it was made of.
FIRST_ORDER = Order.model_validate(
    {
        "title": "Markers, first phase",
        "plant": "Example Ridge Cold Store",
        "revision": "A",
        "date": "2025-11-03",
        "items": [
            {
                "spec": {
                    "kind": "pipe",
                    "service": "HPL",
                    "state": "liquid",
                    "pressure": "185 psig",
                    "flow": "right",
                    "side": "both",
                    "pipe": "DN50",
                    "covering": "0 in",
                },
                "positions": [
                    {"qty": 2, "area": "Engine room", "line": "HPL-2-101", "row": 2}
                    | {"from": "HPR-1", "to": "IC-1"}
                ],
            },
            {
                "spec": {
                    "kind": "pipe",
                    "service": "LSS",
                    "state": "vapor",
                    "pressure": "10 inHg vac",
                    "flow": "up",
                    "run": "vertical",
                    "pipe": "12 in",
                    "covering": "3 in",
                },
                "positions": [
                    {"area": "Freezer 1", "line": "LSS-12-301", "row": 3}
                    | {"from": "LTR-1", "to": "C-2", "location": "riser at column B2"}
                ],
            },
            {
                "spec": {
                    "kind": "pipe",
                    "service": "HSD",
                    "state": "vapor",
                    "pressure": "181 psig",
                    "flow": "right",
                    "pipe": "NPS 6",
                    "covering": "0 in",
                    "environment": {"setting": "outdoor", "surface": "200 F"},
                },
                "positions": [{"qty": 4, "area": "Roof", "line": "HSD-6-103", "row": 4}],
            },
            {
                "spec": {"kind": "equipment", "name": "High pressure receiver", "tag": "HPR-1"}
                | {"pressure": "181 psig"},
                "positions": [{"area": "Engine room", "row": 5}],
            },
            {
                "spec": {"kind": "valve", "service": "HPL", "tag": "HV-118", "emergency": True}
                | {"function": "King valve"},
                "positions": [{"area": "Engine room", "row": 6}],
            },
        ],
    }
)


def test_the_first_orders_are_read_as_they_were_given() -> None:
    assert open_job(FIRST).order() == normalize(FIRST_ORDER)


def test_the_first_orders_give_the_words_and_sizes_that_were_printed() -> None:
    with (FIRST / "markers.csv").open(newline="") as table:
        printed = {
            (row["legend"], float(row["length_in"]), float(row["letter_height_in"]), row["qty"])
            for row in csv.DictReader(table)
        }
    markers = decide(read_order(FIRST), OPTIONS, "").gathered.markers
    measured = {
        (
            marker.face.words,
            round(marker.face.measures.length / 25.4, 4),
            round(marker.face.measures.letter_height / 25.4, 4),
            str(marker.quantity),
        )
        for marker in markers
    }
    assert measured == printed


def test_an_old_job_is_compared_with_a_new_list(tmp_path: Path) -> None:
    moved = [with_place(SUCTION, qty=5), KING]
    new = tmp_path / "order.json"
    new.write_bytes(order_json(order_of(moved, revision="B")))
    revision = compare(VERSION_1, new, OPTIONS)
    assert revision.findings == ()
    done = {action: revision.count(action) for action in Action}
    assert done == {Action.REPLACE: 0, Action.ADD: 2, Action.REMOVE: 0, Action.UNCHANGED: 4}


def test_what_hangs_otherwise_than_it_is_drawn_today_is_told() -> None:
    content = proof_of(open_job(VERSION_1))
    assert content is not None
    first, *rest = content.markers
    hung = replace(content, markers=(replace(first, face="0" * 64), *rest))
    order = read_order(VERSION_1)
    (finding,) = diff(order, order, OPTIONS, hung=hung).findings
    assert finding.code == "job-drifted"
    assert finding.what.startswith(f"{first.words}: drawn otherwise today")


def test_the_markers_of_an_old_job_are_made_again() -> None:
    content = proof_of(open_job(VERSION_1))
    assert content is not None
    for each in content.markers:
        made = reprint(VERSION_1, [f"{each.id}=2"], OPTIONS)
        (marker,) = made.markers
        assert (marker.face.words, marker.quantity) == (each.words, 2)
        assert json.loads(made.files["reprint.json"])["markers"][0]["face"] == each.face


def test_an_order_of_a_later_program_is_refused_not_guessed_at(tmp_path: Path) -> None:
    later = tmp_path / "job"
    shutil.copytree(FIRST, later)
    text = (FIRST / "order.json").read_text("utf-8").replace('"version": 1', '"version": 2')
    (later / "order.json").write_text(text, "utf-8")
    (later / "manifest.json").write_bytes(manifest({"order.json": text.encode()}))
    with pytest.raises(InputError, match="version"):
        open_job(later).order()


def test_a_list_is_read_where_no_job_folder_is_named(tmp_path: Path) -> None:
    path = tmp_path / "order.json"
    path.write_bytes((FIRST / "order.json").read_bytes())
    assert read_order(path) == read_order(FIRST)
    path.write_text("{}")
    with pytest.raises(InputError, match="no marker"):
        read_order(path)
