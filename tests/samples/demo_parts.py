"""Machines, vessels and valves of the demo plant."""

from __future__ import annotations

from collections.abc import Iterator

from tests.samples.demo_lines import DISCHARGE, LIQUID, LOW_SIDE, MEDIUM, VACUUM, Row, Value
from tests.samples.demo_wings import CELLS, COOLERS

Valve = tuple[str, str, str, str, str]  # service, function, size, normal position, emergency

_EQUIPMENT: tuple[tuple[str, str, str, Value, int], ...] = (
    ("Machinery room", "HSC-1", "High stage compressor", DISCHARGE, 2),
    ("Machinery room", "HSC-2", "High stage compressor", DISCHARGE, 2),
    ("Machinery room", "HSC-3", "High stage compressor", DISCHARGE, 2),
    ("Machinery room", "LSC-1", "Booster compressor", LOW_SIDE, 2),
    ("Machinery room", "LSC-2", "Booster compressor", LOW_SIDE, 2),
    ("Machinery room", "HPR-1", "High pressure receiver", LIQUID, 2),
    ("Machinery room", "TR-1", "Thermosyphon receiver", LIQUID, 1),
    ("Machinery room", "IC-1", "Intercooler", LOW_SIDE, 2),
    ("Machinery room", "HTR-1", "High temp recirculator", LOW_SIDE, 2),
    ("Machinery room", "MTR-1", "Medium temp recirculator", MEDIUM, 2),
    ("Machinery room", "LTR-1", "Low temp recirculator", VACUUM, 2),
    ("Machinery room", "PMP-1", "Ammonia pump", 63.5, 1),
    ("Machinery room", "PMP-2", "Ammonia pump", 63.5, 1),
    ("Machinery room", "PMP-3", "Ammonia pump", 25.7, 1),
    ("Machinery room", "PMP-4", "Ammonia pump", 25.7, 1),
    ("Machinery room", "PMP-5", "Ammonia pump", 53.8, 1),
    ("Machinery room", "PMP-6", "Ammonia pump", 53.8, 1),
    ("Machinery room", "OP-1", "Oil pot", LOW_SIDE, 1),
    ("Machinery room", "AP-1", "Air purger", LIQUID, 1),
    ("Rooftop", "EC-1", "Evaporative condenser", DISCHARGE, 2),
    ("Rooftop", "EC-2", "Evaporative condenser", DISCHARGE, 2),
    ("Receiver yard", "RD-1", "Relief diffusion tank", 0.0, 2),
    ("Receiver yard", "CS-1", "Charging station", LIQUID, 2),
    ("Receiver yard", "EB-1", "Emergency control box", DISCHARGE, 1),
    *(("Freezer", f"FEU-{number}", "Evaporator", VACUUM, 1) for number in range(1, 5)),
    *(("Dock", f"DEU-{number}", "Evaporator", LOW_SIDE, 1) for number in range(1, 4)),
    *(("Blast cells", f"BEU-{n}", "Blast evaporator", VACUUM, 1) for n in range(1, CELLS + 1)),
    *(("Cooler", f"CEU-{number}", "Evaporator", MEDIUM, 1) for number in range(1, COOLERS + 1)),
)
_COLD_AREAS = ("Freezer", "Blast cells")


def equipment() -> Iterator[Row]:
    """One row a machine or vessel."""
    for area, tag, name, psig, qty in _EQUIPMENT:
        row: Row = {"kind": "equipment", "area": area, "tag": tag, "legend": name, "qty": qty}
        if area in _COLD_AREAS:
            row["applied_f"] = -10.0  # as the lines there
        yield {**row, "pressure_psig": psig}


