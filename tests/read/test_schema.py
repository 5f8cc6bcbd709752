"""The JSON Schema of the order file: it holds together, accepts orders and refuses faulty ones.

The little judge below follows JSON Schema draft 2020-12 for the keywords that the schema uses.
"""

from __future__ import annotations

import copy
import json
import re
import tomllib
from pathlib import Path
from typing import Any

import pytest

from layouts.order.normal import order_json
from layouts.order.order import EquipmentMarker, OrderHead, PipeMarker, ValveTag
from layouts.terms.words import Flow, State
from render.read import order_schema, read

EXAMPLE = Path(__file__).resolve().parents[2] / "output_samples" / "order_example.toml"
TYPES: dict[str, type | tuple[type, ...]] = {
    "object": dict,
    "array": list,
    "string": str,
    "boolean": bool,
    "null": type(None),
    "integer": int,
    "number": (int, float),
}
ANNOTATIONS = {"title", "description", "default", "examples", "$schema", "$defs"}
KEYWORDS = {
    *("type", "properties", "additionalProperties", "required", "items", "minItems", "enum"),
    *("const", "anyOf", "oneOf", "pattern", "minLength", "maxLength", "minimum", "maximum"),
    *("dependentSchemas", "$ref"),
}
SCHEMA = json.loads(json.dumps(order_schema()))


def schemas(node: Any) -> list[dict[str, Any]]:
    """Every schema in a schema."""
    if not isinstance(node, dict):
        return []
    found = [node]
    for key in ("properties", "$defs", "dependentSchemas"):
        for inner in node.get(key, {}).values():
            found += schemas(inner)
    for key in ("anyOf", "oneOf"):
        for inner in node.get(key, []):
            found += schemas(inner)
    return found + schemas(node.get("items"))


def valid(schema: Any, value: Any) -> bool:
    if isinstance(schema, bool):
        return schema
    if "$ref" in schema and not valid(SCHEMA["$defs"][schema["$ref"].split("/")[-1]], value):
        return False
    if "type" in schema and not is_type(schema["type"], value):
        return False
    if "enum" in schema and value not in schema["enum"]:
        return False
    if "const" in schema and value != schema["const"]:
        return False
    if "anyOf" in schema and not any(valid(each, value) for each in schema["anyOf"]):
        return False
    if "oneOf" in schema and sum(valid(each, value) for each in schema["oneOf"]) != 1:
        return False
    match value:
        case str():
            return (
                schema.get("minLength", 0) <= len(value) <= schema.get("maxLength", len(value))
                and re.search(schema.get("pattern", ""), value) is not None
            )
        case bool():
            return True
        case int() | float():
            return bool(schema.get("minimum", value) <= value <= schema.get("maximum", value))
        case list():
            return len(value) >= schema.get("minItems", 0) and all(
                valid(schema.get("items", True), each) for each in value
            )
        case dict():
            return valid_object(schema, value)
    return True


def is_type(wanted: str | list[str], value: Any) -> bool:
    names = [wanted] if isinstance(wanted, str) else wanted
    return any(
        isinstance(value, TYPES[name]) and (name == "boolean" or not isinstance(value, bool))
        for name in names
    )


def valid_object(schema: dict[str, Any], value: dict[str, Any]) -> bool:
    properties = schema.get("properties", {})
    rest = schema.get("additionalProperties", True)
    return (
        all(key in value for key in schema.get("required", []))
        and all(valid(properties.get(key, rest), each) for key, each in value.items())
        and all(
            valid(inner, value)
            for key, inner in schema.get("dependentSchemas", {}).items()
            if key in value
        )
    )


def example() -> dict[str, Any]:
    document = tomllib.loads(EXAMPLE.read_text(encoding="utf-8"))
    document["date"] = document["date"].isoformat()  # as an editor sees TOML's own dates
    return document


def test_the_schema_uses_only_what_the_judge_knows() -> None:
    used = {key for schema in schemas(SCHEMA) for key in schema}
    assert used <= KEYWORDS | ANNOTATIONS | {"discriminator"}
    assert SCHEMA["$schema"] == "https://json-schema.org/draft/2020-12/schema"


def test_every_reference_and_requirement_leads_somewhere() -> None:
    for schema in schemas(SCHEMA):
        if "$ref" in schema:
            assert schema["$ref"].removeprefix("#/$defs/") in SCHEMA["$defs"]
        if "properties" in schema:
            assert set(schema.get("required", [])) <= set(schema["properties"])


def test_every_key_of_the_model_is_there() -> None:
    for model in (PipeMarker, EquipmentMarker, ValveTag):
        properties = set(SCHEMA["$defs"][model.__name__]["properties"])
        assert set(model.model_fields) <= properties
        assert {"qty", "area", "location", "line", "drawing", "from", "to", "note"} <= properties
        assert "positions" in properties
    extra = {"markers", "environment", "line_list"}
    assert set(SCHEMA["properties"]) == set(OrderHead.model_fields) | extra
    assert SCHEMA["$defs"]["State"]["enum"] == list(State)
    assert SCHEMA["$defs"]["Flow"]["enum"] == list(Flow)


def test_orders_that_read_are_valid() -> None:
    assert valid(SCHEMA, example())
    order = read(EXAMPLE).order
    assert order is not None
    assert valid(SCHEMA, json.loads(order_json(order)))
    assert valid(SCHEMA, {"line_list": "list.xlsx"})


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("titel",), "x"),
        (("title",), 3),
        (("date",), "1 March"),
        (("line_list",), "list.pdf"),
        (("markers",), []),
        (("environment", "setting"), "attic"),
        (("stocks", "foil"), "x"),
        (("markers", 0, "flow"), "rihgt"),
        (("markers", 0, "coverring"), "1 in"),
        (("markers", 0, "covering"), True),
        (("markers", 0, "qty"), 0),
        (("markers", 0, "kind"), "vavle"),
        (("markers", 1, "qty"), 2),  # beside its positions
        (("markers", 1, "positions", 0, "qty"), "2"),
        (("markers", 1, "positions", 0, "where"), "x"),
        (("markers", 3, "tag"), ""),
    ],
)
def test_faulty_orders_are_refused_by_schema_and_reader_alike(
    tmp_path: Path, path: tuple[str | int, ...], value: object
) -> None:
    document = copy.deepcopy(example())
    table: Any = document
    for part in path[:-1]:
        table = table[part]
    table[path[-1]] = value
    assert not valid(SCHEMA, document)
    file = tmp_path / "order.json"
    file.write_text(json.dumps(document), encoding="utf-8")
    assert any(finding.blocks for finding in read(file).findings)
