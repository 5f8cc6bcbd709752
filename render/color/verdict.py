"""Readings against targets: each ink within its tolerance or not, each legend still legible or
not."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import atan2, degrees, hypot

from layouts.findings import Finding, Place, Severity
from layouts.inks import Ink, InkRole, Lab, contrast
from render.color.difference import delta_e_2000
from render.color.facts import Chip, color_facts
from render.color.readings import Reading, Readings
from render.color.target import Patch

_SLACK = 0.005  # half the last place that chips are given to


@dataclass(frozen=True, slots=True)
class InkVerdict:
    """One ink as measured: the mean of its ``count`` readings, dE00 off the target.

    ``beyond`` names each limit that is passed; none means pass. ``judged_by`` says what the
    limits are, with source and status. Film has none: how white it is shows in the contrast.
    """

    ink: Ink
    measured: Lab
    count: int
    delta: float
    beyond: tuple[str, ...]
    judged_by: str
    source: str
    status: str

    @property
    def passed(self) -> bool:
        """Whether the ink lies within its tolerance."""
        return not self.beyond


@dataclass(frozen=True, slots=True)
class PairVerdict:
    """Contrast of a legend on a field as specified and as measured, and the least it may be."""

    field: Ink
    legend: Ink
    specified: float
    measured: float
    least: float

    @property
    def holds(self) -> bool:
        """Whether the legend is still legible on its field."""
        return self.measured >= self.least


@dataclass(frozen=True, slots=True)
class ColorVerdict:
    """What the readings say. ``findings`` holds failures as well as what was assumed."""

    file: str
    inks: tuple[InkVerdict, ...]
    pairs: tuple[PairVerdict, ...]
    findings: tuple[Finding, ...]

    @property
    def passed(self) -> bool:
        """Whether every measured ink and pair is good, and every ink was measured."""
        return not any(finding.severity is not Severity.NOTE for finding in self.findings)


def judge(
    readings: Readings, patches: Sequence[Patch], pairs: Sequence[tuple[Ink, Ink]] = ()
) -> ColorVerdict:
    """Readings against the inks of a target, and (field, legend) pairs among them.

    A reading belongs to a patch by its name, else by its id. Several of one ink are averaged.
    """
    found: dict[str, list[Lab]] = {}
    findings = list(readings.notes)
    for reading in readings.rows:
        ink = _patch_of(reading, patches)
        if ink is None:
            findings.append(_unknown(reading, readings.file, patches))
        else:
            found.setdefault(ink.name, []).append(reading.lab)
    inks: list[InkVerdict] = []
    for patch in patches:
        labs = found.get(patch.ink.name)
        if labs:
            inks.append(_ink_verdict(patch.ink, labs))
        else:
            findings.append(_missing(patch, readings.file))
    measured = {each.ink.name: each.measured for each in inks}
    judged = _pair_verdicts(pairs, measured)
    findings += (_off(each, readings.file) for each in inks if not each.passed)
    findings += (_illegible(each, readings.file) for each in judged if not each.holds)
    return ColorVerdict(readings.file, tuple(inks), judged, tuple(findings))


def _patch_of(reading: Reading, patches: Sequence[Patch]) -> Ink | None:
    names = {_plain(patch.ink.name): patch.ink for patch in patches}
    ids = {_plain(patch.id): patch.ink for patch in patches}
    name, number = _plain(reading.name), _plain(reading.id)
    return names.get(name) or ids.get(name) or names.get(number) or ids.get(number)


def _ink_verdict(ink: Ink, labs: Sequence[Lab]) -> InkVerdict:
    count = len(labs)
    mean = Lab(
        sum(lab.lightness for lab in labs) / count,
        sum(lab.a for lab in labs) / count,
        sum(lab.b for lab in labs) / count,
    )
    delta = delta_e_2000(mean, ink.lab)
    if ink.role is InkRole.PAPER:
        return InkVerdict(ink, mean, count, delta, (), "nothing: the film's own white", "", "")
    chips = [chip for chip in color_facts().chips.get(ink.name, ()) if chip.center == ink.munsell]
    if chips:
        beyond = tuple(_beyond(ink.lab, mean, chips))
        source, status = chips[0].source, chips[0].status
        return InkVerdict(ink, mean, count, delta, beyond, "limit chips", source, status)
    limit = color_facts().print_target
    beyond = (f"dE00 above {limit.value:g}",) if delta > limit.value else ()
    return InkVerdict(ink, mean, count, delta, beyond, "print target", limit.source, limit.status)


def _beyond(center: Lab, measured: Lab, chips: Iterable[Chip]) -> Iterable[str]:
    """Limit chips that the measured color lies beyond, each along its own axis.

    Value, chroma and hue of Munsell are compared as lightness, chroma and hue of Lab: along its
    own axis a chip differs from the center in little else. A side without a chip is open.
    """
    away = _along(center, measured)
    for chip in chips:
        limit = _along(center, chip.lab)[chip.axis]
        passed = away[chip.axis] if limit > 0 else -away[chip.axis]
        if passed > abs(limit) + _SLACK:
            yield f"{chip.axis} beyond {chip.munsell}"


def _along(center: Lab, lab: Lab) -> dict[str, float]:
    """How far a color lies from a center, signed: lightness, chroma, and hue in degrees."""
    turn = degrees(atan2(lab.b, lab.a) - atan2(center.b, center.a))
    return {
        "value": lab.lightness - center.lightness,
        "chroma": hypot(lab.a, lab.b) - hypot(center.a, center.b),
        "hue": (turn + 180) % 360 - 180,
    }


def _pair_verdicts(
    pairs: Sequence[tuple[Ink, Ink]], measured: Mapping[str, Lab]
) -> tuple[PairVerdict, ...]:
    facts = color_facts()
    judged: list[PairVerdict] = []
    for field, legend in pairs:
        if field.name in measured and legend.name in measured:
            specified = contrast(field.lab, legend.lab)
            least = min(facts.contrast_floor.value, specified * (1 - facts.contrast_loss.value))
            now = contrast(measured[field.name], measured[legend.name])
            judged.append(PairVerdict(field, legend, specified, now, least))
    return tuple(judged)


def _plain(text: str) -> str:
    return "".join(each for each in text.casefold() if each.isalnum())


def _unknown(reading: Reading, file: str, patches: Sequence[Patch]) -> Finding:
    name = reading.name or reading.id
    known = ", ".join(f"{patch.id} {patch.ink.name}" for patch in patches)
    return Finding(
        "reading-unknown",
        Severity.WARNING,
        f"{name!r} is no patch of the target",
        f"name one of {known}",
        place=Place(file=file, row=reading.row),
    )


def _missing(patch: Patch, file: str) -> Finding:
    what = f"{patch.ink.name} ({patch.id}) was not measured"
    right = "measure every patch of the target"
    return Finding("reading-missing", Severity.WARNING, what, right, place=Place(file=file))


def _off(verdict: InkVerdict, file: str) -> Finding:
    return Finding(
        "ink-out-of-tolerance",
        Severity.BLOCKING,
        f"{verdict.ink.name} is dE00 {verdict.delta:.1f} off: {'; '.join(verdict.beyond)}",
        "correct the printing and measure again",
        verdict.source,
        Place(file=file, field=verdict.ink.name),
    )


def _illegible(verdict: PairVerdict, file: str) -> Finding:
    return Finding(
        "contrast-lost",
        Severity.BLOCKING,
        f"{verdict.legend.name} on {verdict.field.name} has a contrast of {verdict.measured:.1f}, "
        f"specified {verdict.specified:.1f}",
        f"print it at {verdict.least:.1f} or more",
        color_facts().contrast_floor.source,
        Place(file=file, field=verdict.field.name),
    )
