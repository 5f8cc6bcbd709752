"""The materials and hardware of markers: film, plates, straps, stand-offs, tag wires.

What a build leaves open (kinds, thicknesses, hardware) comes from the mounting practice.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from layouts.face.model import Part, part_text
from layouts.markers.gather import Marker
from layouts.papers.kit.cautions import is_jacketed
from layouts.papers.kit.figure import carrier_of
from layouts.plan.build import Build, Mount
from layouts.schemes.loader import load_practice
from layouts.terms.units import inches

STAND_OFF = "stand-off"
TAG_WIRE = "chain or wire"
ENGRAVING_STOCK = "engraving stock"


def build_text(part: Part, build: Build, on_plate: bool) -> str:
    """What the printed part is made of, and what it goes on."""
    text = (
        tag_text(build, build.laminate) if build.mount is Mount.HUNG_TAG else part_text(part, build)
    )
    return f"{text}, on {carrier_text(build)}" if on_plate else text


def tag_text(build: Build, laminate: str | None = None) -> str:
    """The stock of a hung tag with its thickness, and its laminate if it has one.

    What is engraved has no laminate.
    """
    stock = load_practice().tag
    thickness = build.thickness or stock.thickness
    if build.engraved:
        return f"{ENGRAVING_STOCK}, {thickness}"
    return ", ".join(part for part in (stock.material, thickness, laminate) if part)


def carrier_text(build: Build) -> str:
    """The plate's material with its thickness."""
    return f"{build.plate_material}, {build.thickness or load_practice().plate.thickness}"


def strap_text(strap: str) -> str:
    """A strap with its width and what closes it."""
    return f"{strap}, {specification_of(strap)}"


def film_texts(build: Build) -> Iterator[str]:
    """Film, adhesive and laminate of a build."""
    yield from (part for part in (build.film, build.adhesive, build.laminate) if part)


def film_kind(film: str, markers: Iterable[Marker]) -> str:
    """Which kind of a film some markers share: the conforming one where any of them needs it.

    Empty where the film comes in one kind.
    """
    films = {each.name: each for each in load_practice().films}
    if film not in films:
        return ""
    conforming = any(_must_conform(marker) for marker in markers)
    return films[film].conforming_kind if conforming else films[film].flat_kind


def _must_conform(marker: Marker) -> bool:
    """Whether the film goes on a jacket or around a pipe; on a plate it lies flat."""
    mount = marker.plan.build.mount
    if mount.has_plate:
        return False
    return mount is Mount.WRAP or any(map(is_jacketed, marker.placings))


def mount_text(marker: Marker) -> str:
    """How the marker is held, with the straps of all its places by length."""
    build = marker.plan.build
    text = str(build.mount)
    if build.stand_off:
        text += f", {inches(build.stand_off)} off the surface"
    straps = straps_of([marker])
    if straps:
        listed = ", ".join(
            f"{count} of {inches(length)}" for (_, length), count in sorted(straps.items())
        )
        kinds = " and ".join(sorted({kind for kind, _ in straps}))
        text += f", {kinds}: {listed}"
    return text


def straps_of(markers: Iterable[Marker]) -> Counter[tuple[str, float]]:
    """Straps by kind and length in mm, over all places of the markers."""
    straps: Counter[tuple[str, float]] = Counter()
    for marker in markers:
        for placing in marker.placings:
            build = placing.plan.build
            if build.straps:
                straps[build.strap, round(build.strap_length, 3)] += build.straps * placing.count
    return straps


def stand_offs_of(markers: Iterable[Marker]) -> Counter[float]:
    """Stand-offs by height in mm: one for each hole of each plate."""
    stand_offs: Counter[float] = Counter()
    for marker in markers:
        build, plate = marker.plan.build, carrier_of(marker.face)
        if build.mount is Mount.STAND_OFF and plate is not None and plate.holes is not None:
            openings = len(plate.holes.contours)
            stand_offs[round(build.stand_off, 3)] += openings * marker.quantity
    return stand_offs


def hung_tags(markers: Iterable[Marker]) -> int:
    """Tags that hang on a chain or wire."""
    return sum(marker.quantity for marker in markers if marker.face.design.hole_diameter)


def packing_list(markers: Sequence[Marker]) -> list[tuple[str, str, str]]:
    """Part, size and count of all mounting hardware: plates, straps, stand-offs, wires."""
    plates: Counter[tuple[str, float, float]] = Counter()
    for marker in markers:
        plate = carrier_of(marker.face)
        if plate is not None:
            size = (round(plate.size.width, 3), round(plate.size.height, 3))
            plates[(marker.plan.build.plate_material, *size)] += marker.quantity
    rows = [
        (material, f"{inches(width)} x {inches(height)}", str(count))
        for (material, width, height), count in sorted(plates.items())
    ]
    rows += [
        (strap, f"{inches(length)} long", str(count))
        for (strap, length), count in sorted(straps_of(markers).items())
    ]
    rows += [
        (STAND_OFF, f"{inches(height)} high", str(count))
        for height, count in sorted(stand_offs_of(markers).items())
    ]
    if tags := hung_tags(markers):
        rows.append((TAG_WIRE, "length to suit valve", str(tags)))
    return rows


def packing_table(markers: Sequence[Marker]) -> list[tuple[str, str, str, str]]:
    """The packing list with what each part is made of: part, specification, size, pieces."""
    builds = (marker.plan.build for marker in markers)
    thickness = {build.plate_material: build.thickness for build in builds if build.thickness}
    return [
        (part, thickness.get(part) or specification_of(part), size, pieces)
        for part, size, pieces in packing_list(markers)
    ]


def specification_of(part: str) -> str:
    """What a supplier has to know about a plate, strap, stand-off or wire besides its size."""
    practice = load_practice()
    straps = practice.straps
    width = f"{inches(straps.width)} wide"
    return {
        practice.plate.material: practice.plate.thickness,
        straps.outdoor: f"{width}, {straps.outdoor_closure}",
        straps.indoor: f"{width}, {straps.indoor_closure}",
        STAND_OFF: practice.stand_off.hardware,
        TAG_WIRE: "one per tag",
    }.get(part, "")
