"""Checks each table of an order file separately and collects all faults."""

from __future__ import annotations

import datetime
from collections.abc import Container, Iterable, Iterator, Mapping
from dataclasses import fields
from itertools import islice
from pathlib import Path
from typing import TypeAlias

from pydantic import ValidationError

from layouts.order.order import (
    Acceptance,
    Environment,
    EquipmentMarker,
    Item,
    MeasuredRun,
    Neighbor,
    OrderHead,
    PipeMarker,
    Position,
    Specification,
    StockChoice,
    ValveTag,
)
from layouts.order.safety_sign import SafetySign
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.tags import TagRangeError
from layouts.terms.values import frozen
from layouts.terms.words import Kind
from render.read.codes import CODES, fault, list_words, nearest, show_value
from render.read.faults import faults_of, split_message
from render.read.positions import AS_POSITION
from render.read.rowspec import one_each
from render.read.runs import SpacingRules, is_counted, lacks_length, set_viewing_distance, spots_of

Table: TypeAlias = dict[str, object]

MODELS: dict[str, type[Specification]] = {
    str(Kind.PIPE): PipeMarker,
    str(Kind.EQUIPMENT): EquipmentMarker,
    str(Kind.VALVE): ValveTag,
}
POSITION_KEYS = (
    *("qty", "area", "location", "line", "drawing", "from", "to", "note", "row", "source"),
    *("spot", "at", "height", "distance", "pipe_run", "pieces"),
)
FILE_KEYS = ("markers", "environment", "line_list")
_MOST_OF_A_TABLE, _MOST_IN_ALL = 100, 5_000  # faults reported


@frozen
class _Asked:
    """A position of a table, named by ``where``, and whether it gives a quantity."""

    where: str
    position: Position
    has_quantity: bool


