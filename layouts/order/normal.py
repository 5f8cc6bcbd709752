"""The normalized order: one form for each order, whatever file it came from."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator
from functools import lru_cache
from json.encoder import encode_basestring as _quoted
from operator import itemgetter, lt

from pydantic import TypeAdapter

from layouts.order.order import (
    Item,
    MeasuredRun,
    Order,
    PipeMarker,
    Position,
    Specification,
    runs_upright,
)
from layouts.order.position import NO_DETAILS
from layouts.order.quantities import length_text

_RUN = TypeAdapter(MeasuredRun)
_HEAD = ("version", "title", "plant", "revision", "date", "scheme", "spacing")
_IDS = ("piece_id", "piece_id_per", "piece_id_prefix", "piece_id_job")
# Written only where the order has them.
_WISHES = ("keep_together", "long_parts", "face", "colors", "cutoffs", "signs", *_IDS)


def normalize(order: Order) -> Order:
    """The same order with equal specifications joined, in canonical order."""
    return order.model_copy(update={"items": canonical_items(order.items)})


def canonical_items(items: Iterable[Item]) -> tuple[Item, ...]:
    """Items by content, equal ones joined; positions by row, then by content."""
    return tuple(item for _, item in _by_text(items))


def _by_text(items: Iterable[Item]) -> Iterator[tuple[str, Item]]:
    """The items in canonical order, each with the text of its specification."""
    positions: dict[Specification, list[Position]] = {}
    for item in items:
        positions.setdefault(item.spec, []).extend(item.positions)
    for text, spec in sorted(((_spec_text(each), each) for each in positions), key=itemgetter(0)):
        yield text, Item(spec, tuple(_sort_positions(positions[spec])))


def _sort_positions(positions: list[Position]) -> list[Position]:
    """By ``_place_rank``; those of a list are usually in this order already, each with its row."""
    rows = [0 if position.source else position.row or 0 for position in positions]
    if 0 not in rows and all(map(lt, rows, rows[1:])):
        return positions
    return sorted(positions, key=_place_rank)


def order_json(order: Order) -> bytes:
    """The normalized order as JSON (UTF-8): sorted keys, quantities with their units.

    Equal orders give equal bytes, and ``read`` gives the normalized order back. Each marker and
    each position is on its own line, so that two orders can be compared by eye.
    """
    return b"".join(order_json_pieces(order))


def order_json_pieces(order: Order) -> Iterator[bytes]:
    """The same piece by piece, so that a long list's text need not be held twice."""
    head = order.model_dump(mode="json", include={*_HEAD})
    head |= order.model_dump(mode="json", include={*_WISHES}, exclude_defaults=True)
    head["stocks"] = order.stocks.model_dump(mode="json")
    head["accept"] = [each.model_dump(mode="json") for each in order.accept]
    fields = {key: _text(value).encode() for key, value in head.items() if value is not None}
    for at, key in enumerate(sorted((*fields, "markers"))):
        yield f'{"," if at else "{"}\n"{key}": '.encode()
        if key != "markers":
            yield fields[key]
            continue
        for number, (spec, item) in enumerate(_by_text(order.items)):
            yield b",\n" if number else b"[\n"
            yield _marker(spec, item.positions).encode()
        yield b"\n]"
    yield b"\n}\n"


def order_seal(order: Order) -> str:
    """The id of an order: the first 12 digits of the SHA-256 of its normal form."""
    return hashlib.sha256(order_json(order)).hexdigest()[:12].upper()


def _marker(spec: str, positions: Iterable[Position]) -> str:
    places = ",\n".join([f"  {_place_text(position)}" for position in positions])
    # "positions" is last of all keys' lines for the eye; keys within each object are sorted.
    return f'{spec[:-1]}, "positions": [\n{places}\n]}}'


def _spec_text(spec: Specification) -> str:
    fields = spec.model_dump(mode="json", exclude_defaults=True)
    if isinstance(spec, PipeMarker) and runs_upright(fields.get("flow")):
        fields["run"] = str(spec.run)  # without it, it would be read as vertical
    return _text({**fields, "kind": str(spec.kind)})


def _place_text(position: Position) -> str:
    """One position as JSON, its keys sorted."""
    if _on_run(position):
        return _text(_place_dict(position))
    details = position.details
    texts = (
        ("area", position.area),
        ("drawing", details.drawing),
        ("from", details.from_),
        ("line", position.line),
        ("location", position.location),
        ("note", details.note),
    )
    fields = [f'"{key}": {_quoted(text)}' for key, text in texts if text]
    fields.append(f'"qty": {position.quantity}')
    if position.row is not None:
        fields.append(f'"row": {position.row}')
    if details.source:
        fields.append(f'"source": {_quoted(details.source)}')
    if details.to:
        fields.append(f'"to": {_quoted(details.to)}')
    return f"{{{', '.join(fields)}}}"


def _on_run(position: Position) -> bool:
    """Whether more is known of the place than texts and a row."""
    details = position.details
    if details is NO_DETAILS:
        return False
    along = (details.at, details.height, details.distance, details.pipe_run)
    return bool(details.spot or details.pieces) or along != _NOWHERE


def _place_dict(position: Position) -> dict[str, object]:
    fields = {
        "area": position.area,
        "drawing": position.drawing,
        "from": position.from_,
        "line": position.line,
        "location": position.location,
        "note": position.note,
        "source": position.source,
        "spot": position.spot,
        "to": position.to,
    }
    written: dict[str, object] = {key: value for key, value in fields.items() if value}
    written["qty"] = position.quantity
    if position.row is not None:
        written["row"] = position.row
    for key, length in _lengths(position):
        if length is not None:
            written[key] = length_text(length)
    if position.pipe_run is not None:
        written["pipe_run"] = _run_dict(position.pipe_run)
    if position.pieces:
        written["pieces"] = list(position.pieces)
    return written


def _lengths(position: Position) -> tuple[tuple[str, float | None], ...]:
    return ("at", position.at), ("height", position.height), ("distance", position.distance)


@lru_cache(maxsize=1000)
def _run_dict(run: MeasuredRun) -> object:
    """What the run is, its defaults left out; all of its markers share it."""
    return _RUN.dump_python(run, mode="json", exclude_defaults=True)


def _place_rank(position: Position) -> tuple[bool, int, int, tuple[str, ...], tuple[object, ...]]:
    texts = (position.area, position.location, position.line, position.drawing)
    more = (position.from_, position.to, position.note, position.source)
    row = position.row
    along: tuple[object, ...] = ()
    if _on_run(position):
        lengths = [-1.0 if length is None else length for _, length in _lengths(position)]
        run = "" if position.pipe_run is None else _text(_run_dict(position.pipe_run))
        along = (*lengths, run, position.spot, position.pieces)
    return row is None, row or 0, position.quantity, texts + more, along


_NOWHERE = (None, None, None, None)
_text = json.JSONEncoder(ensure_ascii=False, sort_keys=True).encode
