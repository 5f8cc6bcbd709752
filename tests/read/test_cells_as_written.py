"""Cells, tags, headings and rows as people write them, each with what is read or what is told.

What a size, a pressure or a position means is checked against ASME B36.10M (outside diameters),
NIST SP 811 (factors of pressure) and common practice, no source (short forms of the trade).
"""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest
from typer.testing import Result

from layouts.order.order import EquipmentMarker, PipeMarker, ValveTag
from layouts.terms.words import Flow, Kind, NormalPosition, Run, Setting, State
from render.read import Reading, read
from tests.helpers.command import run
from tests.helpers.command import told as printed

PIPE = {
    "kind": "pipe",
    "service": "HPL",
    "state": "liquid",
    "pressure_psig": "181",
    "flow": "right",
    "pipe": "NPS 4",
    "covering_in": "1",
}
VALVE = {"kind": "valve", "tag": "HV-1", "function": "Stop"}
IN = 25.4  # mm, exact (NIST SP 811, appendix B.8)
PSI_PER_BAR, PSI_PER_INHG = 100 / 6.894757, 3.386389 / 6.894757

Cells = tuple[str, ...]
# Column and what is read, and all the ways of writing it.
READ: tuple[tuple[str, object, Cells], ...] = (
    (
        "pressure_psig",
        185.0,
        (
            *("185", "185.0", "185 psig", "185psig", "185 PSIG", "185 psi", "185psi", "185#"),
            *("185 #", "185#g", "185 psi(g)", "185 psi g", "185 PSI GAUGE", "185 lb/in2"),
            *("185 psig max", "185 psig max.", "max 185", "Max. 185 psig", "maximum 185"),
            *("185 (max)", "up to 185", " 185 ", "+185", "~185", "<= 185 psig"),
        ),
    ),
    ("pressure_psig", -8.7 * PSI_PER_INHG, ('8.7" vac', "8.7 in vac", "8.7'' vac", "8.7″ VAC")),
    ("pressure_psig", -8.7 * PSI_PER_INHG, ("8.7 inHg vac", '8.7" Hg vac', "8.7 in. Hg vacuum")),
    ("pressure_psig", -10 * PSI_PER_INHG, ("10 in vac", '10" vacuum', "10 inches of Hg vac")),
    ("pressure_psig", -8.5 * PSI_PER_INHG, ("8-1/2 inHg vac", '8 1/2" vac', "8½ in vac")),
    ("pressure_psig", 12 * PSI_PER_BAR, ("12 bar", "12 barg", "12 bar g", "12bar", "1.2 MPa")),
    ("pressure_psig", 3 * PSI_PER_BAR, ("3 bar", "300 kPa", "300kPag", "0.3 MPa", "3000 mbar")),
    ("pressure_psig", 20 - 101.325 / 6.894757, ("20 psia", "20 psi abs", "20 PSI absolute")),
    ("pressure_psig", -5.0, ("-5", "- 5", "−5", "-5 psig", "–5 psig")),
    (
        "covering_in",
        0.0,
        (
            *("bare", "BARE", "Bare", "none", "None", "uninsulated", "un-insulated", "N/A", "n/a"),
            *("NA", "n.a.", "-", "--", "–", "—", "0", "0.0", "0 in", "no", "nil", "no insulation"),
            *("not insulated", '0"', "0 mm"),
        ),
    ),
    (
        "covering_in",
        1.5 * IN,
        (
            *("1-1/2", "1 1/2", "1.5", '1-1/2"', '1 1/2"', "1-1/2 in", "1½", '1½"', "1.5 inch"),
            *("1.5in", "38.1 mm", "38.1mm", "3.81 cm", '1.5" thk', "1-1/2 in thick", "1-1/2''"),
            *("1.5 in insulation", "1.50"),
        ),
    ),
    (
        "pipe",
        4.5 * IN,
        (
            *("4", '4"', "4 in", "4in", "4 in.", "4 inch", "NPS 4", "NPS4", "nps 4", "4 NPS"),
            *('4" NPS', 'NPS 4"', "DN100", "DN 100", "dn100", "100 DN", "100A", '4" SCH 40'),
            *("4 sch. 40", "4in sch80", "4-S40", "4-S80", '4" STD', "4 XS", '4"-STD', "4 SCH 10S"),
            *('4" (SCH 40)', "4 SCH40", "NPS 4 SCH 80", "DN100 SCH 40", "4'' sch 40", "4”"),
            *('4" pipe', "4 inch steel pipe", '4" carbon steel', "4 nom", "4.0", "114.3 mm"),
            *("OD 4.5 in", "4-1/2 OD", "Ø114.3 mm"),
        ),
    ),
    ("pipe", 1.66 * IN, ("1-1/4", "1 1/4", "1.25", '1-1/4"', "1¼", '1¼"', "DN32", "1-1/4 sch 80")),
    ("pipe", 1.05 * IN, ("3/4", '3/4"', "3/4 in", "¾", '¾"', "0.75", "DN20", "NPS 3/4", "3/4 XS")),
    ("pipe", 0.875 * IN, ("tube 7/8", "7/8 tube", "tube 7/8 in", "7/8 OD", "OD 7/8", "ACR 7/8")),
    (
        "flow",
        Flow.RIGHT,
        ("right", "Right", "R", "r", "->", "→", "=>", ">", "to the right", "to right", "rt"),
    ),
    ("flow", Flow.LEFT, ("left", "LEFT", "L", "<-", "←", "<=", "<", "to the left", "links")),
    (
        "flow",
        Flow.REVERSING,
        (
            *("reversing", "reverse", "both", "both ways", "either", "either way", "bidirectional"),
            *("bi-directional", "Bi-Directional", "<->", "↔", "two way", "2-way", "reversible"),
        ),
    ),
    ("flow", Flow.UP, ("up", "UP", "U", "upward", "↑")),
    ("flow", Flow.DOWN, ("down", "dn", "DN", "d", "downward", "↓")),
    ("flow", Flow.NONE, ("none", "no flow", "static")),
    ("state", State.LIQUID, ("liquid", "LIQ", "liq.", "L", "Liquid", "flüssig", "líquido")),
    ("state", State.VAPOR, ("vapor", "VAP", "V", "gas", "GAS", "vapour", "G", "gaseous", "vapeur")),
    (
        "state",
        State.BOTH,
        (
            *("both", "two phase", "two-phase", "Two Phase", "2-phase", "2 phase", "2ph", "LV"),
            *("L/V", "L+V", "L & V", "liq/vap", "liquid and vapor", "liq + vap", "VL", "mixed"),
        ),
    ),
    ("run", Run.VERTICAL, ("vertical", "Vert.", "V", "riser", "drop")),
    ("run", Run.HORIZONTAL, ("horizontal", "horiz", "H", "level")),
    ("setting", Setting.OUTDOOR, ("outdoor", "outdoors", "outside", "Roof", "rooftop", "yard")),
    ("setting", Setting.INDOOR, ("indoor", "inside", "engine room", "Machine Room", "dock")),
    ("applied", -10.0, ("freezer", "Freezer", "freezer washdown", "blast freezer")),
    ("applied", 35.0, ("cold room", "cooler", "Cold Storage")),
    (
        "washdown",
        True,
        ("washdown", "wash down", "wash-down", "roof, washdown"),
    ),
    ("qty", 8, ("8", "8.0", "8 ea", "8 ea.", "8 EACH", "8 pcs", "8 pc", "x8", "8x", "8 markers")),
    ("operating_f", 90.0, ("90", "90 F", "90F", "90 °F", "90 deg F", "90 degrees F")),
    ("operating_f", -40.0, ("-40", "-40 F", "-40 C", "−40 °C", "–40")),
)
REFUSED: tuple[tuple[str, str, str, Cells], ...] = (
    (
        "pressure_psig",
        "bad-pressure",
        "two pressures; give the highest in normal operation",
        (
            *("185/33", "150/250", "300/30", "25-35", "25 - 35", "25–35", "185 to 33", "33 or 185"),
            *("185 psig / 33 psig", "185(33)", "25-35 psig", "70 & 185", "185 +/- 5", "185; 33"),
        ),
    ),
    ("pressure_psig", "bad-pressure", "write 1200", ("1,200", "1,200 psig")),
    ("pressure_psig", "bad-pressure", "write 2.5", ("2,5",)),
    ("pressure_psig", "bad-pressure", "fraction", ("70½", "70-1/2 psig")),
    ("pressure_psig", "bad-pressure", "does not say whether it is vacuum", ("10 inHg", '8.7"Hg')),
    ("pressure_psig", "bad-pressure", "vacuum without its unit", ("10 vac", "vac 10")[:1]),
    ("pressure_psig", "bad-pressure", "not a pressure", ("high", "n/a", "TBD", "?", "1.5.2")),
    ("pressure_psig", "bad-pressure", "a length", ("185 in", "185 ft")),
    ("pressure_psig", "bad-pressure", "below a full vacuum", ("31 inHg vac", "-20 psig")),
    ("pipe", "bad-pipe", "one row a size", ('4"x3"', "4x3", "4 x 3", "NPS 4 x 3", '4" × 3"')),
    ("pipe", "bad-pipe", "the nearest sizes are", ("7", "NPS 7", "DN110", "9 in")),
    ("pipe", "bad-pipe", "not a length", ("four", "n/a", "TBD")),
    ("covering_in", "bad-length", "not a length", ("thick", "2-3", "yes", "1.5 + jacket")),
    ("covering_in", "bad-length", "write 1.5", ("1,5",)),
    ("qty", "bad-quantity", "whole number", ("0", "-1", "2.5", "four", "1,000", "1.000", "2-3")),
    ("flow", "bad-choice", "right, left, up, down", ("north", "N", "east", "sideways")),
    ("state", "bad-choice", "liquid, vapor or both", ("solid", "steam?", "ice")),
    ("state", "bad-choice", "did you mean liquid", ("liquidd", "liqid")),
    ("environment", "bad-choice", "freezer", ("cave", "hot")),
    ("environment", "bad-choice", "both indoor and outdoor", ("indoor & outdoor",)),
    ("operating_f", "bad-temperature", "not a temperature", ("hot", "ambient", "cold")),
)
POSITIONS: tuple[tuple[NormalPosition, Cells], ...] = (
    (
        NormalPosition.NORMALLY_OPEN,
        ("NO", "N.O.", "n.o.", "N/O", "normally open", "Normally Open", "open", "Open", "O"),
    ),
    (NormalPosition.NORMALLY_CLOSED, ("NC", "N.C.", "normally closed", "closed", "shut", "N/C")),
    (
        NormalPosition.LOCKED_OPEN,
        ("LO", "L.O.", "locked open", "normally locked open"),
    ),
    (NormalPosition.LOCKED_CLOSED, ("LC", "locked closed", "Locked Shut", "L/C")),
    (
        NormalPosition.CAR_SEALED_OPEN,
        ("CSO", "C.S.O.", "car seal open", "car-sealed open", "Car Sealed Open", "carseal open"),
    ),
    (NormalPosition.CAR_SEALED_CLOSED, ("CSC", "car seal closed", "car-sealed closed")),
    (NormalPosition.THROTTLED, ("throttled", "Throttling", "regulating")),
    (NormalPosition.BACK_SEATED, ("back-seated", "back seated", "backseated")),
    (NormalPosition.FRONT_SEATED, ("front-seated", "front seat")),
    (NormalPosition.OPEN_TO_A, ("to A", "open to A", "port A")),
    (NormalPosition.OPEN_TO_B, ("to B", "open to B")),
)
NO_POSITIONS: tuple[tuple[str, Cells], ...] = (
    ("actuator fails", ("FO", "FC", "F.O.", "fail open", "fails closed", "FL")),
    ("did you mean normally closed", ("normaly closd", "normally clozed")),
    ("is not a valid value", ("banana", "yes", "?")),
)
TAGS: tuple[tuple[Cells, Cells], ...] = (
    (
        ("SV-301", "SV-302", "SV-303", "SV-304"),
        (
            *("SV-301 to SV-304", "SV-301 thru SV-304", "SV-301 THROUGH SV-304", "SV-301..SV-304"),
            *("SV-301 - SV-304", "SV-301 – SV-304", "SV-301–SV-304", "SV-301–304", "SV-301 to 304"),
            *("SV-301-SV-304", "SV-301 & SV-302 & SV-303 & SV-304", "SV-301, 302, 303, 304"),
            *("SV-301, SV-302 and SV-303, SV-304", "SV-301..303, SV-304", "SV-301 thru 304"),
        ),
    ),
    (("HV-1", "HV-2"), ("HV-1 & HV-2", "HV-1/HV-2", "HV-1; HV-2", "HV-1 and 2", "HV-1 & 2")),
    (("HV-1-A",), ("HV-1-A",)),
    (("PSV-2-101",), ("PSV-2-101",)),
)
NO_TAGS: tuple[tuple[str, str, Cells], ...] = (
    ("tag-maybe-range", "one tag, or a range", ("HV-1-4", "HV-101-104", "SV-8-12")),
    ("bad-tag", "may be two tags", ("HV-101/102", "P-1A/B")),
    ("bad-tag", "runs backward", ("HV-9 to HV-3",)),
    ("bad-tag", "more than their number", ("HV-1 to XV-4",)),
)
# A heading, a cell under it, and the column that it is.
HEADINGS: tuple[tuple[str, str, Cells], ...] = (
    ("line", "HPL-4-1", ("Line No.", "Line #", "Line Number", "Pipe No.", "Leitung", "Ligne")),
    (
        "pipe",
        "4 in",
        (
            *("Size", "Pipe Size", "Line Size", "Nom. Size", "NPS", "Nennweite", "Diamètre"),
            *("Diámetro", "SIZE (in)", "Pipe Dia.", "Nominal Pipe Size"),
        ),
    ),
    (
        "contents",
        "NH3",
        ("Fluid", "Medium", "Media", "Commodity", "Fluide", "Fluido"),
    ),
    ("state", "LIQ", ("Phase", "Fluid State", "Zustand", "État", "Estado", "Physical State")),
    (
        "pressure_psig",
        "185",
        (
            *(
                "Oper. Press.",
                "Oper. Press. (psig)",
                "Operating Pressure",
                "Press.",
                "Pressure, psig",
            ),
            *("Max. Oper. Press.", "Working Pressure", "Betriebsdruck", "Pression", "Presión"),
        ),
    ),
    (
        "operating_f",
        "20",
        ("Oper. Temp", "Oper. Temp (F)", "Operating Temp.", "Temp", "Temp (°F)", "Line Temp."),
    ),
    (
        "covering_in",
        "1-1/2",
        (
            *("Insul. Thk", "Insul. Thk (in)", "Insulation", "Insulation Thickness", "Ins. Thk."),
            *("Covering", "Dämmung", "Isolation", "Aislamiento", "Épaisseur", "Insul. Thick."),
        ),
    ),
    ("flow", "->", ("Dir", "Flow Dir", "Flow Direction", "Direction", "Flussrichtung", "Sens")),
    ("drawing", "R-101", ("P&ID", "P&ID No.", "Dwg", "Dwg. No.", "P&ID Sheet", "Zeichnung", "PID")),
    ("note", "riser", ("Remarks", "Notes", "Comments", "Bemerkung", "Remarques", "Observaciones")),
    ("area", "Hall", ("Room", "Zone", "Raum", "Salle", "Sala", "Building")),
    ("qty", "4", ("Quantity", "Count", "No. of Markers", "Menge", "Quantité", "Cantidad", "Pcs")),
    ("from", "HPR-1", ("From", "Origin", "Von", "Desde")),
    ("to", "CPR-1", ("To", "Destination", "Nach", "Vers", "Hasta")),
)
NO_HEADINGS: tuple[tuple[str, str, str, Cells], ...] = (
    ("Size", "blue", "unknown-column", ("do not read so",)),
    ("Sched.", "40", "column-left-out", ("schedule",)),
    ("Design Pressure", "300", "column-left-out", ("operating pressure",)),
    ("Insul. Type", "polyiso", "column-left-out", ("no marker",)),
    ("Favorite band", "x", "unknown-column", ("not known",)),
)


