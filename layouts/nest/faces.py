"""Faces to slots: which face is printed where, on as few different printed sheets as possible.

The nest deals only with sizes; every face of one size fits every slot of that size. A printed sheet
is an arrangement with a face in each slot, repeated for some of the arrangement's copies. Greedy:
take the most copies for which enough faces remain, and let faces that come out even go first; a
face may take several slots. Several rules for the number of copies are tried and the best kept.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from layouts.nest.model import Arrangement, Nest


@dataclass(frozen=True, slots=True)
class PrintedSheet:
    """`copies` sheets of one arrangement, equal in every face; None leaves a slot blank."""

    arrangement: int
    copies: int
    faces: tuple[str | None, ...]


class Stack:
    """Quantity left of each face of one size, faces of equal quantity together.

    A sheet takes a few faces of what may be thousands, so none of the rest is looked at.
    """

    __slots__ = ("_by_count",)

    def __init__(self, counts: Mapping[str | None, int]) -> None:
        """Quantities by face, each above 0."""
        by_count: dict[int, list[str | None]] = {}
        for face, count in counts.items():
            by_count.setdefault(count, []).append(face)
        for faces in by_count.values():
            # Backwards, so that the first name is taken off the end.
            faces.sort(key=_name, reverse=True)
        self._by_count = by_count

    def copy(self) -> Stack:
        """The same faces, to be taken apart from these."""
        new = Stack({})
        new._by_count = {count: faces.copy() for count, faces in self._by_count.items()}
        return new

    @property
    def total(self) -> int:
        """How many faces there are."""
        return sum(count * len(faces) for count, faces in self._by_count.items())

    @property
    def most(self) -> int:
        """The largest quantity of one face, 0 where there is none."""
        return max(self._by_count, default=0)

    def slots(self, copies: int) -> int:
        """How many slots of a sheet can be filled if it is printed in this many copies."""
        return sum(count // copies * len(faces) for count, faces in self._by_count.items())

    def take(self, slots: int, copies: int, exact: bool) -> list[str | None]:
        """Faces for this many slots, deducted for that many copies, as ``_priority`` sorts them."""
        row: list[str | None] = []
        rests: list[tuple[int, str | None]] = []
        fit = [count for count in self._by_count if count >= copies]
        for count in sorted(fit, key=lambda each: _priority(each, copies, exact)):
            faces = self._by_count[count]
            while faces and len(row) < slots:
                face = faces.pop()
                times = min(count // copies, slots - len(row))
                row += [face] * times
                rests.append((count - times * copies, face))
            if not faces:
                del self._by_count[count]
            if len(row) == slots:
                break
        for count, face in rests:
            if count:
                self._by_count.setdefault(count, []).append(face)
        for count in {count for count, _ in rests if count}:
            self._by_count[count].sort(key=_name, reverse=True)
        return row


CopyRule = Callable[[int, int], int]
"""From the most copies possible and those left of the arrangement to the copies taken."""


def assign_faces(
    nest: Nest, faces: Mapping[int, Sequence[tuple[str, int]]]
) -> tuple[PrintedSheet, ...]:
    """Printed sheets for all arrangements.

    `faces` gives each piece index its faces with their quantities. Slots beyond the faces stay
    blank; faces beyond the slots (pieces that could not be placed) are left out, last ones first.
    """
    stacks = face_stacks(nest, faces)
    rules: tuple[CopyRule, ...] = (_most, _even)
    tries = [_assign(nest, stacks, rule, exact) for rule in rules for exact in (True, False)]
    return min(tries, key=len)


def face_stacks(nest: Nest, faces: Mapping[int, Sequence[tuple[str, int]]]) -> dict[int, Stack]:
    """For each piece on the sheets, how many slots each face takes."""
    return {piece: Stack(counts) for piece, counts in _quantities(nest, faces).items()}


def _quantities(
    nest: Nest, faces: Mapping[int, Sequence[tuple[str, int]]]
) -> dict[int, dict[str | None, int]]:
    return {
        piece: _cut_to(faces.get(piece, ()), slots)
        for piece, slots in _slots_by_piece(nest).items()
    }


def rows_count(nest: Nest, faces: Mapping[int, Sequence[tuple[str, int]]]) -> int:
    """Distinct printed sheets when faces are simply filled in, sheet by sheet, in their order."""
    stacks = {
        piece: [face for face, count in stack.items() for _ in range(count)]
        for piece, stack in _quantities(nest, faces).items()
    }
    at: Counter[int] = Counter()
    distinct = 0
    for arrangement in nest.arrangements:
        seen = set()
        for _ in range(arrangement.copies):
            row = []
            for slot in arrangement.slots:
                row.append(stacks[slot.piece][at[slot.piece]])
                at[slot.piece] += 1
            seen.add(tuple(row))
        distinct += len(seen)
    return distinct


def _slots_by_piece(nest: Nest) -> dict[int, int]:
    counts: Counter[int] = Counter()
    for arrangement in nest.arrangements:
        for slot in arrangement.slots:
            counts[slot.piece] += arrangement.copies
    return dict(counts)


def _cut_to(faces: Sequence[tuple[str, int]], slots: int) -> dict[str | None, int]:
    """Quantities by face, made to sum up to the number of slots."""
    stack: dict[str | None, int] = {}
    for face, count in faces:
        take = min(count, slots)
        if take > 0:
            stack[face] = stack.get(face, 0) + take
            slots -= take
    if slots:
        stack[None] = slots
    return stack


def _assign(
    nest: Nest, stacks: Mapping[int, Stack], rule: CopyRule, exact: bool
) -> tuple[PrintedSheet, ...]:
    left = {piece: stack.copy() for piece, stack in stacks.items()}
    sheets: list[PrintedSheet] = []
    order = sorted(range(len(nest.arrangements)), key=lambda n: (-nest.arrangements[n].copies, n))
    for n in order:
        arrangement = nest.arrangements[n]
        copies = arrangement.copies
        need = Counter(slot.piece for slot in arrangement.slots)
        while copies:
            most = most_copies(left, need, copies)
            take = max(1, rule(most, copies))
            sheets.append(PrintedSheet(n, take, _fill(arrangement, left, need, take, exact)))
            copies -= take
    return _join_equal(sheets)


def _most(most: int, left: int) -> int:
    return most


def _even(most: int, left: int) -> int:
    return -(-left // -(-left // most))


def most_copies(left: Mapping[int, Stack], need: Mapping[int, int], copies: int) -> int:
    """The most copies for which every size still has faces for all its slots."""
    low, high = 1, copies
    while low < high:
        middle = (low + high + 1) // 2
        if all(left[piece].slots(middle) >= slots for piece, slots in need.items()):
            low = middle
        else:
            high = middle - 1
    return low


def _fill(
    arrangement: Arrangement,
    left: Mapping[int, Stack],
    need: Counter[int],
    copies: int,
    exact: bool,
) -> tuple[str | None, ...]:
    """A face for each slot, taken off what is left."""
    chosen = take_faces(left, need, copies, exact)
    places = {piece: iter(row) for piece, row in chosen.items()}
    return tuple(next(places[slot.piece]) for slot in arrangement.slots)


def take_faces(
    left: Mapping[int, Stack], need: Mapping[int, int], copies: int, exact: bool
) -> dict[int, list[str | None]]:
    """For each piece as many faces as it has slots on a sheet, that many copies off what is left.

    `exact`: faces that come out even go first.
    """
    return {piece: left[piece].take(slots, copies, exact) for piece, slots in need.items()}


def _priority(count: int, copies: int, exact: bool) -> tuple[int, int]:
    """Low goes first: faces that come out even, smallest first; else the smallest remainder."""
    rest = count % copies
    if exact:
        return int(rest > 0), -count if rest else count
    return rest, -count


def _name(face: str | None) -> str:
    return face or ""


def _join_equal(sheets: Sequence[PrintedSheet]) -> tuple[PrintedSheet, ...]:
    """Equal sheets as one, in the order of the arrangements."""
    copies: Counter[tuple[int, tuple[str | None, ...]]] = Counter()
    for sheet in sheets:
        copies[sheet.arrangement, sheet.faces] += sheet.copies
    joined = [PrintedSheet(n, count, faces) for (n, faces), count in copies.items()]
    return tuple(sorted(joined, key=lambda s: (s.arrangement, -s.copies)))