class OrderReader:
    """The parts of an order file, each checked separately, and all their faults."""

    def __init__(self, name: str, folder: Path | None = None) -> None:
        self._name, self._folder = name, folder or Path()
        self._found: list[Finding] = []
        self._faulty = 0
        self.rules = SpacingRules(folder=self._folder)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All faults so far, each once."""
        return tuple(dict.fromkeys(self._found))

    def head(self, tables: Mapping[str, object]) -> OrderHead | None:
        """The order's head; from then on its spacing rule counts the runs."""
        date = tables.get("date")
        if type(date) is datetime.date:  # TOML has a date type
            tables = {**tables, "date": date.isoformat()}
        try:
            head = OrderHead.model_validate(tables)
        except ValidationError as error:
            self._faults("", error, (*OrderHead.model_fields, *FILE_KEYS))
            return None
        self.rules = SpacingRules(head.spacing, self._folder)
        return head

    def environment(self, tables: object) -> Mapping[str, object]:
        """The environment for markers that give none."""
        try:
            Environment.model_validate(tables)
        except ValidationError as error:
            self._faults("environment", error, Environment.model_fields)
            return {}
        assert isinstance(tables, dict)
        return tables

    def markers(
        self, tables: object, defaults: Mapping[str, object], where: str = "marker {}"
    ) -> tuple[Item, ...]:
        """The items of the readable [[markers]] tables; ``where`` names a table."""
        if not isinstance(tables, list):
            self._add("markers", "bad-value", "it is not a list", "write [[markers]] tables")
            return ()
        items: list[Item] = []
        for number, table in enumerate(tables, 1):
            at = where.format(number)
            if not isinstance(table, dict):
                self._add(
                    at, "bad-value", f"{show_value(table)} is not a table", "write [[markers]]"
                )
                continue
            specs = self._specs(at, table, defaults)
            asked = self._positions(at, table)
            for spec in specs:
                for each in asked:
                    items += self._place_item(spec, each)
        return tuple(items)

    def _place_item(self, spec: Specification, asked: _Asked) -> Iterator[Item]:
        """The marker at its position, or at every spot of the run that the position describes."""
        where, position, has_quantity = asked.where, asked.position, asked.has_quantity
        seen = set_viewing_distance(spec, position)
        if not isinstance(seen, PipeMarker):
            if position.pipe_run is not None:
                what, right = f"a {seen.kind} is on no run", "take it out"
                self._add(f"{where}, pipe_run", "bad-value", what, right)
            yield Item(seen, (position,))
        elif lacks_length(position, has_quantity):
            right = "give length, or a qty that says how many markers there are"
            self._add(f"{where}, pipe_run, length", "missing-value", "the run has no length", right)
        elif is_counted(position, has_quantity):
            if spots := self._spots(where, seen, position):
                yield Item(seen, spots)
        else:
            yield Item(seen, (position,))

    def _spots(self, where: str, spec: PipeMarker, position: Position) -> tuple[Position, ...]:
        try:
            spots, notes = spots_of(spec, position, self.rules)
        except InputError as error:
            for each in error.findings:
                outer = "" if each.place.field in POSITION_KEYS else "pipe_run, "
                self._add(f"{where}, {outer}{each.place.field}", each.code, each.what, each.right)
            return ()
        for note in notes:
            self._add(f"{where}, pipe_run", *split_message("run-assumed", note))
        return spots

    def _specs(
        self, where: str, table: Table, defaults: Mapping[str, object]
    ) -> list[Specification]:
        """The specification, or one for each tag of a range; none where there is a fault."""
        kind = table.get("kind", str(Kind.PIPE))
        model = MODELS.get(kind) if isinstance(kind, str) else None
        if model is None or not isinstance(kind, str):
            near = nearest(kind, MODELS) if isinstance(kind, str) else ""
            right = f"did you mean {near}?" if near else f"write {list_words(MODELS)}"
            self._add(
                f"{where}, kind", "bad-choice", f"{show_value(kind)} is not a kind of marker", right
            )
            return []
        payload = {k: v for k, v in table.items() if k not in (*POSITION_KEYS, "positions")}
        payload = _in_own_words(payload, model.model_fields)
        payload["kind"] = Kind(kind)
        own = payload.get("environment", {})
        if isinstance(own, dict):
            payload["environment"] = {**defaults, **own}
        try:
            return [model.model_validate(each) for each in one_each(Kind(kind), payload)]
        except TagRangeError as error:
            self._add(f"{where}, tag", *split_message("bad-tag", str(error)))
        except ValidationError as error:
            self._faults(where, error, (*model.model_fields, *POSITION_KEYS, "positions"))
        return []

    def _positions(self, where: str, table: Table) -> list[_Asked]:
        """The items and their positions; empty if there is a fault."""
        flat = {key: table[key] for key in POSITION_KEYS if key in table}
        listed_ones = table.get("positions")
        if "positions" not in table:
            return self._position(where, flat)
        if flat:
            what = f"{list_words(sorted(flat))} stands beside positions"
            self._add(f"{where}, {min(flat)}", "bad-value", what, "give it in each position")
        if not isinstance(listed_ones, list) or not listed_ones:
            right = "write a list of tables as in [{qty = 2, area = 'Dock'}]"
            what = f"{show_value(listed_ones)} is not a list of positions"
            self._add(f"{where}, positions", "bad-value", what, right)
            return []
        read = [
            self._position(f"{where}, position {number}", each)
            for number, each in enumerate(listed_ones, 1)
        ]
        return [] if flat or not all(read) else [asked for found in read for asked in found]

    def _position(self, where: str, table: object) -> list[_Asked]:
        try:
            position = AS_POSITION.validate_python(table)
        except ValidationError as error:
            self._faults(where, error, POSITION_KEYS)
            return []
        return [_Asked(where, position, isinstance(table, dict) and "qty" in table)]

    def _faults(self, where: str, error: ValidationError, keys: Iterable[str]) -> None:
        """Record pydantic's errors; ``keys`` are those of the outermost table."""

        def keys_at(path: tuple[str | int, ...]) -> Iterable[str]:
            outer = [part for part in path[:-1] if isinstance(part, str)]
            return _INNER[outer[-1]] if outer else keys

        more = error.error_count() - _MOST_OF_A_TABLE
        for path, code, what, right in islice(faults_of(error, keys_at), _MOST_OF_A_TABLE):
            self._add(", ".join(part for part in (where, _path(path)) if part), code, what, right)

        if more > 0:
            self._add(where, "more-findings", f"and {more:,} more", "mend those that are told")

    def _add(self, field: str, code: str, what: str, right: str) -> None:
        if CODES[code][0] is Severity.UNREADABLE:
            self._faulty += 1
            if self._faulty > _MOST_IN_ALL:
                return  # those before it keep the order from being made
        self._found.append(fault(code, what, right, Place(self._name, field=field)))


# The names that the commands use for keys of a marker.
_WORDS = {
    "psig": "pressure",
    "viewing": "viewing_distance",
    "letter": "letter_height",
    "size": "valve_size",
    "normal": "normal_position",
    "same_letter": "neighbor.letter_height",
    "same_height": "neighbor.marker_height",
    "same_length": "neighbor.length",
    **{
        name: f"environment.{name}"
        for name in ("surface", "operating", "applied_at", "frost", "washdown", "food_zone")
    },
}


def _in_own_words(table: Table, known: Container[str]) -> dict[str, object]:
    """The table with the commands' names replaced by the order's keys; duplicates stay."""
    found = dict(table)
    for word, key in _WORDS.items():
        outer, _, inner = key.partition(".")
        if word not in found or word in known or outer not in known:
            continue
        beside = found.get(outer, {}) if inner else found
        if isinstance(beside, dict) and (inner or outer) not in beside:
            value = found.pop(word)
            found[outer] = {**beside, inner: value} if inner else value
    return found


_INNER: dict[str, Iterable[str]] = {
    "environment": Environment.model_fields,
    "neighbor": Neighbor.model_fields,
    "stocks": StockChoice.model_fields,
    "accept": Acceptance.model_fields,
    "signs": SafetySign.model_fields,
    "pipe_run": [each.name for each in fields(MeasuredRun)],
}


def _path(path: tuple[str | int, ...]) -> str:
    """``accept 2, reason`` for ("accept", 1, "reason"): people count from one."""
    text = ""
    for part in path:
        if isinstance(part, int):
            text += f" {part + 1}"
        else:
            text += f", {part}" if text else part
    return text
