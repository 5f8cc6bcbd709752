"""Words in a list's cells that set more than one field, or mean yes or no."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType

from layouts.terms.synonyms import (
    WordError,
    Words,
    nearest,
    refusal,
    show_value,
)
from layouts.terms.words import Setting

YES_NO: Words = {
    **dict.fromkeys(("yes", "y", "true", "x", "1", "ja", "oui", "si"), "yes"),
    **dict.fromkeys(("no", "n", "false", "-", "0", "none", "nein", "non", "n+a"), "no"),
}
_INDOOR, _OUTDOOR = str(Setting.INDOOR), str(Setting.OUTDOOR)
_SETTING: Words = {
    **dict.fromkeys(("indoor", "indoors", "inside", "int", "interior", "innen"), _INDOOR),
    **dict.fromkeys(("outdoor", "outdoors", "outside", "exterior", "aussen"), _OUTDOOR),
    **dict.fromkeys(("rooftop", "roof", "yard"), _OUTDOOR),
    **dict.fromkeys(("engine room", "machine room", "machinery room", "compressor room"), _INDOOR),
    **dict.fromkeys(("mechanical room", "dock", "attic", "interstitial", "penthouse"), _INDOOR),
}
# Rooms that are cold when a marker is put up, with the temperature taken for their surfaces;
# common practice, no source.
_COLD = {
    **dict.fromkeys(("freezer", "blast freezer", "frozen storage"), "-10 F"),
    **dict.fromkeys(("cold room", "cold storage", "cooler", "chill room", "chiller room"), "35 F"),
}
_WASHDOWN = "washdown"
_ENVIRONMENTS = ("indoor", "outdoor", "washdown", "freezer", "two of them as in outdoor washdown")


@lru_cache(maxsize=1024)  # a list repeats a few settings
def environment(text: str) -> Mapping[str, object]:
    """Setting, washdown and application temperature from words such as ``outdoor washdown``.

    A freezer is indoors, and its markers go on cold surfaces. Raises ``WordError``.
    """
    found: dict[str, object] = {}
    plain = " ".join(text.casefold().split())
    plain = re.sub(r"wash[\s-]*down(?: area)?|\bwet\b", f",{_WASHDOWN},", plain)
    for room in sorted((*_COLD, *_SETTING), key=len, reverse=True):
        plain = re.sub(rf"\b{room}\b", f",{room},", plain) if " " in room else plain
    parts = [part for chunk in plain.split(",") for part in _parts(chunk)]
    for word in parts:
        if word == _WASHDOWN:
            found["washdown"] = True
        elif word in _SETTING or word in _COLD:
            setting = _SETTING.get(word, _INDOOR)
            if found.setdefault("setting", setting) != setting:
                raise WordError(f"{show_value(text)} is both indoor and outdoor; write one of them")
            if word in _COLD:
                found["applied_at"] = _COLD[word]
        elif word not in ("and", "area", ""):
            near = nearest(word, (*_SETTING, *_COLD, _WASHDOWN))
            raise WordError(refusal(text, _ENVIRONMENTS, near))
    return MappingProxyType(found)


def _parts(chunk: str) -> list[str]:
    """A room name of several words as a whole, otherwise word by word."""
    chunk = chunk.strip()
    return [chunk] if chunk in _COLD or chunk in _SETTING else re.split(r"[\s;/+&]+", chunk)
