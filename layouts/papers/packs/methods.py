"""Methods: the different builds of an area, each described once and named by a letter."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from layouts.markers.gather import build_key
from layouts.papers.materials.hardware import carrier_text, film_texts, strap_text, tag_text
from layouts.papers.packs.texts import MOUNTINGS, SURFACES
from layouts.plan.build import Build, Mount
from layouts.schemes.loader import load_practice
from layouts.terms.units import inches


class Methods:
    """Letters for builds, in order of first mention; strap lengths are not part of a method."""

    def __init__(self, builds: Iterable[Build]) -> None:
        self._builds: dict[tuple[str, ...], Build] = {}
        for build in {id(build): build for build in builds}.values():  # pipes share a few
            self._builds.setdefault(_method_key(build), build)
        self._letters = {key: _letter_at(index) for index, key in enumerate(self._builds)}

    def letter(self, build: Build) -> str:
        """The letter of a build."""
        return self._letters[_method_key(build)]

    def rows(self) -> list[tuple[str, str, str, str]]:
        """Letter, build, surface and temperature, and instructions."""
        return [
            (self._letters[key], _what_text(build), _surface_text(build), " ".join(build.notes))
            for key, build in self._builds.items()
        ]


def _method_key(build: Build) -> tuple[str, ...]:
    return (*build_key(build), *build.notes)


def _letter_at(index: int) -> str:
    """``A`` to ``Z``, then ``AA``."""
    more, letter = divmod(index, 26)
    return (_letter_at(more - 1) if more else "") + chr(ord("A") + letter)


def _what_text(build: Build) -> str:
    off = f", {inches(build.stand_off)} off the surface" if build.stand_off else ""
    parts = (f"{MOUNTINGS[build.mount]}{off}", *_material_texts(build))
    return "; ".join(part for part in parts if part)


def _material_texts(build: Build) -> Iterator[str]:
    if build.mount is Mount.HUNG_TAG:
        yield tag_text(build)
        return
    if build.mount.has_plate:
        yield carrier_text(build)
    yield ", ".join(film_texts(build))
    if build.straps:
        yield strap_text(build.strap)


def _surface_text(build: Build) -> str:
    return "; ".join(part for part in (SURFACES[build.mount], *_temperature_texts(build)) if part)


def _temperature_texts(build: Build) -> Iterator[str]:
    """When the film is applied, from the practice of its adhesive."""
    if build.mount is Mount.HUNG_TAG:
        return
    adhesives = {each.name: each for each in load_practice().adhesives}
    adhesive = adhesives.get(build.adhesive)
    if adhesive is None:
        return
    least = f"{adhesive.apply_from_f:g} F or above"
    if build.mount.has_plate:
        yield f"the film comes on its plate (applied in the shop at {least})"
        yield "install the plate at any temperature"
    else:
        yield f"apply at surface temperature {least} ({adhesive.name})"
