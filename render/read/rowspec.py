"""One distinct row of a line list made into a specification, or its faults."""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence
from dataclasses import dataclass, field

from pydantic import ValidationError

from layouts.order.order import EquipmentMarker, PipeMarker, Specification, ValveTag
from layouts.terms.tags import TagRangeError, expand_tags
from layouts.terms.words import Kind
from render.read.cells import Cell, CellFault, text_fault
from render.read.columns import KIND, SPEC_COLUMNS, Column, Heading, Measure, with_unit
from render.read.faults import faults_of, split
from render.read.vocabulary import KIND as KIND_WORDS
from render.read.vocabulary import YES_NO, WordError, choose, environment

_MODELS: dict[Kind, type[Specification]] = {
    Kind.PIPE: PipeMarker,
    Kind.EQUIPMENT: EquipmentMarker,
    Kind.VALVE: ValveTag,
}
_COUNTS = {"one": 1, "both": 2}
# The columns in the list's own order: where two give the same key, the later one wins.
_RANK = {column.name: rank for rank, column in enumerate(SPEC_COLUMNS)}
_COLUMN_OF = {(kind, key): c.name for c in SPEC_COLUMNS for kind, key in c.keys.items()}


@dataclass(frozen=True, slots=True)
class CellFinding:
    """A fault of one field, without its row."""

    field: str
    code: str
    what: str
    right: str


@dataclass(frozen=True, slots=True)
class RowSpec:
    """What the face-deciding cells of a row say.

    There is one specification, or one for each tag of a range, and none where a cell has a
    fault.
    """

    kind: Kind
    specs: tuple[Specification, ...]
    findings: tuple[CellFinding, ...]


def specify(
    headings: Sequence[Heading], cells: Sequence[Cell], defaults: Mapping[str, object]
) -> RowSpec:
    """The specifications that the cells under the headings ask for.

    ``defaults`` is the order's environment, for what the row does not say.
    """
    pairs = sorted(zip(headings, cells, strict=True), key=lambda pair: _RANK[pair[0].column.name])
    draft = _Draft(payload={"environment": dict(defaults)})
    for heading, cell in pairs:
        text = draft.text(heading.column, cell)
        if text:
            draft.take(heading, text)
    return draft.finish()


@dataclass(slots=True)
class _Draft:
    """A specification in the making."""

    payload: dict[str, object]
    kind: Kind = Kind.PIPE
    kind_known: bool = True
    faults: list[CellFinding] = field(default_factory=list)
    notes: list[CellFinding] = field(default_factory=list)

    def text(self, column: Column, cell: Cell) -> str:
        """The cell's text in one line, empty where there is none or it has a fault."""
        found: CellFault | None
        if isinstance(cell, CellFault):
            text, found = "", cell
        else:
            text = " ".join(cell.split())
            found = text_fault(text, sized=column.measure.sized)
        if found is None:
            return text
        self.faults.append(CellFinding(column.name, found.code, found.what, found.right))
        return ""

    def take(self, heading: Heading, text: str) -> None:
        """Put what a cell says where the specification wants it."""
        column = heading.column
        try:
            if column.name == KIND:
                self.kind = Kind(choose(text, KIND_WORDS))
                return
            key = column.keys.get(self.kind)
            if key is None:
                self._unused(column.name)
                return
            self._put(column, key, _value(heading, text, key))
        except WordError as error:
            self.kind_known = self.kind_known and column.name != KIND
            self.faults.append(CellFinding(column.name, *split("bad-choice", str(error))))

    def finish(self) -> RowSpec:
        """The validated specifications, or every fault."""
        try:
            payloads = one_each(self.kind, self.payload)
        except TagRangeError as error:
            self.faults.append(CellFinding("tag", *split("bad-tag", str(error))))
            payloads = [{**self.payload, "tag": "-"}]  # its other faults are told as well
        faulty = {finding.field for finding in self.faults}
        specs = []
        for payload in payloads:
            try:
                specs.append(_MODELS[self.kind].model_validate({"kind": self.kind, **payload}))
            except ValidationError as error:
                self._refused(error, faulty)
                break  # the tags of a range differ in nothing else
        notes = self.notes if self.kind_known else []
        return RowSpec(self.kind, () if self.faults else tuple(specs), (*self.faults, *notes))

    def _refused(self, error: ValidationError, faulty: Container[str]) -> None:
        """Record what pydantic refuses, but for fields whose cells have a fault already."""
        for path, code, what, right in faults_of(error):
            key = ".".join(map(str, path))
            name = _COLUMN_OF.get((self.kind, key), key)
            if name not in faulty:
                self.faults.append(CellFinding(name, code, what, right))

    def _put(self, column: Column, key: str, value: object) -> None:
        if key == "name" and "name" in self.payload:
            self._unused("function")
        target = self.payload
        *outer, last = key.split(".")
        for name in outer:
            inner = target.setdefault(name, {})
            assert isinstance(inner, dict)
            target = inner
        if column.measure is Measure.SETTING:
            assert isinstance(value, dict)
            inner = target.setdefault(last, {})
            assert isinstance(inner, dict)
            inner.update(value)
        else:
            target[last] = value

    def _unused(self, name: str) -> None:
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


def _value(heading: Heading, text: str, key: str) -> object:
    """What the cell's text stands for. Raises ``WordError``."""
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
        case _:
            return with_unit(text, heading.unit)
