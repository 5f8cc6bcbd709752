"""Patterns by which a shop names its files, its documents and the slug of a sheet."""

from __future__ import annotations

import re
from collections.abc import Mapping

# The fields that each pattern may have; those of a file's name make it unique in the job folder.
FIELDS: Mapping[str, tuple[str, ...]] = {
    "print_names": ("job", "group", "copies"),
    "cut_names": ("job", "group", "sheet", "copies"),
    "titles": ("job", "order", "group", "stock", "build", "sheets", "copies"),
    "slug": (
        *("job", "order", "group", "stock", "build", "sheet", "sheets", "copies"),
        *("areas", "inks"),
    ),
}
TITLES = "{order} | {group} | {stock}"
SLUG = (
    "{order} | {group} | {stock} | {build} | sheet {sheet} of {sheets}, print {copies} | "
    "for {areas} | inks: {inks}"
)
_FIELD = re.compile(r"\{(\w*)\}")


def fields_of(pattern: str) -> tuple[str, ...]:
    """The names of a pattern's fields, repeats included."""
    return tuple(_FIELD.findall(pattern))


def plain_of(pattern: str) -> str:
    """What a pattern says beside its fields."""
    return _FIELD.sub("", pattern)


def filled(pattern: str, values: Mapping[str, object], between: str) -> str:
    """The pattern's phrases, separated by bars, with their fields filled.

    A phrase with an empty field is left out.
    """
    texts = {name: str(value) for name, value in values.items()}
    phrases = (phrase.strip() for phrase in pattern.split("|"))
    return between.join(
        _FIELD.sub(lambda found: texts[found[1]], phrase)
        for phrase in phrases
        if phrase and all(texts[name] for name in fields_of(phrase))
    )
