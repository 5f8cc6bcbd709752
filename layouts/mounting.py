"""Mounting: from where a marker lives to how it is built, with the reason of each choice.

The limits are data (``schemes/mounting.toml``); the order of the decisions is here. Lengths are
millimetres, temperatures degrees Fahrenheit.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from enum import StrEnum

from layouts.design import Plate
from layouts.findings import Finding, Place, Severity
from layouts.legibility import EDGE_LIMIT, half_angle
from layouts.schemes.loader import load_practice
from layouts.schemes.practice import Film, Practice
from layouts.units import MM_PER_INCH, inches
from layouts.words import Setting


class Mount(StrEnum):
    """How a marker is held."""

    FILM = "adhesive film"
    WRAP = "wrap"
    STRAPPED_PLATE = "strapped plate"
    STAND_OFF = "stand-off plate"
    FLAG_TAG = "flag tag"

    @property
    def has_plate(self) -> bool:
        """Whether the film goes on a plate of its own."""
        return self not in (Mount.FILM, Mount.WRAP)


@dataclass(frozen=True, slots=True)
class BuildQuestion:
    """What decides the build.

    ``surface_max_f`` is the peak temperature of what the marker goes on, the jacket where there
    is one; ``od`` is None for what is not round. ``tag`` asks for a tag in a marker's place.
    """

    setting: Setting = Setting.INDOOR
    surface_max_f: float | None = None
    frost: float = 0.0
    washdown: bool = False
    applied_at_f: float | None = None
    insulated: bool = False
    od: float | None = None
    marker_length: float = 0.0
    marker_height: float = 0.0
    wrap: bool = False
    tag: bool = False


@dataclass(frozen=True, slots=True)
class Build:
    """How a marker is built and held.

    A mounted marker is two parts: the film, and the ``plate`` blank that is larger than the
    face, so that its slots (straps) or holes (stand-off) lie outside the film. ``stand_off`` is
    the clear height under the plate; ``strap_length`` includes the tail. ``reasons`` are pairs
    of text and source; ``notes`` belong on the cut file and the ticket.
    """

    mount: Mount
    film: str
    adhesive: str
    laminate: str | None
    stand_off: float = 0.0
    straps: int = 0
    strap: str = ""
    strap_length: float = 0.0
    plate: Plate | None = None
    plate_material: str = ""
    reasons: tuple[tuple[str, str], ...] = ()
    notes: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()

    @property
    def film_text(self) -> str:
        """What is printed on and under: equal texts may share a sheet."""
        return ", ".join(part for part in (self.film, self.adhesive, self.laminate) if part)

    @property
    def mount_text(self) -> str:
        """How it is held, for a schedule."""
        text = str(self.mount)
        if self.stand_off:
            text += f", {inches(self.stand_off)} clear of the surface"
        if self.straps:
            text += f", {self.straps} x {self.strap} {inches(self.strap_length)} long"
        return text


@dataclass(slots=True)
class _Notebook:
    """Reasons, notes and findings as they come up."""

    reasons: list[tuple[str, str]] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)

    def warn(self, code: str, at: str, what: str, right: str, source: str) -> None:
        place = Place(field=at)
        self.findings.append(Finding(code, Severity.WARNING, what, right, source, place))


def choose_build(question: BuildQuestion) -> Build:
    """The build for a place, each choice with its reason and source."""
    practice, book = load_practice(), _Notebook()
    film = _film(question, practice)
    mount = _mount(question, film, practice, book)
    adhesive = _adhesive(question, mount, practice, book)
    if adhesive is None:  # no adhesive holds where it is put on: the shop puts it on a plate
        mount, adhesive = Mount.STRAPPED_PLATE, practice.adhesives[0].name
    laminate = _laminate(question, practice, book)
    stand_off = _stand_off(question, practice, book) if mount is Mount.STAND_OFF else 0.0
    straps = _straps(question, mount, practice)
    plate = _plate(question, mount, practice, book)
    _check_shape(question, mount, book)
    _write_notes(question, mount, practice, book, laminate)
    return Build(
        mount=mount,
        film=film.name,
        adhesive=adhesive,
        laminate=laminate,
        stand_off=stand_off,
        straps=straps,
        strap=_strap(question, practice) if straps else "",
        strap_length=_strap_length(question, practice, book) if straps else 0.0,
        plate=plate,
        plate_material=practice.plate.material if mount.has_plate else "",
        reasons=tuple(book.reasons),
        notes=tuple(book.notes),
        findings=tuple(book.findings),
    )


def _film(question: BuildQuestion, practice: Practice) -> Film:
    """The first film that stands the surface, else the one that stands most."""
    surface = question.surface_max_f
    if surface is None:
        return practice.films[0]
    standing = (film for film in practice.films if surface < film.contact_below_f)
    return next(standing, practice.films[-1])


def _mount(question: BuildQuestion, film: Film, practice: Practice, book: _Notebook) -> Mount:
    if question.tag:
        book.reasons.append(("a tag on a strap in place of a marker", "the scheme's size table"))
        return Mount.FLAG_TAG
    if question.insulated:
        return _on_jacket(question, practice, book)
    if question.frost > 0 or _will_frost(question, practice, book):
        text = f"frost of {inches(question.frost)} on a bare surface: a plate that stands clear"
        book.reasons.append((text, practice.stand_off.source))
        return Mount.STAND_OFF
    return _by_heat(question, film, practice, book)


def _will_frost(question: BuildQuestion, practice: Practice, book: _Notebook) -> bool:
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


def _by_heat(question: BuildQuestion, film: Film, practice: Practice, book: _Notebook) -> Mount:
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


def _on_jacket(question: BuildQuestion, practice: Practice, book: _Notebook) -> Mount:
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


def _flat_or_wrap(question: BuildQuestion, book: _Notebook) -> Mount:
    if question.wrap and question.od is not None:
        book.reasons.append(("wrapped round the pipe, as ordered", "the order"))
        return Mount.WRAP
    return Mount.FILM


def _adhesive(
    question: BuildQuestion, mount: Mount, practice: Practice, book: _Notebook
) -> str | None:
    """The adhesive, or None where it is too cold for any."""
    general = practice.adhesives[0]
    if mount.has_plate:
        text = f"{general.name}: the film goes on its plate in the shop"
        book.reasons.append((text, general.source))
        return general.name
    if question.applied_at_f is None:
        text = f"{general.name}: put on at {general.apply_from_f:g} F or warmer, as none is given"
        book.reasons.append((text, general.source))
        return general.name
    for adhesive in practice.adhesives:
        if question.applied_at_f >= adhesive.apply_from_f:
            text = f"{adhesive.name}: put on at {question.applied_at_f:g} F"
            book.reasons.append((text, adhesive.source))
            return adhesive.name
    coldest = practice.adhesives[-1]
    book.warn(
        "adhesive-too-cold",
        "applied_at",
        f"no adhesive is put on at {question.applied_at_f:g} F; the {coldest.name} needs "
        f"{coldest.apply_from_f:g} F",
        "put it on when the surface is warmer, or strap the plate that is made instead",
        coldest.source,
    )
    return None


def _laminate(question: BuildQuestion, practice: Practice, book: _Notebook) -> str | None:
    laminates = practice.laminates
    if question.setting is Setting.OUTDOOR:
        book.reasons.append((f"{laminates.outdoor}: outdoors", laminates.source))
        return laminates.outdoor
    if question.washdown:
        book.reasons.append((f"{laminates.washdown}: washed down", laminates.source))
        return laminates.washdown
    return None


def _stand_off(question: BuildQuestion, practice: Practice, book: _Notebook) -> float:
    rule = practice.stand_off
    height = rule.least
    if question.frost > 0:
        height = max(rule.least, question.frost + rule.clearance)
    text = f"plate {inches(height)} clear of the surface"
    if question.frost > 0:
        text += f", {inches(height - question.frost)} over the frost"
    book.reasons.append((text, rule.source))
    return height


def _straps(question: BuildQuestion, mount: Mount, practice: Practice) -> int:
    if question.od is None or not mount.has_plate:
        return 0
    return 1 if mount is Mount.FLAG_TAG else practice.straps.count


def _strap_length(question: BuildQuestion, practice: Practice, book: _Notebook) -> float:
    girth = math.pi * (question.od or 0.0)
    step = practice.straps.step
    length = math.ceil((girth + practice.straps.tail) / step - 1e-9) * step
    text = (
        f"straps {inches(length)} long: a girth of {girth / MM_PER_INCH:.1f} in and a tail "
        f"of {inches(practice.straps.tail)} or a little more"
    )
    book.reasons.append((text, practice.straps.source))
    return length


def _strap(question: BuildQuestion, practice: Practice) -> str:
    """Steel where weather, water, heat or frost would break the other."""
    surface = question.surface_max_f
    hot = surface is not None and surface >= practice.films[0].contact_below_f
    wet = question.setting is Setting.OUTDOOR or question.washdown or question.frost > 0
    return practice.straps.outdoor if hot or wet else practice.straps.indoor


def _plate(
    question: BuildQuestion, mount: Mount, practice: Practice, book: _Notebook
) -> Plate | None:
    """The carrier's border, ears and openings: slots for straps, holes for a stand-off."""
    stock = practice.plate
    if not mount.has_plate:
        return None
    if question.marker_length and question.marker_height:
        length = question.marker_length + 2 * (stock.border + stock.ear)
        height = question.marker_height + 2 * stock.border
        text = (
            f"{stock.material} of {inches(length)} x {inches(height)} or more, larger than the "
            "face, so that its openings lie outside the film"
        )
        book.reasons.append((text, stock.source))
    if mount is Mount.STAND_OFF:
        return Plate(stock.border, 0.0, stock.hole, stock.ear)
    return Plate(stock.border, stock.slot_length, stock.slot_width, stock.ear)


