"""Distinct markers: everything of an order that looks alike and is built alike, counted."""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from layouts.drawing.typefaces import Typefaces
from layouts.face import Face, compose
from layouts.face.fit import fit_design
from layouts.face.holes import hole_faults
from layouts.order.order import Acceptance, Item, Position, Specification
from layouts.order.position import first_place
from layouts.plan import MarkerPlan, plan
from layouts.plan.build import Build
from layouts.plan.design import Design, Element
from layouts.plan.shop_making import BY_PRACTICE, as_made
from layouts.schemes.making import Making
from layouts.schemes.model import Scheme
from layouts.terms.findings import Finding, Place, Severity, weigh
from layouts.terms.signs import printable
from layouts.terms.values import frozen

_ID = 8  # signs of a marker's id


@frozen
class Placing:
    """The count of a marker at one position, with its plan and the specification behind it.

    ``ids`` are what the pieces are known by: one for all of them, or one for each.
    """

    position: Position
    count: int
    plan: MarkerPlan
    spec: Specification
    ids: tuple[str, ...] = ()


@frozen
class NamedPiece:
    """One piece with its own id: the face that carries it, and its place."""

    id: str
    placing: int
    face: Face


@frozen
class Marker:
    """One distinct marker. Pipes of different size can ask for the same one.

    ``plan`` is one of the plans that led to it, the same one whatever the order of the list.
    ``pieces`` are its pieces one by one if each has its own id; ``face`` is then that of
    the first.
    """

    id: str
    plan: MarkerPlan
    face: Face
    quantity: int
    placings: tuple[Placing, ...]
    pieces: tuple[NamedPiece, ...] = ()

    @property
    def plans(self) -> tuple[MarkerPlan, ...]:
        """Every plan that led here, once."""
        by_identity = {id(placing.plan): placing.plan for placing in self.placings}
        if len(by_identity) == 1:
            return (self.plan,)
        return tuple(dict.fromkeys(by_identity.values()))


@frozen
class Gathered:
    """All distinct markers of an order, by id, and every finding."""

    markers: tuple[Marker, ...]
    findings: tuple[Finding, ...]


def build_key(build: Build) -> tuple[str, ...]:
    """The key of builds that are the same work; straps are cut to length on site."""
    return (
        build.mount,
        build.film,
        build.adhesive,
        build.laminate or "",
        f"{build.stand_off:.3f}",
        build.plate_material,
    )


@frozen
class PlannedItem:
    """One item of an order with its plans: one, or one for each hand of a line read from both."""

    item: Item
    plans: tuple[MarkerPlan, ...]
    findings: tuple[Finding, ...]


@frozen
class ComposedItem:
    """One planned item with the face of each plan, fitted to a short straight run.

    ``digests`` are those of the faces as they are built, which markers are named by.
    """

    item: Item
    plans: tuple[MarkerPlan, ...]
    faces: tuple[Face, ...]
    digests: tuple[str, ...]
    findings: tuple[Finding, ...]


def plan_order(
    items: Iterable[Item],
    schemes: Mapping[str, Scheme],
    default_scheme: str,
    making: Making = BY_PRACTICE,
) -> tuple[PlannedItem, ...]:
    """Hop 2: decide for every item what its marker says, how large it is and how it is built."""
    one = _Shared()
    return tuple(_planned(item, schemes, default_scheme, making, one) for item in items)


class _Shared:
    """Lines that plans have in common, each kept once for the whole order."""

    def __init__(self) -> None:
        self._lines: dict[tuple[object, ...], tuple[Element, ...]] = {}

    def plan(self, own: MarkerPlan) -> MarkerPlan:
        """The plan with its lines shared with all equal ones."""
        lines = tuple(map(self._line, own.design.lines))
        if all(one is other for one, other in zip(lines, own.design.lines, strict=True)):
            return own
        return replace(own, design=replace(own.design, lines=lines))

    def _line(self, own: tuple[Element, ...]) -> tuple[Element, ...]:
        if len(own) == 1:  # words only are shared where they are planned
            return own
        # The inks are the scheme's, and an id is made of the numbers as they are written.
        key = tuple(
            (
                each.kind,
                each.word,
                id(each.ink),
                repr(each.letter_height),
                id(each.field),
                repr(each.min_width),
                each.arrow,
            )
            for each in own
        )
        return self._lines.setdefault(key, own)


def _planned(
    item: Item, schemes: Mapping[str, Scheme], default_scheme: str, making: Making, one: _Shared
) -> PlannedItem:
    plans, findings = plan(item.spec, schemes, default_scheme)
    return PlannedItem(item, tuple(one.plan(as_made(each, making)) for each in plans), findings)


def compose_faces(planned: Iterable[PlannedItem], typefaces: Typefaces) -> tuple[ComposedItem, ...]:
    """Hop 3: one face for each distinct design, fitted to its straight run where that is short.

    A character that the typeface lacks is a finding.
    """
    faces = _Faces(typefaces)
    return tuple(_compose_item(each, faces, typefaces) for each in planned)


class _Faces:
    """The faces of an order, each composed once, and their digests."""

    def __init__(self, typefaces: Typefaces) -> None:
        self._typefaces = typefaces
        self._faces: dict[Design, Face] = {}
        self._digests: dict[tuple[int, tuple[str, ...]], str] = {}

    def face(self, design: Design) -> Face:
        """The face of a design."""
        face = self._faces.get(design)
        if face is None:
            face = self._faces[design] = compose(design, self._typefaces)
        return face

    def digest(self, face: Face, build: Build) -> str:
        """The digest of a face and its build; cheapest just after the face was composed."""
        built = build_key(build)
        digest = self._digests.get((id(face), built))
        if digest is None:
            digest = self._digests[id(face), built] = _digest(face, built, self._typefaces)
        return digest


