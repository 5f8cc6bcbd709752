"""What the line carries: contents, service, state, level and flow, each against the scheme."""

from __future__ import annotations

from layouts.order.order import PipeMarker
from layouts.plan.model import Notes
from layouts.schemes.model import Pairing, Scheme, Service
from layouts.terms.findings import Severity
from layouts.terms.synonyms import nearest_service
from layouts.terms.units import psig_text
from layouts.terms.words import Flow, Level, Run, State

_MEMORY = "usual states are from memory"
_SAYS_STATE = {
    **dict.fromkeys(("LIQUID", "LIQ"), State.LIQUID),
    **dict.fromkeys(("VAPOR", "VAPOUR", "VAP", "GAS"), State.VAPOR),
}
_SAYS_LEVEL = {"HIGH PRESSURE": Level.HIGH, "LOW PRESSURE": Level.LOW}


def pairing_of(contents: str, scheme: Scheme, notes: Notes) -> Pairing | None:
    """Colors for the contents, or a finding that the scheme has none for them."""
    pairing = scheme.pairing_for(contents)
    unsettled = scheme.unsettled_for(contents)
    if pairing is None and unsettled is not None:
        notes.find(
            Severity.UNREADABLE,
            "contents-unsettled",
            f"{scheme.title} leaves the color for {contents!r} to the plant: {unsettled.what}",
            unsettled.right,
            unsettled.source,
            field="contents",
        )
        return None
    if pairing is None:
        carried = ", ".join(sorted(word for each in scheme.pairings for word in each.contents)[:8])
        notes.find(
            Severity.UNREADABLE,
            "contents-unknown",
            f"{scheme.title} has no color for {contents!r}",
            f"it carries {carried}; use a scheme that carries these contents, or extend this one",
            field="contents",
        )
        return None
    notes.reason(
        "colors", f"{pairing.meaning}: {pairing.legend} on {pairing.field}", pairing.source
    )
    return pairing


def service_of(spec: PipeMarker, scheme: Scheme, notes: Notes) -> Service | None:
    """The scheme's entry for the service code; None for a local code or no code."""
    code = spec.service.upper()
    known = scheme.services.get(code)
    if known is not None:
        notes.reason("service", f"{code}: {spec.meaning or known.meaning}", known.source)
        if spec.meaning and spec.meaning.casefold() != known.meaning.casefold():
            notes.find(
                Severity.BLOCKING,
                "service-meaning-differs",
                f"{code} means {known.meaning!r} in the scheme but {spec.meaning!r} in the list",
                "use one meaning in a plant; take another code, or accept this with a reason",
                known.source,
                field="service",
            )
        return known
    if not code:
        if scheme.services:
            notes.find(
                Severity.BLOCKING,
                "service-missing",
                "no service is given",
                f"give the service abbreviation, such as {', '.join(sorted(scheme.services)[:3])}",
                scheme.standard,
                field="service",
            )
    elif spec.meaning:
        notes.reason("service", f"{code}: {spec.meaning} (local abbreviation)")
    elif scheme.services:
        notes.find(
            Severity.BLOCKING,
            "service-unknown",
            f"{code!r} is not a service code of {scheme.title}, and no meaning is given",
            _meant(code, scheme) + "give its meaning in the column 'meaning', or correct the code",
            field="service",
        )
    return None


def _meant(code: str, scheme: Scheme) -> str:
    """The code that is likely meant, as a question; empty where none is near."""
    near = nearest_service(code, {each: s.meaning for each, s in scheme.services.items()})
    return f"did you mean {near}? If not, " if near else ""


def state_of(
    spec: PipeMarker, service: Service | None, scheme: Scheme, notes: Notes
) -> State | None:
    """The physical state, where the scheme shows one."""
    if not scheme.states:
        return None
    if spec.state is None:
        hint = ""
        if service is not None and service.usual_state is not None:
            hint = f" ({service.usual_state} is usual for {service.code})"
        notes.find(
            Severity.UNREADABLE,
            "state-missing",
            "the physical state is missing",
            f"give state: liquid, vapor or both{hint}",
            field="state",
        )
        return None
    if service is not None and service.usual_state not in (None, spec.state):
        notes.find(
            Severity.NOTE,
            "state-unusual",
            f"{service.code} is usually {service.usual_state}, here {spec.state}",
            f"make sure of it ({_MEMORY})",
            service.source,
            field="state",
        )
    return spec.state


def level_of(
    pressure_psig: float | None,
    given: Level | None,
    scheme: Scheme,
    notes: Notes,
    contents: str = "",
) -> Level | None:
    """HIGH or LOW by the cutoff of the contents, from the pressure; never from the code.

    None, so no band, for contents whose cutoff nobody has given: 70 psig is ammonia's alone.
    Empty contents are the scheme's own.
    """
    if not scheme.levels:
        return None
    found = scheme.cutoff_for(contents or scheme.contents)
    if found is None:
        _no_cutoff(contents or scheme.contents, given, scheme, notes)
        return None
    cutoff = found.psig
    if pressure_psig is None:
        if given is None:
            notes.find(
                Severity.UNREADABLE,
                "level-missing",
                "neither a pressure nor a level is given",
                "give pressure_psig, the highest in normal operation (defrost left out), or level",
                field="pressure_psig",
            )
        else:
            notes.reason("level", f"{given.upper()} as given, without a pressure")
        return given
    level = Level.HIGH if pressure_psig > cutoff else Level.LOW
    relation = "above" if level is Level.HIGH else "at or below"
    notes.reason(
        "level",
        f"{level.upper()}: {psig_text(pressure_psig)}, the highest in normal operation (defrost "
        f"left out), is {relation} {cutoff:g} psig",
        found.source,
    )
    if given is not None and given is not level:
        notes.find(
            Severity.BLOCKING,
            "level-conflict",
            f"level says {given.upper()} but {psig_text(pressure_psig)} is {level.upper()}",
            f"correct one of them; the cutoff is {cutoff:g} psig, above it is HIGH",
            found.source,
            field="level",
        )
    return level


