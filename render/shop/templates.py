"""Starter files and their JSON Schemas for editors: shop, prices, scheme."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from importlib.resources import files
from typing import Any

from layouts.papers.materials.model import Material, Unit
from render.shop.shop_tables import ShopTables

SAMPLES = ("shop.toml", "prices.toml", "scheme.toml")
_DIALECT = "https://json-schema.org/draft/2020-12/schema"
_NOT_SCHEMES = frozenset({"colors", "inks", "languages", "mounting", "spacing"})


def sample(name: str) -> bytes:
    """The sample of ``shop.toml``, ``prices.toml`` or ``scheme.toml``."""
    return files("render.shop.samples").joinpath(name).read_bytes()


def schema_of(kind: str) -> dict[str, Any]:
    """The JSON Schema of a ``shop``, ``prices`` or ``scheme`` file.

    Raises:
        KeyError: there is no schema of that name.
    """
    return {"shop": _shop, "prices": _prices, "scheme": _scheme}[kind]()


def _shop() -> dict[str, Any]:
    return {"$schema": _DIALECT, **ShopTables.model_json_schema(), "title": "Shop"}


def _prices() -> dict[str, Any]:
    row = {
        "type": "object",
        "required": ["material", "unit", "price"],
        "additionalProperties": False,
        "properties": {
            "material": {"enum": [str(each) for each in Material]},
            "item": {"type": "string"},
            "unit": {"enum": [str(each) for each in Unit]},
            "price": {"type": "number", "minimum": 0},
        },
    }
    return {
        "$schema": _DIALECT,
        "title": "Prices",
        "type": "object",
        "required": ["currency", "prices"],
        "additionalProperties": False,
        "properties": {"currency": {"type": "string"}, "prices": {"type": "array", "items": row}},
    }


def _scheme() -> dict[str, Any]:
    """The keys of the built-in schemes; a plant's scheme file may have any part of them."""
    folder = files("layouts.schemes")
    tables = [
        tomllib.loads(each.read_text("utf-8"))
        for each in sorted(folder.iterdir(), key=lambda each: each.name)
        if each.name.endswith(".toml") and each.name.removesuffix(".toml") not in _NOT_SCHEMES
    ]
    shape = _shape([*tables, tomllib.loads(folder.joinpath("inks.toml").read_text("utf-8"))])
    return {"$schema": _DIALECT, "title": "Scheme", **shape}


def _shape(values: Iterable[object]) -> dict[str, Any]:
    """The schema that fits all the values, with every key that occurs in any of them."""
    listed = list(values)
    tables = [each for each in listed if isinstance(each, Mapping)]
    lists = [each for each in listed if isinstance(each, list)]
    kinds: list[dict[str, Any]] = []
    if tables:
        keys = sorted({key for table in tables for key in table})
        properties = {key: _shape(table[key] for table in tables if key in table) for key in keys}
        kinds.append({"type": "object", "properties": properties})
    if lists:
        items = [each for row in lists for each in row]
        kinds.append({"type": "array", "items": _shape(items)} if items else {"type": "array"})
    names = {bool: "boolean", str: "string", int: "number", float: "number"}
    plain = {names[type(each)] for each in listed if type(each) in names}
    kinds += [{"type": name} for name in sorted(plain)]
    return kinds[0] if len(kinds) == 1 else {"anyOf": kinds}
