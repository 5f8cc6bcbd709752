"""Faces to slots: nothing lost, few different sheets."""

import random
from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layouts.nest import Arrangement, Bound, Nest, Slot, nest
from layouts.nest.faces import PrintedSheet, Stack, assign_faces, rows_count
from tests.nest.orders import request, sheet


def _printed(sheets: tuple[PrintedSheet, ...]) -> Counter[str | None]:
    made: Counter[str | None] = Counter()
    for printed in sheets:
        for face in printed.faces:
            made[face] += printed.copies
    return made


def _one_size(slots: int, copies: int) -> Nest:
    row = tuple(Slot(0, 10 * n, 0) for n in range(slots))
    return Nest((Arrangement("s", copies, row, 10 * slots, 10),), (), Bound("area", 0, 0, 0))


def test_faces_that_come_out_even_need_one_sheet_each_group() -> None:
    # 4 slots, 10 copies: four faces of 10 are one printed sheet; by hand.
    faces = {0: [("a", 10), ("b", 10), ("c", 10), ("d", 10)]}
    assert len(assign_faces(_one_size(4, 10), faces)) == 1
    assert rows_count(_one_size(4, 10), faces) == 6


def test_a_face_may_take_several_slots() -> None:
    # 30 + 10 on 4 slots and 10 copies: a a a b, one printed sheet.
    sheets = assign_faces(_one_size(4, 10), {0: [("a", 30), ("b", 10)]})
    assert [(s.copies, Counter(s.faces)) for s in sheets] == [(10, Counter(a=3, b=1))]


@pytest.mark.parametrize("seed", range(5))
def test_five_hundred_faces_of_one_size(seed: int) -> None:
    rng = random.Random(seed)
    counts = [rng.randint(5, 75) for _ in range(500)]
    copies = -(-sum(counts) // 28)
    nested = _one_size(28, copies)
    faces = {0: [(f"f{n}", count) for n, count in enumerate(counts)]}
    sheets = assign_faces(nested, faces)
    made = _printed(sheets)
    assert all(made[f"f{n}"] == count for n, count in enumerate(counts))
    assert sum(s.copies for s in sheets) == copies
    # 18 sheets can hold 500 faces at all; twice that is our own limit.
    assert 18 <= len(sheets) <= 36
    assert len(sheets) * 8 < rows_count(nested, faces)


@pytest.mark.parametrize("seed", range(20))
def test_nothing_lost_on_nested_orders(seed: int) -> None:
    rng = random.Random(seed)
    sizes = [(rng.randint(2, 9), rng.randint(2, 9), rng.randint(1, 60)) for _ in range(6)]
    nested = nest(request(sizes, sheet(20, 20), effort=0))
    faces = {}
    for n, (_, _, demand) in enumerate(sizes):
        first = rng.randint(0, demand)
        faces[n] = [(f"{n}a", first), (f"{n}b", demand - first)]
    sheets = assign_faces(nested, faces)
    made = _printed(sheets)
    assert all(made[face] == count for rows in faces.values() for face, count in rows)
    for printed in sheets:
        slots = nested.arrangements[printed.arrangement].slots
        assert [str(s.piece) for s in slots] == [(f or "")[:1] for f in printed.faces]
    by_arrangement: Counter[int] = Counter()
    for printed in sheets:
        by_arrangement[printed.arrangement] += printed.copies
    assert all(by_arrangement[n] == a.copies for n, a in enumerate(nested.arrangements))


def test_missing_faces_leave_blank_slots() -> None:
    sheets = assign_faces(_one_size(4, 1), {0: [("a", 3)]})
    assert Counter(sheets[0].faces) == Counter({"a": 3, None: 1})


@given(
    st.lists(st.integers(1, 24), min_size=1, max_size=30),
    st.integers(1, 9),
    st.integers(1, 9),
    st.booleans(),
)
def test_a_stack_gives_faces_by_their_rule(
    counts: list[int], slots: int, copies: int, exact: bool
) -> None:
    """As sorting all of them says, and what is left is what was there less what was taken."""
    faces: dict[str | None, int] = {f"f{n:02}": count for n, count in enumerate(counts)}

    def rule(face: str | None) -> tuple[int, int, str]:
        rest = faces[face] % copies
        if exact:
            return int(rest > 0), -faces[face] if rest else faces[face], face or ""
        return rest, -faces[face], face or ""

    stack = Stack(faces)
    room = stack.slots(copies)
    row = stack.copy().take(slots, copies, exact)
    fit = sorted((face for face in faces if faces[face] >= copies), key=rule)
    expected = [face for face in fit for _ in range(faces[face] // copies)]
    assert row == expected[:slots]
    assert room == len(expected)
    assert stack.take(slots, copies, exact) == row
    assert stack.total == sum(counts) - copies * len(row)
