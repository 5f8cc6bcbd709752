"""Names that stay on the pieces: an id for each distinct face, or for each piece at its place.

An id is eight digits of what it names and four of its order, ``3F9A21BC/7C1D``, behind the
plant's own prefix where there is one. The digits are of content only, so a reprint gives the same
id, and no id says where a plant or a computer is. By face the eight digits are the marker's id;
by position they are of the marker and its place, rows and notes left out.
"""

from __future__ import annotations

import hashlib
import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from layouts.drawing.typefaces import Typefaces
from layouts.face import compose
from layouts.face.piece_id import IdPlace, place_id, with_id
from layouts.markers.gather import Gathered, Marker, NamedPiece, Placing
from layouts.order.normal import order_json
from layouts.order.order import Order, PipeMarker
from layouts.order.position import first_place
from layouts.plan.design import Design, Element
from layouts.plan.legibility import reading_distance
from layouts.terms.findings import Finding, Place, Severity, weighed
from layouts.terms.units import MM_PER_FOOT, MM_PER_INCH, inches
from layouts.terms.words import PieceId, PieceIdPer

PIECE_COLUMNS = (
    *("id", "marker", "kind", "legend", "pieces", "area", "location", "line", "tag"),
    *("drawing", "from", "to", "hand", "row"),
)
_MOST_STEPS = 24  # lengths tried for a marker that has no room, from its own upward
_FARTHEST_FT = 60


def job_digits(order: Order) -> str:
    """The four digits of an order that stand in its ids."""
    if order.piece_id_job:
        return order.piece_id_job
    plain = {"piece_id": PieceId.NONE, "piece_id_per": PieceIdPer.FACE, "piece_id_prefix": ""}
    return hashlib.sha256(order_json(order.model_copy(update=plain))).hexdigest()[:4].upper()


def ids_text(order: Order) -> str:
    """What an approval says of the ids; empty for an order without."""
    if order.piece_id is PieceId.NONE:
        return ""
    prefix = f", prefix {order.piece_id_prefix}" if order.piece_id_prefix else ""
    return f"{order.piece_id} by {order.piece_id_per}{prefix}"


def with_ids(gathered: Gathered, order: Order, typefaces: Typefaces, file: str) -> Gathered:
    """The markers with their ids drawn, as the order asks; unchanged where it asks for none."""
    if order.piece_id is PieceId.NONE:
        return gathered
    ids = _Ids(order)
    markers: list[Marker] = []
    found: list[Finding] = []
    for marker in gathered.markers:
        place = place_id(marker.face, ids.text(marker.id), order.piece_id, typefaces)
        markers.append(ids.named(marker, place, typefaces))
        if place.lacking:
            finding = _no_room(marker, ids.text(marker.id), place, typefaces)
            found.append(weighed(finding, file, order.accept))
    found += _cost(markers, order)
    return replace(gathered, markers=tuple(markers), findings=(*gathered.findings, *found))


class _Ids:
    """The ids of one order, no two of them equal."""

    def __init__(self, order: Order) -> None:
        self._start = f"{order.piece_id_prefix}-" if order.piece_id_prefix else ""
        self._end = job_digits(order)
        self._per = order.piece_id_per
        self._taken: set[str] = set()

    def text(self, digits: str) -> str:
        """An id as it is printed."""
        return f"{self._start}{digits}/{self._end}"

    def named(self, marker: Marker, place: IdPlace, typefaces: Typefaces) -> Marker:
        """The marker with the id of its face, or with a face for each of its pieces."""
        if self._per is PieceIdPer.FACE:
            text = self.text(marker.id)
            named = tuple(replace(each, ids=(text,)) for each in marker.placings)
            return replace(
                marker, face=with_id(marker.face, text, place, typefaces), placings=named
            )
        placings: list[Placing] = []
        pieces: list[NamedPiece] = []
        counts: Counter[tuple[str, ...]] = Counter()
        for index, placing in enumerate(marker.placings):
            digits = [self._digits(marker, placing, counts) for _ in range(placing.count)]
            texts = tuple(map(self.text, digits))
            placings.append(replace(placing, ids=texts))
            pieces += (
                NamedPiece(text, index, with_id(marker.face, text, place, typefaces))
                for text in texts
            )
        return replace(marker, face=pieces[0].face, placings=tuple(placings), pieces=tuple(pieces))

    def _digits(self, marker: Marker, placing: Placing, counts: Counter[tuple[str, ...]]) -> str:
        """Eight digits of one more piece at a place."""
        at = placing.position
        key = (
            *(marker.id, placing.plan.hand, at.area, at.location, at.line, at.drawing),
            *(at.from_, at.to, at.spot, "" if at.at is None else f"{at.at:.1f}"),
        )
        counts[key] += 1
        number = counts[key] + (at.piece or 1) - 1
        text = "|".join((*key, str(number)))
        while True:
            digits = hashlib.sha256(text.encode()).hexdigest()[:8].upper()
            if digits not in self._taken:
                self._taken.add(digits)
                return digits
            text += "|"  # two pieces of four billion; the second takes other digits


