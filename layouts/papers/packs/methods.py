"""Methods: the different builds of an area, each told once and named by a letter."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from layouts.markers.gather import build_key
from layouts.papers.packs.texts import HANGING, SURFACE
from layouts.plan.build import Build, Mount
from layouts.schemes.loader import load_practice
from layouts.terms.units import inches


class Methods:
    """Letters for builds, in order of first mention; strap lengths are no part of a method."""

    def __init__(self, builds: Iterable[Build]) -> None:
        self._builds: dict[tuple[str, ...], Build] = {}
        for build in builds:
            self._builds.setdefault(_key(build), build)
        self._letters = {key: _letters(index) for index, key in enumerate(self._builds)}

    def letter(self, build: Build) -> str:
        """The letter of a build."""
        return self._letters[_key(build)]

    def rows(self) -> list[tuple[str, str, str, str]]:
        """Letter, what it is, surface and temperature, and how it is done."""
        return [
            (self._letters[key], _what(build), _surface(build), " ".join(build.notes))
            for key, build in self._builds.items()
        ]


def _key(build: Build) -> tuple[str, ...]:
    return (*build_key(build), *build.notes)


def _letters(index: int) -> str:
    """``A`` to ``Z``, then ``AA``."""
    more, letter = divmod(index, 26)
    return (_letters(more - 1) if more else "") + chr(ord("A") + letter)


def _what(build: Build) -> str:
    clear = f" ({inches(build.stand_off)})" if build.stand_off else ""
    material = build.plate_material if build.mount.has_plate else ""
    made = "printed tag board" if build.mount is Mount.HUNG_TAG else build.film_text
    return "; ".join(part for part in (f"{HANGING[build.mount]}{clear}", material, made) if part)


def _surface(build: Build) -> str:
    return "; ".join(part for part in (SURFACE[build.mount], *_temperature(build)) if part)


def _temperature(build: Build) -> Iterator[str]:
    """When the film is put on, from the practice of its adhesive."""
    if build.mount is Mount.HUNG_TAG:
        return
    adhesives = {each.name: each for each in load_practice().adhesives}
    adhesive = adhesives.get(build.adhesive)
    if adhesive is None:
        return
    least = f"{adhesive.apply_from_f:g} F or warmer"
    if build.mount.has_plate:
        yield f"the film comes on its plate (put on in the shop at {least}); fix at any temperature"
    else:
        yield f"put on at a surface of {least} ({adhesive.name})"
