"""Ask about implausible sizes and temperatures: wrong units or columns."""

from __future__ import annotations

from layouts.order.order import PipeMarker
from layouts.plan.carried import Carried
from layouts.plan.model import Notes
from layouts.plan.warmth import duty_of
from layouts.schemes.loader import load_limits, load_phases
from layouts.schemes.model import Service
from layouts.terms.findings import Severity
from layouts.terms.pipes import covered_diameter, diameter_from_girth
from layouts.terms.units import MM_PER_INCH, inches

_NEAR = 0.03  # tolerance of a taped diameter, as a share of the pipe's


def sizes_are_plausible(spec: PipeMarker, notes: Notes) -> None:
    """Check covering, measured diameter and length against the pipe and each other."""
    _covering(spec, notes)
    _diameter(spec, notes)
    longest = load_limits().length
    if spec.length is not None and spec.length > longest.most_marker:
        notes.find(
            Severity.WARNING,
            "length-implausible",
            f"a marker {inches(spec.length)} long",
            "check the unit of length_in",
            longest.source,
            field="length_in",
        )


def _covering(spec: PipeMarker, notes: Notes) -> None:
    limit, covering = load_limits().covering, spec.covering
    if not covering:
        return
    thick = spec.pipe is not None and covering > limit.most_diameters * spec.pipe.od
    if covering <= limit.most and not thick:
        return
    on_pipe = f" on {spec.pipe.label}" if spec.pipe is not None else ""
    notes.find(
        Severity.BLOCKING,
        "covering-implausible",
        f"{inches(covering)} of covering{on_pipe}",
        f"{_meant_mm(covering)}check the unit, or accept this with a reason",
        limit.source,
        field="covering_in",
    )


def _diameter(spec: PipeMarker, notes: Notes) -> None:
    field, typed, measured = "od_in", spec.od, spec.od
    if measured is None and spec.girth is not None:
        field, typed, measured = "girth_in", spec.girth, diameter_from_girth(spec.girth)
    if typed is None or measured is None or measured <= 0:
        return
    limits = load_limits()
    implied = (measured - spec.pipe.od) / 2 if spec.pipe is not None else 0.0
    if implied > limits.covering.most or measured > limits.diameter.most:
        what = f"{inches(measured)} outside diameter over the covering"
        if spec.pipe is not None:
            what += f" would be {inches(implied)} of covering on {spec.pipe.label}"
        meant = _meant_mm(typed) if _fits_in_mm(spec, measured) else ""
        notes.find(
            Severity.BLOCKING,
            "diameter-implausible",
            what,
            f"{meant}check the unit, or accept this with a reason",
            limits.diameter.source,
            field=field,
        )
    elif spec.pipe is not None and spec.covering is not None:
        _against_computed(spec, measured, field, notes)


def _fits_in_mm(spec: PipeMarker, measured: float) -> bool:
    """Whether the number, read in mm, is a possible diameter of this pipe with its covering."""
    if spec.pipe is None:
        return True
    covering = (measured / MM_PER_INCH - spec.pipe.od) / 2
    return -_NEAR * spec.pipe.od <= covering <= load_limits().covering.most


def _against_computed(spec: PipeMarker, measured: float, field: str, notes: Notes) -> None:
    """Flag a taped diameter far from the one the list's covering gives: one of them is wrong."""
    assert spec.pipe is not None
    assert spec.covering is not None
    computed = covered_diameter(spec.pipe.od, spec.covering)
    limit = load_limits().diameter
    if measured < spec.pipe.od or abs(measured - computed) <= limit.apart * computed:
        return
    notes.find(
        Severity.WARNING,
        "measured-differs",
        f"{inches(measured)} measured over the covering, {inches(computed)} computed from pipe and "
        "covering",
        "measure again; the measured diameter was used",
        limit.source,
        field=field,
    )


def _meant_mm(length: float) -> str:
    number = round(length / MM_PER_INCH, 1)
    return f"did you mean {number:g} mm? " if number >= 10 else ""


def surface_is_plausible(
    spec: PipeMarker, service: Service | None, *, covered: bool, notes: Notes
) -> None:
    """Flag a surface temperature that is implausible for the service or for any plant."""
    surface, limits = spec.environment.surface, load_limits()
    if surface is None:
        return
    low, high = limits.surface.range_f
    source, what = limits.surface.source, "a surface"
    duty = duty_of(spec, service)
    if duty is not None and not covered:
        (low, high), source, what = duty.range_f, duty.source, f"a bare {duty.key} line"
    if low <= surface <= high:
        return
    notes.find(
        Severity.WARNING,
        "surface-implausible",
        f"{what} at {surface:g} F, where {low:g} to {high:g} F is expected",
        "check the sign, the unit and the service code",
        source,
        field="surface_f",
    )


def contents_stay_fluid(spec: PipeMarker, carried: Carried, notes: Notes) -> None:
    """Flag an operating temperature at which water or a glycol mixture freezes."""
    operating = spec.environment.operating
    fluid_f = operating if operating is not None else carried.stated_f
    medium = carried.medium
    if fluid_f is None or medium is None:
        return
    mixture = load_phases().mixtures.get(medium.key)
    freezes, source, name = medium.freezes_f, medium.source, carried.word
    if mixture is not None:
        percent = carried.percent
        freezes, source = mixture.freezes_at(percent), mixture.source
        name = f"{medium.word} of {percent or mixture.percent[-1]:g} %"
    if freezes is None or fluid_f >= freezes:
        return
    notes.find(
        Severity.WARNING,
        "contents-freeze",
        f"{name} freezes at {freezes:.0f} F, and {fluid_f:g} F is given",
        "check the temperature, its sign and unit, and the contents",
        source,
        field="operating_f" if operating is not None else "contents",
    )
