"""Film, wrap, plate or stand-off: what heat, frost and insulation allow."""

from __future__ import annotations

import math

from layouts.plan.build.model import BuildQuestion, Mount, Notebook
from layouts.plan.legibility import LETTER_LIMIT, half_angle
from layouts.schemes.practice import Film, Practice
from layouts.terms.units import inches


def choose_film(question: BuildQuestion, practice: Practice) -> Film:
    """The first film that withstands the surface, otherwise the most resistant one."""
    surface = question.warmest_f
    if surface is None:
        return practice.films[0]
    standing = (film for film in practice.films if surface < film.contact_below_f)
    return next(standing, practice.films[-1])


def choose_mount(question: BuildQuestion, film: Film, practice: Practice, book: Notebook) -> Mount:
    """How the marker is held; a plate instead of plain film if the straight run is short."""
    mount = _flat_if_letters_wrap(question, _pressing(question, film, practice, book), book)
    mount = _warm_enough(question, film, mount, book)
    if not question.plate or mount.has_plate:
        return mount
    text = "the straight run is too short: a plate on straps, which may reach past a fitting"
    book.reasons.append((text, practice.straps.source))
    return Mount.STRAPPED_PLATE


def _flat_if_letters_wrap(question: BuildQuestion, mount: Mount, book: Notebook) -> Mount:
    """A flat plate where the letters would wrap out of sight, or the marker meets itself."""
    if mount not in (Mount.FILM, Mount.WRAP) or question.od is None:
        return mount
    angle = half_angle(question.letters, question.od)
    if angle <= LETTER_LIMIT and question.marker_height <= math.pi * question.od / 2:
        return mount
    book.warn(
        "letters-wrap-away",
        "pipe",
        f"letters {inches(question.letters)} high on {inches(question.od)} outside diameter turn "
        f"{math.degrees(angle):.0f} degrees away from the reader",
        "a flat plate on straps is made; or hang a tag, or read from nearer",
        "derived (geometry): beyond 50 degrees the head and foot of a letter lose a third",
    )
    return Mount.STRAPPED_PLATE


def _warm_enough(question: BuildQuestion, film: Film, mount: Mount, book: Notebook) -> Mount:
    """Film in contact with a surface below its service temperature needs another build."""
    coldest = question.coldest_f
    if coldest is None or coldest >= film.service_min_f or mount is Mount.HUNG_TAG:
        return mount
    if mount is Mount.STAND_OFF and (question.applied_at_f or 0.0) >= film.service_min_f:
        return mount  # off the surface, and the room is warm enough
    book.warn(
        "film-too-cold",
        "surface_f" if question.applied_at_f is None else "applied_f",
        f"{film.name} is good down to {film.service_min_f:g} F, and it is {coldest:g} F here",
        "a plate is made, so that no film bends or shrinks; order a film rated for the cold",
        film.source,
    )
    return mount if mount.has_plate else Mount.STRAPPED_PLATE


def _pressing(question: BuildQuestion, film: Film, practice: Practice, book: Notebook) -> Mount:
    """The most pressing cause first: tag, jacket, frost, heat."""
    if question.hung:
        book.reasons.append(("hung on the valve by wire or chain", "common practice, no source"))
        return Mount.HUNG_TAG
    if question.tag:
        book.reasons.append(("a tag on a strap in place of a marker", "the scheme's size table"))
        return Mount.FLAG_TAG
    if question.insulated:
        return _on_jacket(question, practice, book)
    if question.frost > 0 or _will_frost(question, practice, book):
        expected = f"frost of {inches(question.frost)}" if question.frost > 0 else "frost"
        text = f"{expected} on a bare surface: stand-off plate"
        book.reasons.append((text, practice.stand_off.source))
        return Mount.STAND_OFF
    if _sweats(question, practice, book):
        return Mount.STRAPPED_PLATE if question.od is not None else Mount.STAND_OFF
    return _by_heat(question, film, practice, book)


