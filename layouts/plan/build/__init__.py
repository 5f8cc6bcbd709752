"""Mounting: how a marker is built for its location, with the reason for each choice.

The limits are data (``schemes/mounting.toml``); the order of the decisions is in ``place`` and
``parts``. Lengths are millimeters, temperatures degrees Fahrenheit.
"""

from __future__ import annotations
import math
from dataclasses import replace
from functools import lru_cache
from layouts.plan.legibility import EDGE_LIMIT, half_angle
from layouts.plan.build.model import Build, BuildQuestion, ExpectedSurface, Mount, Notebook
from layouts.plan.build.components import (
    adhesive_of,
    laminate_of,
    notes_of,
    plate_of,
    stand_off_of,
    strap_length_of,
    strap_of,
    straps_of,
    with_third_strap,
)
from layouts.plan.build.mount import choose_film, choose_mount
from layouts.schemes.loader import load_practice
from layouts.terms.findings import Finding, Severity
from layouts.order.order import Environment
from layouts.plan.model import Notes


__all__ = [
    "Build",
    "BuildQuestion",
    "ExpectedSurface",
    "Mount",
    "choose_build",
    "with_third_strap",
]


@lru_cache(maxsize=1024)  # most markers of a plant are built in a few ways
def choose_build(question: BuildQuestion) -> Build:
    """The build for a place, each choice with its reason and source."""
    practice, book = load_practice(), Notebook()
    film = choose_film(question, practice)
    mount = choose_mount(question, film, practice, book)
    adhesive = adhesive_of(question, mount, practice, book)
    if adhesive is None:  # too cold to apply film on site: the shop puts it on a plate
        mount, adhesive = Mount.STRAPPED_PLATE, practice.adhesives[0].name
    laminate = laminate_of(question, practice, book)
    stand_off = stand_off_of(question, practice, book) if mount is Mount.STAND_OFF else 0.0
    straps = straps_of(question, mount, practice)
    plate = plate_of(question, mount, practice, book)
    _check_shape(question, mount, book)
    build = Build(
        mount=mount,
        film=film.name,
        adhesive=adhesive,
        laminate=laminate,
        stand_off=stand_off,
        straps=straps,
        strap=strap_of(question, practice) if straps else "",
        strap_length=strap_length_of(question, practice, book) if straps else 0.0,
        plate=plate,
        plate_material=practice.plate.material if mount.has_plate else "",
        reasons=tuple(book.reasons),
        findings=tuple(book.findings),
    )
    return _one_of(replace(build, notes=notes_of(question, build, practice)))


@lru_cache(maxsize=1024)
def _one_of(build: Build) -> Build:
    """The first of all equal ones, so that many markers hold one."""
    return build


def _check_shape(question: BuildQuestion, mount: Mount, book: Notebook) -> None:
    """Findings for a mount ordered but not possible, and for film that wraps out of sight."""
    if question.wrap and mount is not Mount.WRAP:
        book.warn(
            "wrap-not-possible",
            "wrap",
            f"a wrap is ordered, but this place calls for {mount}",
            "leave the wrap out, or mend what keeps film off the surface",
            "follows from the build",
        )
    if mount is not Mount.FILM or question.od is None or question.prescribed:
        return
    angle = half_angle(question.marker_height, question.od)
    if angle > EDGE_LIMIT:
        letters = math.degrees(half_angle(question.letters, question.od))
        what = f"the marker's edges wrap {math.degrees(angle):.0f} degrees out of sight"
        right = f"its letters turn {letters:.0f} degrees at most; a wrap or a tag serves other sides"
        finding = Finding("edge-turned-away", Severity.NOTE, what, right, "derived (geometry)")
        book.findings.append(finding)


def build_for(
    environment: Environment,
    notes: Notes,
    *,
    insulated: bool = False,
    od: float | None = None,
    marker_height: float = 0.0,
    letters: float = 0.0,
    prescribed: bool = False,
    expected: ExpectedSurface | None = None,
    wrap: bool = False,
    tag: bool = False,
    hung: bool = False,
) -> Build:
    """Choose film, laminate and mount; reasons and findings go into the notes."""
    build = choose_build(
        BuildQuestion(
            setting=environment.setting,
            surface_max_f=environment.surface,
            frost=environment.frost,
            washdown=environment.washdown,
            applied_at_f=environment.applied_at,
            insulated=insulated,
            od=od,
            marker_height=marker_height,
            letters=letters,
            prescribed=prescribed,
            expected=expected,
            food_zone=environment.food_zone,
            wrap=wrap,
            tag=tag,
            hung=hung,
        )
    )
    for text, source in build.reasons:
        notes.reason("build", text, source)
    notes.adopt(build.findings)
    return build


def strapped_for(
    environment: Environment, od: float, insulated: bool, expected: ExpectedSurface | None = None
) -> Build:
    """The last resort if a straight run is too short: a plate on straps."""
    return choose_build(
        BuildQuestion(
            setting=environment.setting,
            surface_max_f=environment.surface,
            frost=environment.frost,
            washdown=environment.washdown,
            insulated=insulated,
            od=od,
            expected=expected,
            food_zone=environment.food_zone,
            plate=True,
        )
    )
