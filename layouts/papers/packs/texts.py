"""The fixed wording of an installation pack. Common practice, no source, unless marked."""

from __future__ import annotations

from collections.abc import Mapping

from layouts.plan.build import Mount

STEPS = (
    "Sort the markers with this pack and compare each with its picture: words, colors, arrow, id.",
    "At the position, say the line, its two ends and its direction of flow out loud; compare them "
    "with from and to.",
    "Make sure it will read from where people stand: beside a valve or elbow, not behind it.",
    "Prepare the surface as the method says and measure its temperature.",
    "Install it with the arrow pointing in the direction of flow.",
    "Remove conflicting markers under the plant's management of change (MOC); leave correct ones.",
    "Check the box; write down what you found different. Sign the pack and hand it back.",
)
SURFACES: Mapping[Mount, str] = {
    Mount.FILM: "dry, clean, smooth and cured; free of frost, ice, oil and loose paint. Wipe, let "
    "dry, press from the middle outward",
    Mount.WRAP: "dry, clean, smooth and cured all around; free of frost, ice and oil. Start with "
    "the underlap, wrap square, close the seam over it",
    Mount.STRAPPED_PLATE: "remove loose scale where the straps lie; no edge or clamp under them",
    Mount.STAND_OFF: "off the frost, never on it: feet or brackets sit on bare, sound metal or "
    "around the pipe, and no part of the plate touches the surface",
    Mount.FLAG_TAG: "remove loose scale where the strap lies",
    Mount.HUNG_TAG: "no preparation",
}
MOUNTINGS: Mapping[Mount, str] = {
    Mount.FILM: "adhesive film",
    Mount.WRAP: "film wrapped around the pipe",
    Mount.STRAPPED_PLATE: "film on a plate, straps around the pipe through its slots",
    Mount.STAND_OFF: "film on a stand-off plate",
    Mount.FLAG_TAG: "flag on a strap around the pipe",
    Mount.HUNG_TAG: "tag on a chain or wire around the yoke or bonnet, clear of stem and handwheel",
}
READING = (
    "Positions follow the walk. Below each picture: the marker's id, length and height. Beside "
    "each box: the row of the list. Neighbors that take the same marker share its picture."
)
SIDES = (
    "Near side: the side from which the list gives the direction of flow. Far side: the opposite "
    "side."
)
