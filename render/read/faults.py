"""Puts pydantic's errors into trade language, with a stable code."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import TypeAlias

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from layouts.terms.synonyms import WordError
from render.read.codes import list_words, nearest, show_value

Path: TypeAlias = tuple[str | int, ...]

_PARSED = {
    **dict.fromkeys(("pipe", "valve_size", "valve_outlet"), "bad-pipe"),
    **dict.fromkeys(("pressure",), "bad-pressure"),
    **dict.fromkeys(("surface", "applied_at", "operating"), "bad-temperature"),
    **dict.fromkeys(("rooms", "turns", "branches", "valves", "penetrations"), "bad-count"),
    "tag": "bad-tag",
}
_LENGTHS = frozenset(
    {
        *("covering", "girth", "od", "viewing_distance", "straight", "letter_height", "length"),
        *("frost", "marker_height", "width", "height", "distance", "at"),
    }
)
_WRONG_TYPE = {
    "string_type": "write it as text, in quotes",
    "string_unicode": "write it as text without broken characters",
    "model_type": "write it as a table of keys",
    "model_attributes_type": "write it as a table of keys",
    "dataclass_type": "write it as a table of keys",
    "tuple_type": "write it as a list",
}


def faults_of(
    error: ValidationError, keys_at: Callable[[Path], Iterable[str]] = lambda _: ()
) -> Iterator[tuple[Path, str, str, str]]:
    """For each fault: key path, code, what is wrong and what would be right.

    ``keys_at`` gives the valid keys beside an unknown one, to suggest the nearest.
    """
    for each in error.errors(include_url=False):
        loc = each["loc"]
        if field := each.get("ctx", {}).get("field"):  # a rule over several fields names the field
            loc = (*loc, field)
            yield loc, *split_message(_PARSED.get(field, _by_field(field)), each["msg"])
            continue
        yield loc, *_said(each, keys_at)


def _said(each: ErrorDetails, keys_at: Callable[[Path], Iterable[str]]) -> tuple[str, str, str]:
    kind, value, context = each["type"], each["input"], each.get("ctx", {})
    field = str(each["loc"][-1]) if each["loc"] else ""
    if kind == "value_error":
        code = _PARSED.get(field, _by_field(field))
        if isinstance(context["error"], WordError):
            code = "bad-choice"
        return split_message(code, str(context["error"]))
    if kind in ("enum", "literal_error"):
        words = [word.strip("'") for word in context["expected"].replace(" or ", ", ").split(", ")]
        near = nearest(value, words) if isinstance(value, str) else ""
        hint = f"did you mean {near}? It takes " if near else "write "
        return "bad-choice", f"{show_value(value)} is not a word for this", hint + list_words(words)
    if kind in ("extra_forbidden", "unexpected_keyword_argument"):
        near = nearest(field, keys_at(each["loc"]))
        right = f"did you mean {near}?" if near else "take it out, or see the order's schema"
        return "unknown-key", f"{show_value(field)} is not known here", right
    if kind in ("missing", "string_too_short"):
        if kind == "string_too_short" and context["min_length"] > 1:
            return (
                "missing-value",
                f"{field} is too short",
                "say it in words that others understand",
            )
        return "missing-value", f"{field} is missing", f"give {field}"
    if kind == "string_too_long":
        most = context["max_length"]
        return "text-too-long", f"the text has {len(value)} characters", f"use at most {most}"
    if kind in ("bool_type", "bool_parsing"):
        return "bad-choice", f"{show_value(value)} is not a word for this", "write true or false"
    if field == "date":
        return "bad-date", f"{show_value(value)} is not a date", "write it as in 2026-03-01"
    if kind in ("int_type", "greater_than_equal", "less_than_equal") and field == "qty":
        return quantity_refused(value)
    right = _WRONG_TYPE.get(kind, f"{each['msg'][:1].lower()}{each['msg'][1:]}")
    return "bad-value", f"{show_value(value)} is not the kind of value for this", right


def _by_field(field: str) -> str:
    return "bad-length" if field in _LENGTHS else "bad-value"


def quantity_refused(value: object) -> tuple[str, str, str]:
    """The fault of a number of markers."""
    what = f"{show_value(value)} is not a number of markers"
    return "bad-quantity", what, "write a whole number from 1 to 10000"


def split_message(code: str, message: str) -> tuple[str, str, str]:
    """A code and its message in two clauses: what is wrong and what would be right."""
    what, _, right = message.partition("; ")
    return code, what, right
