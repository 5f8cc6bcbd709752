"""Names that stay on the pieces: an id for each distinct face, or for each piece at its place.

An id names the marker, or the piece at its place (``layouts.markers.piece_ids``), and four digits
of its order: ``3F9A21BC/7C1D``, ``K7M2Q9D-2/7C1D``, behind the plant's own prefix where there is
one. It is made of content only, so a reprint gives the same id, and no id says where a plant or a
computer is.
"""

from __future__ import annotations

import hashlib
import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from layouts.drawing.typefaces import Typefaces
from layouts.face import compose
from layouts.face.piece_id import IdPlace, find_id_place, with_id
from layouts.markers.gather import Gathered, Marker, NamedPiece, Placing
from layouts.markers.piece_ids import placed_pieces, thing_of
from layouts.order.normal import order_json
from layouts.order.order import Order, PipeMarker
from layouts.order.position import first_place
from layouts.plan.design import Design, Element
from layouts.plan.legibility import reading_distance
from layouts.terms.findings import Finding, Place, Severity, weigh
from layouts.terms.units import MM_PER_FOOT, MM_PER_INCH, inches
from layouts.terms.words import PieceId, PieceIdPer

PIECE_COLUMNS = (
    *("id", "marker", "kind", "legend", "pieces", "area", "location", "line", "tag"),
    *("drawing", "from", "to", "hand", "row"),
)
_MOST_STEPS = 24  # lengths tried for a marker that has no room, from its own upward
_FARTHEST_FT = 60


def job_digits(order: Order) -> str:
    """The four digits of an order that appear in its ids."""
    if order.piece_id_job:
        return order.piece_id_job
    plain = {"piece_id": PieceId.NONE, "piece_id_per": PieceIdPer.FACE, "piece_id_prefix": ""}
    return hashlib.sha256(order_json(order.model_copy(update=plain))).hexdigest()[:4].upper()


def ids_text(order: Order) -> str:
    """The ids as an approval states them; empty for an order without ids."""
    if order.piece_id is PieceId.NONE:
        return ""
    prefix = f", prefix {order.piece_id_prefix}" if order.piece_id_prefix else ""
    return f"{order.piece_id} by {order.piece_id_per}{prefix}"


def with_ids(gathered: Gathered, order: Order, typefaces: Typefaces, file: str) -> Gathered:
    """The markers with their ids drawn, as the order asks; unchanged where it asks for none."""
    if order.piece_id is PieceId.NONE:
        return gathered
    named = _named(gathered.markers, order)
    markers: list[Marker] = []
    found: list[Finding] = []
    for marker in named:
        texts = list(dict.fromkeys(text for each in marker.placings for text in each.ids))
        place = find_id_place(marker.face, texts, order.piece_id, typefaces)
        markers.append(_drawn(marker, place, order.piece_id_per, typefaces))
        if place.lacking:
            found.append(weigh(_no_room(marker, texts, place, typefaces), file, order.accept))
    found += _cost(markers, order)
    return replace(gathered, markers=tuple(markers), findings=(*gathered.findings, *found))


def _named(markers: Sequence[Marker], order: Order) -> Iterator[Marker]:
    """The markers with the ids that are printed on the pieces of each placing."""
    start, end = f"{order.piece_id_prefix}-" if order.piece_id_prefix else "", job_digits(order)
    by_placing: dict[int, list[str]] = defaultdict(list)
    if order.piece_id_per is PieceIdPer.POSITION:
        for piece in placed_pieces(markers):
            by_placing[id(piece.placing)].append(piece.id)
    for marker in markers:
        placings = []
        for placing in marker.placings:
            names = by_placing[id(placing)] or [marker.id]
            ids = tuple(f"{start}{name}/{end}" for name in names)
            placings.append(replace(placing, ids=ids))
        yield replace(marker, placings=tuple(placings))


def _drawn(marker: Marker, place: IdPlace, per: PieceIdPer, typefaces: Typefaces) -> Marker:
    """The marker with the id of its face, or with a face for each of its pieces."""
    if per is PieceIdPer.FACE:
        text = marker.placings[0].ids[0]
        return replace(marker, face=with_id(marker.face, text, place, typefaces))
    pieces = tuple(
        NamedPiece(text, index, with_id(marker.face, text, place, typefaces))
        for index, placing in enumerate(marker.placings)
        for text in placing.ids
    )
    return replace(marker, face=pieces[0].face, pieces=pieces)


def _no_room(marker: Marker, texts: Sequence[str], place: IdPlace, typefaces: Typefaces) -> Finding:
    what = " and ".join({PieceId.QR: "QR code", PieceId.TEXT: "id"}[each] for each in place.lacking)
    wanted = PieceId.BOTH if len(place.lacking) > 1 else place.lacking[0]
    room = _Roomier(marker.face.design, texts, wanted, typefaces)
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
    """The changes to a design that would make room for an id."""

    def __init__(
        self, design: Design, texts: Sequence[str], wanted: PieceId, typefaces: Typefaces
    ) -> None:
        self._design, self._texts, self._wanted = design, texts, wanted
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
        return not find_id_place(face, self._texts, self._wanted, self._typefaces).lacking


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
    """The cost of ids by position, reported before anything is nested."""
    if order.piece_id_per is PieceIdPer.FACE:
        return
    pieces = sum(marker.quantity for marker in markers)
    what = (
        f"ids by position make {pieces} distinct faces of {len(markers)}, and no two sheets "
        "are equal: each is printed once, on its own page"
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
    tag = "" if isinstance(spec, PipeMarker) else thing_of(placing)
    return (
        *(text, marker.id, str(marker.plan.kind), marker.face.words, pieces, at.area),
        *(at.location, at.line, tag, at.drawing, at.from_, at.to, placing.plan.hand),
        at.row or "",
    )
