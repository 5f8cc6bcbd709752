"""The outside diameter that sizes a marker: covering included, measured before computed."""

from __future__ import annotations

from layouts.order.order import PipeMarker
from layouts.plan.model import Notes
from layouts.schemes.model import SizeTable
from layouts.schemes.sizes import choose_row
from layouts.terms.findings import Severity
from layouts.terms.pipes import covered_diameter, diameter_from_girth
from layouts.terms.site_lengths import ruler_text
from layouts.terms.units import inches
from layouts.terms.values import frozen

# A tape and a caliper on the same jacket differ by less than this, common practice, no source.
_TAPE_TOLERANCE = 0.03


@frozen
class Diameter:
    """Outside diameter in mm, and whether a covering is known to be there."""

    od: float
    covered: bool
    text: str


def outside_diameter(spec: PipeMarker, table: SizeTable, notes: Notes) -> Diameter | None:
    """Settle the diameter, or record what is missing and return None.

    A diameter measured over the covering governs, then a circumference, then the pipe's own
    diameter plus twice the covering.
    """
    computed = _compute_od(spec)
    taped = diameter_from_girth(spec.girth) if spec.girth is not None else None
    measured = spec.od if spec.od is not None else taped
    if measured is None and computed is None:
        notes.find(
            Severity.UNREADABLE,
            "size-missing",
            "nothing says how thick the pipe is",
            "give pipe and covering_in, or od_in or girth_in measured over the covering",
            field="pipe",
        )
        return None
    if spec.od is not None and taped is not None and _apart(spec.od, taped):
        notes.find(
            Severity.WARNING,
            "girth-differs",
            f"the girth gives {inches(taped)} outside diameter but od_in says {inches(spec.od)}",
            "measure again; od_in was used",
            field="girth_in",
        )
    if measured is None:
        assert computed is not None
        return _from_pipe(spec, computed, notes)
    if measured <= 0:
        notes.find(
            Severity.UNREADABLE,
            "size-zero",
            "the outside diameter is zero",
            "give the diameter or girth measured over the covering",
            field="od_in",
        )
        return None
    return _from_tape(spec, table, measured, computed, notes)


def _compute_od(spec: PipeMarker) -> float | None:
    return covered_diameter(spec.pipe.od, spec.covering or 0.0) if spec.pipe else None


def _apart(one: float, other: float) -> bool:
    return abs(one - other) > _TAPE_TOLERANCE * max(one, other)


def _from_pipe(spec: PipeMarker, computed: float, notes: Notes) -> Diameter:
    assert spec.pipe is not None
    if spec.covering is None:
        notes.find(
            Severity.WARNING,
            "covering-missing",
            f"no covering given; sized for bare pipe, {inches(computed)} outside diameter",
            "give covering_in (0 for a bare pipe) or, better, od_in measured over the covering",
            field="covering_in",
        )
    covered = bool(spec.covering)
    text = f"{spec.pipe.label} ({ruler_text(spec.pipe.od)} OD)"
    if covered:
        text += f" + 2 x {inches(spec.covering or 0.0)} insulation = {ruler_text(computed)} OD"
    notes.reason("diameter", text, spec.pipe.source)
    if spec.pipe.note:
        notes.reason("diameter", spec.pipe.note)
    return Diameter(computed, covered, text)


def _from_tape(
    spec: PipeMarker, table: SizeTable, measured: float, computed: float | None, notes: Notes
) -> Diameter | None:
    field = "od_in" if spec.od is not None else "girth_in"
    where = "on the bare pipe" if spec.covering == 0 else "over the insulation"
    text = f"{ruler_text(measured)} OD, measured {where}"
    if spec.od is None:
        text = f"circumference {inches(spec.girth or 0.0)} (pi tape) = {text}"
    notes.reason("diameter", text)
    if spec.pipe is not None and measured < spec.pipe.od * (1 - _TAPE_TOLERANCE):
        notes.find(
            Severity.UNREADABLE,
            "od-below-pipe",
            f"{inches(measured)} over the covering is less than {spec.pipe.label} itself "
            f"({inches(spec.pipe.od)})",
            "measure again, or correct the pipe",
            field=field,
        )
        return None
    if computed is not None and spec.covering is not None:
        measured_row = choose_row(table, measured).row
        computed_row = choose_row(table, computed).row
        if measured_row != computed_row:
            notes.find(
                Severity.WARNING,
                "covering-rows-differ",
                f"measured over the covering {inches(measured)}, computed from pipe and covering "
                f"{inches(computed)}: they fall in different size rows",
                "measure again; the measured diameter was used",
                field=field,
            )
    covered = bool(spec.covering) or (
        spec.pipe is not None and measured > spec.pipe.od * (1 + _TAPE_TOLERANCE)
    )
    return Diameter(measured, covered, text)