def read_rows(folder: Path, *rows: Mapping[str, str], delimiter: str = ",") -> Reading:
    """A list of these rows, by the reader that every command uses."""
    path = folder / "list.csv"
    headings = list(dict.fromkeys(name for row in rows for name in row))
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, headings, restval="", delimiter=delimiter)
        writer.writeheader()
        writer.writerows(rows)
    return read(path)


def told(reading: Reading, code: str) -> str:
    """The sentence of the one finding with that code."""
    (finding,) = [each for each in reading.findings if each.code == code]
    return finding.sentence()


def findings_of(result: Result) -> list[dict[str, object]]:
    """The findings that a command printed as JSON."""
    found = printed(result)["findings"]
    assert isinstance(found, list)
    return found


def only_pipe(reading: Reading) -> PipeMarker:
    assert reading.order is not None, reading.findings
    (item,) = reading.order.items
    assert isinstance(item.spec, PipeMarker)
    return item.spec


def value_of(reading: Reading, column: str) -> object:
    """What was read for a column of a list of one pipe."""
    spec = only_pipe(reading)
    assert reading.order is not None
    values: dict[str, object] = {
        "pressure_psig": spec.pressure,
        "covering_in": spec.covering,
        "pipe": spec.pipe.od if spec.pipe is not None else None,
        "flow": spec.flow,
        "state": spec.state,
        "run": spec.run,
        "setting": spec.environment.setting,
        "applied": spec.environment.applied_at,
        "washdown": spec.environment.washdown,
        "qty": reading.order.items[0].quantity,
        "operating_f": spec.environment.operating,
    }
    return values[column]


