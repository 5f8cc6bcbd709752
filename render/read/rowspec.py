"""Makes one distinct row of a line list into a specification, or its faults."""

from __future__ import annotations

import re
from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from pydantic import ValidationError

from layouts.order.order import (
    EquipmentMarker,
    PipeMarker,
    Specification,
    ValveTag,
    runs_upright,
)
from layouts.terms.pipes import schedule_of, two_sizes
from layouts.terms.synonyms import KIND as KIND_WORDS
from layouts.terms.synonyms import WordError, choose, means_bare, service_of_meaning
from layouts.terms.tags import TagRangeError, expand_tags, maybe_range
from layouts.terms.values import frozen
from layouts.terms.words import Kind
from render.read.cells import Cell, CellFault, text_fault
from render.read.codes import show_value
from render.read.columns import (
    KIND,
    REPLACE_BY,
    SPEC_COLUMNS,
    Column,
    Heading,
    Measure,
    with_unit,
)
from render.read.faults import faults_of, split_message
from render.read.vocabulary import YES_NO, environment

_MODELS: dict[Kind, type[Specification]] = {
    Kind.PIPE: PipeMarker,
    Kind.EQUIPMENT: EquipmentMarker,
    Kind.VALVE: ValveTag,
}
_ROUNDS = 4  # a rule over several fields applies only when all of them can be read
_COUNTS = {"one": 1, "both": 2}
# The columns in list order: if two give the same key, the later one wins.
_RANK = {column.name: rank for rank, column in enumerate(SPEC_COLUMNS)}
_COLUMN_OF = {(kind, key): c.name for c in SPEC_COLUMNS for kind, key in c.keys.items()}


@frozen
class CellFinding:
    """A fault of one field, without its row."""

    field: str
    code: str
    what: str
    right: str


@frozen
class RowSpec:
    """The specifications from the cells of a row that decide the face.

    There is one specification, or one for each tag of a range. For a ``faulty`` row it comes from
    the cells without a fault; it may be judged but never printed.
    """

    kind: Kind
    specs: tuple[Specification, ...]
    findings: tuple[CellFinding, ...]
    faulty: bool = False


@frozen
class Habits:
    """The defaults and vocabulary of a plant's list.

    ``kind`` is that of the sheet's rows if no column gives it; ``values`` gives the text of empty
    cells by column; ``words`` gives the replacement by column and lower-case word; ``services``
    gives the meaning of each code, so that a meaning written instead of a code is read.
    """

    kind: Kind = Kind.PIPE
    values: Mapping[str, str] = field(default_factory=dict)
    words: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    services: Mapping[str, str] = field(default_factory=dict)


def in_rank(headings: Iterable[Heading]) -> tuple[Heading, ...]:
    """The headings in the order in which ``specify`` takes them."""
    return tuple(sorted(headings, key=lambda heading: _RANK[heading.column.name]))


def specify(
    headings: Sequence[Heading],
    cells: Sequence[Cell],
    defaults: Mapping[str, object],
    habits: Habits | None = None,
) -> RowSpec:
    """The specifications from the cells under the headings, which are ``in_rank``.

    ``defaults`` is the order's environment, for values that the row does not give.
    """
    habits = habits or Habits()
    draft = _Draft({"environment": dict(defaults)}, habits.kind, habits)
    for heading, cell in zip(headings, cells, strict=True):
        if not cell and not habits.values:
            continue
        text = draft.text(heading, cell)
        if text:
            draft.take(heading, text)
    return draft.finish()


