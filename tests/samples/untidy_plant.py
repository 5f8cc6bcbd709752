"""An invented plant's own workbook, as untidy as such workbooks are.

Blue Fork Frozen Foods does not exist. Its ammonia and carbon dioxide cascade, glycol, water, air
and sprinkler lines are on three sheets, each with headings of its own: titles above them, a
schedule beside the size, NO and NC, totals, NH3, risers without a run, and an old sheet.
"""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from pathlib import Path

import xlsxwriter

HERE = Path(__file__).resolve()
TARGET = HERE.parents[2] / "output_samples" / "untidy_plant.xlsx"
Cell = str | int | float
LINE_HEADS = (
    *("Line No.", "Size", "Sched.", "Service", "Fluid", "Phase", "From", "To", "P&ID"),
    *("Oper. Press. (psig)", "Oper. Temp (F)", "Insul. Thk (in)", "Insul. Type", "Area"),
    *("Flow Dir", "Environment", "Qty", "Remarks"),
)
LINES: tuple[tuple[Cell, ...], ...] = (
    ("MACHINE ROOM",),
    (
        *("HPL-3-101", '3" SCH 40', 40, "HPL", "NH3", "LIQ", "HPR-1", "CPR-1", "R-101"),
        *("181#", 90, "bare", "", "Engine Room", "->", "indoor", 4, ""),
    ),
    (
        *("HSD-6-102", "6 in", 40, "HSD", "R-717", "gas", "HSC-1", "COND-1", "R-101"),
        *("max 185", 180, "none", "", "Engine Room", "up", "engine room", "2 ea", "riser"),
    ),
    (
        *("LTRS-10-103", '10"', 20, "LTRS", "Ammonia", "two phase", "freezers", "LTR-1", "R-102"),
        *('8.7" vac', -41, "3", "polyiso", "Freezer", "<-", "freezer", 6, ""),
    ),
    (
        *("LTRL-3-104", "3-S80", 80, "LTRL", "NH3", "L", "LTR-1", "freezers", "R-102"),
        *("45 psig", -40, '2-1/2"', "polyiso", "Freezer", "right", "freezer", "6.0", ""),
    ),
    (
        *("HTRS-6-105", "6 NPS", 40, "HTRS", "ammonia", "2-phase", "docks", "HTR-1", "R-103"),
        *("33.5 psig", 20, "1-1/2", "polyiso", "Loading dock", "left", "dock washdown", 5, ""),
    ),
    (
        *("HGD-2-106", '2"', 40, "HGD", "NH3", "V", "HPR-1", "freezers", "R-102"),
        *(130, 160, "1 1/2", "fiberglass", "engine room", "dn", "indoor", 2, "drop"),
    ),
    ("CASCADE",),
    (
        *("CO2-2-201", '2"', 80, "", "R-744", "LIQ", "CO2 receiver", "blast cells", "R-201"),
        *("420 psig", 20, "2", "polyiso", "Blast cells", "right", "freezer", 4, ""),
    ),
    (
        *("CO2-4-202", '4" sch 80', 80, "", "CO2", "vap", "blast cells", "CC-1", "R-201"),
        *("195 psig", -35, "2", "polyiso", "Blast cells", "left", "freezer", 4, ""),
    ),
    LINE_HEADS,
    ("UTILITIES",),
    (
        *("GLY-4-301", '4"', 40, "", "GLYCOL", "", "chiller", "process", "U-301"),
        *("45 psig", 28, "1-1/2", "rubber", "Process", "right", "indoor washdown", 3, "supply"),
    ),
    (
        *("GLY-4-302", '4"', 40, "", "GLYCOL", "", "process", "chiller", "U-301"),
        *("30 psig", 38, "1-1/2", "rubber", "Process", "left", "indoor washdown", 3, "return"),
    ),
    (
        *("CW-2-303", '2"', "", "", "CITY WATER", "", "main", "process", "U-302"),
        *("60 psig", 60, "N/A", "", "Process", "both ways", "indoor", 3, ""),
    ),
    (
        *("IA-1-304", '1"', "", "", "INSTRUMENT AIR", "", "dryer", "valves", "U-303"),
        *("100 psig", "", "-", "", "Engine Room", "right", "indoor", 4, ""),
    ),
    (
        *("FP-6-305", '6"', 10, "", "FIRE SPRINKLER", "", "riser", "loops", "U-304"),
        *("125 psig", "", "uninsulated", "", "Loading dock", "right", "indoor", 4, ""),
    ),
    ("TOTAL", "", "", "", "", "", "", "", "", "", "", "", "", "", "", "", 56),
)
VALVE_HEADS = (
    *("Valve No.", "Size", "Description", "Service", "Fluid", "Normal Pos.", "P&ID", "Room"),
    *("Emergency", "Remarks"),
)
VALVES: tuple[tuple[Cell, ...], ...] = (
    ("HV-101", '3"', "King valve", "HPL", "NH3", "N.O.", "R-101", "Engine Room", "Y", ""),
    ("HV-102 to HV-104", '2"', "Liquid stop", "HPL", "NH3", "NO", "R-101", "Engine Room", "", ""),
    ("HV-111", '1"', "Charging stop", "HPL", "NH3", "LC", "R-101", "Engine Room", "", ""),
    ("HV-112", '6"', "Discharge stop", "HSD", "NH3", "LO", "R-101", "Engine Room", "", ""),
    ("SV-301 thru SV-304", "3/4x1", "Relief", "", "NH3", "CSO", "R-101", "Engine Room", "", ""),
    ("HV-201", '2"', "Liquid stop", "", "CO2", "NC", "R-201", "Blast cells", "", ""),
    ("HV-301 & HV-302", '4"', "Pump isolation", "", "GLYCOL", "open", "U-301", "Process", "", ""),
)
EQUIPMENT_HEADS = (
    *("Equip. Tag", "Equipment Name", "Fluid", "Max. Oper. Press.", "Design Pressure", "Room"),
    *("P&ID", "Manufacturer"),
)
EQUIPMENT: tuple[tuple[Cell, ...], ...] = (
    ("HPR-1", "High pressure receiver", "NH3", "181 psig", 300, "Engine Room", "R-101", "invented"),
    ("LTR-1", "Low temperature recirculator", "NH3", "0", 250, "Engine Room", "R-102", ""),
    ("HTR-1", "High temperature recirculator", "NH3", 33.5, 250, "Engine Room", "R-103", ""),
    ("HSC-1", "High stage compressor", "NH3", "185 psig", 300, "Engine Room", "R-101", ""),
    ("CC-1", "CO2 compressor", "R-744", "420 psig", 600, "Engine Room", "R-201", ""),
    ("GP-1", "Glycol pump", "GLYCOL", "45 psig", 150, "Process", "U-301", ""),
)
ORDER = (
    ("title", "Markers from the plant's own lists"),
    ("plant", "Blue Fork Frozen Foods (invented plant)"),
    ("revision", "4"),
    ("date", "2026-01-15"),
    ("color", "CO2", "purple"),
    ("cutoff", "CO2", "300 psig"),
)
TITLE = "BLUE FORK FROZEN FOODS (invented plant)"