_HEADING = dict.fromkeys(("setting", "applied", "washdown"), "environment")


def flat_read() -> Iterator[tuple[str, object, str]]:
    for column, wanted, cells in READ:
        for cell in cells:
            yield column, wanted, cell


@pytest.mark.parametrize(("column", "wanted", "cell"), list(flat_read()))
def test_a_cell_is_read(tmp_path: Path, column: str, wanted: object, cell: str) -> None:
    reading = read_rows(tmp_path, {**PIPE, _HEADING.get(column, column): cell})
    assert not any(finding.blocks for finding in reading.findings)
    found = value_of(reading, column)
    if isinstance(wanted, float):
        assert found == pytest.approx(wanted, rel=1e-6, abs=1e-6)
    else:
        assert found == wanted


@pytest.mark.parametrize(
    ("column", "code", "words", "cell"),
    [(column, code, words, cell) for column, code, words, cells in REFUSED for cell in cells],
)
def test_a_cell_is_refused_with_what_would_be_right(
    tmp_path: Path, column: str, code: str, words: str, cell: str
) -> None:
    """Whatever else the row says is still there to be judged, and nothing of it is printed."""
    reading = read_rows(tmp_path, {**PIPE, column: cell})
    assert reading.order is None
    assert words in told(reading, code)
    assert [finding.place.field for finding in reading.findings if finding.blocks] == [column]
    if column != "qty":
        assert reading.judged is not None


