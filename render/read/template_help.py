"""Help texts of the line list's template: the use of each column, and example rows."""

from __future__ import annotations

from collections.abc import Mapping

# The most used columns, in the order in which people fill them in; the others follow.
FIRST = (
    *("line", "area", "location", "kind", "service", "contents", "state", "pressure_psig"),
    "operating_f",
    *("flow", "run", "side", "from", "to", "pipe", "covering_in", "qty", "drawing"),
    *("environment", "surface_f", "frost_in", "viewing_ft"),
    *("tag", "function", "legend", "valve_size", "normal_position", "emergency", "note"),
)
GROUPS: Mapping[str, tuple[str, ...]] = {
    "Where": ("line", "area", "location", "kind"),
    "What is in it": ("service", "contents", "state", "pressure_psig", "operating_f"),
    "Direction": ("flow", "run", "side", "from", "to"),
    "Size and surroundings": (
        *("pipe", "covering_in", "qty", "drawing"),
        *("environment", "surface_f", "frost_in", "viewing_ft"),
    ),
    "Equipment and valves": (
        *("tag", "function", "legend", "valve_size", "normal_position", "emergency", "note"),
    ),
}
# Columns that each kind requires: P pipe, E equipment, V valve.
NEEDED: Mapping[str, str] = {
    "service": "P",
    "state": "P",
    "pressure_psig": "P E",
    "flow": "P",
    "pipe": "P",
    "covering_in": "P",
    "kind": "E V",
    "tag": "E V",
    "legend": "E",
}
HEAD_HELP: Mapping[str, str] = {
    "title": "What the order is called. Empty: the name of this file.",
    "plant": "The plant's name; it prints on the chart, the proof and the schedule.",
    "revision": "Revision of this list.",
    "date": "Printed date, YYYY-MM-DD.",
    "scheme": "The convention that the markers follow, or a plant's own scheme file beside this "
    "one. Empty: ammonia-2014.",
    "spacing": "The rule that counts the markers of a run. Empty: common-40ft-fittings.",
    "keep_together": "area: each area's markers are kept together on the sheets. Empty: the "
    "fewest sheets.",
    "long_parts": "split: a marker longer than its stock is made in pieces. Empty: it is refused.",
    "piece_id": "text, qr or both: an id in a free corner of every piece. Empty: none.",
    "piece_id_per": "face: one id for equal markers. position: one for each piece, so that no two "
    "sheets are equal. Empty: face.",
    "piece_id_prefix": "The plant's own letters before each id: up to 6 capitals, digits, dots.",
    "piece_id_job": "Four digits after each id. Empty: made from the order.",
    "face": "compact: the shortest pipe markers that the convention allows, with one arrow, small "
    "band words and the least gaps. Empty: full.",
    "film": "Film of the shop, by its name in its stock file.",
    "plate": "Plate stock of the shop, by its name in its stock file.",
    "tag": "Tag stock of the shop, by its name in its stock file.",
    "accept": "Beside accept: the finding's code, the reason (it prints on the proof), and the "
    "marker where it is accepted for that one alone.",
}
SETTINGS = ("indoor", "outdoor", "indoor washdown", "outdoor washdown")
HELP: Mapping[str, str] = {
    "line": "Line number as on the P&ID, such as HTRS-6-125.",
    "area": "Room or part of the plant; each area gets its own installation pack.",
    "location": "Where in the area, such as bay 3 or column B2.",
    "kind": "pipe, equipment or valve. Empty: pipe.",
    "service": "Service abbreviation, such as HPL. A local one needs its meaning.",
    "meaning": "What a local abbreviation stands for; it prints on the chart.",
    "contents": "What is in the line, machine or valve. Empty: the scheme's own, AMMONIA.",
    "state": "Physical state in the line: liquid, vapor or both.",
    "pressure_psig": "Max. normal operating pressure, defrost excluded. HIGH or LOW follows "
    "from it. A number is psig; 8.7 inHg vac and 12 bar are read too.",
    "level": "HIGH or LOW where no pressure is known. Better give the pressure.",
    "flow": "Facing the marker: right, left, up, down; reversing, or none "
    "where it may go either way.",
    "run": "horizontal, or vertical for a riser. Empty: horizontal.",
    "side": "one or both: read from both sides, a line gets a right-hand and a left-hand marker; a "
    "valve gets two tags. Empty: one.",
    "from": "Where the line comes from. Prints in the installation pack.",
    "to": "Where the line goes to. Prints in the installation pack.",
    "pipe": "Pipe size: NPS 4, DN100, a tube as tube 7/8 in, or the diameter as 114.3 mm.",
    "covering_in": "Thickness of insulation and jacket. Write 0 for bare pipe; empty is asked "
    "for. Better measure: od_in or girth_in.",
    "od_in": "Outside diameter measured over the covering.",
    "girth_in": "Circumference, measured over the insulation (pi tape).",
    "qty": "Markers at this position. Empty: 1.",
    "drawing": "P&ID sheet that shows it.",
    "environment": "indoor, outdoor or freezer, and washdown where it is hosed down.",
    "operating_f": "Temperature in the line in normal operation. Never taken for the surface: give "
    "surface_f where that is known.",
    "surface_f": "Hottest, or for a cold line warmest, temperature of the surface that the marker "
    "goes on: the jacket where there is one.",
    "applied_f": "Temperature of that surface on the day when the marker is put on.",
    "frost_in": "Thickest frost expected on it.",
    "washdown": "yes where it is hosed down.",
    "viewing_ft": "Distance it is read from. Letters grow where their row would be too small.",
    "straight_in": "Straight run that the marker must fit on.",
    "paint": "Color that the pipe or its jacket has, such as orange.",
    "wrap": "yes: repeat the lines round a small pipe.",
    "lines": "1 or 2 lines of words.",
    "tag": "Number of the valve or the machine, such as HV-101 or HPR-1; like ones may be a range, "
    "HV-101..HV-118.",
    "food_zone": "yes where food passes below or beside: the pack asks that nothing stays loose.",
    "lockout": "yes for a valve where the line is isolated and locked out: its tag, the schedule "
    "and the pack say so.",
    "set_pressure_psig": "Set pressure of a relief valve. Lists it in the relief valve register.",
    "replace_by": "When a relief valve is to be replaced by the plant's own program, YYYY-MM-DD.",
    "function": "What the valve does, such as king valve.",
    "legend": "Name of the machine; on a pipe, words in place of the contents.",
    "small": "yes for a small part: sized by reading distance only.",
    "valve_size": "Size of the valve, such as NPS 2; of a relief valve inlet x outlet, 3/4x1.",
    "normal_position": "NO, NC, locked open (LO), locked closed (LC), car-sealed open (CSO) or "
    "closed (CSC), throttled, back-seated, or to A and to B of a three-way valve.",
    "emergency": "yes for a valve to be found in an emergency: a tag twice the size, first on "
    "chart and schedule.",
    "shape": "rectangle or round.",
    "letter_in": "Letter height to use in place of the row's.",
    "length_in": "Least length; longer words make it longer.",
    "neighbor_letter_in": "Letter height measured off the marker that hangs beside it.",
    "neighbor_height_in": "Height measured off the marker that hangs beside it.",
    "neighbor_length_in": "Length measured off the marker that hangs beside it.",
    "scheme": "Scheme of this row. Empty: the order's.",
    "length_ft": "Length of a run along the pipe. Without a qty its markers are counted and placed "
    "by the spacing rule.",
    "rooms": "Rooms that the run passes: a count, or names as in engine room (40 ft), corridor.",
    "turns": "Turns of the run: a count, or where they are, as in 12 ft, 40 ft.",
    "branches": "Branches off the run: a count, or where they are.",
    "valves": "Valves on the run: a count, or where they are.",
    "penetrations": "Walls, floors and roofs that the run passes: a count, or where they are. "
    "Empty: a wall between two rooms.",
    "spacing": "Spacing rule of the run. Empty: the order's.",
    "height_ft": "Height of the pipe above the floor. With distance_ft it tells where round the "
    "pipe the legend goes.",
    "distance_ft": "From the reader to the pipe, along the floor.",
    "at_ft": "How far from the start of its run this marker is. Filled by the takeoff.",
    "spot": "Where on its run this marker is, and why. Filled by the takeoff.",
    "note": "Anything the crew should know; prints in pack and schedule.",
}
EXAMPLES: tuple[Mapping[str, str], ...] = (
    {
        "line": "HTRS-6-125",
        "area": "Machinery room",
        "location": "between columns B2 and B4",
        "kind": "pipe",
        "service": "HTRS",
        "state": "both",
        "pressure_psig": "33.5",
        "flow": "left",
        "run": "horizontal",
        "side": "one",
        "from": "dock evaporators",
        "to": "HTR-1",
        "pipe": "NPS 6",
        "covering_in": "1-1/2",
        "qty": "5",
        "drawing": "R-101",
        "environment": "indoor",
        "viewing_ft": "12",
        "note": "example",
    },
    {
        "area": "Machinery room",
        "kind": "equipment",
        "tag": "HPR-1",
        "legend": "High pressure receiver",
        "pressure_psig": "181",
        "qty": "2",
        "drawing": "R-101",
        "environment": "indoor",
        "note": "example",
    },
    {
        "area": "Machinery room",
        "location": "at the outlet of HPR-1",
        "kind": "valve",
        "service": "HPL",
        "tag": "HV-101",
        "function": "King valve",
        "valve_size": "NPS 3",
        "normal_position": "normally open",
        "emergency": "yes",
        "qty": "1",
        "drawing": "R-101",
        "environment": "indoor",
        "note": "example",
    },
    {
        "line": "LTRS-10-211",
        "area": "Rooftop",
        "kind": "pipe",
        "service": "LTRS",
        "state": "both",
        "pressure_psig": "8.7 inHg vac",
        "flow": "left",
        "from": "freezer evaporators",
        "to": "LTR-1",
        "pipe": "NPS 10",
        "covering_in": "3",
        "environment": "outdoor",
        "drawing": "R-102",
        "length_ft": "180",
        "turns": "30 ft, 95 ft",
        "penetrations": "60 ft",
        "height_ft": "12",
        "distance_ft": "8",
        "note": "example: a run, its markers counted by the spacing rule",
    },
)
