"""Readings against targets: each ink within its tolerance or not, each legend still legible or
not."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from layouts.drawing.inks import Ink, InkRole, Lab, contrast
from layouts.papers.color_target import Patch, pair_name
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.values import frozen
from render.color.difference import delta_e_2000
from render.color.facts import beyond as beyond_chips
from render.color.facts import color_facts
from render.color.readings import Reading, Readings

_SPREAD = 2.0  # dE00 of a reading from the mean of its patch: common practice, no source


@frozen
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


@frozen
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


@frozen
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

    A reading belongs to a patch by its name, otherwise by its id. Several of one patch are
    averaged. A pair is judged by its own patch, the legend over the field, where the target has
    one, else by the legend's.
    """
    found: dict[str, list[Lab]] = {}
    findings = list(readings.notes)
    for reading in readings.rows:
        patch = _patch_of(reading, patches)
        if patch is None:
            findings.append(_unknown(reading, readings.file, patches))
        else:
            found.setdefault(patch.name, []).append(reading.lab)
            findings += _contradiction(reading, patch, patches, readings.file)
    findings += (_missing(each, readings.file) for each in patches if each.name not in found)
    findings += (
        each for name, labs in found.items() for each in _spread_findings(name, labs, readings.file)
    )
    means = {name: _mean(labs) for name, labs in found.items()}
    inks = tuple(
        _ink_verdict(each.ink, means[each.name], len(found[each.name]))
        for each in patches
        if each.field is None and each.name in means
    )
    judged = _pair_verdicts(pairs, means)
    findings += (_off(each, readings.file) for each in inks if not each.passed)
    findings += (_illegible(each, readings.file) for each in judged if not each.holds)
    return ColorVerdict(readings.file, inks, judged, tuple(findings))


def _patch_of(reading: Reading, patches: Sequence[Patch]) -> Patch | None:
    names = {_plain(patch.name): patch for patch in patches}
    ids = {_plain(patch.id): patch for patch in patches}
    name, number = _plain(reading.name), _plain(reading.id)
    return names.get(name) or ids.get(name) or names.get(number) or ids.get(number)


def _contradiction(
    reading: Reading, patch: Patch, patches: Sequence[Patch], file: str
) -> Iterator[Finding]:
    """A name and an id that say different patches."""
    ids = {_plain(each.id): each for each in patches}
    other = ids.get(_plain(reading.id))
    if other is not None and other is not patch:
        what = (
            f"{reading.name!r} is patch {patch.id} by name, and its id {reading.id} is {other.name}"
        )
        right = "correct the name or the id; the name was taken"
        place = Place(file=file, row=reading.row)
        yield Finding("reading-contradicts", Severity.WARNING, what, right, place=place)


def _spread_findings(name: str, labs: Sequence[Lab], file: str) -> Iterator[Finding]:
    """Readings of one patch that lie apart: their mean says nothing."""
    mean = _mean(labs)
    widest = max(delta_e_2000(lab, mean) for lab in labs)
    if widest > _SPREAD:
        what = f"{len(labs)} readings of {name} differ, one by dE00 {widest:.1f} from their mean"
        right = "measure the patch again, and strike the reading that is wrong"
        place = Place(file=file, field=name)
        yield Finding("readings-disagree", Severity.WARNING, what, right, place=place)


def _mean(labs: Sequence[Lab]) -> Lab:
    count = len(labs)
    return Lab(
        math.fsum(lab.lightness for lab in labs) / count,
        math.fsum(lab.a for lab in labs) / count,
        math.fsum(lab.b for lab in labs) / count,
    )


def _ink_verdict(ink: Ink, mean: Lab, count: int) -> InkVerdict:
    delta = delta_e_2000(mean, ink.lab)
    if ink.role is InkRole.PAPER:
        return InkVerdict(ink, mean, count, delta, (), "nothing: the film's own white", "", "")
    chips = [chip for chip in color_facts().chips.get(ink.name, ()) if chip.center == ink.munsell]
    if chips:
        beyond = beyond_chips(ink.lab, mean, chips)
        source, status = chips[0].source, chips[0].status
        return InkVerdict(ink, mean, count, delta, beyond, "limit chips", source, status)
    limit = color_facts().print_target
    beyond = (f"dE00 above {limit.value:g}",) if delta > limit.value else ()
    return InkVerdict(ink, mean, count, delta, beyond, "print target", limit.source, limit.status)


def _pair_verdicts(
    pairs: Sequence[tuple[Ink, Ink]], measured: Mapping[str, Lab]
) -> tuple[PairVerdict, ...]:
    facts = color_facts()
    judged: list[PairVerdict] = []
    for field, legend in pairs:
        above = measured.get(pair_name(legend, field)) or measured.get(legend.name)
        if field.name in measured and above:
            specified = contrast(field.lab, legend.lab)
            least = min(facts.contrast_floor.value, specified * (1 - facts.contrast_loss.value))
            now = contrast(measured[field.name], above)
            judged.append(PairVerdict(field, legend, specified, now, least))
    return tuple(judged)


def _plain(text: str) -> str:
    return "".join(each for each in text.casefold() if each.isalnum())


def _unknown(reading: Reading, file: str, patches: Sequence[Patch]) -> Finding:
    name = reading.name or reading.id
    known = ", ".join(f"{patch.id} {patch.name}" for patch in patches)
    return Finding(
        "reading-unknown",
        Severity.WARNING,
        f"{name!r} is not a patch of the target",
        f"name one of {known}",
        place=Place(file=file, row=reading.row),
    )


def _missing(patch: Patch, file: str) -> Finding:
    what = f"{patch.name} ({patch.id}) was not measured"
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