@dataclass(slots=True)
class _Draft:
    """Builds a specification."""

    payload: dict[str, object]
    kind: Kind
    habits: Habits
    kind_known: bool = True
    faults: list[CellFinding] = field(default_factory=list)
    notes: list[CellFinding] = field(default_factory=list)

    def text(self, heading: Heading, cell: Cell) -> str:
        """The cell's text in one line, empty if it has none or is faulty."""
        found: CellFault | None
        column = heading.column
        if isinstance(cell, CellFault):
            welcome = column.name == REPLACE_BY and cell.date
            text, found = (cell.date, None) if welcome else ("", cell)
        else:
            text = " ".join(cell.split())
            found = text_fault(text, sized=column.measure.sized)
        if found is None:
            text = text or self.habits.values.get(column.name, "")
            said = self.habits.words.get(column.name, {}).get(text.casefold(), text)
            return with_point(said) if heading.comma else said
        self.faults.append(CellFinding(column.name, found.code, found.what, found.right))
        return ""

    def take(self, heading: Heading, text: str) -> None:
        """Put a cell's value at its key in the specification."""
        column = heading.column
        try:
            if column.name == KIND:
                self.kind = Kind(choose(text, KIND_WORDS))
                return
            key = column.keys.get(self.kind)
            if key is None:
                self._note_unused(column.name)
                return
            value = _value(heading, text, key)
            self._put_value(column, key, value)
            if column.measure is Measure.SETTING and isinstance(value, Mapping):
                self._cold_room(text, value)
        except WordError as error:
            self.kind_known = self.kind_known and column.name != KIND
            self.faults.append(CellFinding(column.name, *split_message("bad-choice", str(error))))

    def finish(self) -> RowSpec:
        """The validated specifications, or every fault and what the sound cells give."""
        self.notes += hints_of(self.payload, self.kind, self.habits.services)
        try:
            payloads = one_each(self.kind, self.payload)
        except TagRangeError as error:
            self.faults.append(CellFinding("tag", *split_message("bad-tag", str(error))))
            payloads = [{**self.payload, "tag": "-"}]  # report its other faults as well
        specs = [self._validate(payloads[0])]
        if not self.faults:
            specs += [self._validate(each) for each in payloads[1:]]
        notes = self.notes if self.kind_known else []
        made = tuple(spec for spec in specs if spec is not None)
        return RowSpec(self.kind, made, (*self.faults, *notes), bool(self.faults))

    def _validate(self, payload: Mapping[str, object]) -> Specification | None:
        """The specification; if there are faults, that of the sound cells, for judging only."""
        payload = {"kind": self.kind, **payload}
        for _round in range(_ROUNDS):
            try:
                return _MODELS[self.kind].model_validate(payload)
            except ValidationError as error:
                self._record_refusals(error, {finding.field for finding in self.faults})
                for path, *_said in faults_of(error):
                    payload = _without(payload, path)
        return None

    def _record_refusals(self, error: ValidationError, faulty: Container[str]) -> None:
        """Record pydantic's errors, except for fields whose cells already have a fault."""
        for path, code, what, right in faults_of(error):
            key = ".".join(map(str, path))
            name = _COLUMN_OF.get((self.kind, key), key)
            if name not in faulty:
                self.faults.append(CellFinding(name, code, what, right))

    def _put_value(self, column: Column, key: str, value: object) -> None:
        if key == "name" and "name" in self.payload:
            self._note_unused("function")
        target = self.payload
        *outer, last = key.split(".")
        for name in outer:
            inner = target.setdefault(name, {})
            assert isinstance(inner, dict)
            target = inner
        if column.measure is Measure.SETTING:
            assert isinstance(value, Mapping)
            inner = target.setdefault(last, {})
            assert isinstance(inner, dict)
            inner.update(value)
        else:
            target[last] = value

    def _cold_room(self, text: str, value: Mapping[str, object]) -> None:
        if at := value.get("applied_at"):
            what = f"{text}: markers are taken to be put on at {at}"
            self.notes.append(
                CellFinding("environment", "read-as", what, "give applied_f where it is warmer")
            )

    def _note_unused(self, name: str) -> None:
        what = f"{self.kind} markers do not use {name}"
        right = "it does not show on the marker; check that the row's kind is right"
        self.notes.append(CellFinding(name, "unused-cell", what, right))


def one_each(kind: Kind, payload: Mapping[str, object]) -> list[dict[str, object]]:
    """The keys once for each tag of a range such as ``HV-101..HV-118`` or ``AC-1..AC-4``.

    Raises:
        TagRangeError: the range cannot be spelled out.
    """
    tag = payload.get("tag")
    if kind is Kind.PIPE or not isinstance(tag, str) or not tag.strip():
        return [dict(payload)]
    return [{**payload, "tag": each} for each in expand_tags(tag)]


def _without(payload: Mapping[str, object], path: Sequence[str | int]) -> dict[str, object]:
    """The payload without the key at a path; a valve's required tag becomes a dash."""
    key, *rest = map(str, path)
    inner = payload.get(key)
    if rest and isinstance(inner, dict):
        return {**payload, key: _without(inner, rest)}
    kept = {name: value for name, value in payload.items() if name != key}
    return {**kept, "tag": "-"} if key == "tag" else kept


def with_point(text: str) -> str:
    """Convert decimal commas of a column; a point in such a number separates thousands."""
    if re.search(r"\d\.\d{3}(?:,|\b)", text) and "," in text:
        text = re.sub(r"(?<=\d)\.(?=\d{3})", "", text)
    return re.sub(r"(?<=\d),(?=\d)", ".", text)


def hints_of(
    payload: dict[str, object], kind: Kind, services: Mapping[str, str]
) -> list[CellFinding]:
    """Note every interpretation of a cell beyond its words; a meaning becomes its code."""
    notes = []
    service = payload.get("service")
    if isinstance(service, str) and (code := service_of_meaning(service, services)):
        payload["service"] = code
        notes.append(
            CellFinding("service", "read-as", f"{show_value(service)} is read as {code}", "")
        )
    pipe = payload.get("pipe")
    if isinstance(pipe, str) and (schedule := schedule_of(pipe)):
        what = f"{schedule} is left out: the outside diameter is the same in every schedule"
        notes.append(CellFinding("pipe", "read-as", what, ""))
    if kind is Kind.PIPE and "run" not in payload and runs_upright(payload.get("flow")):
        what = f"flow {payload['flow']} without a run is read as a vertical pipe"
        notes.append(CellFinding("flow", "read-as", what, "write vertical in run to be sure"))
    tag = payload.get("tag")
    if kind is not Kind.PIPE and isinstance(tag, str) and (meant := maybe_range(tag.strip())):
        what = f"{tag} may be one tag, or a range of tags"
        right = f"write {meant} for the range; where it is one tag, accept this with a reason"
        notes.append(CellFinding("tag", "tag-maybe-range", what, right))
    return notes


def _value(heading: Heading, text: str, key: str) -> object:
    """The value of the cell's text. Raises ``WordError``."""
    if heading.column.name == "covering_in" and means_bare(text):
        return text
    match heading.column.measure:
        case Measure.TEXT:
            return text
        case Measure.CHOICE:
            assert heading.column.words is not None
            word = choose(text, heading.column.words)
            if key == "sides":
                return _COUNTS[word]
            return int(word) if key == "lines" else word
        case Measure.FLAG:
            return choose(text, YES_NO) == "yes"
        case Measure.SETTING:
            return environment(text)
        case Measure.PIPE if two_sizes(text):
            return text
        case Measure.LENGTH if not heading.named and key == "covering":
            return text  # the pipe size decides whether inches are meant
        case _:
            return with_unit(text, heading.unit)
