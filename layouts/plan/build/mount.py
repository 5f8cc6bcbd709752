"""Film, wrap, plate or stand-off: what heat, frost and insulation allow."""

from __future__ import annotations

from layouts.plan.build.model import BuildQuestion, Mount, Notebook
from layouts.schemes.practice import Film, Practice
from layouts.terms.units import inches


def choose_film(question: BuildQuestion, practice: Practice) -> Film:
    """The first film that stands the surface, else the one that stands most."""
    surface = question.surface_max_f
    if surface is None:
        return practice.films[0]
    standing = (film for film in practice.films if surface < film.contact_below_f)
    return next(standing, practice.films[-1])


def choose_mount(question: BuildQuestion, film: Film, practice: Practice, book: Notebook) -> Mount:
    """How the marker is held; where film alone would do, a plate if the straight run is short."""
    mount = _pressing(question, film, practice, book)
    if not question.plate or mount.has_plate:
        return mount
    text = "the straight run is too short: a plate on straps, which may reach past a fitting"
    book.reasons.append((text, practice.straps.source))
    return Mount.STRAPPED_PLATE


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
        text = f"frost of {inches(question.frost)} on a bare surface: stand-off plate"
        book.reasons.append((text, practice.stand_off.source))
        return Mount.STAND_OFF
    return _by_heat(question, film, practice, book)


def _will_frost(question: BuildQuestion, practice: Practice, book: Notebook) -> bool:
    """A bare surface that never gets above freezing grows frost, whatever the list says."""
    surface, rule = question.surface_max_f, practice.stand_off
    if surface is None or surface >= rule.frosts_below_f:
        return False
    book.warn(
        "frost-not-given",
        "frost_in",
        f"a bare surface that stays at {surface:g} F or below grows frost, and none is given",
        "give the thickest frost expected",
        rule.source,
    )
    return True


def _by_heat(question: BuildQuestion, film: Film, practice: Practice, book: Notebook) -> Mount:
    surface, plain = question.surface_max_f, practice.films[0]
    if surface is None:
        text = f"no surface temperature given: taken as under {plain.contact_below_f:g} F"
        book.reasons.append((text, plain.source))
        return _flat_or_wrap(question, book)
    if surface < plain.contact_below_f:
        text = f"peak surface {surface:g} F is under the {plain.contact_below_f:g} F of plain film"
        book.reasons.append((text, plain.source))
        return _flat_or_wrap(question, book)
    if surface < film.contact_below_f and question.od is not None:
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
