"""Bands, colors, paints and codes that a plant actually uses."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence

from layouts.drawing.inks import Ink
from layouts.markers.gather import Marker
from layouts.order.order import EquipmentMarker, Order, PipeMarker
from layouts.plan.contents import service_of, state_of
from layouts.plan.design import Element
from layouts.plan.level import level_of
from layouts.plan.model import Notes
from layouts.schemes.model import ElementKind, PaintRule, Pairing, Scheme
from layouts.terms.tags import natural_key, split_tag
from layouts.terms.values import frozen
from layouts.terms.words import Kind, Level

MEMORY = "memory"  # the status of entries whose source was not seen


@frozen
class BandFact:
    """A band in use: its word and inks, and what it means."""

    word: str
    field: Ink
    ink: Ink
    meaning: str


@frozen
class FieldFact:
    """A field in use: its words, its inks, and the meaning of its colors."""

    words: tuple[str, ...]
    field: Ink
    ink: Ink
    meaning: str


@frozen
class PaintFact:
    """A paint color and the services of this plant that it is for.

    ``sure`` are the codes of services that the convention names or describes, ``read`` those
    that only our own reading gives the color.
    """

    color: str
    ink: Ink
    service: str
    sure: tuple[str, ...]
    read: tuple[str, ...]


@frozen
class EquipmentCode:
    """The letter code of a kind of machine, with the tags of the machines that carry it."""

    code: str
    name: str
    tags: str


def band_facts(markers: Iterable[Marker], schemes: Iterable[Scheme]) -> tuple[BandFact, ...]:
    """Every band on the markers, states before levels, in the schemes' order."""
    used = {
        (marker.plan.scheme, element.kind, element.word)
        for marker in markers
        for element in _elements(marker)
        if element.field is not None
    }
    facts: dict[BandFact, None] = {}
    for scheme in schemes:
        for state, bands in scheme.states.items():
            for band in bands:
                if len(bands) == 1 and (scheme.key, ElementKind.STATE, band.word) in used:
                    fact = BandFact(
                        band.word, scheme.inks[band.field], scheme.inks[band.ink], str(state)
                    )
                    facts[fact] = None
        for level, band in scheme.levels.items():
            if (scheme.key, ElementKind.LEVEL, band.word) in used:
                meaning = _level_text(level, scheme)
                fact = BandFact(band.word, scheme.inks[band.field], scheme.inks[band.ink], meaning)
                facts[fact] = None
    return tuple(facts)


def field_facts(markers: Iterable[Marker], schemes: Iterable[Scheme]) -> tuple[FieldFact, ...]:
    """Every field color of the pipe markers, the most frequent first, with its words."""
    by_key = {scheme.key: scheme for scheme in schemes}
    words: dict[tuple[Ink, Ink, str], dict[str, None]] = defaultdict(dict)
    counts: Counter[tuple[Ink, Ink, str]] = Counter()
    for marker in markers:
        if marker.plan.kind is not Kind.PIPE:
            continue
        field = marker.face.design.field
        for element in _elements(marker):
            if element.kind is ElementKind.LEGEND:
                meaning = _class_of(element.word, field, by_key[marker.plan.scheme])
                key = field, element.ink, meaning
                words[key][element.word] = None
                counts[key] += marker.quantity
    return tuple(
        FieldFact(tuple(sorted(words[key])), *key)
        for key in sorted(words, key=lambda key: (-counts[key], key[0].name, key[2]))
    )


def paint_facts(order: Order, schemes: Mapping[str, Scheme]) -> tuple[PaintFact, ...]:
    """The paint colors that the order's pipes meet, in the schemes' order, each once."""
    used: dict[tuple[str, str], set[str]] = defaultdict(set)
    for item in order.items:
        spec = item.spec
        if not isinstance(spec, PipeMarker):
            continue
        name = spec.scheme or order.scheme
        rule = _paint_of(spec, schemes[name])
        if rule is not None:
            contents = spec.contents or schemes[name].contents
            used[name, rule.service].add(spec.service.upper() or contents.upper())
    heaps: dict[tuple[str, Ink], list[tuple[PaintRule, set[str]]]] = defaultdict(list)
    for name, scheme in schemes.items():
        for rule in scheme.paints:
            if (name, rule.service) in used:
                key = rule.color, scheme.inks[rule.ink]
                heaps[key].append((rule, used[name, rule.service]))
    return tuple(_paint_fact(color, ink, heap) for (color, ink), heap in heaps.items())