def write(path: Path = TARGET) -> None:
    """Write the workbook; the same rows always give the same bytes."""
    book = xlsxwriter.Workbook(str(path))
    book.set_properties({"title": TITLE, "created": datetime.datetime(2026, 1, 1)})
    head = book.add_format({"bold": True, "bg_color": "#DDDDDD", "border": 1, "text_wrap": True})
    title = book.add_format({"bold": True, "font_size": 16, "align": "center"})
    sheets = (
        ("Line List", LINE_HEADS, LINES),
        ("Valve List", VALVE_HEADS, VALVES),
        ("Equipment", EQUIPMENT_HEADS, EQUIPMENT),
        ("Line List rev 3 (old)", LINE_HEADS, LINES[1:4]),
    )
    for name, heads, rows in sheets:
        sheet = book.add_worksheet(name)
        sheet.merge_range(0, 0, 0, len(heads) - 1, f"{TITLE}: {name.upper()}", title)
        sheet.write_string(1, 0, "printed for the mechanical integrity binder")
        for column, heading in enumerate(heads):
            sheet.write_string(3, column, heading, head)
            sheet.set_column(column, column, max(8, len(heading)))
        _write_rows(sheet, 4, rows)
    order = book.add_worksheet("Order")
    for number, cells in enumerate(ORDER):
        for column, cell in enumerate(cells):
            order.write_string(number, column, cell)
    book.close()


def _write_rows(
    sheet: xlsxwriter.worksheet.Worksheet, first: int, rows: Sequence[Sequence[Cell]]
) -> None:
    for row, cells in enumerate(rows, first):
        for column, cell in enumerate(cells):
            if isinstance(cell, str):
                if cell:
                    sheet.write_string(row, column, cell)
            else:
                sheet.write_number(row, column, cell)


if __name__ == "__main__":
    write()