@pytest.mark.parametrize(
    ("wanted", "cell"), [(wanted, cell) for wanted, cells in POSITIONS for cell in cells]
)
def test_a_valve_position_is_one_of_the_closed_words(
    tmp_path: Path, wanted: NormalPosition, cell: str
) -> None:
    reading = read_rows(tmp_path, {**VALVE, "normal_position": cell})
    assert reading.findings == ()
    assert reading.order is not None
    spec = reading.order.items[0].spec
    assert isinstance(spec, ValveTag)
    assert spec.normal_position is wanted
    assert str(wanted).count("NORMALLY") <= 1


@pytest.mark.parametrize(
    ("words", "cell"), [(words, cell) for words, cells in NO_POSITIONS for cell in cells]
)
def test_any_other_position_is_refused(tmp_path: Path, words: str, cell: str) -> None:
    reading = read_rows(tmp_path, {**VALVE, "normal_position": cell})
    assert reading.order is None
    assert words in told(reading, "bad-choice")


@pytest.mark.parametrize(("wanted", "cell"), [(w, cell) for w, cells in TAGS for cell in cells])
def test_tags_and_ranges_of_tags(tmp_path: Path, wanted: Cells, cell: str) -> None:
    reading = read_rows(tmp_path, {**VALVE, "tag": cell})
    assert reading.findings == ()
    assert reading.order is not None
    tags = [item.spec.tag for item in reading.order.items if isinstance(item.spec, ValveTag)]
    assert tuple(sorted(tags)) == wanted


