"""The demo line list: an invented two-stage ammonia plant, written as a workbook.

Example Ridge Cold Store does not exist. Its pressures are those of saturated ammonia at the
temperatures named (95 F: 181 psig, 20 F: 33.5 psig, -40 F: 8.7 inHg vacuum; standard saturation
tables), pumped liquid 30 psi above its vessel. Coverings follow common practice.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from pathlib import Path

import xlsxwriter

HERE = Path(__file__).resolve()
TARGET = HERE.parents[2] / "output_samples" / "demo_plant.xlsx"
TITLE = "Example Ridge Cold Store (invented plant): ammonia line list, revision C"
Value = str | float
Row = dict[str, Value]

# The headings of every list, then the optional ones that this plant needs.
HEADINGS = (
    *("line", "kind", "contents", "service", "state", "pressure_psig", "level", "flow", "run"),
    *("side", "from", "to", "pipe", "covering_in", "od_in", "girth_in", "environment"),
    *("surface_f", "frost_in", "viewing_ft", "tag", "function", "valve_size", "normal_position"),
    *("emergency", "drawing", "qty", "area", "location", "legend", "note"),
    *("straight_in", "applied_f", "paint", "wrap"),
)
_WIDTHS = {
    **dict.fromkeys(("line", "function", "location"), 21),
    **dict.fromkeys(("from", "to", "environment", "area"), 15),
    **dict.fromkeys(("legend", "note"), 30),
    **dict.fromkeys(("kind", "pressure_psig", "valve_size", "normal_position"), 14),
}
LOW_SIDE, VACUUM, DISCHARGE, LIQUID = 33.5, "8.7 inHg vac", 185.0, 181.0


def _pipe(line: str, state: str, psig: Value, flow: str, ends: str, qty: int, **more: Value) -> Row:
    """A pipe row; ``line`` is service, size and number, ``ends`` is ``from > to``."""
    service, size, _number = line.split("_")
    start, _, end = ends.partition(" > ")
    row: Row = {"line": line.replace("_", "-"), "service": service, "state": state}
    row |= {"pressure_psig": psig, "flow": flow, "from": start, "to": end, "pipe": f"NPS {size}"}
    return row | {"qty": qty, "covering_in": 0.0} | more


def machinery_room() -> Iterator[Row]:
    """Compressors, vessels and pumps, indoors."""
    hot: dict[str, Value] = {"surface_f": 190.0, "viewing_ft": 12.0}
    yield _pipe("HSD_4_101", "vapor", DISCHARGE, "right", "HSC-1 > HSD-8-103", 3, **hot)
    yield _pipe("HSD_4_102", "vapor", DISCHARGE, "left", "HSC-2 > HSD-8-103", 3, **hot)
    yield _pipe("HSD_8_103", "vapor", DISCHARGE, "right", "HSC-1/2 > roof", 6, **hot)
    riser: dict[str, Value] = {"run": "vertical", "location": "riser at column B2"}
    yield _pipe("HSD_8_104", "vapor", DISCHARGE, "up", "HSC-1/2 > EC-1/2", 3, **hot, **riser)
    yield _pipe("BD_6_105", "vapor", LOW_SIDE, "right", "LSC-1 > IC-1", 4, surface_f=165.0)
    yield _pipe("CD_4_110", "liquid", LIQUID, "down", "EC-1/2 > HPR-1", 3, paint="orange", **riser)
    yield _pipe("CD_4_111", "liquid", LIQUID, "left", "EC-1/2 > HPR-1", 4, paint="orange")
    yield _pipe("HPL_3_112", "liquid", LIQUID, "right", "HPR-1 > IC-1", 6, paint="orange")
    yield _pipe("HPL_2_113", "liquid", LIQUID, "right", "HPR-1 > HTR-1", 4, side="both")
    yield _pipe("LIC_1_114", "liquid", LIQUID, "left", "HPR-1 > LSC-1", 3, viewing_ft=8.0)
    yield _pipe("SCL_2_115", "liquid", LIQUID, "right", "IC-1 > LTR-1", 4, covering_in=1.5)
    yield _pipe("IPL_2_116", "liquid", LOW_SIDE, "right", "IC-1 > LTR-1", 3, covering_in=1.5)
    yield _pipe("TSS_3_117", "liquid", LIQUID, "left", "TR-1 > oil coolers", 4)
    yield _pipe("TSR_4_118", "both", LIQUID, "right", "oil coolers > TR-1", 4)
    yield _pipe("TSV_2_119", "vapor", LIQUID, "up", "TR-1 > EC-1/2", 2, run="vertical")
    yield _pipe("HSS_8_120", "vapor", LOW_SIDE, "left", "IC-1 > HSC-1/2", 6, covering_in=2.0)
    bare: dict[str, Value] = {"run": "vertical", "note": "bare at the stop valve; frosts"}
    ends = "HSS-8-120 > HSC-1"
    cold: dict[str, Value] = {"surface_f": 25.0, "frost_in": 0.75}
    yield _pipe("HSS_6_121", "vapor", LOW_SIDE, "down", ends, 2, **cold, **bare)
    yield _pipe("BS_10_122", "vapor", VACUUM, "left", "LTR-1 > LSC-1", 4, covering_in=3.0)
    colder: dict[str, Value] = {"surface_f": -35.0, "frost_in": 1.5}
    yield _pipe("BS_8_123", "vapor", VACUUM, "down", "BS-10-122 > LSC-1", 2, **colder, **bare)
    yield _pipe("HTRL_3_124", "liquid", 63.5, "right", "PMP-1/2 > dock", 4, covering_in=1.5)
    yield _pipe("HTRS_6_125", "both", LOW_SIDE, "left", "dock > HTR-1", 5, covering_in=1.5)
    yield _pipe("LTRL_3_126", "liquid", 25.7, "right", "PMP-3/4 > freezer", 4, covering_in=2.5)
    yield _pipe("LTRS_10_127", "both", VACUUM, "left", "freezer > LTR-1", 5, covering_in=3.0)
    yield _pipe(
        "HGD_3_128", "vapor", DISCHARGE, "right", "HSD-8-103 > mezzanine", 5, surface_f=140.0
    )
    yield _pipe("DC_2_129", "both", 60.0, "left", "mezzanine > IC-1", 3, covering_in=1.5)
    yield _pipe("EQ_1_130", "vapor", LIQUID, "none", "HPR-1 > TR-1", 2, viewing_ft=8.0)
    yield _pipe("PO_1-1/4_131", "both", LOW_SIDE, "reversing", "vessels > IC-1", 4)
    yield _pipe(
        "OD_3/4_132", "liquid", LOW_SIDE, "down", "LTR-1 > OP-1", 2, run="vertical", covering_in=1.0
    )
    yield _pipe("PU_1/2_133", "vapor", LIQUID, "up", "HPR-1 > AP-1", 2, run="vertical")
    yield _pipe("RV_3_134", "vapor", 0.0, "up", "relief valves > roof", 3, run="vertical")
    walkway = "read from every side in the walkway"
    ends = "HPR-1 > AP-1"
    yield _pipe("HPL_1-1/4_135", "liquid", LIQUID, "right", ends, 3, wrap="yes", note=walkway)
    elbows: dict[str, Value] = {"straight_in": 18.0, "note": "short run between two elbows"}
    yield _pipe("HPL_2_136", "liquid", LIQUID, "left", "HPR-1 > HV-103", 1, **elbows)


def rooftop() -> Iterator[Row]:
    """Evaporative condensers, outdoors."""
    sun: dict[str, Value] = {"environment": "outdoor"}
    hot: dict[str, Value] = {**sun, "surface_f": 190.0}
    yield _pipe("HSD_8_201", "vapor", DISCHARGE, "right", "riser B2 > EC-1/2", 6, **hot)
    yield _pipe("HSD_6_202", "vapor", DISCHARGE, "right", "HSD-8-201 > EC-1", 4, **hot)
    yield _pipe("HSD_6_203", "vapor", DISCHARGE, "left", "HSD-8-201 > EC-2", 4, **hot)
    yield _pipe("CD_3_204", "liquid", LIQUID, "left", "EC-1 > CD-4-206", 4, **sun)
    yield _pipe("CD_3_205", "liquid", LIQUID, "right", "EC-2 > CD-4-206", 4, **sun)
    yield _pipe("CD_4_206", "liquid", LIQUID, "left", "EC-1/2 > riser B2", 6, **sun)
    yield _pipe("EQ_1-1/2_207", "vapor", LIQUID, "none", "HPR-1 > EC-1/2", 3, **sun)
    yield _pipe("PU_3/4_208", "vapor", LIQUID, "left", "EC-1/2 > AP-1", 4, **sun)
    yield _pipe("RV_4_209", "vapor", 0.0, "up", "header > stack", 2, run="vertical", **sun)
    yield _pipe("TSV_2_210", "vapor", LIQUID, "right", "TR-1 > EC-1/2", 3, **sun)
    covered: dict[str, Value] = {**sun, "covering_in": 3.0, "viewing_ft": 30.0}
    yield _pipe("LTRS_10_211", "both", VACUUM, "left", "freezer > LTR-1", 7, **covered)
    yield _pipe("LTRL_3_212", "liquid", 25.7, "right", "PMP-3/4 > freezer", 7, **covered)
    yield _pipe("HGD_3_213", "vapor", DISCHARGE, "right", "riser B2 > freezer", 7, **hot)
    taped: dict[str, Value] = {**sun, "covering_in": "", "girth_in": 31.0, "viewing_ft": 30.0}
    yield _pipe("HTRS_6_214", "both", LOW_SIDE, "left", "dock > HTR-1", 6, side="both", **taped)


def freezer() -> Iterator[Row]:
    """The -20 F store; markers are put on at -10 F during a defrost of the room."""
    cold: dict[str, Value] = {"applied_f": -10.0}
    header: dict[str, Value] = {**cold, "covering_in": 3.0, "viewing_ft": 40.0}
    yield _pipe("LTRS_12_301", "both", VACUUM, "left", "FEU-1..4 > LTR-1", 8, **header)
    yield _pipe("LTRS_6_302", "both", VACUUM, "left", "FEU-1 > 301", 3, covering_in=2.5, **cold)
    yield _pipe("LTRS_6_303", "both", VACUUM, "right", "FEU-2 > 301", 3, covering_in=2.5, **cold)
    yield _pipe("LTRS_6_304", "both", VACUUM, "left", "FEU-3 > 301", 3, covering_in=2.5, **cold)
    yield _pipe("LTRS_6_305", "both", VACUUM, "right", "FEU-4 > 301", 3, covering_in=2.5, **cold)
    yield _pipe(
        "LTRL_3_306", "liquid", 25.7, "right", "roof > FEU-1..4", 8, covering_in=2.5, **cold
    )
    drop: dict[str, Value] = {**cold, "run": "vertical", "covering_in": 2.0}
    yield _pipe("LTRL_1-1/2_307", "liquid", 25.7, "down", "306 > FEU-1/2", 4, **drop)
    yield _pipe("LTRL_1-1/2_308", "liquid", 25.7, "down", "306 > FEU-3/4", 4, **drop)
    yield _pipe("HGD_2_309", "vapor", 100.0, "right", "roof > FEU-1..4", 6, covering_in=1.0, **cold)
    yield _pipe("HGD_1-1/4_310", "vapor", 100.0, "left", "309 > FEU-1", 2, covering_in=1.0, **cold)
    yield _pipe("DC_1-1/4_311", "both", 60.0, "left", "FEU-1..4 > IC-1", 4, covering_in=1.5, **cold)


def dock() -> Iterator[Row]:
    """The 35 F loading dock, washed down."""
    wet: dict[str, Value] = {"environment": "indoor washdown", "viewing_ft": 20.0}
    yield _pipe(
        "HTRL_2_401", "liquid", 63.5, "right", "PMP-1/2 > DEU-1..3", 6, covering_in=1.5, **wet
    )
    yield _pipe(
        "HTRS_4_402", "both", LOW_SIDE, "left", "DEU-1..3 > HTR-1", 6, covering_in=1.5, **wet
    )
    yield _pipe("HTRS_3_403", "both", LOW_SIDE, "left", "DEU-1 > 402", 2, covering_in=1.5, **wet)
    yield _pipe("HTRS_3_404", "both", LOW_SIDE, "right", "DEU-2 > 402", 2, covering_in=1.5, **wet)
    yield _pipe("HTRL_1_405", "liquid", 63.5, "right", "401 > DEU-1", 2, covering_in=1.0, **wet)
    yield _pipe("HTRL_1_406", "liquid", 63.5, "left", "401 > DEU-2", 2, covering_in=1.0, **wet)
    yield _pipe("HGD_1-1/2_407", "vapor", 100.0, "right", "HGD-3-128 > DEU-1..3", 5, **wet)
    yield _pipe("DC_1_408", "both", 60.0, "left", "DEU-1..3 > IC-1", 3, covering_in=1.0, **wet)


_EQUIPMENT: tuple[tuple[str, str, str, str, Value, int], ...] = (
    ("Machinery room", "HSC-1", "High stage compressor", "indoor", DISCHARGE, 2),
    ("Machinery room", "HSC-2", "High stage compressor", "indoor", DISCHARGE, 2),
    ("Machinery room", "LSC-1", "Booster compressor", "indoor", LOW_SIDE, 2),
    ("Machinery room", "HPR-1", "High pressure receiver", "indoor", LIQUID, 2),
    ("Machinery room", "TR-1", "Thermosyphon receiver", "indoor", LIQUID, 1),
    ("Machinery room", "IC-1", "Intercooler", "indoor", LOW_SIDE, 2),
    ("Machinery room", "HTR-1", "High temp recirculator", "indoor", LOW_SIDE, 2),
    ("Machinery room", "LTR-1", "Low temp recirculator", "indoor", VACUUM, 2),
    ("Machinery room", "PMP-1", "Ammonia pump", "indoor", 63.5, 1),
    ("Machinery room", "PMP-2", "Ammonia pump", "indoor", 63.5, 1),
    ("Machinery room", "PMP-3", "Ammonia pump", "indoor", 25.7, 1),
    ("Rooftop", "EC-1", "Evaporative condenser", "outdoor", DISCHARGE, 2),
    ("Rooftop", "EC-2", "Evaporative condenser", "outdoor", DISCHARGE, 2),
    ("Freezer", "FEU-1", "Evaporator", "indoor", VACUUM, 1),
    ("Freezer", "FEU-2", "Evaporator", "indoor", VACUUM, 1),
    ("Dock", "DEU-1", "Evaporator", "indoor washdown", LOW_SIDE, 1),
)
_VALVES: tuple[tuple[str, str, str, str, str, str, str], ...] = (
    ("Machinery room", "HV-101", "HPL", "King valve", "3", "open", "yes"),
    ("Machinery room", "HV-102", "HSD", "Discharge stop", "8", "open", "yes"),
    ("Machinery room", "HV-103", "HPL", "Liquid makeup stop", "2", "open", ""),
    ("Machinery room", "HV-104", "PO", "Pump out", "1-1/4", "closed", ""),
    ("Machinery room", "HV-105", "OD", "Oil drain", "3/4", "closed", ""),
    ("Machinery room", "HV-106", "EQ", "Equalizer stop", "1", "open", ""),
    ("Rooftop", "HV-201", "CD", "Condenser drain stop", "3", "open", ""),
    ("Rooftop", "HV-202", "HSD", "Condenser inlet stop", "6", "open", ""),
    ("Freezer", "HV-301", "LTRL", "Liquid feed stop", "3", "open", "yes"),
    ("Dock", "HV-401", "HTRL", "Liquid feed stop", "2", "open", ""),
)
_DRAWINGS = {"Machinery room": "R-101", "Rooftop": "R-102", "Freezer": "R-103", "Dock": "R-104"}


def rows() -> list[Row]:
    """Every row of the list, area by area."""
    areas = (
        ("Machinery room", machinery_room()),
        ("Rooftop", rooftop()),
        ("Freezer", freezer()),
        ("Dock", dock()),
    )
    found = [{"kind": "pipe", "area": area, **row} for area, lines in areas for row in lines]
    for area, tag, name, environment, psig, qty in _EQUIPMENT:
        row: Row = {"kind": "equipment", "area": area, "tag": tag, "legend": name, "qty": qty}
        found.append({**row, "environment": environment, "pressure_psig": psig})
    for area, tag, service, function, size, normal, emergency in _VALVES:
        row = {"kind": "valve", "area": area, "tag": tag, "service": service, "qty": 1}
        row |= {"function": function, "valve_size": f"NPS {size}", "normal_position": normal}
        outdoor = "outdoor" if area == "Rooftop" else "indoor"
        found.append({**row, "emergency": emergency, "environment": outdoor})
    for row in found:
        row["drawing"] = _DRAWINGS[str(row["area"])]
        row.setdefault("environment", "indoor")
    return found


def write(path: Path = TARGET) -> None:
    """Write the workbook; the same rows always give the same bytes."""
    book = xlsxwriter.Workbook(str(path))
    book.set_properties({"title": TITLE, "created": datetime.datetime(2026, 1, 1)})
    sheet = book.add_worksheet("Line list")
    title = book.add_format({"bold": True, "font_size": 14})
    heading = book.add_format(
        {"bold": True, "bg_color": "#1F3A4D", "font_color": "#FFFFFF", "border": 1, "rotation": 0}
    )
    number = book.add_format({"num_format": "General", "align": "right"})
    text = book.add_format({"num_format": "@"})  # so that 3/4 stays 3/4
    sheet.set_row(0, 24)
    sheet.write_string(0, 0, TITLE, title)
    for column, name in enumerate(HEADINGS):
        sheet.set_column(column, column, _WIDTHS.get(name, max(9, len(name) + 2)))
        sheet.write_string(1, column, name, heading)
    listed = rows()
    for index, row in enumerate(listed, 2):
        for column, name in enumerate(HEADINGS):
            value = row.get(name, "")
            if isinstance(value, str):
                if value:
                    sheet.write_string(index, column, value, text)
            else:
                sheet.write_number(index, column, value, number)
    sheet.freeze_panes(2, 1)
    sheet.autofilter(1, 0, len(listed) + 1, len(HEADINGS) - 1)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(1)
    book.close()


if __name__ == "__main__":
    write()
