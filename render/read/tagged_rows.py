"""Rows that differ only in their tag are read once."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from layouts.order.order import PipeMarker, retagged
from render.read.cells import Cell
from render.read.columns import TAG, Heading
from render.read.rowspec import Habits, RowSpec, specify

_PLAIN = re.compile(r"[A-Za-z]{1,6}-?\d{1,6}")  # as most plants write it: no range, no two tags


class RowReader:
    """Reads the cells of distinct rows under their headings, which are ``in_rank``.

    Most rows with a tag of their own repeat all other cells, and reading is most of their cost.
    """

    def __init__(
        self, headings: Sequence[Heading], defaults: Mapping[str, object], habits: Habits
    ) -> None:
        self._headings, self._defaults, self._habits = headings, defaults, habits
        names = [heading.column.name for heading in headings]
        self._tag = names.index(TAG) if TAG in names and TAG not in habits.words else None
        self._known: dict[tuple[Cell, ...], RowSpec] = {}

    def read(self, cells: tuple[Cell, ...]) -> RowSpec:
        """What the cells ask for."""
        at = self._tag
        tag = cells[at] if at is not None else ""
        if at is None or not isinstance(tag, str) or not _PLAIN.fullmatch(tag):
            return specify(self._headings, cells, self._defaults, self._habits)
        others = (*cells[:at], *cells[at + 1 :])
        known = self._known.get(others)
        found = _with_tag(known, str(tag)) if known is not None else None
        if found is None:
            found = specify(self._headings, cells, self._defaults, self._habits)
            self._known[others] = found
        return found


def _with_tag(row: RowSpec, tag: str) -> RowSpec | None:
    """The row under another plain tag; None where its own tag makes no difference or a fault."""
    spec = row.specs[0] if len(row.specs) == 1 else None
    if row.faulty or spec is None or isinstance(spec, PipeMarker):
        return None
    return RowSpec(row.kind, (retagged(spec, tag),), row.findings)
