"""The words of the page: message catalogs as data, one folder a language, one file an area.

A key is ``area.name``, where the area is the file ``words/<language>/<area>.toml``; ``{name}`` in
a message is filled in.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Mapping
from functools import cache
from importlib import resources
from types import MappingProxyType

from starlette.requests import Request

LANGUAGES = MappingProxyType({"en": "English", "es": "Español"})
DEFAULT = "en"
CHOICE = "lang"  # in a link's query, and the cookie that remembers it
Translate = Callable[..., str]


@cache
def catalog(language: str) -> Mapping[str, str]:
    """Every message of a language by its key.

    Raises:
        KeyError: there is no such language.
    """
    if language not in LANGUAGES:
        raise KeyError(language)
    found: dict[str, str] = {}
    folder = resources.files("render.web") / "words" / language
    for file in sorted(folder.iterdir(), key=lambda each: each.name):
        area = file.name.removesuffix(".toml")
        table = tomllib.loads(file.read_text(encoding="utf-8"))
        found |= {f"{area}.{name}": text for name, text in table.items()}
    return MappingProxyType(found)


def translator(language: str) -> Translate:
    """What gives a message of a language by its key, its places filled in."""
    messages = catalog(language)

    def translate(key: str, /, **values: object) -> str:
        return messages[key].format_map(values)

    return translate


def language_of(request: Request) -> str:
    """The language asked for: by a link, by the cookie of an earlier one, or by the browser."""
    for asked in (request.query_params.get(CHOICE), request.cookies.get(CHOICE)):
        if asked is not None and asked in LANGUAGES:
            return asked
    for part in request.headers.get("accept-language", "").split(","):
        primary = re.split(r"[-;]", part.strip().lower())[0]
        if primary in LANGUAGES:
            return primary
    return DEFAULT
