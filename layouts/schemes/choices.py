"""A plant's choices where a convention leaves them open: color, cutoff pressure, face."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from layouts.drawing.inks import contrast
from layouts.schemes.loader import load_media, other_scheme
from layouts.schemes.media import Medium, plain_words
from layouts.schemes.model import ArrowEnds, Cutoff, Pairing, Scheme
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.words import FaceForm

_SOURCE = "the plant's choice in the order"
_FIRE = "safety red"
# Band words as a share of the letters on a compact face, our own choice: on the largest row 1.4 in,
# legible to 35 ft, and on the smallest 0.2 in, over the 0.16 in that ANSI Z535.2 asks for at least.
# One arrow: summaries of the ammonia guideline show it at one or both ends, and ASME A13.1 asks
# for the direction without a number of arrows.
_COMPACT_BAND_LETTERS = 0.4


def with_choices(
    schemes: Mapping[str, Scheme],
    colors: Mapping[str, str],
    cutoffs: Mapping[str, float],
    form: FaceForm = FaceForm.FULL,
) -> dict[str, Scheme]:
    """The order's schemes and those they leave other contents to, with the plant's choices.

    A refrigerant gets its color in the scheme that has bands for its states; all else in the
    scheme that such contents are left to.

    Raises:
        InputError: a color that is not there, or that the convention keeps for something else.
    """
    found = dict(schemes)
    for scheme in schemes.values():
        other = other_scheme(scheme)
        if other is not None:
            found.setdefault(other.key, other)
    faults = [fault for name, color in colors.items() for fault in _faults(name, color, found)]
    if faults:
        raise InputError(faults)
    chosen = {key: _choose(scheme, colors, cutoffs) for key, scheme in found.items()}
    if form is FaceForm.COMPACT:
        return {key: _compact(scheme) for key, scheme in chosen.items()}
    return chosen


def _compact(scheme: Scheme) -> Scheme:
    """One arrow, small words in the bands, and minimum gaps; letter and band minimums stay."""
    face = scheme.face
    share = min(face.band_letter_share, _COMPACT_BAND_LETTERS)
    face = replace(face, arrow_ends=ArrowEnds.LEADING, band_letter_share=share, compact=True)
    return replace(scheme, face=face)


def _names(contents: str) -> tuple[Medium | None, tuple[str, ...]]:
    named = load_media().find(contents)
    medium = named.medium if named is not None else None
    spellings = medium.spellings if medium is not None else ()
    return medium, tuple(dict.fromkeys((plain_words(contents), *spellings)))


def _choose(scheme: Scheme, colors: Mapping[str, str], cutoffs: Mapping[str, float]) -> Scheme:
    for contents, color in colors.items():
        medium, names = _names(contents)
        stateful = medium is not None and bool(medium.refrigerant)
        if scheme.others and not stateful:
            continue  # the scheme for other contents takes it
        scheme = _set_color(scheme, names, color)
    for contents, psig in cutoffs.items():
        _, names = _names(contents)
        if scheme.levels:
            rest = tuple(each for each in scheme.cutoffs if not set(each.contents) & set(names))
            scheme = replace(scheme, cutoffs=(*rest, Cutoff(names, psig, _SOURCE)))
    return scheme


def _set_color(scheme: Scheme, names: tuple[str, ...], color: str) -> Scheme:
    field = _ink(scheme, color)
    if field is None:
        return scheme
    legends = [each.legend for each in scheme.pairings if each.field == field]
    plain = max(
        ("black", "white"),
        key=lambda ink: contrast(scheme.inks[ink].lab, scheme.inks[field].lab),
    )
    taken = set(names)
    pairing = Pairing(
        key=names[0],
        meaning=f"{names[0]}, color chosen by the plant",
        field=field,
        legend=legends[0] if legends else plain,
        contents=names,
        source=_SOURCE,
        status="common practice",
    )
    others = tuple(
        replace(each, contents=tuple(word for word in each.contents if word not in taken))
        for each in scheme.pairings
    )
    unsettled = tuple(each for each in scheme.unsettled if not taken & set(each.contents))
    return replace(scheme, pairings=(*others, pairing), unsettled=unsettled)


def _ink(scheme: Scheme, color: str) -> str | None:
    """The ink of a color word: purple is safety purple."""
    word = " ".join(color.casefold().replace("grey", "gray").split())
    return next((ink for ink in (f"safety {word}", word) if ink in scheme.inks), None)


def _faults(contents: str, color: str, schemes: Mapping[str, Scheme]) -> list[Finding]:
    """Why a color cannot be the plant's choice for the contents."""
    scheme = next(iter(schemes.values()))
    medium, names = _names(contents)
    field = _ink(scheme, color)
    right = "choose purple, white, gray or black"
    if field is None:
        return [_fault("color-unknown", f"{color!r} is not a color of {scheme.title}", right)]
    if any(each.contents in names for each in schemes.values() if each.states):
        return [_fault("color-fixed", f"the scheme itself gives {contents} its color", "strike it")]
    if field == _FIRE and not (medium is not None and "FIRE" in medium.word):
        what = f"red is kept for fire quenching, and {contents} is not that"
        return [_fault("color-kept", what, right)]
    bands = {band.field for each in schemes.values() for band in each.levels.values()}
    bands |= {b.field for each in schemes.values() for found in each.states.values() for b in found}
    if medium is not None and medium.refrigerant and field in bands:
        return [_fault("color-kept", f"{color} is the color of a band on the marker", right)]
    return []


def _fault(code: str, what: str, right: str) -> Finding:
    return Finding(code, Severity.UNREADABLE, what, right, place=Place(field="color"))