def valves() -> Iterator[Row]:
    """One row a valve, or one for a range of like valves; numbers go by area."""
    yield from _numbered("Machinery room", 101, machinery_valves())
    gauges: Valve = ("HPL", "Gauge isolation", "1/4", "open", "")
    yield _valve("Machinery room", "HV-171..HV-178", gauges)
    sights: Valve = ("HPL", "Column isolation", "3/4", "open", "")
    yield _valve("Machinery room", "HV-181..HV-184, HV-187, HV-188", sights)
    yield from _numbered("Rooftop", 201, rooftop_valves())
    yield from _numbered("Freezer", 301, units("FEU", 4, "LTRL", "LTRS", emergency="yes"))
    yield from _numbered("Dock", 401, units("DEU", 3, "HTRL", "HTRS"))
    yield _valve("Pipe bridge", "HV-501", ("HPL", "Bridge sectioning", "3", "open", "yes"))
    yield _valve("Receiver yard", "HV-601", ("HPL", "Charging stop", "2", "closed", ""))
    yield _valve("Receiver yard", "HV-602", ("EQ", "Charging equalizer", "1-1/2", "closed", ""))
    yield _valve("Receiver yard", "HV-603..HV-606", ("PO", "Box stop", "1-1/4", "closed", ""))
    yield _valve("Mezzanine", "HV-701..HV-706", ("HGD", "Defrost group stop", "2", "open", ""))
    yield from _numbered("Blast cells", 801, units("BEU", CELLS, "LTRL", "LTRS"))
    yield from _numbered("Cooler", 901, units("CEU", COOLERS, "MTRL", "MTRS"))


def machinery_valves() -> Iterator[Valve]:
    """Stops of compressors, vessels and pumps; the king valve first."""
    yield "HPL", "King valve", "3", "open", "yes"
    yield "HSD", "Discharge stop", "8", "open", "yes"
    yield "HPL", "Liquid makeup stop", "2", "open", ""
    yield "PO", "Pump out", "1-1/4", "closed", ""
    yield "OD", "Oil drain", "3/4", "closed", ""
    yield "EQ", "Equalizer stop", "1", "open", ""
    for tag in ("HSC-1", "HSC-2", "HSC-3"):
        yield "HSS", f"{tag} suction stop", "6", "open", ""
        yield "HSD", f"{tag} discharge stop", "4", "open", ""
    for tag in ("LSC-1", "LSC-2"):
        yield "BS", f"{tag} suction stop", "8", "open", ""
        yield "BD", f"{tag} discharge stop", "6", "open", ""
    for tag, suction in (("HTR-1", "HTS"), ("MTR-1", "MTS"), ("LTR-1", "LTS")):
        yield "IPL", f"{tag} makeup stop", "2", "open", ""
        yield suction, f"{tag} vapor stop", "8", "open", ""
        yield "OD", f"{tag} oil drain", "3/4", "closed", ""
        yield "PO", f"{tag} pump out", "1-1/4", "closed", ""
    for number, service in enumerate(("HTRL", "HTRL", "LTRL", "LTRL", "MTRL", "MTRL"), start=1):
        yield service, f"PMP-{number} inlet stop", "4", "open", ""
        yield service, f"PMP-{number} outlet stop", "3", "open", ""


def rooftop_valves() -> Iterator[Valve]:
    """Inlet, drain and purge of each condenser, and the relief header."""
    for tag in ("EC-1", "EC-2"):
        yield "CD", f"{tag} drain stop", "3", "open", ""
        yield "HSD", f"{tag} inlet stop", "6", "open", ""
        yield "PU", f"{tag} purge point", "3/4", "closed", ""
    yield "RV", "Three-way relief", "3", "to A", ""
    yield "EQ", "Equalizer stop", "1-1/2", "open", ""


def units(tag: str, count: int, liquid: str, suction: str, emergency: str = "") -> Iterator[Valve]:
    """Liquid feed, suction and hot gas of evaporators; the first feed may be an emergency stop."""
    for number in range(1, count + 1):
        first = emergency if number == 1 else ""
        yield liquid, f"{tag}-{number} liquid feed", "1-1/2", "open", first
        yield suction, f"{tag}-{number} suction stop", "6", "open", ""
        yield "HGD", f"{tag}-{number} hot gas stop", "1-1/4", "open", ""


def _numbered(area: str, first: int, found: Iterator[Valve]) -> Iterator[Row]:
    for number, valve in enumerate(found, start=first):
        yield _valve(area, f"HV-{number}", valve)


def _valve(area: str, tag: str, valve: Valve) -> Row:
    service, function, size, normal, emergency = valve
    row: Row = {"kind": "valve", "area": area, "tag": tag, "service": service, "qty": 1}
    row |= {"function": function, "valve_size": f"NPS {size}", "normal_position": normal}
    return {**row, "emergency": emergency}
