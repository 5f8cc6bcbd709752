"""Words faults of a TOML file like those of a list: file, table, key, what would be right."""

from __future__ import annotations

import difflib
from collections.abc import Mapping, Sequence
from tomllib import TOMLDecodeError
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity
from render.files.intake import toml_tables

_KINDS = {
    "string_type": ("is not text", "put it between quotation marks"),
    "bool_type": ("is neither true nor false", "write true or false, without quotation marks"),
    "bool_parsing": ("is neither true nor false", "write true or false, without quotation marks"),
    "int_type": ("is not a whole number", "write a whole number, without quotation marks"),
    "int_parsing": ("is not a whole number", "write a whole number, without quotation marks"),
    "int_from_float": ("is not a whole number", "write a whole number"),
    "float_type": ("is not a number", "write a number, without quotation marks"),
    "float_parsing": ("is not a number", "write a number, without quotation marks"),
    "tuple_type": ("is not a list", "write a list between square brackets"),
    "dict_type": ("is not a table", "write keys and values between braces"),
    "model_type": ("is not a table", "write keys and values between braces"),
}
_BOUNDS = {
    "greater_than": ("gt", "more than"),
    "greater_than_equal": ("ge", "at least"),
    "less_than": ("lt", "less than"),
    "less_than_equal": ("le", "at most"),
}


_NOT_TOML = "this is not TOML: "


def parsed_toml(text: str, name: str, code: str) -> dict[str, Any]:
    """The tables of a TOML file.

    Raises:
        InputError: it is not TOML; the line is named.
    """
    try:
        return toml_tables(text)
    except ValueError as error:
        what = f"{_NOT_TOML if isinstance(error, TOMLDecodeError) else ''}{error}"
        right = "compare the line with what `pipelegend template` writes"
        raise InputError(
            [Finding(code, Severity.UNREADABLE, what, right, place=Place(name))]
        ) from error


def toml_refusal(
    error: ValidationError, tables: Mapping[str, Any], name: str, top: type[BaseModel]
) -> InputError:
    """Every fault that pydantic found, in our wording."""
    faults = [_finding(each, tables, name, top) for each in error.errors()]
    return InputError(list(dict.fromkeys(faults)))


def _finding(
    fault: ErrorDetails, tables: Mapping[str, Any], name: str, top: type[BaseModel]
) -> Finding:
    what, right = _words(fault, top)
    field = place_text(fault["loc"], tables)
    return Finding("shop-file", Severity.UNREADABLE, what, right, place=Place(name, field=field))


def place_text(where: Sequence[int | str], tables: Mapping[str, Any]) -> str:
    """``stocks 2 (roll-24in), width``: table, its number from 1 and key, then the key in it."""
    words: list[str] = []
    at: Any = tables
    for part in where:
        if isinstance(part, int):
            at = at[part] if isinstance(at, list) and part < len(at) else None
            key = at.get("key") or at.get("of") if isinstance(at, dict) else None
            words[-1] += f" {part + 1}" + (f" ({key})" if isinstance(key, str) else "")
        elif isinstance(at, dict) and (part in at or len(words) < 2):
            words.append(part)
            at = at.get(part)
        elif isinstance(at, dict) and not part.startswith(("str-", "literal", "lax", "function")):
            words.append(part)  # a key that is missing
            at = None
    return ", ".join(words)


def _words(fault: ErrorDetails, top: type[BaseModel]) -> tuple[str, str]:
    kind, given = fault["type"], fault.get("input")
    context = fault.get("ctx", {})
    key = str(fault["loc"][-1]) if fault["loc"] else ""
    if kind == "missing":
        return f"{key!r} is missing", "write it"
    if kind == "extra_forbidden":
        return _unknown_key(key, fault["loc"], top)
    if kind in ("enum", "literal_error"):
        words = str(context.get("expected", "")).replace(" or ", ", ").replace("'", "")
        return f"{given!r} is not known here", f"write one of {words}"
    if kind in ("value_error", "assertion_error"):
        what, _, right = fault["msg"].removeprefix("Value error, ").partition("; ")
        return what, right
    if kind in _BOUNDS:
        name, words = _BOUNDS[kind]
        return f"{given!r} is out of range", f"write {words} {context[name]:g}"
    if kind == "tuple_type" and len(fault["loc"]) == 1:
        return f"[{key}] is one table", f"write [[{key}]] with double brackets, once for each"
    if kind in ("too_short", "string_too_short"):
        return "it is empty", "write at least one"
    what, right = _KINDS.get(kind, ("cannot be read", "compare it with `pipelegend template`"))
    return f"{given!r} {what}", right


def _unknown_key(key: str, where: Sequence[int | str], top: type[BaseModel]) -> tuple[str, str]:
    """An unknown key, with the one that was probably meant."""
    known = _keys_at(where[:-1], top)
    near = difflib.get_close_matches(key, known, 1, 0.6)
    right = f"{near[0]!r} may be meant" if near else f"the keys here are {', '.join(known)}"
    return f"there is no key {key!r}", right


def _keys_at(where: Sequence[int | str], top: type[BaseModel]) -> list[str]:
    model: type[BaseModel] = top
    for part in where:
        if isinstance(part, str) and part in model.model_fields:
            found = _model_in(model.model_fields[part].annotation)
            model = found or model
    return list(model.model_fields)


def _model_in(annotation: Any) -> type[BaseModel] | None:
    """The table under a key, searched for inside lists, tables and unions."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    found = (_model_in(each) for each in getattr(annotation, "__args__", ()))
    return next((each for each in found if each is not None), None)
