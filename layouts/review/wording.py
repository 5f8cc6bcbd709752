"""Abbreviations and schemes: one meaning and one convention per plant."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations

from layouts.drawing.inks import Lab
from layouts.order.order import Item, PipeMarker, ValveTag
from layouts.review.lines import Line, place_of, rows_of, rows_text
from layouts.schemes.model import Scheme
from layouts.terms.findings import Finding, Severity

MEANING_SOURCE = "common practice, no source: a code is read by what people were trained to read"
MIXED_SOURCE = (
    "derived: editions give one color different meanings, as orange, the liquid band of 1991 and "
    "the body since 2014 (RETA magazine 2019)"
)


@dataclass(slots=True)
class _Code:
    """The order's uses of one abbreviation, collected item by item."""

    meanings: dict[str, list[Item]] = field(default_factory=lambda: defaultdict(list))
    spelled: dict[str, str] = field(default_factory=dict)  # as first written
    open: list[Item] = field(default_factory=list)  # without a meaning, and not yet reported

    def means(self, meaning: str, item: Item) -> None:
        key = " ".join(meaning.casefold().split())
        self.spelled.setdefault(key, meaning)
        self.meanings[key].append(item)


def abbreviation_meanings(
    items: Iterable[Item], schemes: Mapping[str, Scheme], default: str
) -> Iterator[Finding]:
    """Codes with two meanings in the plant, and codes without an explanation.

    A pipe's code without a meaning in a scheme that has abbreviations is its plan's to report.
    """
    codes: dict[str, _Code] = defaultdict(_Code)
    for item in items:
        spec = item.spec
        if not isinstance(spec, PipeMarker | ValveTag) or not spec.service:
            continue
        scheme = schemes[spec.scheme or default]
        code = codes[spec.service.upper()]
        known = scheme.services.get(spec.service.upper())
        given = spec.meaning if isinstance(spec, PipeMarker) else ""
        if given or known is not None:
            code.means(given or (known.meaning if known else ""), item)
        elif isinstance(spec, ValveTag) or not scheme.services:
            code.open.append(item)
    for name, code in codes.items():
        if len(code.meanings) > 1:
            yield _two_meanings(name, code)
        elif not code.meanings and code.open:
            yield Finding(
                "abbreviation-unexplained",
                Severity.BLOCKING,
                f"no meaning given for {name}, and the wall chart would have to leave it blank",
                "give its meaning in the column 'meaning' of a pipe with it, or in the scheme",
                MEANING_SOURCE,
                place_of(code.open, "service", name),
            )


def _two_meanings(name: str, code: _Code) -> Finding:
    """The finding is placed at the last meaning."""
    told = []
    for key, items in code.meanings.items():
        where = rows_text(rows_of(items)[:3])
        told.append(f"{code.spelled[key]!r}{f' ({where})' if where else ''}")
    *_, last = code.meanings.values()
    return Finding(
        "abbreviation-two-meanings",
        Severity.BLOCKING,
        f"{name} stands for {' and for '.join(told)} in this plant",
        "keep one meaning and give the other line its own code",
        MEANING_SOURCE,
        place_of(last, "service", name),
    )


def mixed_schemes(
    items: Iterable[Item], lines: Sequence[Line], schemes: Mapping[str, Scheme], default: str
) -> Iterator[Finding]:
    """Contents that the order marks in two ways; a separate scheme for water is not a mix.

    Machines and valves count for the contents of their scheme where it tells levels, since a
    scheme for all contents does not say what is in them.
    """
    heaps: dict[str, dict[str, list[Item]]] = defaultdict(lambda: defaultdict(list))
    names = {word: each.contents for each in schemes.values() for word in each.level_contents}
    for line in lines:
        heaps[names.get(line.contents, line.contents)][line.key].append(line.item)
    for item in items:
        key = item.spec.scheme or default
        if not isinstance(item.spec, PipeMarker) and schemes[key].levels:
            heaps[schemes[key].contents][key].append(item)
    for contents, by_scheme in heaps.items():
        first, *others = by_scheme
        look = _look(schemes[first], contents)
        for other in others:
            if _look(schemes[other], contents) == look:
                continue
            yield Finding(
                "schemes-mixed",
                Severity.BLOCKING,
                f"{contents} is marked by {schemes[first].title!r} and by "
                f"{schemes[other].title!r} in one plant",
                "mark one contents by one scheme everywhere, or accept this with the day when "
                "the old markers are gone",
                MIXED_SOURCE,
                place_of(by_scheme[other], "scheme", contents),
            )


def _look(scheme: Scheme, contents: str) -> tuple[object, ...]:
    """Everything a reader sees of a scheme for the contents, and its level cutoff."""
    pairing = scheme.pairing_for(contents)
    pair = (pairing.field, pairing.legend, pairing.second) if pairing else ()
    states = {state: [band.word for band in bands] for state, bands in scheme.states.items()}
    bands = {band.word: band for found in scheme.states.values() for band in found}
    bands |= {band.word: band for band in scheme.levels.values()}
    cutoff = scheme.cutoff_for(contents)
    machine = scheme.equipment
    return (
        [scheme.inks[name].lab for name in pair if name],
        states,
        {word: (scheme.inks[b.field].lab, scheme.inks[b.ink].lab) for word, b in bands.items()},
        cutoff.psig if cutoff else None,
        scheme.inks[machine.field].lab,
        machine.pressure_band,
    )


def colors_shared(lines: Iterable[Line]) -> Iterator[Finding]:
    """A field color that two schemes give to contents which one of them tells apart by color."""
    used: dict[Lab, dict[tuple[str, str], list[Line]]] = defaultdict(lambda: defaultdict(list))
    for line in lines:
        field_color = _field(line.scheme, line.contents)
        if field_color is not None:
            used[field_color][line.key, line.contents].append(line)
    for color, uses in used.items():
        for one, other in combinations(uses.values(), 2):
            if not _apart(one[0], other[0], color):
                continue
            pairing = other[0].scheme.pairing_for(other[0].contents)
            name = pairing.field if pairing is not None else "one color"
            yield Finding(
                "color-two-meanings",
                Severity.WARNING,
                f"{name} stands for {one[0].contents} by {one[0].scheme.title!r} and for "
                f"{other[0].contents} by {other[0].scheme.title!r}",
                "mark both by one scheme, and let people read the words before the color",
                MIXED_SOURCE,
                place_of((line.item for line in other), "scheme", other[0].name),
            )


def _field(scheme: Scheme, contents: str) -> Lab | None:
    pairing = scheme.pairing_for(contents)
    return scheme.inks[pairing.field].lab if pairing is not None else None


def _apart(one: Line, other: Line, color: Lab) -> bool:
    """Whether either scheme would color the other's contents differently."""
    if one.key == other.key or one.contents == other.contents:
        return False
    crossed = (_field(one.scheme, other.contents), _field(other.scheme, one.contents))
    return any(each is not None and each != color for each in crossed)