@pytest.mark.parametrize(
    ("code", "words", "cell"), [(c, words, cell) for c, words, cells in NO_TAGS for cell in cells]
)
def test_what_may_be_a_range_is_asked_about(
    tmp_path: Path, code: str, words: str, cell: str
) -> None:
    reading = read_rows(tmp_path, {**VALVE, "tag": cell})
    assert words in told(reading, code)
    assert any(finding.blocks for finding in reading.findings)


def test_a_list_that_numbers_by_area_is_not_asked(tmp_path: Path) -> None:
    """HV-3-1 can be no range, so HV-1-4 beside it is a number in an area as well."""
    rows = [{**VALVE, "tag": tag} for tag in ("HV-1-4", "HV-3-1", "HV-2-5")]
    assert read_rows(tmp_path, *rows).findings == ()


@pytest.mark.parametrize(
    ("column", "cell", "heading"),
    [(column, cell, heading) for column, cell, headings in HEADINGS for heading in headings],
)
def test_a_heading_in_other_words(tmp_path: Path, column: str, cell: str, heading: str) -> None:
    """It gives what the list's own heading gives, and the list says what was read as what."""
    rest = {name: text for name, text in PIPE.items() if name != column}
    own = read_rows(tmp_path, {**rest, column: cell})
    other = read_rows(tmp_path, {**rest, heading: cell})
    assert own.order is not None
    assert other.order is not None
    assert other.order.items == own.order.items
    (mapped,) = [each for each in other.mapped if each.heading == heading]
    assert mapped.column == column
    assert not any(finding.blocks for finding in other.findings)


