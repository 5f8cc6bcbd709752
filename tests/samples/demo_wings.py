"""The wings of the demo plant: what the pipe bridge, the yard, the cells and the cooler hold."""

from __future__ import annotations

from collections.abc import Iterator

from tests.samples.demo_lines import (
    DISCHARGE,
    IDLE,
    LIQUID,
    LOW_SIDE,
    MEDIUM,
    VACUUM,
    Row,
    Value,
    pipe,
    run,
)

CELLS, COOLERS = 6, 6
# Drops to the units turn often and are short: marked before and after each turn.
_TURNS: dict[str, Value] = {"spacing": "common-40ft-both"}


def pipe_bridge() -> Iterator[Row]:
    """From the machinery room to the wings, outdoors, 18 ft above the yard."""
    high: dict[str, Value] = {"environment": "outdoor", "height_ft": 18, "distance_ft": 14}
    bare: dict[str, Value] = {**high, "turns": 3, "penetrations": 2, "covering_in": 0.0}
    cold: dict[str, Value] = {**bare, "covering_in": 3.0}
    yield run("HPL_3_501", "liquid", LIQUID, "right", "HPR-1 > mezzanine", 460, **bare)
    hot: dict[str, Value] = {**bare, "surface_f": 140.0}
    idle: dict[str, Value] = {**bare, "surface_f": IDLE}
    yield run("HGD_4_502", "vapor", DISCHARGE, "right", "HSC-1..3 > mezzanine", 460, **hot)
    yield run("HTRL_3_503", "liquid", 63.5, "right", "PMP-1/2 > mezzanine", 460, **cold)
    yield run("HTRS_8_504", "both", LOW_SIDE, "left", "mezzanine > HTR-1", 460, **cold)
    yield run("MTRL_3_505", "liquid", 53.8, "right", "PMP-5/6 > cooler", 460, **cold)
    yield run("MTRS_8_506", "both", MEDIUM, "left", "cooler > MTR-1", 460, **cold)
    yield run("LTRL_3_507", "liquid", 25.7, "right", "PMP-3/4 > mezzanine", 460, **cold)
    yield run("LTRS_12_508", "both", VACUUM, "left", "mezzanine > LTR-1", 460, side="both", **cold)
    yield run("DC_3_509", "both", 60.0, "left", "mezzanine > IC-1", 460, **cold)
    yield run("PO_1-1/2_510", "both", LOW_SIDE, "reversing", "mezzanine > IC-1", 460, **idle)
    yield run("RV_6_511", "vapor", 0.0, "left", "mezzanine > RD-1", 460, **bare)


def receiver_yard() -> Iterator[Row]:
    """Relief tank, charging station and control box beside the truck lane, outdoors."""
    low: dict[str, Value] = {"environment": "outdoor", "height_ft": 6, "distance_ft": 5}
    idle: dict[str, Value] = {**low, "surface_f": IDLE}
    yield run("RV_8_601", "vapor", 0.0, "right", "RV-6-511 > RD-1", 70, turns=2, **low)
    yield run("RV_4_602", "vapor", 0.0, "right", "machinery room > RD-1", 90, turns=3, **low)
    yield run("HPL_2_603", "liquid", LIQUID, "left", "CS-1 > HPR-1", 110, turns=4, **low)
    yield run("EQ_1-1/2_604", "vapor", LIQUID, "none", "CS-1 > HPR-1", 110, turns=4, **low)
    yield run("PO_1-1/4_605", "both", LOW_SIDE, "reversing", "CS-1 > IC-1", 60, turns=2, **idle)
    yield pipe(
        "HSD_2_606", "vapor", DISCHARGE, "right", "HSD-8-103 > EB-1", 2, surface_f=190.0, **low
    )
    yield pipe("LSS_2_607", "vapor", VACUUM, "left", "EB-1 > LTR-1", 2, covering_in=2.0, **low)
    yield pipe("RV_3_608", "vapor", 0.0, "up", "RD-1 > stack", 2, run="vertical", **low)
    yield pipe("OD_1_609", "liquid", LOW_SIDE, "right", "OP-1 > drum", 2, **idle)


def mezzanine() -> Iterator[Row]:
    """The valve groups above the dock; headers run through all three bays."""
    near: dict[str, Value] = {"height_ft": 9, "distance_ft": 6, "covering_in": 0.0}
    near["rooms"] = "bay 1, bay 2, bay 3"
    cold: dict[str, Value] = {**near, "covering_in": 2.5}
    yield run("HPL_3_701", "liquid", LIQUID, "right", "HPL-3-501 > bays 1-3", 190, **near)
    yield run(
        "HGD_4_702",
        "vapor",
        DISCHARGE,
        "right",
        "HGD-4-502 > bays 1-3",
        190,
        surface_f=140.0,
        **near,
    )
    yield run("HTRL_3_703", "liquid", 63.5, "right", "HTRL-3-503 > bays 1-3", 190, **cold)
    yield run("HTRS_6_704", "both", LOW_SIDE, "left", "bays 1-3 > HTRS-8-504", 190, **cold)
    yield run("LTRL_3_705", "liquid", 25.7, "right", "LTRL-3-507 > bays 1-3", 190, **cold)
    yield run("LTRS_10_706", "both", VACUUM, "left", "bays 1-3 > LTRS-12-508", 190, **cold)
    yield run("DC_2_707", "both", 60.0, "left", "bays 1-3 > DC-3-509", 190, **cold)
    yield run(
        "PO_1-1/4_708",
        "both",
        LOW_SIDE,
        "reversing",
        "bays 1-3 > PO-1-1/2-510",
        80,
        surface_f=IDLE,
        **near,
    )
    yield run("RV_4_709", "vapor", 0.0, "left", "bays 1-3 > RV-6-511", 190, **near)


