"""What a printer makes of the inks: values, differences, reach, contrast."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from itertools import combinations

from layouts.drawing.ink_report import Device, InkReport, Intent, PrintedInk, PrintedPair
from layouts.drawing.inks import Ink, InkRole, Lab, contrast
from layouts.schemes.model import Scheme
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity
from render.color.difference import delta_e_2000
from render.color.engine import Engine
from render.color.facts import color_facts
from render.color.profile import Cmyk, OutputProfile

_PRINTED = frozenset({InkRole.COLOR, InkRole.BLACK, InkRole.PAPER})
_FIRST_STEP, _LAST_STEP = 0.16, 0.0002  # of the search for the nearest color, shares of a channel


def scheme_pairs(scheme: Scheme) -> tuple[tuple[Ink, Ink], ...]:
    """Every (field, legend) pair that a scheme prints, once: legends, bands and equipment."""
    bands = [band for bands in scheme.states.values() for band in bands]
    bands += scheme.levels.values()
    names = [
        *((each.field, each.legend) for each in scheme.pairings),
        *((each.field, each.ink) for each in bands),
        (scheme.equipment.field, scheme.equipment.ink),
    ]
    return tuple(
        (scheme.inks[field], scheme.inks[legend]) for field, legend in dict.fromkeys(names)
    )


def ink_report(
    inks: Iterable[Ink],
    profile: OutputProfile,
    intent: Intent = Intent.ABSOLUTE,
    pairs: Sequence[tuple[Ink, Ink]] = (),
) -> InkReport:
    """Each printed ink through the profile, and the contrast of (field, legend) pairs.

    Black is the black channel only, paper is not an ink. A black legend overprints its field.
    White underprints and cut lines are left out: no profile describes them.

    Raises:
        InputError: the profile cannot be used.
        OutputError: the color library is missing.
    """
    with Engine(profile, intent) as engine:
        printed = tuple(_print_ink(ink, engine) for ink in inks if ink.role in _PRINTED)
        return InkReport(
            profile.condition,
            intent,
            printed,
            tuple(_pair(field, legend, engine) for field, legend in pairs),
        )


def process_values(
    inks: Iterable[Ink], profile: OutputProfile, intent: Intent = Intent.ABSOLUTE
) -> Mapping[str, Cmyk]:
    """CMYK of the colored inks by name, for a press that has no spot inks.

    Raises:
        InputError: the profile is not CMYK or cannot be used.
        OutputError: the color library is missing.
    """
    if profile.channels != 4:
        raise InputError([_not_cmyk(profile)])
    colored = [ink for ink in inks if ink.role is InkRole.COLOR]
    with Engine(profile, intent) as engine:
        values = engine.devices([ink.lab for ink in colored])
    return {ink.name: Cmyk(*value) for ink, value in zip(colored, values, strict=True)}


def gamut_findings(report: InkReport) -> tuple[Finding, ...]:
    """Colored inks that the printer misses by more than the print target, as warnings."""
    limit = color_facts().print_target
    return tuple(
        Finding(
            "ink-off-target",
            Severity.WARNING,
            f"{each.ink.name} prints dE00 {each.delta:.1f} off its color in {report.condition}"
            + ("" if each.in_gamut else f"; the nearest it reaches is {each.nearest_delta:.1f}"),
            f"use a spot ink, or accept more than {limit.value:g}",
            limit.source,
            Place(field=each.ink.name),
        )
        for each in report.inks
        if each.in_gamut is not None and each.delta > limit.value
    )


def _print_ink(ink: Ink, engine: Engine) -> PrintedInk:
    device = _device(ink, engine)
    (printed,) = engine.labs([device])
    delta = delta_e_2000(printed, ink.lab)
    if ink.role is not InkRole.COLOR:
        return PrintedInk(ink, device, printed, delta, printed, delta, None)
    nearest = nearest_color(ink.lab, engine)
    reach = delta_e_2000(nearest, ink.lab)
    in_gamut = reach <= color_facts().in_gamut.value
    return PrintedInk(ink, device, printed, delta, nearest, reach, in_gamut)


def _device(ink: Ink, engine: Engine) -> Device:
    cmyk = engine.channels == 4
    if ink.role is InkRole.PAPER:
        return (0.0,) * 4 if cmyk else (1.0,) * 3
    if ink.role is InkRole.BLACK:
        return (0.0, 0.0, 0.0, 1.0) if cmyk else (0.0,) * 3
    return engine.devices([ink.lab])[0]


def _pair(field: Ink, legend: Ink, engine: Engine) -> PrintedPair:
    below, above = _device(field, engine), _device(legend, engine)
    if legend.role is InkRole.BLACK and engine.channels == 4:
        above = (*below[:3], 1.0)
    one, other = engine.labs([below, above])
    return PrintedPair(field, legend, contrast(field.lab, legend.lab), contrast(one, other))


def nearest_color(target: Lab, engine: Engine) -> Lab:
    """The color of least dE00 to ``target`` that the printer reaches.

    A pattern search over the device values (R. Hooke and T. A. Jeeves, J. ACM 8, 1961): steps of
    one channel and of two together, halved where none helps. It starts from the profile's own
    answer, and no trial takes more ink in total than the profile gives to black.
    """
    black, start = engine.devices([Lab(0.0, 0.0, 0.0), target])
    ink_limit = max(math.fsum(black), math.fsum(start)) if engine.channels == 4 else 3.0
    best, (color,) = start, engine.labs([start])
    least = delta_e_2000(color, target)
    step = _FIRST_STEP
    moves = _moves(engine.channels)
    while step > _LAST_STEP:
        trials = [
            trial
            for move in moves
            if math.fsum(trial := _move_device(best, move, step)) <= ink_limit
        ]
        found = min(
            ((delta_e_2000(lab, target), n, lab) for n, lab in enumerate(engine.labs(trials))),
            default=(least, 0, color),
        )
        if found[0] < least - 1e-9:
            least, color, best = found[0], found[2], trials[found[1]]
        else:
            step /= 2
    return color


def _moves(channels: int) -> list[tuple[int, ...]]:
    """Steps of one channel up or down, and of two in each combination of directions."""
    moves: list[tuple[int, ...]] = []
    for count in (1, 2):
        for chosen in combinations(range(channels), count):
            for signs in range(2**count):
                move = [0] * channels
                for bit, channel in enumerate(chosen):
                    move[channel] = 1 if signs >> bit & 1 else -1
                moves.append(tuple(move))
    return moves


def _move_device(device: Device, move: tuple[int, ...], step: float) -> Device:
    return tuple(
        min(1.0, max(0.0, value + sign * step)) for value, sign in zip(device, move, strict=True)
    )


def _not_cmyk(profile: OutputProfile) -> Finding:
    return Finding(
        "profile-not-cmyk",
        Severity.UNREADABLE,
        "only a CMYK profile can turn inks into process colors",
        "give the printer's CMYK profile",
        place=Place(file=profile.condition),
    )
