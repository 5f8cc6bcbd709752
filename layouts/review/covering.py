"""Coverings: the marker of a cold line listed without one is probably too small."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator

from layouts.plan.warmth import duty_of
from layouts.review.lines import Line, place_of
from layouts.schemes.limits import Warmth
from layouts.terms.findings import Finding, Severity
from layouts.terms.words import Level, State

COLD_SOURCE = (
    "common practice, no source: cold lines are insulated; ASME A13.1 and the ammonia table size "
    "a marker by the diameter over the covering (second-hand)"
)
_FREEZING_F = 32.0


def cold_coverings(lines: Iterable[Line]) -> Iterator[Finding]:
    """Cold lines whose covering is not given, one finding per service."""
    heaps: dict[str, list[Line]] = defaultdict(list)
    for line in lines:
        if _covering_unknown(line) and _cold(line):
            heaps[line.spec.service.upper() or line.contents].append(line)
    for name, found in heaps.items():
        for measured in (False, True):
            lines_so = [line for line in found if _is_measured(line) is measured]
            if lines_so:
                yield _finding(name, lines_so, measured=measured)


def _finding(name: str, lines: list[Line], *, measured: bool) -> Finding:
    what = f"{name} is a cold line, and neither its covering nor a diameter over it is given"
    right = (
        "measure over the covering (od_in or girth_in), or write covering_in = 0 where the "
        "line is bare; most coverings move a marker to a larger row"
    )
    if measured:
        what = f"{name} is a cold line, and nothing says whether it is bare where it was measured"
        right = (
            "give covering_in (0 where the line is bare), or the pipe; a bare cold line grows "
            "frost, and film would come off"
        )
    place = place_of((line.item for line in lines), "covering_in", lines[0].name)
    return Finding("covering-unknown-cold", Severity.WARNING, what, right, COLD_SOURCE, place)


def _is_measured(line: Line) -> bool:
    return line.spec.od is not None or line.spec.girth is not None


def _covering_unknown(line: Line) -> bool:
    """Whether the list gives only the pipe, or only a diameter that may be over a covering."""
    spec = line.spec
    return spec.covering is None and (spec.pipe is None) is _is_measured(line)


def _cold(line: Line) -> bool:
    """By its surface temperature if given, otherwise as low-pressure liquid or suction.

    Ammonia that is liquid at 70 psig or less is at 47 F or less (saturation, by CoolProp); a
    booster discharge or a relief vent is at low pressure too, and is not cold.
    """
    surface = line.spec.environment.surface
    if surface is not None:
        return surface < _FREEZING_F
    if line.level is not Level.LOW:
        return False
    duty = duty_of(line.spec, line.service)
    cold = duty is not None and duty.warmth is Warmth.COLD
    return line.spec.state in (State.LIQUID, State.BOTH) or cold
