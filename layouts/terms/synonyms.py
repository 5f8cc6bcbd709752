"""The words that people write for a marker's closed vocabularies, with their meanings.

A list, an order file and a command read the same words. The trade's short forms (NO, NC, CSO,
L/V, dn) are common practice, no source.
"""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import TypeAlias

from layouts.terms.words import (
    FaceForm,
    Flow,
    Kind,
    Level,
    LongParts,
    NormalPosition,
    Outline,
    Run,
    Side,
    State,
    Together,
)

Words: TypeAlias = Mapping[str, str]


class WordError(ValueError):
    """A word that the field does not take; the message offers those that it does."""


def _words(
    own: type[FaceForm | Together | LongParts | Kind | State | Level | Flow | Run | Side | Outline],
    said: Mapping[str, str],
) -> dict[str, str]:
    """Each own word for itself, and its synonyms, separated by spaces (_ joins words)."""
    found = {_key(str(member)): str(member) for member in own}
    for word, others in said.items():
        found |= {_key(other.replace("_", " ")): word for other in others.split()}
    return found


@lru_cache(maxsize=1024)  # a list repeats a few words
def _key(text: str) -> str:
    """Without case, accents, spaces and the signs between words."""
    plain = unicodedata.normalize("NFKD", text.casefold().replace("ß", "ss"))
    plain = "".join(sign for sign in plain if not unicodedata.combining(sign))
    plain = re.sub(r"\s+(?:and|und|et|y)\s+|[/&,]", "+", plain)
    return re.sub(r"[\s.\-_‐-–]+", "", plain)


KIND = _words(
    Kind,
    {
        "pipe": "line piping pipe_marker rohr leitung tuyauterie tuberia",
        "equipment": "vessel machine equip unit apparat equipement equipo",
        "valve": "valves valve_tag ventil armatur vanne valvula",
    },
)
FACE = _words(FaceForm, {"full": "long normal standard", "compact": "short small"})
TOGETHER = _words(Together, {"none": "no", "area": "areas yes"})
LONG_PARTS = _words(LongParts, {"refuse": "no", "split": "yes"})
STATE = _words(
    State,
    {
        "liquid": "liq l liqs flussig fluessig liquide liquido",
        "vapor": "vap v vapour gas g gaseous gasformig vapeur vapores gaz",
        "both": "l+v v+l liq+vap vap+liq liquid+vapor liquid+vapour vapor+liquid liquid+gas "
        "l+g lv vl two_phase twophase 2_phase 2ph two_ph 2_ph tp mixed zweiphasig "
        "diphasique bifasico",
    },
)
LEVEL = _words(Level, {"high": "h hi hp hoch haut alto", "low": "l lo lp niedrig bas bajo"})
FLOW = _words(
    Flow,
    {
        "right": "r rt -> → => > ► to_right to_the_right rechts droite derecha",
        "left": "l lt <- ← <= < ◄ to_left to_the_left links gauche izquierda",
        "up": "u ↑ ^ upward upwards auf nach_oben haut arriba",
        "down": "d dn ↓ downward downwards ab nach_unten bas abajo",
        "reversing": "reverse reversible bidirectional bidir bi both both_ways both_directions "
        "either either_way two_way 2_way <-> <--> ↔ ⇄ beide deux_sens ambos",
        "none": "no_flow no_arrow static nil",
    },
)
RUN = _words(
    Run,
    {
        "horizontal": "h hor horiz level waagerecht waagrecht",
        "vertical": "v ver vert riser drop downcomer senkrecht vertikal",
    },
)
SIDE = _words(Side, {"one": "single 1 one_side", "both": "two double 2 both_sides two_sides"})
SHAPE = _words(Outline, {"round": "circle circular disk", "rectangle": "square rectangular"})
LINES: Words = {"1": "1", "2": "2", "one": "1", "two": "2"}
_POSITIONS = {
    NormalPosition.NORMALLY_OPEN: "normally_open open opened no n/o o n_open norm_open offen "
    "normal_offen ouvert ouverte abierta abierto",
    NormalPosition.NORMALLY_CLOSED: "normally_closed closed close shut nc n/c c n_closed "
    "norm_closed geschlossen zu ferme fermee cerrada cerrado",
    NormalPosition.LOCKED_OPEN: "locked_open lo l/o lock_open open_locked locked_o",
    NormalPosition.LOCKED_CLOSED: "locked_closed lc l/c lock_closed closed_locked locked_shut "
    "locked_c",
    NormalPosition.CAR_SEALED_OPEN: "car_sealed_open cso car_seal_open carseal_open cs_open "
    "sealed_open open_car_sealed",
    NormalPosition.CAR_SEALED_CLOSED: "car_sealed_closed csc car_seal_closed carseal_closed "
    "cs_closed sealed_closed closed_car_sealed",
    NormalPosition.THROTTLED: "throttled throttling throt throttle regulating",
    NormalPosition.FRONT_SEATED: "front_seated front_seat frontseated",
    NormalPosition.BACK_SEATED: "back_seated back_seat backseated",
    NormalPosition.OPEN_TO_A: "open_to_a to_a port_a a_open",
    NormalPosition.OPEN_TO_B: "open_to_b to_b port_b b_open",
}
POSITION: Words = {
    _key(word.replace("_", " ")): str(position)
    for position, words in _POSITIONS.items()
    for word in words.split()
}
_FAILURE = {_key(w) for w in ("fo", "f/o", "fc", "f/c", "fl", "fi", "fail open", "fail closed")} | {
    _key(w) for w in ("fails open", "fails closed", "fail last", "failed open", "failed closed")
}
_BARE = {
    _key(w)
    for w in ("bare", "none", "uninsulated", "un-insulated", "not insulated", "no insulation")
} | {_key(w) for w in ("n/a", "na", "nil", "no", "not ins", "ohne", "keine", "sans", "ninguno")}
_DASHES = frozenset({"-", "--", "–", "—", "---"})