def _no_room(marker: Marker, sample: str, place: IdPlace, typefaces: Typefaces) -> Finding:
    what = " and ".join({PieceId.QR: "QR code", PieceId.TEXT: "id"}[each] for each in place.lacking)
    wanted = PieceId.BOTH if len(place.lacking) > 1 else place.lacking[0]
    room = _Roomier(marker.face.design, sample, wanted, typefaces)
    if isinstance(marker.placings[0].spec, PipeMarker):
        length = room.length()
        right = f"a length of {inches(length)} makes room" if length else ""
    else:
        feet = room.distance_ft()
        right = f"read from {feet} ft (viewing_ft), it is large enough" if feet else ""
    others = "the marker is made without it"
    if PieceId.TEXT not in place.lacking:
        others = "text ids need less room" if place.text is None else "its text id is printed"
    at = first_place((each.position for each in marker.placings), "piece_id", marker.plan.name)
    return Finding(
        "piece-id-room",
        Severity.WARNING,
        f"marker {marker.id} has no free corner for its {what}",
        "; or ".join(part for part in (right, others) if part),
        place=at,
    )


class _Roomier:
    """How a design would have to change to have room for an id."""

    def __init__(self, design: Design, sample: str, wanted: PieceId, typefaces: Typefaces) -> None:
        self._design, self._sample, self._wanted = design, sample, wanted
        self._typefaces = typefaces

    def length(self) -> float | None:
        """The least length in the scheme's steps that has room, mm; None for none near."""
        step = self._design.length_step or MM_PER_INCH / 4
        first = compose(self._design, self._typefaces).measures.length
        lengths = (first + number * step for number in range(1, _MOST_STEPS + 1))
        designs = (replace(self._design, length=length) for length in lengths)
        return next((each.length for each in designs if self._has_room(each)), None)

    def distance_ft(self) -> int | None:
        """The least reading distance whose letters make room, whole feet; None for none."""
        letter = self._design.letter_height
        first = math.ceil(reading_distance(letter) / MM_PER_FOOT)
        for feet in range(first + 1, _FARTHEST_FT + 1):
            if self._has_room(_scaled(self._design, feet * MM_PER_FOOT / reading_distance(letter))):
                return feet
        return None

    def _has_room(self, design: Design) -> bool:
        face = compose(design, self._typefaces)
        return not place_id(face, self._sample, self._wanted, self._typefaces).lacking


def _scaled(design: Design, by: float) -> Design:
    """The design with all of its letters larger; its hole and its floors stay."""

    def larger(element: Element) -> Element:
        height, width = element.letter_height * by, element.min_width * by
        return replace(element, letter_height=height, min_width=width)

    return replace(
        design,
        lines=tuple(tuple(map(larger, line)) for line in design.lines),
        end_band=larger(design.end_band) if design.end_band is not None else None,
        letter_height=design.letter_height * by,
    )


def _cost(markers: Sequence[Marker], order: Order) -> Iterator[Finding]:
    """What ids by position cost, said before anything is nested."""
    if order.piece_id_per is PieceIdPer.FACE:
        return
    pieces = sum(marker.quantity for marker in markers)
    what = (
        f"ids by position make {pieces} distinct faces of {len(markers)}, and no two sheets "
        "are equal: each is printed once, from a page of its own"
    )
    yield Finding(
        "piece-id-cost",
        Severity.NOTE,
        what,
        "with piece_id_per = face, equal sheets are one page with a number of copies",
        place=Place(field="piece_id_per"),
    )


def piece_rows(markers: Iterable[Marker]) -> Iterator[tuple[object, ...]]:
    """Rows under ``PIECE_COLUMNS``: one a piece by position, one a placing by face."""
    for marker in markers:
        for placing in marker.placings:
            each = placing.count if len(placing.ids) < placing.count else 1
            for text in placing.ids:
                yield _row(marker, placing, text, each)


def _row(marker: Marker, placing: Placing, text: str, pieces: int) -> tuple[object, ...]:
    at, spec = placing.position, placing.spec
    tag = "" if isinstance(spec, PipeMarker) else spec.tag
    return (
        *(text, marker.id, str(marker.plan.kind), marker.face.words, pieces, at.area),
        *(at.location, at.line, tag, at.drawing, at.from_, at.to, placing.plan.hand),
        at.row or "",
    )


def ids_of(markers: Iterable[Marker]) -> Mapping[str, tuple[Marker, Placing, int]]:
    """Each piece by its id: marker, placing, and which of the placing's pieces it is, from 1."""
    found: dict[str, tuple[Marker, Placing, int]] = {}
    for marker in markers:
        for placing in marker.placings:
            for number, text in enumerate(placing.ids, start=1):
                found.setdefault(text, (marker, placing, number))
    return found
