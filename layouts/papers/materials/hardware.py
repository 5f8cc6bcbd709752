"""What holds the markers of an order: plates, straps, stand-offs, and wires for tags."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

from layouts.face.model import Part, part_text
from layouts.markers.gather import Marker
from layouts.papers.kit.figure import carrier_of
from layouts.plan.build import Build, Mount
from layouts.terms.units import inches


def build_text(part: Part, build: Build, on_plate: bool) -> str:
    """What the printed part is made of, and what it goes on."""
    text = part_text(part, build)
    return f"{text}, on {build.plate_material}" if on_plate else text


def mount_text(marker: Marker) -> str:
    """How the marker is held, with the straps of all its places by length."""
    build = marker.plan.build
    text = str(build.mount)
    if build.stand_off:
        text += f", {inches(build.stand_off)} clear of the surface"
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
    """Part, size and pieces of all that holds the markers: plates, straps, stand-offs, wires."""
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
        ("stand-off", f"{inches(height)} high", str(count))
        for height, count in sorted(stand_offs_of(markers).items())
    ]
    if tags := hung_tags(markers):
        rows.append(("chain or wire for a tag", "as the valve needs", str(tags)))
    return rows