@pytest.mark.parametrize(("heading", "cell", "code", "words"), NO_HEADINGS)
def test_a_heading_that_is_left_out_is_told_once(
    tmp_path: Path, heading: str, cell: str, code: str, words: Cells
) -> None:
    row = {name: text for name, text in PIPE.items() if heading != "Size" or name != "pipe"}
    row |= {"od_in": "6.5"} if heading == "Size" else {}
    reading = read_rows(tmp_path, *({**row, heading: cell},) * 3)
    assert words[0] in told(reading, code)


def test_size_over_pipe_sizes_is_never_the_side(tmp_path: Path) -> None:
    rest = {name: text for name, text in PIPE.items() if name != "pipe"}
    spec = only_pipe(read_rows(tmp_path, {**rest, "Size": '4"'}))
    assert spec.pipe is not None
    assert spec.pipe.label == "NPS 4"
    assert spec.side == "one"


def test_size_is_the_valves_on_a_list_of_valves(tmp_path: Path) -> None:
    row = {"Valve No.": "PSV-1", "Size": "3/4x1", "Description": "Relief", "Room": "Hall"}
    reading = read_rows(tmp_path, row)
    assert reading.order is not None
    spec = reading.order.items[0].spec
    assert isinstance(spec, ValveTag)
    assert (spec.size_text, spec.function) == ("NPS 3/4 x 1", "Relief")
    assert told(reading, "kind-inferred")
    assert told(reading, "column-read-as")


