"""Names that stay on the pieces: an id for each distinct face, or for each piece at its place.

An id is eight digits of what it names and four of its order, ``3F9A21BC-7C1D``, behind the
plant's own prefix where there is one. The digits are of content only, so a reprint gives the same
id, and no id says where a plant or a computer is. By face the eight digits are the marker's id;
by position they are of the marker and its place, rows and notes left out.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from layouts.drawing.typefaces import Typefaces
from layouts.face import compose
from layouts.face.model import Face
from layouts.face.piece_id import IdPlace, place_id, with_id
from layouts.markers.gather import Gathered, Marker, NamedPiece, Placing
from layouts.order.normal import order_json
from layouts.order.order import Order, PipeMarker
from layouts.order.position import first_place
from layouts.plan.design import Design
from layouts.terms.findings import Finding, Place, Severity, weighed
from layouts.terms.units import MM_PER_INCH, inches
from layouts.terms.words import PieceId, PieceIdPer

PIECE_COLUMNS = (
    *("id", "marker", "kind", "legend", "pieces", "area", "location", "line", "tag"),
    *("drawing", "from", "to", "hand", "row"),
)
_MOST_STEPS = 24  # lengths tried for a marker that has no room, from its own upward


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
        return f"{self._start}{digits}-{self._end}"

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
    spec = marker.placings[0].spec
    if isinstance(spec, PipeMarker):
        length = _roomy_length(marker.face.design, sample, place.lacking, typefaces)
        right = f"a length of {inches(length)} makes room" if length else ""
    else:
        right = "a longer viewing distance makes it larger"
    others = "the marker is made without it"
    if PieceId.TEXT not in place.lacking:
        others = "order text ids for it" if place.text is None else "its text id is printed"
    at = first_place((each.position for each in marker.placings), "piece_id", marker.plan.name)
    return Finding(
        "piece-id-room",
        Severity.WARNING,
        f"marker {marker.id} has no free corner for its {what}",
        "; or ".join(part for part in (right, others) if part),
        place=at,
    )


def _roomy_length(
    design: Design, sample: str, lacking: Sequence[PieceId], typefaces: Typefaces
) -> float | None:
    """The least length in the scheme's steps at which a flat marker has room; None for none."""
    step = design.length_step or MM_PER_INCH / 4
    face: Face = compose(design, typefaces)
    wanted = PieceId.BOTH if len(lacking) > 1 else lacking[0]
    for number in range(1, _MOST_STEPS + 1):
        length = face.measures.length + number * step
        longer = compose(replace(design, length=length), typefaces)
        if not place_id(longer, sample, wanted, typefaces).lacking:
            return longer.measures.length
    return None


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
