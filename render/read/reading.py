"""The result of reading a file: the order, its findings, and the cell of each finding."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import field, replace

from layouts.order.order import Item, Order, Position
from layouts.terms.findings import Finding, Place
from layouts.terms.values import frozen
from layouts.terms.words import Kind
from render.read.codes import fault
from render.read.headings import Mapped
from render.read.mapping import propose


@frozen
class ListOrigin:
    """A list of the order: its file and sheet, its columns, and its faulty cells.

    ``sheet`` is empty if the file has no other list; ``cells`` gives letter and heading by column,
    ``faulty`` the row and column of cells that could not be read.
    """

    file: str
    sheet: str
    cells: Mapping[str, tuple[str, str]]
    faulty: frozenset[tuple[int, str]]
    mapped: tuple[Mapped, ...]
    book_sheet: str = ""
    kind: Kind | None = None


@frozen
class Reading:
    """The result of reading a file.

    ``order`` holds everything that could be read, so that it can be checked further; it must not
    be printed while a finding is ``UNREADABLE``. It is None if nothing could be read. ``listed``
    names the file whose rows the positions refer to: the list itself, or the order's. ``origins``
    holds its lists by the ``source`` of their positions. ``judged`` also holds the rows with a
    fault, read from their other cells, so that all faults of a row are reported at once; it is for
    judging only.
    """

    order: Order | None
    findings: tuple[Finding, ...]
    listed: str = field(default="", compare=False)
    origins: Mapping[str, ListOrigin] = field(default_factory=dict, compare=False)
    judged: Order | None = field(default=None, compare=False)

    @property
    def mapped(self) -> tuple[Mapped, ...]:
        """The match of every heading of every list."""
        return tuple(each for origin in self.origins.values() for each in origin.mapped)

    def proposal(self) -> str:
        """A mapping of the lists' headings as TOML, to review and save."""
        sheets = {origin.book_sheet: origin.mapped for origin in self.origins.values()}
        kinds = {o.book_sheet: o.kind for o in self.origins.values() if o.kind is not None}
        return propose(sheets, kinds)

    def located(self, findings: Iterable[Finding]) -> tuple[Finding, ...]:
        """Findings of the plan, with file, sheet, cell and heading of the list.

        A finding about an unreadable cell is left out, because that cell was already reported.
        """
        rows = self._rows_alike() if any(each.faulty for each in self.origins.values()) else {}
        placed = (self._place_finding(finding, rows) for finding in findings)
        return tuple(finding for finding in placed if finding is not None)

    def _rows_alike(self) -> dict[tuple[str, int], list[tuple[str, int]]]:
        """For each row, all rows that ask for the same marker, including itself."""
        found: dict[tuple[str, int], list[tuple[str, int]]] = {}
        for item in self.judged.items if self.judged is not None else ():
            rows = sorted((p.source, p.row) for p in item.positions if p.row is not None)
            found |= dict.fromkeys(rows, rows)
        return found

    def _sound_place(
        self, place: Place, rows: Mapping[tuple[str, int], list[tuple[str, int]]]
    ) -> Place | None:
        """The first matching row whose cell can be read, None if there is none."""
        alike = rows.get((place.sheet, place.row or 0), [])
        sound = [
            (source, row)
            for source, row in alike
            if (row, place.field) not in self.origins[source].faulty
        ]
        if not sound:
            return None
        return replace(place, sheet=sound[0][0], row=sound[0][1], more=len(sound) - 1)

    def _place_finding(
        self, finding: Finding, rows: Mapping[tuple[str, int], list[tuple[str, int]]]
    ) -> Finding | None:
        place = finding.place
        origin = self.origins.get(place.sheet)
        if origin is None or place.row is None or place.cell:
            return finding
        if (place.row, place.field) in origin.faulty:
            sound = self._sound_place(place, rows)
            return (
                None if sound is None else self._place_finding(replace(finding, place=sound), rows)
            )
        letter, heading = origin.cells.get(place.field, ("", ""))
        return replace(
            finding,
            place=replace(
                place,
                file=origin.file,
                sheet=origin.sheet,
                cell=f"{letter}{place.row}" if letter else "",
                heading=heading,
            ),
        )


def join_areas(items: Iterable[Item]) -> tuple[tuple[Item, ...], tuple[Finding, ...]]:
    """Use the first spelling of each area, with a note for every other."""
    items = tuple(items)
    written: dict[str, Position] = {}
    for item in items:
        for position in item.positions:
            written.setdefault(position.area, position)
    spelled: dict[str, dict[str, Position]] = {}
    for area, position in written.items():
        spelled.setdefault("".join(area.casefold().split()), {})[area] = position
    several = {key: found for key, found in spelled.items() if len(found) > 1}
    if not several:
        return items, ()
    first = {key: min(found.values(), key=_rank).area for key, found in several.items()}
    wanted = {area: first[key] for key, found in several.items() for area in found}
    joined = tuple(
        replace(
            item,
            positions=tuple(
                replace(each, area=wanted.get(each.area, each.area)) for each in item.positions
            ),
        )
        for item in items
    )
    notes = [
        fault(
            "area-spelled",
            f"{area!r} is taken for {first[key]!r}",
            "write one area in one way",
            Place(row=position.row, field="area", sheet=position.source),
        )
        for key, found in sorted(several.items())
        for area, position in sorted(found.items())
        if area != first[key]
    ]
    return joined, tuple(notes)


def _rank(position: Position) -> tuple[bool, str, int]:
    return position.row is None, position.source, position.row or 0
