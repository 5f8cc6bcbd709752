"""Distinct markers: everything of an order that looks alike and is built alike, counted."""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from layouts.drawing.typefaces import Typefaces
from layouts.face import Face, compose
from layouts.face.fit import fitted
from layouts.order.order import Acceptance, Item, Position, Specification
from layouts.plan import MarkerPlan, plan
from layouts.plan.build import Build
from layouts.plan.design import Design
from layouts.schemes.model import Scheme
from layouts.terms.findings import Finding, Place, Severity, weighed


@dataclass(frozen=True, slots=True)
class Placing:
    """So many of a marker at one position, the plan that put them there, and what asked for it."""

    position: Position
    count: int
    plan: MarkerPlan
    spec: Specification


@dataclass(frozen=True, slots=True)
class Marker:
    """One distinct marker. Pipes of different size can ask for the same one.

    ``plan`` is one of the plans that led to it, the same one whatever the order of the list.
    """

    id: str
    plan: MarkerPlan
    face: Face
    quantity: int
    placings: tuple[Placing, ...]

    @property
    def plans(self) -> tuple[MarkerPlan, ...]:
        """Every plan that led here, once."""
        by_identity = {id(placing.plan): placing.plan for placing in self.placings}
        return tuple(dict.fromkeys(by_identity.values()))


@dataclass(frozen=True, slots=True)
class Gathered:
    """All distinct markers of an order, by id, and every finding."""

    markers: tuple[Marker, ...]
    findings: tuple[Finding, ...]


def build_key(build: Build) -> tuple[str, ...]:
    """What makes two builds the same piece of work; straps are cut to length on site."""
    return (
        build.mount,
        build.film,
        build.adhesive,
        build.laminate or "",
        f"{build.stand_off:.3f}",
        build.plate_material,
    )


def gather(
    items: Iterable[Item],
    schemes: Mapping[str, Scheme],
    default_scheme: str,
    typefaces: Typefaces,
    accepted: tuple[Acceptance, ...],
    file: str,
) -> Gathered:
    """Plan every item, fit it, and put equal markers together.

    A character that the typeface lacks is a finding, and so is everything that a plan found;
    each names the first row that asked for it.
    """
    heaps: dict[tuple[Design, tuple[str, ...]], list[Placing]] = defaultdict(list)
    faces: dict[Design, Face] = {}
    findings: list[Finding] = []
    for item in items:
        plans, planned = plan(item.spec, schemes, default_scheme)
        fits = [fitted(each, typefaces) for each in plans]
        found = list(planned)
        for each in fits:
            found += [finding for finding in each.findings if finding not in found]
            face = faces.get(each.design)
            if face is None:
                face = faces[each.design] = compose(each.design, typefaces)
            found += _lacking(each, face, found)
            heaps[each.design, build_key(each.build)] += [
                Placing(position, position.quantity * each.per_position, each, item.spec)
                for position in item.positions
            ]
        findings += _located(found, item, file, accepted)
    markers = [_marker(key, placings, faces[key[0]], typefaces) for key, placings in heaps.items()]
    return Gathered(tuple(sorted(markers, key=_order)), tuple(findings))


def _marker(
    key: tuple[Design, tuple[str, ...]],
    placings: list[Placing],
    face: Face,
    typefaces: Typefaces,
) -> Marker:
    text = f"{key!r}|{typefaces.dark.key}|{typefaces.light.key}"
    placings = sorted(placings, key=_placing_order)
    return Marker(
        hashlib.sha256(text.encode()).hexdigest()[:8].upper(),
        placings[0].plan,
        face,
        sum(placing.count for placing in placings),
        tuple(placings),
    )


def _order(marker: Marker) -> tuple[str, str, float, str]:
    kind = {"pipe": "1", "equipment": "2", "valve": "3"}[marker.plan.kind]
    return kind, marker.plan.name, -marker.plan.design.letter_height, marker.id


def _placing_order(placing: Placing) -> tuple[str, str, str, str, str, int, str]:
    position = placing.position
    return (
        position.area,
        position.line,
        position.location,
        position.from_,
        position.to,
        position.row or 0,
        placing.plan.hand,
    )


def _lacking(plan: MarkerPlan, face: Face, found: list[Finding]) -> list[Finding]:
    """One finding for the characters of a face that the typeface has no glyph for."""
    if not face.missing:
        return []
    characters = " ".join(face.missing)
    finding = Finding(
        "glyph-missing",
        Severity.UNREADABLE,
        f"the font has no glyph for {characters}",
        "use a font that has it (--font), or spell the legend without it",
        place=Place(field="legend", marker=plan.name),
    )
    return [] if finding in found else [finding]


def _located(
    found: Sequence[Finding], item: Item, file: str, accepted: tuple[Acceptance, ...]
) -> list[Finding]:
    """The findings with file, row and the order's acceptance."""
    if not found:
        return []
    rows = sorted(position.row for position in item.positions if position.row is not None)
    row, more = (rows[0], len(rows) - 1) if rows else (None, 0)
    return [
        weighed(replace(each, place=replace(each.place, row=row, more=more)), file, accepted)
        for each in found
    ]