def blast_cells() -> Iterator[Row]:
    """Six cells at -30 F, each fed from the corridor headers; markers go on in a defrost."""
    cold: dict[str, Value] = {"applied_f": -10.0, "height_ft": 14, "distance_ft": 10}
    names = ", ".join(f"cell {cell}" for cell in range(1, CELLS + 1))
    rooms: dict[str, Value] = {"rooms": names, "penetrations": CELLS - 1, "turns": 2}
    thick: dict[str, Value] = {**cold, **rooms, "covering_in": 3.0}
    yield run("LTRL_3_801", "liquid", 25.7, "right", "LTRL-3-705 > BEU-1..6", 260, **thick)
    yield run("LTRS_10_802", "both", VACUUM, "left", "BEU-1..6 > LTRS-10-706", 260, **thick)
    warm: dict[str, Value] = {**cold, **rooms, "covering_in": 1.0}
    yield run("HGD_2_803", "vapor", 100.0, "right", "HGD-4-702 > BEU-1..6", 260, **warm)
    yield run("DC_1-1/2_804", "both", 60.0, "left", "BEU-1..6 > DC-2-707", 260, **warm)
    for cell in range(1, CELLS + 1):
        here: dict[str, Value] = {**cold, **_TURNS, "location": f"cell {cell}"}
        drop: dict[str, Value] = {**here, "run": "vertical"}
        unit, number, way = f"BEU-{cell}", 805 + 4 * (cell - 1), ("left", "right")[cell % 2]
        ends, back = f"LTRL-3-801 > {unit}", f"{unit} > LTRS-10-802"
        yield run(f"LTRL_1-1/2_{number}", "liquid", 25.7, "down", ends, 16, covering_in=2.0, **drop)
        branch: dict[str, Value] = {"covering_in": 2.5, "turns": 2}
        yield run(f"LTRS_6_{number + 1}", "both", VACUUM, way, back, 44, **branch, **here)
        ends, back = f"HGD-2-803 > {unit}", f"{unit} > DC-1-1/2-804"
        hot: dict[str, Value] = {"covering_in": 1.0, "turns": 2}
        yield run(f"HGD_1-1/4_{number + 2}", "vapor", 100.0, way, ends, 30, **hot, **here)
        yield pipe(f"DC_1_{number + 3}", "both", 60.0, way, back, 2, covering_in=1.0, **here)


def cooler() -> Iterator[Row]:
    """The produce cooler at 34 F: six ceiling units on medium temperature liquid."""
    seen: dict[str, Value] = {"height_ft": 20, "distance_ft": 12}
    halls = "south hall (180 ft), north hall (140 ft)"
    rooms: dict[str, Value] = {"rooms": halls, "turns": 4, "covering_in": 2.0}
    yield run("MTRL_3_901", "liquid", 53.8, "right", "MTRL-3-505 > CEU-1..6", 320, **rooms, **seen)
    yield run("MTRS_8_902", "both", MEDIUM, "left", "CEU-1..6 > MTRS-8-506", 320, **rooms, **seen)
    hot: dict[str, Value] = {**rooms, "covering_in": 0.0, "surface_f": 100.0}
    yield run("HGD_2_903", "vapor", 100.0, "right", "HGD-4-702 > CEU-1..6", 320, **hot, **seen)
    yield run("DC_1-1/2_904", "both", 60.0, "left", "CEU-1..6 > DC-2-707", 320, **rooms, **seen)
    for unit in range(1, COOLERS + 1):
        here: dict[str, Value] = {**seen, **_TURNS, "location": f"unit {unit}", "covering_in": 1.5}
        tag, number, way = f"CEU-{unit}", 905 + 3 * (unit - 1), ("left", "right")[unit % 2]
        feed, back = f"MTRL-3-901 > {tag}", f"{tag} > MTRS-8-902"
        yield run(f"MTRL_1_{number}", "liquid", 53.8, way, feed, 36, turns=2, **here)
        yield run(f"MTRS_3_{number + 1}", "both", MEDIUM, way, back, 40, turns=2, **here)
        defrost = f"HGD-2-903 > {tag}"
        yield pipe(f"HGD_1_{number + 2}", "vapor", 100.0, way, defrost, 2, **here)
