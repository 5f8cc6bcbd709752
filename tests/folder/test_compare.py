"""Two revisions of a list: nothing lost, nothing twice, and matched by the rule that is printed."""

from __future__ import annotations

import csv
import io
import json
import random
from collections import Counter
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from layouts.markers.fingerprint import fingerprint
from layouts.markers.gather import Marker, build_key
from layouts.markers.positions import Hanging
from layouts.markers.revision import Action
from layouts.order.order import Order
from layouts.papers.changes import place_text, why
from layouts.terms.errors import InputError
from render.decide import decide
from render.files.atomic import write_folder
from render.folder.compare import Revision, diff, revision_files, revision_json, revision_lines
from render.read import read
from tests.folder.conftest import (
    DISCHARGE,
    KING,
    LIQUID,
    OPTIONS,
    RECEIVER,
    ROWS,
    SUCTION,
    Row,
    order_of,
    with_place,
    with_spec,
)
from tests.helpers.paper_reading import words

Pieces = Counter[tuple[str, ...]]


def look(marker: Marker) -> tuple[str, ...]:
    return fingerprint(marker.face), *build_key(marker.plan.build)


def pieces(order: Order | None) -> Pieces:
    """What an order makes, planned anew."""
    counts: Pieces = Counter()
    for marker in decide(order, OPTIONS, "").gathered.markers if order else ():
        counts[look(marker)] += marker.quantity
    return counts


def compared(old: list[Row], new: list[Row]) -> Revision:
    return diff(order_of(old), order_of(new, revision="B"), OPTIONS)


def counts(revision: Revision) -> tuple[int, int, int, int]:
    """Replace, add, remove, unchanged."""
    replace, add, remove, unchanged = (revision.count(action) for action in Action)
    return replace, add, remove, unchanged


def test_a_revision_worked_by_hand() -> None:
    # HTRS: 3 pieces, flow turned round: 3 replaced.
    # HPL: 2 positions from both sides = 2 right, 2 left; now 3 from one side, all right:
    #   2 stay, 1 left becomes right, 1 left goes.
    # HSD: 4 become 6: 4 stay, 2 are added.
    # HV-118 hangs on its valve, whatever the area is called: stays. HPR-1 is gone.
    # LTRL: a new line, 2 pieces.
    low = with_place(with_spec(SUCTION, service="LTRL", state="liquid"), line="LTRL-4-301", qty=2)
    revision = compared(
        list(ROWS),
        [
            with_spec(SUCTION, flow="right"),
            with_place(with_spec(LIQUID, side="one"), qty=3),
            with_place(DISCHARGE, qty=6),
            with_place(KING, area="Compressor hall"),
            low,
        ],
    )
    assert counts(revision) == (3 + 1, 2 + 2, 1 + 1, 2 + 4 + 1)
    assert revision.order is not None
    assert revision.order.quantity == 4 + 4
    assert revision.order.revision == "B"
    by_action = [
        (str(change.action), change.count, change.at.marker.plan.name)
        for change in revision.changes
        if change.action is not Action.UNCHANGED
    ]
    assert sorted(by_action) == [
        ("add", 2, "HSD"),
        ("add", 2, "LTRL"),
        ("remove", 1, "HPL"),
        ("remove", 1, "HPR-1 HIGH PRESSURE RECEIVER"),
        ("replace", 1, "HPL"),
        ("replace", 3, "HTRS"),
    ]


