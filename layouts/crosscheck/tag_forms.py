"""The forms of a plant's tags, learned from its list, and the tags of a drawing by them.

A form is the letters before the number and how many digits follow: HV-118 teaches ``HV`` with
three. A digit more or fewer is taken too, since a plant grows. Digits that were read or typed as
letters (``HV-l18``) are seen as what they are: a tag that is written wrong.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence

from layouts.crosscheck.drawn import DrawnText
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.values import frozen
from layouts.terms.words import Kind

# Letters that are read for digits and digits for letters; the pairs of optical recognition that
# every typeface invites. Common practice, no source.
_READ_AS = str.maketrans("ILOSBZ", "110582")
_DIGIT = "[0-9ILOSBZ]"
_TAG = re.compile(r"([A-Z]{1,6})[-_\s/]?(\d{1,6})([A-Z]?)")
_FORM = re.compile(r"([A-Z]{1,6})[-_\s/]?(#{1,6})(@?)")
_PART = re.compile(rf"[-_\s]*({_DIGIT}{{1,6}}[A-Z]?)")
_BELOW, _ASIDE = 2.6, 2.5  # largest distance from a number to the letters over it, in text heights


def as_digits(text: str) -> str:
    """A name with every letter that can be a digit as that digit, and no separators."""
    return plain_name(text).translate(_READ_AS)


def plain_name(text: str) -> str:
    """A name in capitals without separators: ``hv 118`` and ``HV-118`` are one."""
    return re.sub(r"[^A-Z0-9]", "", text.upper())


@frozen
class TagForm:
    """Letters, what kind of thing they name, and the fewest and most digits after them."""

    letters: str
    kind: Kind
    fewest: int
    most: int

    @property
    def pattern(self) -> re.Pattern[str]:
        """Where a text has a tag of the form, not as a part of a longer name."""
        digits = f"{{{max(1, self.fewest - 1)},{self.most + 1}}}"
        return re.compile(
            rf"(?<![A-Z0-9\"/])(?<![A-Z0-9\"]-){self.letters}[-_\s]?({_DIGIT}{digits}[A-Z]?)"
            rf"(?![A-Z0-9\"]|[-/][A-Z0-9])"
        )


def learned_forms(tags: Iterable[tuple[Kind, str]], more: Iterable[str] = ()) -> list[TagForm]:
    """The forms of the tags of a list, and those given as ``XV-###`` (valves).

    Raises:
        InputError: a given form is not valid.
    """
    seen: dict[str, tuple[Kind, list[int]]] = {}
    for kind, tag in tags:
        found = _TAG.fullmatch(tag.upper().strip())
        if found is not None:
            seen.setdefault(found[1], (kind, []))[1].append(len(found[2]))
    for text in more:
        given = _FORM.fullmatch(text.upper().strip())
        if given is None:
            what = f"{text!r} is not a form of tags"
            right = "write letters and a # for each digit, such as XV-###"
            place = Place(field="tag-form")
            raise InputError([Finding("tag-form", Severity.UNREADABLE, what, right, place=place)])
        seen.setdefault(given[1], (Kind.VALVE, []))[1].append(len(given[2]))
    return [
        TagForm(letters, kind, min(counts), max(counts))
        for letters, (kind, counts) in sorted(seen.items())
    ]


def tags_in(texts: Sequence[DrawnText], forms: Sequence[TagForm]) -> Iterator[tuple[Kind, str]]:
    """Tags in the texts of a sheet, also those with the number below the letters."""
    patterns = [(form, form.pattern) for form in forms]
    for each in (*texts, *_stacked(texts, {form.letters: form for form in forms})):
        upper = each.text.upper()
        for form, pattern in patterns:
            for found in pattern.finditer(upper):
                if any(char.isdigit() for char in found[1]):
                    yield form.kind, " ".join(each.text[found.start() : found.end()].split())


def _stacked(texts: Sequence[DrawnText], forms: Mapping[str, TagForm]) -> Iterator[DrawnText]:
    """Letters with the number right below them as one text, as in the circle of a tag."""
    numbers = [each for each in texts if _PART.fullmatch(each.text.upper().strip())]
    for over in texts:
        letters = over.text.upper().strip()
        if letters not in forms or not over.height:
            continue
        near = [each for each in numbers if _is_below(over, each)]
        if near:
            number = min(near, key=lambda each: (over.y - each.y, abs(over.x - each.x)))
            yield DrawnText(f"{letters}-{number.text.strip()}")


def _is_below(over: DrawnText, under: DrawnText) -> bool:
    drop, aside = over.y - under.y, abs(over.x - under.x)
    return 0.3 * over.height < drop <= _BELOW * over.height and aside <= _ASIDE * over.height
