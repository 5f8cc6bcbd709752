"""The normalised order: one form for each order, whatever file it came from."""

from __future__ import annotations

import json
from collections.abc import Iterable
from functools import lru_cache

from pydantic import TypeAdapter

from layouts.spec import Item, MeasuredRun, Order, Position, Specification
from layouts.spec.quantities import length_text

_RUN = TypeAdapter(MeasuredRun)
_HEAD = ("version", "title", "plant", "revision", "date", "scheme", "spacing")
_WISHES = ("keep_together", "long_parts")  # written only where the order has them


def normalized(order: Order) -> Order:
    """The same order with equal specifications joined, in canonical order."""
    return order.model_copy(update={"items": canonical_items(order.items)})


def canonical_items(items: Iterable[Item]) -> tuple[Item, ...]:
    """Items by content, equal ones joined; positions by row, then by content."""
    positions: dict[Specification, list[Position]] = {}
    for item in items:
        positions.setdefault(item.spec, []).extend(item.positions)
    ordered = sorted(positions, key=_spec_text)
    return tuple(Item(s, tuple(sorted(positions[s], key=_place_rank))) for s in ordered)


def order_json(order: Order) -> bytes:
    """The normalised order as JSON (UTF-8): sorted keys, quantities with their units.

    Equal orders give equal bytes, and ``read`` gives the normalised order back. Each marker
    and each position stands on a line of its own, so that two orders can be compared by eye.
    """
    head = order.model_dump(mode="json", include={*_HEAD})
    head |= order.model_dump(mode="json", include={*_WISHES}, exclude_defaults=True)
    head["stocks"] = order.stocks.model_dump(mode="json")
    head["accept"] = [each.model_dump(mode="json") for each in order.accept]
    markers = ",\n".join(_marker(item) for item in canonical_items(order.items))
    fields = {key: _text(value) for key, value in head.items() if value is not None}
    fields["markers"] = f"[\n{markers}\n]"
    lines = [f'"{key}": {fields[key]}' for key in sorted(fields)]
    return ("{\n" + ",\n".join(lines) + "\n}\n").encode()


def _marker(item: Item) -> str:
    places = ",\n".join(f"  {_text(_place_dict(position))}" for position in item.positions)
    spec = _spec_text(item.spec)
    # "positions" is last of all keys' lines for the eye; keys within each object are sorted.
    return f'{spec[:-1]}, "positions": [\n{places}\n]}}'


def _spec_text(spec: Specification) -> str:
    fields = spec.model_dump(mode="json", exclude_defaults=True)
    return _text({**fields, "kind": str(spec.kind)})


def _place_dict(position: Position) -> dict[str, object]:
    fields = {
        "area": position.area,
        "drawing": position.drawing,
        "from": position.from_,
        "line": position.line,
        "location": position.location,
        "note": position.note,
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
    return written


def _lengths(position: Position) -> tuple[tuple[str, float | None], ...]:
    return ("at", position.at), ("height", position.height), ("distance", position.distance)


@lru_cache(maxsize=1000)
def _run_dict(run: MeasuredRun) -> object:
    """What the run is, its defaults left out; all of its markers share it."""
    return _RUN.dump_python(run, mode="json", exclude_defaults=True)


def _place_rank(position: Position) -> tuple[bool, int, int, tuple[str, ...], tuple[object, ...]]:
    texts = (position.area, position.location, position.line, position.drawing)
    more = (position.from_, position.to, position.note)
    row = position.row
    along: tuple[object, ...] = ()
    if (
        position.spot
        or (position.at, position.height, position.distance, position.pipe_run) != _NOWHERE
    ):
        lengths = [-1.0 if length is None else length for _, length in _lengths(position)]
        run = "" if position.pipe_run is None else _text(_run_dict(position.pipe_run))
        along = (*lengths, run, position.spot)
    return row is None, row or 0, position.quantity, texts + more, along


_NOWHERE = (None, None, None, None)
_text = json.JSONEncoder(ensure_ascii=False, sort_keys=True).encode
