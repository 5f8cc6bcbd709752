"""Faces by the size that the nester knows them by, each for its position where areas matter."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace

from layouts.nest import Nest
from layouts.request import Work


class Faces:
    """The faces of each piece by a text of their own, and the position that each is for."""

    def __init__(self) -> None:
        self.of_piece: dict[int, list[tuple[str, int]]] = defaultdict(list)
        self.homes: dict[str, tuple[str, str, int]] = {}

    def add(self, piece: int, name: str, count: int, area: str = "", number: int = 0) -> None:
        """So many of a part, for one position where areas are kept together."""
        text = f"{name}|{number}|{area}" if area else name
        self.homes[text] = name, area, number
        self.of_piece[piece].append((text, count))


def faces_of(work: Work) -> Faces:
    """Every face by the piece of its size."""
    faces = Faces()
    for index, size in enumerate(work.keys):
        for each in work.sizes[size]:
            faces.add(index, each.name, each.quantity)
    return faces


def faces_of_kits(work: Work, answer: Nest, kits: Sequence[Sequence[str]]) -> tuple[Nest, Faces]:
    """The nest with every size of every area as a piece of its own, and the faces of each."""
    numbers: dict[tuple[int, str], int] = {}
    faces = Faces()
    for index, size in enumerate(work.keys):
        for each in work.sizes[size]:
            for due in each.dues:
                piece = numbers.setdefault((index, due.area), len(numbers))
                faces.add(piece, each.name, due.count, due.area, due.number)
    arrangements = tuple(
        replace(
            arrangement,
            slots=tuple(
                replace(slot, piece=numbers[slot.piece, kit])
                for slot, kit in zip(arrangement.slots, names, strict=True)
            ),
        )
        for arrangement, names in zip(answer.arrangements, kits, strict=True)
    )
    return replace(answer, arrangements=arrangements), faces