def choose(text: str, words: Words) -> str:
    """The order's word for what is written. Raises ``WordError``."""
    found = words.get(_key(text)) or words.get(" ".join(text.split()))
    if found is None:
        near = nearest(_key(text), words)
        raise WordError(refusal(text, tuple(dict.fromkeys(words.values())), words.get(near, "")))
    return found


def refusal(text: str, wanted: tuple[str, ...], near: str) -> str:
    """The fault of a word and the accepted words, separated by ``;``."""
    hint = f"did you mean {near}? It takes " if near else "write "
    *most, last = wanted
    right = f"{', '.join(most)} or {last}" if most else last
    return f"{show_value(text)} is not a valid value; {hint}{right}"


def read_position(text: str) -> NormalPosition:
    """A valve's normal position, in any of the trade's words; a leading NORMALLY is ignored.

    Raises:
        WordError: the words say something else, such as the failure position of an actuator.
    """
    key = _key(text)
    if key in _FAILURE:
        raise WordError(
            f"{show_value(text)} is where an actuator fails to, not its normal position; "
            "write normally open or normally closed, and the failure position in note"
        )
    for form in (key, re.sub(r"^norm(?:ally|al)?", "", key), re.sub(r"norm(?:ally|al)?$", "", key)):
        if form in POSITION:
            return NormalPosition(POSITION[form])
    near = nearest(key, POSITION)
    offered = ("NO", "NC", "LO", "LC", "CSO", "CSC", "throttled", "back-seated", "to A")
    raise WordError(refusal(text, offered, POSITION.get(near, "").lower()))


def means_bare(text: str) -> bool:
    """Whether a cell for a covering says that there is none: ``bare``, ``N/A``, ``-``."""
    plain = text.strip()
    return plain in _DASHES or _key(plain) in {key.replace("+", "") for key in _BARE} | _BARE


_LETTERS = 3  # fewer are like too many words


def nearest(word: str, words: Iterable[str]) -> str:
    """The word most like the one written, or an empty text where none is like it."""
    if len(word) < _LETTERS:
        return ""
    by_folded = {each.casefold(): each for each in words}
    found = difflib.get_close_matches(word.casefold()[:80], by_folded, n=1, cutoff=0.6)
    return by_folded[found[0]] if found else ""


def nearest_service(text: str, services: Mapping[str, str]) -> str:
    """The code that was most likely meant, by its letters or by its meaning; empty for none.

    ``services`` gives the meaning of each code: ``HTR-S`` is near HTRS, ``high pressure liquid``
    is HPL.
    """
    plain = re.sub(r"[\W_]+", "", text.upper())
    by_plain = {re.sub(r"[\W_]+", "", code.upper()): code for code in services}
    if plain in by_plain:
        return by_plain[plain]
    by_meaning = {_meaning(meaning): code for code, meaning in services.items()}
    if near := nearest(_meaning(text), by_meaning):
        return by_meaning[near]
    # Letters in another order are the commonest slip in a code of four.
    swapped = [code for code in by_plain if sorted(code) == sorted(plain)]
    if len(swapped) == 1:
        return by_plain[swapped[0]]
    return by_plain.get(nearest(plain, by_plain), "") if len(plain) > 2 else ""


def service_of_meaning(text: str, services: Mapping[str, str]) -> str:
    """The code whose meaning is written in place of it, word for word; empty for none."""
    wanted = _meaning(text)
    found = [code for code, meaning in services.items() if _meaning(meaning) == wanted]
    return found[0] if len(found) == 1 else ""


@lru_cache(maxsize=1024)  # the meanings of a scheme are compared with each new row
def _meaning(text: str) -> str:
    return " ".join(re.findall(r"\w+", text.casefold()))


def show_value(value: object) -> str:
    """A value as a message shows it: quoted, and cut where it is long."""
    text = repr(value)
    return text if len(text) <= 60 else f"{text[:56]}...{text[0]}"
