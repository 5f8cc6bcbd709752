"""Reads a marker's form from a link: the field values, and the words for drawing."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from threading import Lock

from layouts.schemes.loader import load_scheme, scheme_keys
from layouts.terms.errors import BlockedError, InputError
from layouts.terms.findings import Finding
from layouts.terms.synonyms import service_of_meaning
from layouts.terms.values import frozen
from layouts.terms.words import Kind
from render.one_marker import Door, Drawing, Files, draw_words
from render.web.language import Translate, translator
from render.web.marker_fields import UNITS, USUAL, Field, fields_of

_NUMBER = re.compile(r"-?[\d.,/ -]*\d")
_COMMA = re.compile(r"-?\d+,(?:\d{1,2}|\d{4,})")
_MEASURED = ("pipe", "girth", "od")  # ways to measure a pipe, and the word of each
_DRAWING = Lock()
UNITS_BEFORE = "was"  # the units that a form showed when it was filled in


@frozen
class MarkerForm:
    """A form as a link fills it in. ``values`` has every field of the kind, empty ones too."""

    kind: Kind
    scheme: str
    units: str
    values: Mapping[str, str]

    @property
    def is_blank(self) -> bool:
        """Whether the form has only default choices."""
        return all(text in ("", USUAL.get(name)) for name, text in self.values.items())

    def words(self) -> dict[str, str]:
        """The words of the marker as the single commands take them."""
        words = dict(self.values)
        if self.kind is Kind.PIPE:
            way = words.pop("measure")
            unused = set(_MEASURED) - {way}
            words = {name: text for name, text in words.items() if name not in unused}
        surroundings = [words.pop("setting"), "washdown" if words.pop("washdown") else ""]
        words["environment"] = " ".join(filter(None, surroundings))
        for field in fields_of(self.kind):
            if field.measure and words.get(field.name):
                unit = UNITS[self.units][field.measure]
                words[field.name] = with_reader_unit(words[field.name], unit)
        if service := words.get("service"):
            services = load_scheme(self.scheme).services
            meanings = {code: each.meaning for code, each in services.items()}
            words["service"] = service_of_meaning(service, meanings) or service
        return {name: text for name, text in words.items() if text}


def with_reader_unit(text: str, unit: str) -> str:
    """A bare number with the unit that the reader chose; ``1,5`` is one and a half."""
    plain = text.strip()
    if not _NUMBER.fullmatch(plain):
        return plain
    if _COMMA.fullmatch(plain):
        plain = plain.replace(",", ".")
    return f"{plain} {unit}"


def read_form(given: Mapping[str, str]) -> MarkerForm:
    """The form that a link's query fills in; what is no choice of a field counts as not given."""
    kinds = {str(kind): kind for kind in Kind}
    kind = kinds.get(given.get("kind", ""), Kind.PIPE)
    keys = scheme_keys()
    scheme = given.get("scheme", "")
    units = given.get("units", "")
    units = units if units in UNITS else "us"
    before = given.get(UNITS_BEFORE, "")
    values = {}
    for field in fields_of(kind):
        text = _value(field, given)
        if field.measure and before in UNITS and before != units:
            # A number keeps the unit that it was typed in; 30 psig must not become 30 bar.
            text = with_reader_unit(text, UNITS[before][field.measure])
        values[field.name] = text
    return MarkerForm(kind, scheme if scheme in keys else keys[0], units, values)


def _value(field: Field, given: Mapping[str, str]) -> str:
    text = given.get(field.name, "").strip()
    if field.other:
        return given.get(f"{field.name}_other", "").strip() or text
    if field.control == "check":
        return "yes" if text else ""
    if field.choices and text not in field.choices:
        return USUAL.get(field.name, "")
    return text or USUAL.get(field.name, "")


@frozen
class Outcome:
    """The result of a form: a drawing with its findings, or the findings that forbid one."""

    drawing: Drawing | None
    findings: tuple[Finding, ...]
    blocked: bool = False


def draw_form(form: MarkerForm, shop: Path | None, language: str, paper: str = "") -> Outcome:
    """Draw the marker of a form; the last few drawings are kept for downloads."""
    stamp = shop.stat().st_mtime_ns if shop else 0
    words = tuple(sorted(form.words().items()))
    return _draw(form.kind, words, form.scheme, shop, stamp, paper, language)


@lru_cache(maxsize=64)
def _draw(
    kind: Kind,
    words: tuple[tuple[str, str], ...],
    scheme: str,
    shop: Path | None,
    _stamp: int,
    paper: str,
    language: str,
) -> Outcome:
    door = door_of(translator(language))
    try:
        with _DRAWING:
            given = {**dict(words), "scheme": scheme}
            drawn = draw_words(kind, given, Files(shop, paper=paper), door)
    except (InputError, BlockedError) as error:
        return Outcome(None, error.findings, isinstance(error, BlockedError))
    return Outcome(drawn, drawn.findings)


def data_of(drawing: Drawing, suffix: str) -> bytes:
    """The bytes of a drawing in a format; one at a time, because the writers share their lettering.

    Raises:
        OutputError: the format cannot hold several pages, or a picture needs cairo, which is not
        installed.
    """
    with _DRAWING:
        return drawing.data(suffix)


def door_of(t: Translate) -> Door:
    """How the form names a word: by its label, in quotes to set it off in a sentence."""

    def name(word: str) -> str:
        return f"“{label_of(word, t)}”"

    return Door(name, lambda word, value: f"{name(word)}: {value}")


def label_of(word: str, t: Translate) -> str:
    """The label of a word, or the word itself if the form has no field for it."""
    word = {"environment": "setting"}.get(word, word).rstrip("_")
    try:
        return t(f"field.{word}")
    except KeyError:
        return word