def _will_frost(question: BuildQuestion, practice: Practice, book: Notebook) -> bool:
    """A bare surface that never gets above freezing frosts, whatever the list says."""
    surface, rule, expected = question.warmest_f, practice.stand_off, question.expected
    if surface is None or surface >= rule.frosts_below_f:
        return False
    if expected is None:
        book.warn(
            "frost-not-given",
            "frost_in",
            f"a bare surface that stays at {surface:g} F or below grows frost, and none is given",
            "give the thickest frost expected",
            rule.source,
        )
    elif expected.asks:
        book.warn(
            "bare-cold",
            "surface_f",
            f"bare and cold: {expected.text}, and neither surface_f nor frost_in is given",
            "give surface_f and frost_in, or the covering; a stand-off plate is made",
            expected.source,
        )
    return True


def _sweats(question: BuildQuestion, practice: Practice, book: Notebook) -> bool:
    """A bare surface that stays below the dew point of a plant's air is wet."""
    surface, rule, expected = question.warmest_f, practice.stand_off, question.expected
    if surface is None or surface >= rule.sweats_below_f:
        return False
    if expected is None or expected.asks:
        why = "" if expected is None else f" ({expected.text})"
        book.warn(
            "wet-surface",
            "surface_f",
            f"a bare surface that stays at {surface:.0f} F or below is wet{why}",
            "a plate is made, since no adhesive holds there; cover the pipe, or correct surface_f",
            rule.source,
        )
    return True


def _by_heat(question: BuildQuestion, film: Film, practice: Practice, book: Notebook) -> Mount:
    surface, plain, expected = question.warmest_f, practice.films[0], question.expected
    if expected is not None and expected.hot_guess:
        book.warn(
            "bare-hot",
            "surface_f",
            f"{expected.text}, and no surface temperature is given",
            f"give surface_f; the build is for {expected.fahrenheit:g} F",
            expected.source,
        )
    if surface is None:
        text = f"no surface temperature given: taken as under {plain.contact_below_f:g} F"
        book.reasons.append((text, plain.source))
        return _flat_or_wrap(question, book)
    if surface < plain.contact_below_f:
        under = f"under the {plain.contact_below_f:g} F of plain film"
        known = f"peak surface {surface:g} F is" if expected is None else f"{expected.text},"
        text = f"{known} {under}"
        book.reasons.append((text, plain.source))
        return _flat_or_wrap(question, book)
    if surface < film.contact_below_f and question.od is None:
        text = (
            f"peak surface {surface:g} F is too hot for plain film ({plain.contact_below_f:g} F): "
            f"{film.name}, good under {film.contact_below_f:g} F"
        )
        book.reasons.append((text, film.source))
        return Mount.FILM
    if surface < film.contact_below_f:
        text = (
            f"peak surface {surface:g} F is too hot for plain film ({plain.contact_below_f:g} F): "
            f"{film.name} on a plate, good under {film.contact_below_f:g} F"
        )
        book.reasons.append((text, film.source))
        return Mount.STRAPPED_PLATE
    text = f"peak surface {surface:g} F is too hot for film or plate to touch: a stand-off plate"
    book.reasons.append((text, film.source))
    return Mount.STAND_OFF


def _on_jacket(question: BuildQuestion, practice: Practice, book: Notebook) -> Mount:
    """On a jacket only film, wrap and straps are allowed, so trouble there is a finding."""
    jacket, plain = practice.jacket, practice.films[0]
    book.reasons.append((f"on a jacket: {jacket.rule}", jacket.source))
    surface = question.surface_max_f
    if question.frost > 0:
        book.warn(
            "jacket-frost",
            "frost_in",
            f"frost of {inches(question.frost)} on a jacket shows a covering that has failed",
            "have the covering mended first; frost would hide the marker",
            jacket.source,
        )
        return Mount.STRAPPED_PLATE
    if surface is not None and surface >= plain.contact_below_f:
        book.warn(
            "jacket-hot",
            "surface_f",
            f"a jacket at {surface:g} F is too hot for plain film ({plain.contact_below_f:g} F)",
            "give the temperature of the jacket and not of the pipe, or mend the covering",
            plain.source,
        )
        return Mount.STRAPPED_PLATE
    return _flat_or_wrap(question, book)


def _flat_or_wrap(question: BuildQuestion, book: Notebook) -> Mount:
    if question.wrap and question.od is not None:
        book.reasons.append(("wrapped round the pipe, as ordered", "the order"))
        return Mount.WRAP
    return Mount.FILM
