"""The lines of the demo plant, area by area: single rows with a count, and runs.

Pressures are those of saturated ammonia at the temperatures named (95 F: 181 psig, 20 F: 33.5
psig, 10 F: 23.8 psig, -40 F: 8.7 inHg vacuum; standard saturation tables), pumped liquid 30 psi
above its vessel. Coverings follow common practice.
"""

from __future__ import annotations

from collections.abc import Iterator

Value = str | float
Row = dict[str, Value]
LOW_SIDE, VACUUM, DISCHARGE, LIQUID = 33.5, "8.7 inHg vac", 185.0, 181.0
MEDIUM = 23.8
IDLE = 75.0  # a line that stands at the temperature of the room until it is needed


def pipe(line: str, state: str, psig: Value, flow: str, ends: str, qty: int, **more: Value) -> Row:
    """A pipe row; ``line`` is service, size and number, ``ends`` is ``from > to``."""
    service, size, _number = line.split("_")
    start, _, end = ends.partition(" > ")
    row: Row = {"line": line.replace("_", "-"), "service": service, "state": state}
    row |= {"pressure_psig": psig, "flow": flow, "from": start, "to": end, "pipe": f"NPS {size}"}
    return row | {"qty": qty, "covering_in": 0.0} | more


def run(line: str, state: str, psig: Value, flow: str, ends: str, feet: int, **more: Value) -> Row:
    """A row of a run that many feet long: the spacing rule counts its markers."""
    row = pipe(line, state, psig, flow, ends, 0, **more)
    return {**{key: value for key, value in row.items() if key != "qty"}, "length_ft": feet}


