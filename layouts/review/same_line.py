"""One line number is one line: its rows must agree."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from layouts.order.order import Position
from layouts.review.lines import Line
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.values import frozen

LINE_SOURCE = "common practice, no source: a line number stands for one service and one size"


@frozen
class LineAspect:
    """A value that all rows of a line share; ``blocks`` if a marker would be wrong."""

    name: str
    blocks: bool
    told: Callable[[Line], str]


ASPECTS = (
    LineAspect("service", True, lambda line: line.spec.service.upper()),
    LineAspect("contents", False, lambda line: line.contents),
    LineAspect("state", False, lambda line: str(line.spec.state or "")),
    LineAspect("level", True, lambda line: str(line.level or "").upper()),
    LineAspect("pipe", False, lambda line: line.spec.pipe.label if line.spec.pipe else ""),
)
_FIELDS = {"level": "pressure_psig"}


def lines_that_differ(lines: Iterable[Line]) -> Iterator[Finding]:
    """One finding for each line number whose rows differ, with the rows that say so."""
    lines = tuple(lines)
    several = _on_several_lines(lines)
    if not several:
        return
    groups: dict[str, list[tuple[Line, Position]]] = {number: [] for number in several}
    for line in lines:
        for position in line.item.positions:
            if (number := _number(position)) in groups:
                groups[number].append((line, position))
    for rows in groups.values():
        yield from _difference(rows)


def _on_several_lines(lines: Iterable[Line]) -> list[str]:
    """The numbers that more than one specification has, in the order of the list."""
    first: dict[str, Line] = {}
    several: set[str] = set()
    for line in lines:
        for position in line.item.positions:
            number = _number(position)
            if first.setdefault(number, line) is not line:
                several.add(number)
    return [number for number in first if number in several and number]


def _number(position: Position) -> str:
    """The line's number without spaces, in capitals; empty where the list gives none."""
    return "".join(position.line.upper().split())


def _difference(rows: list[tuple[Line, Position]]) -> Iterator[Finding]:
    rows = sorted(rows, key=lambda row: row[1].row or 0)
    said: list[str] = []
    first_other: Position | None = None
    fields: list[str] = []
    blocks = False
    for aspect in ASPECTS:
        firsts: dict[str, Position] = {}
        for line, position in rows:
            if told := aspect.told(line):
                firsts.setdefault(told, position)
        if len(firsts) < 2:
            continue
        said.append(" and ".join(_with_row(text, where) for text, where in firsts.items()))
        fields.append(_FIELDS.get(aspect.name, aspect.name))
        first_other = first_other or list(firsts.values())[1]
        blocks = blocks or aspect.blocks
    if first_other is None:
        return
    yield Finding(
        "line-differs",
        Severity.BLOCKING if blocks else Severity.WARNING,
        f"the line {rows[0][1].line} is {'; '.join(said)}",
        "correct the row that is wrong, or give the other line its own number",
        LINE_SOURCE,
        Place(row=first_other.row, field=fields[0], marker=rows[0][1].line),
    )


def _with_row(text: str, position: Position) -> str:
    return text if position.row is None else f"{text} (row {position.row})"