def _paint_of(spec: PipeMarker, scheme: Scheme) -> PaintRule | None:
    unheard = Notes("")  # the marker's plan reports any fault of the line
    state = state_of(spec, service_of(spec, scheme, unheard), scheme, unheard)
    contents = spec.contents or scheme.contents
    level = level_of(spec.pressure, spec.level, scheme, unheard, contents.upper())
    return scheme.paint_for(contents, spec.service.upper(), state, level)


def _paint_fact(color: str, ink: Ink, heap: Sequence[tuple[PaintRule, set[str]]]) -> PaintFact:
    """One color; a rule whose words only extend another's covers both."""
    services = [rule.service for rule, _ in heap]
    said = [
        text
        for text in dict.fromkeys(services)
        if not any(other != text and other.startswith(text) for other in services)
    ]
    sure = {code for rule, codes in heap if rule.status != MEMORY for code in codes}
    read = {code for rule, codes in heap if rule.status == MEMORY for code in codes}
    return PaintFact(color, ink, "; ".join(said), tuple(sorted(sure)), tuple(sorted(read - sure)))


def equipment_codes(order: Order) -> tuple[EquipmentCode, ...]:
    """The letters before the numbers of the order's machines, by code and name."""
    found: dict[tuple[str, str], set[str]] = defaultdict(set)
    for item in order.items:
        spec = item.spec
        if isinstance(spec, EquipmentMarker) and spec.tag:
            parts = split_tag(spec.tag.upper())
            code = parts.prefix.rstrip("-. _") if parts and parts.prefix else spec.tag.upper()
            found[code, " ".join(spec.name.split())].add(spec.tag.upper())
    return tuple(
        EquipmentCode(code, name, tags_text(sorted(tags, key=natural_key)))
        for (code, name), tags in sorted(found.items())
    )


def _elements(marker: Marker) -> Iterator[Element]:
    design = marker.face.design
    for line in design.lines:
        yield from line
    if design.end_band is not None:
        yield design.end_band


def _level_text(level: Level, scheme: Scheme) -> str:
    if scheme.cutoff_psig is None:
        return f"{level} pressure"
    cutoff = f"{scheme.cutoff_psig:g} psig"
    return f"above {cutoff}" if level is Level.HIGH else f"{cutoff} or less"


def _class_of(word: str, field: Ink, scheme: Scheme) -> str:
    """The meaning of the field's color: the class of the words, otherwise of the color."""
    own = scheme.pairing_for(word)
    if own is not None and scheme.inks[own.field] == field:
        return own.meaning
    alike: Sequence[Pairing] = [p for p in scheme.pairings if scheme.inks[p.field] == field]
    return "; ".join(pairing.meaning for pairing in alike)


def tags_text(tags: Sequence[str]) -> str:
    """The tags: ``EC-1, 2, FEU-1 to 4``, what is alike in them said once."""
    return ", ".join(_runs(tags))


def _runs(tags: Sequence[str]) -> Iterator[str]:
    """Runs of three consecutive numbers and more as their ends; a prefix is said once."""
    said = ""
    run: list[str] = []
    for tag in (*tags, ""):
        if run and not _follows(run[-1], tag):
            ends = run if len(run) < 3 else [run[0], run[-1]]
            short = [
                _without(end, said if index == 0 else run[0]) for index, end in enumerate(ends)
            ]
            yield " to ".join(short) if len(run) > 2 else ", ".join(short)
            said = run[-1]
            run = []
        run.append(tag)


def _without(tag: str, before: str) -> str:
    """The tag without the prefix that it shares with the one before it."""
    one, two = split_tag(before), split_tag(tag)
    if one is None or two is None or not two.prefix or one.prefix != two.prefix:
        return tag
    return f"{two.digits}{two.suffix}"


def _follows(one: str, two: str) -> bool:
    a, b = split_tag(one), split_tag(two)
    if a is None or b is None or (a.prefix, a.suffix) != (b.prefix, b.suffix):
        return False
    return int(b.digits) == int(a.digits) + 1