def test_operating_temperature_is_never_the_surface(tmp_path: Path) -> None:
    spec = only_pipe(read_rows(tmp_path, {**PIPE, "Oper. Temp (F)": "180"}))
    assert (spec.environment.operating, spec.environment.surface) == (180.0, None)


@pytest.mark.parametrize("flow", ["up", "down", "dn", "↑"])
def test_a_riser_without_a_run_is_vertical_with_a_note(tmp_path: Path, flow: str) -> None:
    reading = read_rows(tmp_path, {**PIPE, "flow": flow})
    assert only_pipe(reading).run is Run.VERTICAL
    assert "vertical" in told(reading, "read-as")
    written = read_rows(tmp_path, {**PIPE, "flow": flow, "run": "horizontal"})
    assert only_pipe(written).run is Run.HORIZONTAL  # a contradiction, for the plan to tell


def test_a_schedule_is_left_out_with_a_note(tmp_path: Path) -> None:
    reading = read_rows(tmp_path, {**PIPE, "pipe": '4" SCH 80'})
    assert "same in every schedule" in told(reading, "read-as")


def test_a_meaning_in_place_of_its_code(tmp_path: Path) -> None:
    reading = read_rows(tmp_path, {**PIPE, "service": "High pressure liquid"})
    assert only_pipe(reading).service == "HPL"
    assert "read as HPL" in told(reading, "read-as")


@pytest.mark.parametrize("pipe", ["DN50", "DN 100", "100 DN", "114.3 mm"])
def test_a_bare_covering_beside_a_metric_pipe_is_asked_about(tmp_path: Path, pipe: str) -> None:
    rest = {name: text for name, text in PIPE.items() if name != "covering_in"}
    reading = read_rows(tmp_path, {**rest, "pipe": pipe, "covering": "25"})
    assert reading.order is None
    assert "25 mm or 25 in" in told(reading, "bad-length")
    for cell, wanted in (("25 mm", 25.0), ("1 in", 25.4), ("bare", 0.0), ("0", 0.0)):
        spec = only_pipe(read_rows(tmp_path, {**rest, "pipe": pipe, "covering": cell}))
        assert spec.covering == pytest.approx(wanted)


def test_a_diameter_in_millimeters_typed_for_inches(tmp_path: Path) -> None:
    """DN50 is 60.3 mm over the steel (ASME B36.10M, NPS 2: 2.375 in)."""
    row = {**PIPE, "pipe": "NPS 2", "od_in": "60.3", "covering_in": ""}
    read_rows(tmp_path, row)
    (finding,) = [
        each
        for each in findings_of(run("check", tmp_path / "list.csv", "--json"))
        if each["code"] == "diameter-implausible"
    ]
    assert "60.3 mm" in str(finding["right"]) + str(finding["what"])
    assert finding["cell"] == "H2"


def test_commas_of_a_file_parted_by_semicolons_are_decimal(tmp_path: Path) -> None:
    row = {**PIPE, "covering_in": "2,5", "pressure_psig": "12,5", "qty": "2"}
    spec = only_pipe(read_rows(tmp_path, row, delimiter=";"))
    assert spec.covering == pytest.approx(2.5 * IN)
    assert spec.pressure == pytest.approx(12.5)
    thousand = only_pipe(read_rows(tmp_path, {**PIPE, "pressure_psig": "1.234,5"}, delimiter=";"))
    assert thousand.pressure == pytest.approx(1234.5)


