"""Finds pieces of a job with an id per piece, by id, tag, line number or marker."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from layouts.markers.gather import Marker
from layouts.markers.piece_ids import PlacedPiece, placed_pieces
from layouts.order.order import PipeMarker
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding
from render.folder.naming import counted_name, reprint_fault, unknown_name


def pieces_called(texts: Iterable[str], markers: Sequence[Marker]) -> tuple[PlacedPiece, ...]:
    """The named pieces, each once; ``HV-118=2`` is the first two installed there.

    Raises:
        InputError: a name is unknown, or more pieces are asked for than exist.
    """
    pieces = placed_pieces(markers)
    known = _by_name(pieces)
    chosen: dict[str, PlacedPiece] = {}
    faults: list[Finding] = []
    for text in texts:
        name, count = counted_name(text)
        here = known.get(_folded(name))
        if here is None:
            faults.append(unknown_name(name, known))
        elif count is not None and not 1 <= count <= len(here):
            what = f"{text!r} asks for {count} pieces and {len(here)} have ids of their own"
            faults.append(reprint_fault(what, f"ask for 1 to {len(here)}", name))
        else:
            chosen.update((each.id, each) for each in here[:count])
    if faults:
        raise InputError(faults)
    return tuple(chosen.values())


def _by_name(pieces: Iterable[PlacedPiece]) -> Mapping[str, list[PlacedPiece]]:
    """Pieces by their id with and without what stands around it, marker, tag and line."""
    found: dict[str, list[PlacedPiece]] = {}
    numbers: dict[int, int] = {}
    for piece in pieces:
        number = numbers[id(piece.placing)] = numbers.get(id(piece.placing), 0) + 1
        line = piece.placing.position.line if isinstance(piece.placing.spec, PipeMarker) else ""
        names = (piece.id, piece.placing.ids[number - 1], piece.marker.id, piece.thing, line)
        for name in {_folded(each) for each in names if each}:
            found.setdefault(name, []).append(piece)
    return found


def _folded(name: str) -> str:
    return "".join(name.split()).casefold()
