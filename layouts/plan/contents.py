"""Service, state and legend of a line, each checked against the scheme."""

from __future__ import annotations

from layouts.order.order import PipeMarker
from layouts.plan.model import Notes
from layouts.schemes.loader import load_scheme, scheme_keys
from layouts.schemes.model import Scheme, Service
from layouts.terms.findings import Severity
from layouts.terms.synonyms import nearest_service
from layouts.terms.words import Level, State

_MEMORY = "usual states are from memory"
_SAYS_STATE = {
    **dict.fromkeys(("LIQUID", "LIQ"), State.LIQUID),
    **dict.fromkeys(("VAPOR", "VAPOUR", "VAP", "GAS"), State.VAPOR),
}
_SAYS_LEVEL = {"HIGH PRESSURE": Level.HIGH, "LOW PRESSURE": Level.LOW}


def service_of(
    spec: PipeMarker, scheme: Scheme, notes: Notes, *, own: bool = True
) -> Service | None:
    """The scheme's entry for the service code; None for a local code or no code.

    Contents other than the scheme's ``own`` need no code.
    """
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
        if scheme.services and own:
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
            f"{code!r} is not a service code of {scheme.title} and has no meaning given",
            _meant(code, scheme) + "give its meaning in the column 'meaning', or correct the code",
            field="service",
        )
    return None


def _meant(code: str, scheme: Scheme) -> str:
    """The scheme that has the code, or the code probably meant; empty without either."""
    others = (load_scheme(key) for key in scheme_keys() if key != scheme.key)
    elsewhere = [each.key for each in others if code in each.services]
    if elsewhere:
        return f"use the scheme {' or '.join(elsewhere)}, which has it, where the plant does; else "
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


def legend_agrees(
    spec: PipeMarker, level: Level | None, service: Service | None, scheme: Scheme, notes: Notes
) -> None:
    """Record where the legend's words contradict the state, the level or the service."""
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
            f"there is no {second.language} for {legend!r}, so the marker is in English only",
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