def test_a_column_that_leaves_no_other_reading(tmp_path: Path) -> None:
    """2,5 and 12,75 part no thousands; 1,200 may, so alone it is asked about."""
    rows = [{**PIPE, "covering_in": cell} for cell in ("2,5", "1,25", "2")]
    reading = read_rows(tmp_path, *rows)
    assert reading.order is not None
    assert told(reading, "decimal-comma")
    coverings = {i.spec.covering for i in reading.order.items if isinstance(i.spec, PipeMarker)}
    assert {round(each or 0, 6) for each in coverings} == {63.5, 31.75, 50.8}
    mixed = [{**PIPE, "covering_in": cell} for cell in ("2,5", "1.25", "2")]
    assert "write 2.5" in told(read_rows(tmp_path, *mixed), "bad-length")


def test_titles_totals_and_headings_again_are_no_markers(tmp_path: Path) -> None:
    again = {name: name for name in ("line", *PIPE, "qty")}
    rows = (
        {"line": "MACHINE ROOM", **dict.fromkeys(PIPE, "")},
        {"line": "HPL-1", **PIPE, "qty": "2"},
        again,
        {"line": "HPL-2", **PIPE, "qty": "3"},
        {"line": "TOTAL", **dict.fromkeys(PIPE, ""), "qty": "5"},
    )
    reading = read_rows(tmp_path, *rows)
    assert reading.order is not None
    assert reading.order.quantity == 5
    found = {each.place.row: each.what for each in reading.findings if each.code == "rows-left-out"}
    assert found == {
        2: "row 2 left out as titles",
        4: "row 4 left out as repeated headings",
        6: "row 6 left out as totals",
    }


def test_one_area_in_several_spellings(tmp_path: Path) -> None:
    areas = ("Engine Room", "engine room", "ENGINE  ROOM", "Dock")
    reading = read_rows(tmp_path, *({**PIPE, "area": area} for area in areas))
    assert reading.order is not None
    places = [position for item in reading.order.items for position in item.positions]
    assert {position.area for position in places} == {"Engine Room", "Dock"}
    notes = [each.place.row for each in reading.findings if each.code == "area-spelled"]
    assert notes == [4, 3]


def test_an_unreadable_cell_hides_no_other_fault_of_its_row(tmp_path: Path) -> None:
    reading = read_rows(tmp_path, {**PIPE, "pressure_psig": "185/33", "pipe": "7", "flow": "east"})
    fields = {finding.place.field for finding in reading.findings}
    assert fields == {"pressure_psig", "pipe", "flow"}
    assert reading.judged is not None
    spec = reading.judged.items[0].spec
    assert isinstance(spec, PipeMarker)
    assert (spec.service, spec.pressure, spec.pipe, spec.flow) == ("HPL", None, None, None)


def test_contents_of_machines_and_valves(tmp_path: Path) -> None:
    rows = (
        {**VALVE, "contents": "GLYCOL"},
        {"kind": "equipment", "tag": "GP-1", "function": "Glycol pump", "contents": "GLYCOL"},
    )
    reading = read_rows(tmp_path, *rows)
    assert reading.order is not None
    for item in reading.order.items:
        assert isinstance(item.spec, ValveTag | EquipmentMarker)
        assert item.spec.contents == "GLYCOL"
    assert {item.spec.kind for item in reading.order.items} == {Kind.VALVE, Kind.EQUIPMENT}


def test_the_table_is_as_long_as_it_says() -> None:
    """Four hundred cells and more, each written once."""
    cells = [(column, cell) for column, _wanted, cell in flat_read()]
    cells += [(column, cell) for column, _code, _words, texts in REFUSED for cell in texts]
    cells += [("normal_position", cell) for _wanted, texts in POSITIONS for cell in texts]
    cells += [("normal_position", cell) for _words, texts in NO_POSITIONS for cell in texts]
    cells += [("tag", cell) for _wanted, texts in TAGS for cell in texts]
    cells += [("tag", cell) for _code, _words, texts in NO_TAGS for cell in texts]
    cells += [("heading", text) for _column, _cell, texts in HEADINGS for text in texts]
    assert len(set(cells)) == len(cells)
    assert len(cells) >= 400
