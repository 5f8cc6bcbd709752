"""A pipe marker, decided: what it says, how large it is, and how it is built."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

from layouts.drawing.inks import Ink
from layouts.order.order import PipeMarker
from layouts.plan.arrows import flow_of
from layouts.plan.build import Build, Mount, build_for, strapped_for
from layouts.plan.carried import carried_by, legend_keeps_contents, pairing_of
from layouts.plan.contents import caveats_of, legend_agrees, second_word, service_of, state_of
from layouts.plan.design import Design, Element, Wrap
from layouts.plan.diameter import Diameter, outside_diameter
from layouts.plan.elements import Wording, clearest, full_lines, round_line, two_lines
from layouts.plan.legibility import LINE_PITCH, lines_that_fit, reading_distance
from layouts.plan.level import level_is_usual, level_of, pressure_is_plausible
from layouts.plan.model import MarkerPlan, Notes
from layouts.plan.plausible import contents_stay_fluid, sizes_are_plausible, surface_is_plausible
from layouts.plan.size import Sizes, sizes_of
from layouts.plan.warmth import expected_surface
from layouts.schemes.loader import load_media
from layouts.schemes.model import ArrowEnds, Scheme
from layouts.terms.findings import Severity
from layouts.terms.words import Flow, Kind, Run, Side

_NO_SCHEMES: Mapping[str, Scheme] = {}
# A wrap overlaps itself by this much, mm; common practice, no source.
_WRAP_OVERLAP = 12.0
# Field and paint closer than this read as one color: dE*ab under D50, our own choice.
_SAME_COLOR = 25.0
_PAINT_SOURCE = "RETA magazine 2020: an orange label on an orange pipe is a known legibility fault"


def marker_name(spec: PipeMarker) -> str:
    """The marker's name in use: its service and words, a medium by its usual word."""
    words = spec.legend
    if not words and (named := load_media().find(spec.contents)) is not None:
        words = named.with_word(named.medium.word)
    parts = (spec.service.upper(), words or spec.contents)
    return " ".join(part for part in parts if part)


def plan_pipe(
    spec: PipeMarker, scheme: Scheme, notes: Notes, schemes: Mapping[str, Scheme] = _NO_SCHEMES
) -> tuple[MarkerPlan, ...]:
    """Decide one pipe marker, or one for each hand where the line is read from both sides.

    ``schemes`` are the order's, for contents that this one leaves to another. Returns nothing if a
    finding in the notes rules out drawing the marker.
    """
    carried = carried_by(spec.contents, scheme, schemes)
    scheme = carried.scheme
    pairing = pairing_of(carried, notes)
    service = service_of(spec, scheme, notes, own=carried.own)
    state = state_of(spec, service, scheme, notes)
    level = level_of(spec.pressure, spec.level, scheme, notes, carried.word)
    if carried.own:
        level_is_usual(spec.pressure, level, service, notes)
    pressure_is_plausible(spec.pressure, carried, notes)
    legend_keeps_contents(spec.legend, carried, notes)
    legend_agrees(spec, level, service, scheme, notes)
    flow = flow_of(spec, service, notes)
    diameter = outside_diameter(spec, scheme.sizes, notes)
    sizes_are_plausible(spec, notes)
    contents_stay_fluid(spec, carried, notes)
    sizes = sizes_of(spec, diameter.od, scheme, notes) if diameter else None
    if pairing is None or flow is None or diameter is None or sizes is None or notes.impossible:
        return ()
    if pairing.second and flow is Flow.NONE:
        notes.find(
            Severity.WARNING,
            "second-color-hidden",
            f"the second color of {pairing.meaning} stands behind the arrows, and there is none",
            "give flow as the reader sees it",
            pairing.source,
            field="flow",
        )
    legend = spec.legend.upper() or carried.word
    second = second_word(legend, scheme, notes)
    wording = Wording(spec.service.upper(), legend, state, level, flow, pairing, second)
    expected = expected_surface(spec, carried, service, level, covered=diameter.covered)
    surface_is_plausible(spec, service, covered=diameter.covered, notes=notes)
    build = build_for(
        spec.environment,
        notes,
        insulated=diameter.covered,
        od=diameter.od,
        marker_height=sizes.height,
        letters=sizes.letter * (1.0 if spec.lines == 1 else 1.0 + LINE_PITCH),
        prescribed=not sizes.grown,
        expected=expected,
        wrap=spec.wrap,
        tag=sizes.tag,
    )
    caveats_of(scheme, state, notes)
    hands = [
        (hand, _designs(spec, replace(wording, flow=seen), scheme, sizes, diameter, build, notes))
        for hand, seen in _hands(spec, flow)
    ]
    alone = len(hands) == 1
    strapped = None
    if spec.straight is not None:
        strapped = strapped_for(spec.environment, diameter.od, diameter.covered, expected)
    return tuple(
        MarkerPlan(
            kind=Kind.PIPE,
            name=marker_name(spec) or legend,
            scheme=scheme.key,
            design=designs[0][1],
            build=build,
            row=sizes.row,
            letter_reason=sizes.reason,
            reading_distance=reading_distance(sizes.letter),
            reasons=notes.reasons,
            findings=notes.findings,
            per_position=2 if alone and spec.side is Side.BOTH else 1,
            hand=hand,
            od=diameter.od,
            state=state,
            level=level,
            straight=spec.straight,
            shorter=designs[1:],
            strapped=strapped,
        )
        for hand, designs in hands
    )


