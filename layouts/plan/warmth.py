"""The surface temperature of a bare line when the list does not give it."""

from __future__ import annotations

from layouts.order.order import PipeMarker
from layouts.plan.build.model import ExpectedSurface
from layouts.plan.carried import Carried
from layouts.schemes.limits import ServiceDuty, Warmth
from layouts.schemes.loader import load_limits, load_phases
from layouts.schemes.model import Service
from layouts.terms.units import psig_text
from layouts.terms.words import Level, State

_OPERATING = "follows from the list itself"


def duty_of(spec: PipeMarker, service: Service | None) -> ServiceDuty | None:
    """The line's function, from the meaning of its code."""
    return load_limits().duty_of(spec.meaning or (service.meaning if service else ""))


def expected_surface(
    spec: PipeMarker,
    carried: Carried,
    service: Service | None,
    level: Level | None,
    *,
    covered: bool,
) -> ExpectedSurface | None:
    """The expected maximum temperature of a bare pipe's surface; None if nothing indicates it.

    The operating temperature counts first, then a temperature among the contents' words, the
    usual range of a hot service, and the saturation temperature at the highest pressure: what
    is liquid, or liquid and vapor, is no warmer, and suction gas hardly is. Without a pressure a
    cold service is taken at its coldest, so that its build withstands frost.
    """
    bare = spec.pipe is not None or spec.covering is not None  # else unclear what was measured
    if covered or not bare or spec.environment.surface is not None:
        return None
    asks = spec.covering is not None
    operating = spec.environment.operating
    if operating is not None:
        text = f"operating temperature {operating:g} F"
        return ExpectedSurface(operating, text, _OPERATING, asks)
    if carried.stated_f is not None:
        text = f"{carried.written} names {carried.stated_f:g} F"
        return ExpectedSurface(carried.stated_f, text, _OPERATING, asks)
    duty = duty_of(spec, service)
    if duty is not None and duty.warmth is Warmth.HOT and spec.state in (State.VAPOR, None):
        low, high = duty.usual_f
        text = f"a bare {duty.key} line usually has {low:g} to {high:g} F"
        return ExpectedSurface(high, text, duty.source, True, hot_guess=True)
    cold = duty if duty is not None and duty.warmth is Warmth.COLD else None
    if cold is not None and spec.pressure is None and level is not Level.HIGH:
        low, high = cold.usual_f
        text = f"a {cold.key} line usually has {low:g} to {high:g} F"
        return ExpectedSurface(low, text, cold.source, asks)
    if cold is None and spec.state not in (State.LIQUID, State.BOTH):
        return None
    return _boiling(spec.pressure, carried, level, asks=asks)


def _boiling(
    pressure: float | None, carried: Carried, level: Level | None, *, asks: bool
) -> ExpectedSurface | None:
    """The saturation temperature at the pressure, or at the highest that LOW allows."""
    boils = load_phases().curves.get(carried.key)
    psig, at = pressure, ""
    if psig is None and level is Level.LOW:
        cutoff = carried.scheme.cutoff_for(carried.word)
        psig, at = (cutoff.psig, "LOW, up to ") if cutoff is not None else (None, "")
    saturation = boils.at(psig) if boils is not None and psig is not None else None
    if boils is None or saturation is None or psig is None:
        return None
    text = f"{carried.word} at {at}{psig_text(psig)} boils at {saturation:.0f} F"
    text += " or below" if at else ""
    return ExpectedSurface(float(round(saturation)), text, boils.source, asks)