def _no_cutoff(contents: str, given: Level | None, scheme: Scheme, notes: Notes) -> None:
    """Say why there is no level band; a level that the list gives is not printed unexplained."""
    why = f"{scheme.title} has no cutoff pressure for {contents}"
    notes.reason("level", f"no level band: {why}")
    if given is not None:
        notes.find(
            Severity.WARNING,
            "level-without-cutoff",
            f"level says {given.upper()} but {why}, so no level band is drawn",
            "give the plant's own cutoff under [[cutoffs]] of its scheme file: contents, psig, "
            "source",
            field="level",
        )


def legend_agrees(
    spec: PipeMarker, level: Level | None, service: Service | None, scheme: Scheme, notes: Notes
) -> None:
    """Record where the legend's own words say other than the state, the level or the service."""
    legend = " ".join(spec.legend.upper().split())
    if not legend:
        return
    says = set()
    states = {_SAYS_STATE[word] for word in legend.split() if word in _SAYS_STATE}
    if len(states) == 1 and spec.state is not None and spec.state not in states:
        says.add(f"the state is {spec.state}")
    levels = {each for words, each in _SAYS_LEVEL.items() if words in legend}
    if len(levels) == 1 and level is not None and level not in levels:
        says.add(f"the level is {level.upper()}")
    codes = [code for code, each in scheme.services.items() if each.meaning.upper() == legend]
    if codes and service is not None and service.code not in codes:
        says.add(f"that is {codes[0]}, and the service is {service.code}")
    for what in sorted(says):
        notes.find(
            Severity.BLOCKING,
            "legend-conflict",
            f"the legend says {legend!r}, and {what}",
            "correct one of them",
            "follows from the list itself",
            field="legend",
        )


def flow_of(spec: PipeMarker, service: Service | None, notes: Notes) -> Flow | None:
    """The flow as the reader sees it, or None with a finding where it cannot be."""
    flow = spec.flow
    both_ways = service is not None and not service.one_way
    if flow is None:
        if both_ways:
            notes.reason(
                "flow",
                "no arrow: the line can flow both ways and no direction was given",
                "common practice, no source",
            )
            return Flow.NONE
        notes.find(
            Severity.UNREADABLE,
            "flow-missing",
            "the direction of flow is missing",
            "give flow: right, left, up or down as the reader stands, reversing, or none",
            field="flow",
        )
        return None
    sideways, upright = (Flow.RIGHT, Flow.LEFT), (Flow.UP, Flow.DOWN)
    if spec.run is Run.HORIZONTAL and flow in upright:
        _wrong_way(notes, flow, "horizontal", "right or left, or run = vertical")
        return None
    if spec.run is Run.VERTICAL and flow in sideways:
        _wrong_way(notes, flow, "vertical", "up or down, or run = horizontal")
        return None
    if both_ways and flow in (*sideways, *upright):
        notes.find(
            Severity.WARNING,
            "arrow-one-way",
            f"{spec.service.upper()} can flow both ways but gets an arrow one way",
            "give flow = reversing, or none",
            "common practice, no source",
            field="flow",
        )
    if flow is Flow.NONE and not both_ways:
        notes.find(
            Severity.WARNING,
            "arrow-missing",
            "the marker shows no direction of flow",
            "give flow as the reader sees it; none is for lines that can flow both ways",
            "ASME A13.1, arrows show flow (second-hand summary)",
            field="flow",
        )
    return flow


def _wrong_way(notes: Notes, flow: Flow, run: str, right: str) -> None:
    notes.find(
        Severity.UNREADABLE,
        "flow-run",
        f"flow {flow} cannot be on a {run} run",
        f"give {right}",
        field="flow",
    )


def second_word(legend: str, scheme: Scheme, notes: Notes) -> str:
    """The legend in the scheme's second language; empty where it has none or the same word."""
    second = scheme.second
    if second is None:
        return ""
    found = second.word_for(legend)
    if found is None:
        notes.find(
            Severity.WARNING,
            "second-word-missing",
            f"there is no {second.language} for {legend!r}, so the marker is in English alone",
            f'write it under [legend.second] of the scheme file: "{legend}" = "..."',
            field="legend",
        )
        return ""
    if found.word == legend:
        return ""
    known = ", from memory" if found.status == "memory" else ""
    notes.reason("second language", f"{second.language}: {found.word}{known}", found.source)
    return found.word


def caveats_of(scheme: Scheme, state: State | None, notes: Notes) -> None:
    """Record what the scheme itself says must be accepted before its markers are printed."""
    for caveat in scheme.caveats:
        touches = caveat.applies_to_state is None or state in (caveat.applies_to_state, State.BOTH)
        if caveat.blocking and touches:
            notes.find(
                Severity.BLOCKING, caveat.code, caveat.what, caveat.right, caveat.source, "scheme"
            )