def _hands(spec: PipeMarker, flow: Flow) -> tuple[tuple[str, Flow], ...]:
    """Which markers a position gets: from the far side a horizontal flow is mirrored."""
    if spec.side is Side.ONE or flow.opposite is flow:
        return (("", flow),)
    right = flow is Flow.RIGHT
    return (
        ("right-hand" if right else "left-hand", flow),
        ("left-hand" if right else "right-hand", flow.opposite),
    )


def _designs(
    spec: PipeMarker,
    wording: Wording,
    scheme: Scheme,
    sizes: Sizes,
    diameter: Diameter,
    build: Build,
    notes: Notes,
) -> tuple[tuple[str, Design], ...]:
    """The design ordered, then the fallbacks if the straight run is too short."""
    ends = scheme.face.arrow_ends
    full = full_lines(wording, scheme, sizes.letter, sizes.band, ends)
    split = two_lines(wording, scheme, sizes.letter, sizes.band)
    base = Design(
        kind=Kind.PIPE,
        scheme=scheme.key,
        lines=split if spec.lines == 2 else full,
        field=scheme.inks[wording.pairing.field],
        letter_height=sizes.letter,
        marker_height=sizes.height,
        length=sizes.length,
        length_step=scheme.face.length_step,
        corner_share=scheme.face.corner_share,
        fixed_height=sizes.fixed_height,
        fixed_length=sizes.fixed_length,
        keyline=_keyline(spec, scheme, wording, notes),
        plate=build.plate,
        compact=scheme.face.compact,
    )
    if build.mount is Mount.WRAP:
        line = round_line(wording, scheme, sizes.letter, sizes.band, ends)
        return (("", _wrap_design(base, line, spec, diameter, notes)),)
    if spec.lines == 2:
        return (("", base),)
    shorter: list[tuple[str, tuple[tuple[Element, ...], ...]]] = []
    if ends is ArrowEnds.BOTH and wording.flow not in (Flow.NONE, Flow.REVERSING):
        one_arrow = full_lines(wording, scheme, sizes.letter, sizes.band, ArrowEnds.LEADING)
        shorter.append(("one arrow", one_arrow))
    count = "three" if len(split) > 2 else "two"
    shorter.append((f"one arrow and {count} lines", split))
    return (("", base), *((what, replace(base, lines=lines)) for what, lines in shorter))


def _wrap_design(
    base: Design, line: tuple[Element, ...], spec: PipeMarker, diameter: Diameter, notes: Notes
) -> Design:
    """The design as a blank around the pipe, with as many lines as fit at their spacing."""
    girth = math.pi * diameter.od
    turned = spec.run is Run.HORIZONTAL
    fit = lines_that_fit(diameter.od, base.letter_height)
    lines = max(2 if turned else 1, fit - fit % 2 if turned else fit)
    far = ", the far half turned with the opposite flow" if turned else ""
    notes.reason(
        "wrap",
        f"{lines} lines round a girth of {girth:.0f} mm{far}",
        "derived: lines every 1.5 letter heights",
    )
    return replace(base, lines=(line,), wrap=Wrap(girth, _WRAP_OVERLAP, lines, turned), plate=None)


def _keyline(spec: PipeMarker, scheme: Scheme, wording: Wording, notes: Notes) -> Ink | None:
    """A contrasting border for a field that would vanish on paint of the same color."""
    if not spec.paint:
        return None
    field = scheme.inks[wording.pairing.field]
    paint = paint_ink(spec.paint, scheme)
    if paint is None:
        known = sorted({rule.color for rule in scheme.paints} or scheme.inks)
        notes.find(
            Severity.WARNING,
            "paint-unknown",
            f"the paint color {spec.paint!r} is not one of the scheme's",
            f"use one of {', '.join(known)}",
            field="paint",
        )
        return None
    if not same_color(field, paint):
        return None
    what = f"the pipe's paint ({spec.paint}) has the field's color"
    notes.reason("keyline", f"{what}; a contrasting line parts them", _PAINT_SOURCE)
    notes.find(
        Severity.NOTE,
        "paint-as-field",
        what,
        "a contrasting line round the marker parts them; another paint would do so better",
        _PAINT_SOURCE,
        field="paint",
    )
    return clearest(field, scheme)


def same_color(one: Ink, other: Ink) -> bool:
    """Whether two colors read as one."""
    pair = ((ink.lab.lightness, ink.lab.a, ink.lab.b) for ink in (one, other))
    return math.dist(*pair) <= _SAME_COLOR


def paint_ink(color: str, scheme: Scheme) -> Ink | None:
    """The ink of a paint color by the scheme's paints, else its inks: red is safety red."""
    wanted = " ".join(color.casefold().split())
    for rule in scheme.paints:
        if rule.color.casefold() == wanted:
            return scheme.inks[rule.ink]
    names = (wanted, f"safety {wanted}")
    return next((ink for key, ink in scheme.inks.items() if key.casefold() in names), None)
