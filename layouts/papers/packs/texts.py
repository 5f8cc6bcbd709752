"""What an installation pack says of every area. Common practice, no source, unless marked."""

from __future__ import annotations

from collections.abc import Mapping

from layouts.plan.build import Mount

CAUTIONS = (
    "Trace each line to both ends and agree it with the P&ID before its marker is fixed. Where "
    "pipe, list and P&ID differ, fix nothing there, and tell who keeps the list.",
    "Nothing pierces or crushes an insulation jacket or its vapor retarder: no screw, rivet or "
    "staple; straps snug, not tight. A broken retarder lets in water that turns to ice and "
    "corrodes the pipe.",
    "Over or beside food: no loose parts. Count straps, cut ends, liners and tools in and out of "
    "the room, and write the counts down.",
    "Changing a label is a change: follow the plant's procedure for it, permits included.",
    "Ammonia: know the alarm, the way out and the nearest eye wash and shower before starting; "
    "leave at the first smell. Never open, drill, weld or lean on anything that holds refrigerant.",
    "Hot surfaces burn (discharge lines most of all) and cold ones freeze skin to metal: look at "
    "the method, then test without the hand. From 140 F bare metal burns (ASTM C1055 reading, "
    "from memory).",
    "Work at height, at moving machines and where energy is isolated is for trained people with "
    "their own permit: ladders, lifts, lockout and tagout under the plant's rules.",
    "Local codes and licensed practice decide. This pack was made from a list; it claims no "
    "conformity and replaces no survey.",
)
STEPS = (
    "Sort the markers by this pack and compare each with its picture: words, colors, arrow, id.",
    "At the position: name the line, its two ends and its direction of flow out loud; compare "
    "with from and to.",
    "See that it will read from where people stand, beside a valve or turn and not behind it.",
    "Prepare the surface as its method says and measure its temperature.",
    "Fix it with the arrow pointing the way of the flow. Hands of a line are told apart here: a "
    "right-hand marker on the left-hand side shows the wrong way.",
    "Take down what contradicts it, under the change procedure; leave what agrees.",
    "Tick the box; write down what was found otherwise. Hand the pack back signed.",
)
SURFACE: Mapping[Mount, str] = {
    Mount.FILM: "dry, clean, smooth and cured; free of frost, ice, oil and loose paint. Wipe, let "
    "dry, press from the middle outward",
    Mount.WRAP: "dry, clean, smooth and cured all round; free of frost, ice and oil. Start with "
    "the underlap, turn square, close the seam over it",
    Mount.STRAPPED_PLATE: "knock off loose scale where the straps lie; no edge or clamp under them",
    Mount.STAND_OFF: "clear of frost, never on it: the feet or brackets stand on bare, sound metal "
    "or round the pipe, and nothing of the plate touches the surface",
    Mount.FLAG_TAG: "knock off loose scale where the strap lies",
    Mount.HUNG_TAG: "none needed",
}
HANGING: Mapping[Mount, str] = {
    Mount.FILM: "adhesive film",
    Mount.WRAP: "film wrapped round the pipe",
    Mount.STRAPPED_PLATE: "film on a plate, straps round the pipe through its slots",
    Mount.STAND_OFF: "film on a plate that stands clear of the surface",
    Mount.FLAG_TAG: "flag on a strap round the pipe",
    Mount.HUNG_TAG: "tag on a chain or wire round the yoke or bonnet, clear of stem and handwheel",
}
READING = (
    "In the order of the walk. Below a picture: the marker's id, length and height. Beside a box: "
    "the row of the list. Neighbors that take one marker stand below its picture."
)
