"""JSON Schema of the order file, so that editors can complete and check it."""

from __future__ import annotations

from pydantic import TypeAdapter

from layouts.order.order import AnySpecification, Environment, OrderHead, Position
from render.read.ordertables import POSITION_KEYS

Schema = dict[str, object]
_LIST_NAME = {
    "type": "string",
    "pattern": r"\.([cC][sS][vV]|[xX][lL][sS][xXmM]?|[oO][dD][sS])$",
}


def order_schema() -> Schema:
    """JSON Schema (draft 2020-12) of TOML and JSON order files."""
    schema = OrderHead.model_json_schema(mode="validation")
    definitions = dict(schema.pop("$defs", {}))
    markers = TypeAdapter(AnySpecification).json_schema(ref_template="#/$defs/{model}")
    position = TypeAdapter(Position).json_schema()
    environment = TypeAdapter(Environment).json_schema()
    definitions.update(markers.pop("$defs"))
    definitions.update(environment.pop("$defs"))
    definitions.update(position.pop("$defs"))
    definitions["Environment"] = environment
    definitions["Position"] = position
    for name in ("PipeMarker", "EquipmentMarker", "ValveTag"):
        definitions[name] = _with_positions(definitions[name], position)
    properties = {
        **schema["properties"],
        "environment": {
            "$ref": "#/$defs/Environment",
            "description": "holds where a marker gives none",
        },
        "line_list": {
            "anyOf": [_LIST_NAME, {"type": "array", "minItems": 1, "items": _LIST_NAME}],
            "description": "line lists beside this file, in place of markers or besides them",
        },
        "markers": {
            "type": "array",
            "minItems": 1,
            "items": {"oneOf": markers["oneOf"]},
        },
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **schema,
        "title": "Marker order",
        "properties": properties,
        "anyOf": [{"required": ["markers"]}, {"required": ["line_list"]}],
        "$defs": definitions,
    }


def _with_positions(marker: Schema, position: Schema) -> Schema:
    """A marker's table with the keys of its single position, or a list of positions."""
    own, place = marker["properties"], position["properties"]
    assert isinstance(own, dict)
    assert isinstance(place, dict)
    positions = {"type": "array", "minItems": 1, "items": {"$ref": "#/$defs/Position"}}
    return {
        **marker,
        "properties": {**own, **{key: place[key] for key in POSITION_KEYS}, "positions": positions},
        "dependentSchemas": {
            "positions": {"properties": dict.fromkeys(POSITION_KEYS, False)},
        },
    }