def _compose_item(planned: PlannedItem, faces: _Faces, typefaces: Typefaces) -> ComposedItem:
    plans = tuple(fit_design(each, typefaces) for each in planned.plans)
    found = list(planned.findings)
    drawn: list[Face] = []
    for each in plans:
        found += [finding for finding in each.findings if finding not in found]
        face = faces.face(each.design)
        found += _lacking(each, face, found)
        found += _hole_findings(each, face, found)
        drawn.append(face)
    digests = tuple(faces.digest(face, each.build) for face, each in zip(drawn, plans, strict=True))
    return ComposedItem(planned.item, plans, tuple(drawn), digests, tuple(found))


def gather_markers(
    composed: Iterable[ComposedItem],
    accepted: tuple[Acceptance, ...],
    file: str,
) -> Gathered:
    """Put equal markers together, each with all its positions.

    Every finding of a plan names the first row that asked for it.
    """
    # Equal designs have one face, so its identity compares faster than they do.
    groups: dict[tuple[int, str], list[Placing]] = defaultdict(list)
    faces: dict[int, Face] = {}
    findings: list[Finding] = []
    for each in composed:
        for marker_plan, face, digest in zip(each.plans, each.faces, each.digests, strict=True):
            faces[id(face)] = face
            groups[id(face), digest] += [
                Placing(
                    position,
                    position.quantity * marker_plan.per_position,
                    marker_plan,
                    each.item.spec,
                )
                for position in each.item.positions
            ]
        findings += _locate_findings(each.findings, each.item, file, accepted)
    ids = short_ids(digest for _, digest in groups)
    markers = [_marker(ids[key[1]], faces[key[0]], groups[key]) for key in groups]
    return Gathered(tuple(sorted(markers, key=_order)), tuple(findings))


def _digest(face: Face, built: tuple[str, ...], typefaces: Typefaces) -> str:
    text = f"({face.design.id_text}, {built!r})|{typefaces.dark.key}|{typefaces.light.key}"
    return hashlib.sha256(text.encode()).hexdigest().upper()


def short_ids(digests: Iterable[str]) -> dict[str, str]:
    """The beginning of each digest, 8 signs and as many more as set it apart from the others.

    Among 100,000 markers one pair in all shares its first 8, as likely as not.
    """
    ids: dict[str, str] = {}
    for one, other in pairwise(["", *sorted(set(digests))]):
        length = max(_ID, _shared(one, other) + 1)
        ids[other] = other[:length]
        if length > _ID:
            ids[one] = one[: max(length, len(ids[one]))]
    return ids


def _shared(one: str, other: str) -> int:
    """How many signs two digests have in common from their start."""
    return next(
        (at for at, signs in enumerate(zip(one, other, strict=False)) if signs[0] != signs[1]), 0
    )


def _marker(name: str, face: Face, placings: list[Placing]) -> Marker:
    placings = sorted(placings, key=_placing_order)
    return Marker(
        name,
        placings[0].plan,
        face,
        sum(placing.count for placing in placings),
        tuple(placings),
    )


def _order(marker: Marker) -> tuple[str, str, float, str]:
    kind = {"pipe": "1", "equipment": "2", "valve": "3"}[marker.plan.kind]
    return kind, marker.plan.name, -marker.plan.design.letter_height, marker.id


def _placing_order(placing: Placing) -> tuple[str, str, str, str, str, int, str]:
    position, details = placing.position, placing.position.details
    return (
        position.area,
        position.line,
        position.location,
        details.from_,
        details.to,
        position.row or 0,
        placing.plan.hand,
    )


def _lacking(plan: MarkerPlan, face: Face, found: list[Finding]) -> list[Finding]:
    """One finding for the characters of a face that the typeface has no glyph for."""
    if not face.missing:
        return []
    characters = " ".join(map(printable, face.missing))
    finding = Finding(
        "glyph-missing",
        Severity.UNREADABLE,
        f"the font has no glyph for {characters}",
        "use a font that has it (--font), or spell the legend without it",
        place=Place(field="legend", marker=plan.name),
    )
    return [] if finding in found else [finding]


def _hole_findings(plan: MarkerPlan, face: Face, found: list[Finding]) -> list[Finding]:
    """Holes of the shop's sizes for which a tag or plate has no room."""
    plate = plan.design.plate
    if not plan.design.way and (plate is None or not plate.way):
        return []
    findings = [
        Finding(
            "hole-room",
            Severity.UNREADABLE,
            what,
            "give smaller holes or other distances in [tags] or [plates] of the shop's file",
            place=Place(marker=plan.name),
        )
        for what in hole_faults(face)
    ]
    return [each for each in findings if each not in found]


def _locate_findings(
    found: Sequence[Finding], item: Item, file: str, accepted: tuple[Acceptance, ...]
) -> list[Finding]:
    """The findings with file, row and the order's acceptance."""
    if not found:
        return []
    at = first_place(item.positions, "", "")
    return [
        weigh(
            replace(each, place=replace(each.place, row=at.row, more=at.more, sheet=at.sheet)),
            file,
            accepted,
        )
        for each in found
    ]