def test_the_reason_says_what_the_list_and_the_eye_find() -> None:
    changed = with_spec(SUCTION, pressure="75 psig", covering="2 in", flow="right")
    (change,) = compared([SUCTION], [changed]).changes
    reason = why(change)
    for part in (
        *("pressure 75 psig, was 30 psig", "covering 2 in, was 1-1/2 in", "flow right, was left"),
        *("reads HTRS LIQ VAP AMMONIA HIGH, was HTRS LIQ VAP AMMONIA LOW", "arrows: right"),
    ):
        assert part in reason


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        # what one list leaves empty agrees with anything
        (SUCTION, with_place(SUCTION, location=""), (0, 0, 0, 3)),
        (SUCTION, with_place(SUCTION, line=""), (0, 0, 0, 3)),
        (with_place(SUCTION, area=""), SUCTION, (0, 0, 0, 3)),
        # capitals, blanks, drawings, notes and rows decide nothing
        (SUCTION, with_place(SUCTION, line=" htrs-4-201", location="Bay  2"), (0, 0, 0, 3)),
        (SUCTION, with_place(SUCTION, drawing="PID-7", note="crane", row=9), (0, 0, 0, 3)),
        # two places that are both named are two places
        (SUCTION, with_place(SUCTION, location="bay 9"), (0, 3, 3, 0)),
        (SUCTION, with_place(SUCTION, area="Dock"), (0, 3, 3, 0)),
        (SUCTION, with_place(SUCTION, line="HTRS-4-202"), (0, 3, 3, 0)),
        # a valve and a machine with a number carry their marker with them, one without does not
        (KING, with_place(KING, area="Dock", location="rack"), (0, 0, 0, 1)),
        (with_spec(RECEIVER, tag=""), with_place(with_spec(RECEIVER, tag=""), area="Dock"), None),
        (KING, with_spec(KING, function="Main king"), (1, 0, 0, 0)),
        (KING, with_spec(KING, tag="HV-119"), (0, 1, 1, 0)),
        # the service of a line changes: the place stays
        (SUCTION, with_spec(SUCTION, service="LTRS"), (3, 0, 0, 0)),
        # a line seen from both sides keeps the hand that it has
        (with_spec(LIQUID, side="one"), LIQUID, (0, 2, 0, 2)),
        (LIQUID, with_spec(LIQUID, side="one", flow="left"), (0, 0, 2, 2)),
        # a field that no one sees: an equal marker for another pipe of the same row
        (DISCHARGE, with_spec(DISCHARGE, pressure="170 psig"), (0, 0, 0, 4)),
    ],
)
def test_the_rule(old: Row, new: Row, expected: tuple[int, int, int, int] | None) -> None:
    assert counts(compared([old], [new])) == (expected or (0, 1, 1, 0))


def test_another_scheme_is_the_reason_where_the_list_is_the_same() -> None:
    old, new = order_of([SUCTION]), order_of([SUCTION], scheme="ammonia-1991")
    (change,) = diff(old, new, OPTIONS).changes
    assert change.action is Action.REPLACE
    assert "the same entry of the list now gives a different marker" in why(change)
    assert "scheme ammonia-1991, was ammonia-2014" in why(change)


def test_a_place_that_may_only_have_a_new_name_is_told() -> None:
    revision = compared([SUCTION], [with_place(SUCTION, line="HTRS-4-900")])
    add, remove = revision.changes
    assert (add.action, remove.action) == (Action.ADD, Action.REMOVE)
    assert "removed from: Freezer 1, HTRS-4-201, bay 2" in why(add)
    assert "added at: Freezer 1, HTRS-4-900, bay 2" in why(remove)


def test_markers_along_a_longer_run_keep_the_nearest() -> None:
    # 20, 60 and 100 ft along before; 20, 60, 100 and 140 ft after: the last alone is new.
    def along(*feet: int) -> Row:
        places = [
            {"qty": 1, "area": "Roof", "line": "HSD-6-103", "at": f"{each} ft"} for each in feet
        ]
        return {**DISCHARGE, "positions": places}

    revision = compared([along(20, 60, 100)], [along(20, 60, 100, 140)])
    assert counts(revision) == (0, 1, 0, 3)
    (added,) = [change for change in revision.changes if change.action is Action.ADD]
    assert added.at.placing.position.at == pytest.approx(140 * 304.8)
    kept = [change for change in revision.changes if change.action is Action.UNCHANGED]
    assert all(
        each.old and each.new and each.old.placing.position.at == each.new.placing.position.at
        for each in kept
    )


def test_the_same_list_has_nothing_to_make() -> None:
    revision = diff(order_of(), order_of(ROWS[::-1]), OPTIONS)
    assert counts(revision) == (0, 0, 0, 3 + 4 + 4 + 1 + 1)
    assert revision.order is None
    assert revision_files(revision).keys() == {"changes.pdf", "changes.csv", "manifest.json"}