def _check_shape(question: BuildQuestion, mount: Mount, book: _Notebook) -> None:
    """What the order wanted and does not get, and film that turns away round a small pipe."""
    if question.wrap and mount is not Mount.WRAP:
        book.warn(
            "wrap-not-possible",
            "wrap",
            f"a wrap is ordered, and this place needs a {mount}",
            "leave the wrap out, or mend what keeps film off the surface",
            "follows from the build",
        )
    if mount is not Mount.FILM or question.od is None:
        return
    angle = half_angle(question.marker_height, question.od)
    if angle > EDGE_LIMIT:
        what = f"the marker's edges turn {math.degrees(angle):.0f} degrees away from the reader"
        right = "its letters face the reader; a wrap or a tag serves other sides"
        finding = Finding("edge-turned-away", Severity.NOTE, what, right, "derived (geometry)")
        book.findings.append(finding)


def _write_notes(
    question: BuildQuestion,
    mount: Mount,
    practice: Practice,
    book: _Notebook,
    laminate: str | None,
) -> None:
    if laminate:
        book.notes.append(f"Laminate: {laminate}.")
    if mount.has_plate:
        book.notes.append("Film goes on the plate; openings of the plate lie outside the film.")
    if mount is Mount.STAND_OFF and question.od is None:
        book.notes.append("Fix to steel or an existing bracket; never drill or weld a vessel.")
    if question.insulated:
        book.notes.append(f"Jacket: {practice.jacket.rule}.")
    elif not mount.has_plate:
        book.notes.append("Put on a dry, clean, cured surface.")
    surface = question.surface_max_f
    if surface is not None and surface >= practice.burn.surface_f:
        book.notes.append(f"Hot surface, {surface:g} F: burns skin.")