def machinery_room() -> Iterator[Row]:
    """Compressors, vessels and pumps, indoors."""
    hot: dict[str, Value] = {"surface_f": 190.0, "viewing_ft": 12.0}
    yield pipe("HSD_4_101", "vapor", DISCHARGE, "right", "HSC-1 > HSD-8-103", 3, **hot)
    yield pipe("HSD_4_102", "vapor", DISCHARGE, "left", "HSC-2 > HSD-8-103", 3, **hot)
    yield pipe("HSD_8_103", "vapor", DISCHARGE, "right", "HSC-1/2 > roof", 6, **hot)
    riser: dict[str, Value] = {"run": "vertical", "location": "riser at column B2"}
    yield pipe("HSD_8_104", "vapor", DISCHARGE, "up", "HSC-1/2 > EC-1/2", 3, **hot, **riser)
    yield pipe("BD_6_105", "vapor", LOW_SIDE, "right", "LSC-1 > IC-1", 4, surface_f=165.0)
    yield pipe("CD_4_110", "liquid", LIQUID, "down", "EC-1/2 > HPR-1", 3, paint="orange", **riser)
    yield pipe("CD_4_111", "liquid", LIQUID, "left", "EC-1/2 > HPR-1", 4, paint="orange")
    yield pipe("HPL_3_112", "liquid", LIQUID, "right", "HPR-1 > IC-1", 6, paint="orange")
    yield pipe("HPL_2_113", "liquid", LIQUID, "right", "HPR-1 > HTR-1", 4, side="both")
    yield pipe("LIC_1_114", "liquid", LIQUID, "left", "HPR-1 > LSC-1", 3, viewing_ft=8.0)
    yield pipe("SCL_2_115", "liquid", LIQUID, "right", "IC-1 > LTR-1", 4, covering_in=1.5)
    yield pipe("IPL_2_116", "liquid", LOW_SIDE, "right", "IC-1 > LTR-1", 3, covering_in=1.5)
    yield pipe("TSS_3_117", "liquid", LIQUID, "left", "TR-1 > oil coolers", 4)
    yield pipe("TSR_4_118", "both", LIQUID, "right", "oil coolers > TR-1", 4)
    yield pipe("TSV_2_119", "vapor", LIQUID, "up", "TR-1 > EC-1/2", 2, run="vertical")
    yield pipe("HSS_8_120", "vapor", LOW_SIDE, "left", "IC-1 > HSC-1/2", 6, covering_in=2.0)
    bare: dict[str, Value] = {"run": "vertical", "note": "bare at the stop valve; frosts"}
    ends = "HSS-8-120 > HSC-1"
    cold: dict[str, Value] = {"surface_f": 25.0, "frost_in": 0.75}
    yield pipe("HSS_6_121", "vapor", LOW_SIDE, "down", ends, 2, **cold, **bare)
    yield pipe("BS_10_122", "vapor", VACUUM, "left", "LTR-1 > LSC-1", 4, covering_in=3.0)
    colder: dict[str, Value] = {"surface_f": -35.0, "frost_in": 1.5}
    yield pipe("BS_8_123", "vapor", VACUUM, "down", "BS-10-122 > LSC-1", 2, **colder, **bare)
    yield pipe("HTRL_3_124", "liquid", 63.5, "right", "PMP-1/2 > dock", 4, covering_in=1.5)
    yield pipe("HTRS_6_125", "both", LOW_SIDE, "left", "dock > HTR-1", 5, covering_in=1.5)
    yield pipe("LTRL_3_126", "liquid", 25.7, "right", "PMP-3/4 > freezer", 4, covering_in=2.5)
    yield pipe("LTRS_10_127", "both", VACUUM, "left", "freezer > LTR-1", 5, covering_in=3.0)
    yield pipe(
        "HGD_3_128", "vapor", DISCHARGE, "right", "HSD-8-103 > mezzanine", 5, surface_f=140.0
    )
    yield pipe("DC_2_129", "both", 60.0, "left", "mezzanine > IC-1", 3, covering_in=1.5)
    yield pipe("EQ_1_130", "vapor", LIQUID, "none", "HPR-1 > TR-1", 2, viewing_ft=8.0)
    yield pipe("PO_1-1/4_131", "both", LOW_SIDE, "reversing", "vessels > IC-1", 4, surface_f=IDLE)
    yield pipe(
        "OD_3/4_132", "liquid", LOW_SIDE, "down", "LTR-1 > OP-1", 2, run="vertical", covering_in=1.0
    )
    yield pipe("PU_1/2_133", "vapor", LIQUID, "up", "HPR-1 > AP-1", 2, run="vertical")
    yield pipe("RV_3_134", "vapor", 0.0, "up", "relief valves > roof", 3, run="vertical")
    walkway = "read from every side in the walkway"
    ends = "HPR-1 > AP-1"
    yield pipe("HPL_1-1/4_135", "liquid", LIQUID, "right", ends, 3, wrap="yes", note=walkway)
    elbows: dict[str, Value] = {"straight_in": 18.0, "note": "short run between two elbows"}
    yield pipe("HPL_2_136", "liquid", LIQUID, "left", "HPR-1 > HV-103", 1, **elbows)


def rooftop() -> Iterator[Row]:
    """Evaporative condensers, outdoors."""
    sun: dict[str, Value] = {"environment": "outdoor"}
    hot: dict[str, Value] = {**sun, "surface_f": 190.0}
    yield pipe("HSD_8_201", "vapor", DISCHARGE, "right", "riser B2 > EC-1/2", 6, **hot)
    yield pipe("HSD_6_202", "vapor", DISCHARGE, "right", "HSD-8-201 > EC-1", 4, **hot)
    yield pipe("HSD_6_203", "vapor", DISCHARGE, "left", "HSD-8-201 > EC-2", 4, **hot)
    yield pipe("CD_3_204", "liquid", LIQUID, "left", "EC-1 > CD-4-206", 4, **sun)
    yield pipe("CD_3_205", "liquid", LIQUID, "right", "EC-2 > CD-4-206", 4, **sun)
    yield pipe("CD_4_206", "liquid", LIQUID, "left", "EC-1/2 > riser B2", 6, **sun)
    yield pipe("EQ_1-1/2_207", "vapor", LIQUID, "none", "HPR-1 > EC-1/2", 3, **sun)
    yield pipe("PU_3/4_208", "vapor", LIQUID, "left", "EC-1/2 > AP-1", 4, **sun)
    yield pipe("RV_4_209", "vapor", 0.0, "up", "header > stack", 2, run="vertical", **sun)
    yield pipe("TSV_2_210", "vapor", LIQUID, "right", "TR-1 > EC-1/2", 3, **sun)
    covered: dict[str, Value] = {**sun, "covering_in": 3.0, "viewing_ft": 30.0}
    yield pipe("LTRS_10_211", "both", VACUUM, "left", "freezer > LTR-1", 7, **covered)
    yield pipe("LTRL_3_212", "liquid", 25.7, "right", "PMP-3/4 > freezer", 7, **covered)
    yield pipe("HGD_3_213", "vapor", DISCHARGE, "right", "riser B2 > freezer", 7, **hot)
    taped: dict[str, Value] = {**sun, "covering_in": "", "girth_in": 31.0, "viewing_ft": 30.0}
    yield pipe("HTRS_6_214", "both", LOW_SIDE, "left", "dock > HTR-1", 6, side="both", **taped)