def _edits() -> st.SearchStrategy[Row]:
    """Rows of a small plant, so alike that they are easily mixed up."""
    row = st.sampled_from((SUCTION, LIQUID, DISCHARGE, KING))
    place = {
        "qty": st.integers(1, 4),
        "area": st.sampled_from(("Freezer 1", "Dock")),
        "location": st.sampled_from(("", "bay 2", "bay 9")),
    }
    spec = st.sampled_from(({}, {"flow": "right"}, {"side": "both"}, {"side": "one"}))
    line = st.sampled_from(("", "L-1", "L-2"))

    def made(row: Row, place: dict[str, object], spec: dict[str, object], line: str) -> Row:
        if row is KING:
            return with_place(with_spec(KING, sides=2 if line else 1), **place)
        return with_place(with_spec(row, **spec), **place, line=line)

    return st.builds(made, row, st.fixed_dictionaries(place), spec, line)


@pytest.mark.slow
@settings(
    max_examples=25,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow],
)
@given(
    st.lists(_edits(), min_size=1, max_size=5),
    st.lists(_edits(), min_size=1, max_size=5),
    st.randoms(use_true_random=False),
)
def test_what_hangs_less_what_goes_and_more_what_is_made_is_the_new_list(
    old: list[Row], new: list[Row], chance: random.Random
) -> None:
    revision = compared(old, new)
    gone: Pieces = Counter()
    for change in revision.changes:
        if change.old and change.action is not Action.UNCHANGED:
            gone[look(change.old.marker)] += change.count
    made = pieces(revision.order)
    assert pieces(order_of(old)) - gone + made == pieces(order_of(new))
    assert not gone - pieces(order_of(old))
    for side in ("old", "new"):
        _each_piece_once(revision, side)
    chance.shuffle(old)
    chance.shuffle(new)
    assert revision_lines(compared(old, new)) == revision_lines(revision)


def _each_piece_once(revision: Revision, side: str) -> None:
    """Every placing of one list is in the changes with all its pieces."""
    seen: Counter[int] = Counter()
    wanted: dict[int, int] = {}
    for change in revision.changes:
        hanging: Hanging | None = getattr(change, side)
        if hanging is not None:
            seen[id(hanging.placing)] += change.count
            wanted[id(hanging.placing)] = hanging.placing.count
    assert seen == wanted
    order = revision.old if side == "old" else revision.new
    assert seen.total() == sum(pieces(order).values())


def test_the_folder_reads_back_and_is_the_same_again(tmp_path: Path) -> None:
    changed = [with_spec(SUCTION, flow="right"), *ROWS[2:], with_place(LIQUID, line="HPL-2-102")]
    revision = compared(list(ROWS), changed)
    files = revision_files(revision)
    assert revision_files(compared(list(ROWS[::-1]), changed[::-1])) == files
    write_folder(tmp_path / "changes", files, replace=False)
    reading = read(tmp_path / "changes" / "order.json")
    assert reading.findings == ()
    assert pieces(reading.order) == pieces(revision.order)
    rows = list(csv.DictReader(io.StringIO(files["changes.csv"].decode())))
    table = json.loads(revision_json(revision))
    for action in Action:
        in_csv = sum(int(row["pieces"]) for row in rows if row["action"] == action)
        assert in_csv == revision.count(action) == table["counts"][action]


def test_a_list_that_cannot_be_made_is_refused_with_its_finding() -> None:
    with pytest.raises(InputError, match="neither a name nor a number"):
        compared([with_spec(RECEIVER, name="", tag="")], [RECEIVER])


@pytest.mark.slow
@pytest.mark.tools
def test_the_change_sheet_reads_as_it_should() -> None:
    changed = [with_spec(SUCTION, flow="right"), DISCHARGE, KING, with_place(LIQUID, area="Dock")]
    revision = compared(list(ROWS), changed)
    pdf = revision_files(revision)["changes.pdf"]
    text = " ".join(words(pdf, page) for page in (1, 2))
    for wanted in ("Replace: 3 pieces", "Add: 4 pieces", "Remove: 5 pieces", "Existing"):
        assert wanted in text
    for change in revision.changes:
        if change.action is not Action.UNCHANGED:
            assert change.at.placing.position.area in text
    assert "flow right, was left" in text


def test_a_place_in_words() -> None:
    (item,) = order_of([LIQUID]).items
    assert place_text(item.positions[0]) == "Engine room, HPL-2-101, HPR-1 to IC-1"
