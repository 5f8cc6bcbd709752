"""The words that people write in cells, and what each stands for in the order."""

from __future__ import annotations

import re
from typing import TypeAlias

from layouts.terms.words import Flow, Kind, Level, Outline, Run, Setting, Side, State
from render.read.codes import listed, nearest, shown

Words: TypeAlias = dict[str, str]


class WordError(ValueError):
    """A word that the field does not take; the message offers the ones that it does."""


def _words(own: type[Kind | State | Level | Flow | Run | Side | Outline], **others: str) -> Words:
    """Each own word for itself, and the others (``vapour="vapor"``)."""
    return {**{str(member): str(member) for member in own}, **others}


KIND = _words(Kind, line="pipe", piping="pipe", vessel="equipment", machine="equipment")
STATE: Words = _words(
    State, liq="liquid", l="liquid", vap="vapor", vapour="vapor", gas="vapor", v="vapor"
) | dict.fromkeys(("l+v", "liq+vap", "liquid+vapor", "liquid+vapour", "two-phase"), "both")
LEVEL = _words(Level, h="high", hi="high", l="low", lo="low")
FLOW = _words(
    Flow, r="right", l="left", u="up", d="down", reverse="reversing", bidirectional="reversing"
)
RUN = _words(Run, h="horizontal", v="vertical", riser="vertical")
SIDE: Words = _words(Side, single="one", two="both", double="both") | {"1": "one", "2": "both"}
SHAPE = _words(Outline, circle="round", square="rectangle")
LINES: Words = {"1": "1", "2": "2", "one": "1", "two": "2"}
YES_NO: Words = {
    **dict.fromkeys(("yes", "y", "true", "x", "1"), "yes"),
    **dict.fromkeys(("no", "n", "false", "-", "0"), "no"),
}
_SETTING: Words = {
    **dict.fromkeys(("indoor", "indoors", "inside"), str(Setting.INDOOR)),
    **dict.fromkeys(("outdoor", "outdoors", "outside", "rooftop", "roof"), str(Setting.OUTDOOR)),
}
_WASHDOWN = "washdown"
_ENVIRONMENTS = ("indoor", "outdoor", "washdown", "two of them as in outdoor washdown")


def choose(text: str, words: Words) -> str:
    """The order's word for what is written. Raises ``WordError``."""
    word = " ".join(text.casefold().split()).rstrip(".")
    found = words.get(re.sub(r"\s*[+/&]\s*| and ", "+", word))
    if found is None:
        near = nearest(text, words)
        raise WordError(_refusal(text, tuple(dict.fromkeys(words.values())), words.get(near, "")))
    return found


def _refusal(text: str, wanted: tuple[str, ...], near: str) -> str:
    """What is wrong with a word and which words are right, parted by ``;``."""
    hint = f"did you mean {near}? It takes " if near else "write "
    return f"{shown(text)} is not a word for this; {hint}{listed(wanted)}"


def environment(text: str) -> dict[str, object]:
    """Setting and washdown out of ``outdoor washdown``. Raises ``WordError``."""
    found: dict[str, object] = {}
    plain = re.sub(r"wash[\s-]+down", _WASHDOWN, text.casefold())
    for word in re.split(r"[\s,;/+&]+", plain.strip()):
        if word == _WASHDOWN:
            found["washdown"] = True
        elif word in _SETTING:
            setting = _SETTING[word]
            if found.setdefault("setting", setting) != setting:
                raise WordError(f"{shown(text)} is both indoor and outdoor; write one of them")
        elif word not in ("and", ""):
            near = nearest(word, (*_SETTING, _WASHDOWN))
            raise WordError(_refusal(text, _ENVIRONMENTS, near))
    return found