def freezer() -> Iterator[Row]:
    """The -20 F store; markers are put on at -10 F during a defrost of the room."""
    cold: dict[str, Value] = {"applied_f": -10.0}
    header: dict[str, Value] = {**cold, "covering_in": 3.0, "viewing_ft": 40.0}
    yield pipe("LTRS_12_301", "both", VACUUM, "left", "FEU-1..4 > LTR-1", 8, **header)
    yield pipe("LTRS_6_302", "both", VACUUM, "left", "FEU-1 > 301", 3, covering_in=2.5, **cold)
    yield pipe("LTRS_6_303", "both", VACUUM, "right", "FEU-2 > 301", 3, covering_in=2.5, **cold)
    yield pipe("LTRS_6_304", "both", VACUUM, "left", "FEU-3 > 301", 3, covering_in=2.5, **cold)
    yield pipe("LTRS_6_305", "both", VACUUM, "right", "FEU-4 > 301", 3, covering_in=2.5, **cold)
    yield pipe("LTRL_3_306", "liquid", 25.7, "right", "roof > FEU-1..4", 8, covering_in=2.5, **cold)
    drop: dict[str, Value] = {**cold, "run": "vertical", "covering_in": 2.0}
    yield pipe("LTRL_1-1/2_307", "liquid", 25.7, "down", "306 > FEU-1/2", 4, **drop)
    yield pipe("LTRL_1-1/2_308", "liquid", 25.7, "down", "306 > FEU-3/4", 4, **drop)
    yield pipe("HGD_2_309", "vapor", 100.0, "right", "roof > FEU-1..4", 6, covering_in=1.0, **cold)
    yield pipe("HGD_1-1/4_310", "vapor", 100.0, "left", "309 > FEU-1", 2, covering_in=1.0, **cold)
    yield pipe("DC_1-1/4_311", "both", 60.0, "left", "FEU-1..4 > IC-1", 4, covering_in=1.5, **cold)


def dock() -> Iterator[Row]:
    """The 35 F loading dock, washed down."""
    wet: dict[str, Value] = {"environment": "indoor washdown", "viewing_ft": 20.0}
    yield pipe(
        "HTRL_2_401", "liquid", 63.5, "right", "PMP-1/2 > DEU-1..3", 6, covering_in=1.5, **wet
    )
    yield pipe(
        "HTRS_4_402", "both", LOW_SIDE, "left", "DEU-1..3 > HTR-1", 6, covering_in=1.5, **wet
    )
    yield pipe("HTRS_3_403", "both", LOW_SIDE, "left", "DEU-1 > 402", 2, covering_in=1.5, **wet)
    yield pipe("HTRS_3_404", "both", LOW_SIDE, "right", "DEU-2 > 402", 2, covering_in=1.5, **wet)
    yield pipe("HTRL_1_405", "liquid", 63.5, "right", "401 > DEU-1", 2, covering_in=1.0, **wet)
    yield pipe("HTRL_1_406", "liquid", 63.5, "left", "401 > DEU-2", 2, covering_in=1.0, **wet)
    defrost: dict[str, Value] = {**wet, "surface_f": 140.0}
    yield pipe("HGD_1-1/2_407", "vapor", 100.0, "right", "HGD-3-128 > DEU-1..3", 5, **defrost)
    yield pipe("DC_1_408", "both", 60.0, "left", "DEU-1..3 > IC-1", 3, covering_in=1.0, **wet)
