"""An invented plant in whose list every kind of fault is planted once.

``PRINTABLE`` are faults of a list that can be read and drawn, ``IMPOSSIBLE`` those of rows that
nothing can be drawn from. Each planting is the row's cells and the codes that it must give, each
with the field that it must point to. ``codes_in_source`` reads from the source which codes there
are, so that a new one without a planting is noticed.
"""

from __future__ import annotations

import ast
import csv
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from layouts.schemes.loader import load_scheme, scheme_keys
from render.read import CODES

HERE = Path(__file__).resolve()
LAYOUTS = HERE.parents[2] / "layouts"
Cells = dict[str, str]


@dataclass(frozen=True)
class Planting:
    """One row, and field by code for what must be found there; empty for a sound row."""

    cells: Cells
    codes: dict[str, str] = field(default_factory=dict)


def pipe(codes: dict[str, str] | None = None, **cells: str) -> Planting:
    base = {"kind": "pipe", "service": "HTRS", "state": "both", "pressure_psig": "30"}
    base |= {"flow": "right", "pipe": "NPS 4", "covering_in": "1.5", "qty": "1", "area": "Hall"}
    return Planting(base | cells, codes or {})


def liquid(codes: dict[str, str] | None = None, **cells: str) -> Planting:
    """A bare high-pressure line."""
    base = {"service": "HPL", "state": "liquid", "pressure_psig": "181", "covering_in": "0"}
    return pipe(codes, **(base | {"pipe": "NPS 2"} | cells))


def water(codes: dict[str, str] | None = None, **cells: str) -> Planting:
    """Anything but ammonia, by the table of colors."""
    base = {"service": "", "state": "", "pressure_psig": "", "covering_in": "0"}
    return pipe(codes, **(base | {"contents": "FIRE WATER", "scheme": "asme-a13-1"} | cells))


def machine(codes: dict[str, str] | None = None, **cells: str) -> Planting:
    base = {"kind": "equipment", "tag": "HSC-1", "legend": "Compressor", "pressure_psig": "181"}
    return Planting(base | {"qty": "1", "area": "Hall"} | cells, codes or {})


def valve(tag: str, codes: dict[str, str] | None = None, **cells: str) -> Planting:
    base = {"kind": "valve", "tag": tag, "service": "HPL", "drawing": "R-1", "qty": "1"}
    return Planting(base | cells, codes or {})


# Schemes of the plant's own, beside the order.
SCHEMES = {
    "gray.toml": """
extends = "ammonia-2014"
key = "gray"
title = "Gray for carbon dioxide"
[[pairings]]
key = "CO2"
meaning = "carbon dioxide as a refrigerant"
field = "safety gray"
legend = "white"
contents = ["CO2"]
source = "plant standard 7"
status = "common practice"
""",
    "spanish.toml": """
extends = "asme-a13-1"
key = "spanish"
title = "Two languages"
[legend]
language = "Spanish"
""",
}

SOUND = (
    pipe(line="HTRS-4-1", to="HSC-1/2"),
    liquid(),
    water(contents="FIRE WATER"),
    machine(),
    machine(tag="HSC-2"),
    valve("HV-100", emergency="yes", function="King valve"),
    valve("HV-101..HV-103"),
)

PRINTABLE = (
    *SOUND,
    # the row against itself
    pipe({"unused-cell": "valve_size"}, valve_size="NPS 2"),
    pipe({"run-assumed": "length_ft"}, qty="", length_ft="60", turns="2"),
    pipe(
        {"service-meaning-differs": "service"},
        service="HTRL",
        state="liquid",
        meaning="hot tap return",
    ),
    pipe({"service-missing": "service"}, service="", contents="AMMONIA"),
    pipe({"service-unknown": "service"}, service="QQQ"),
    liquid({"state-unusual": "state"}, state="vapor"),
    liquid({"level-conflict": "level"}, level="low"),
    liquid({"legend-conflict": "legend"}, legend="Vapor ammonia"),
    pipe({"arrow-one-way": "flow"}, service="EQ", state="vapor", pressure_psig="181"),
    # what was read beyond the words, and what may be meant
    liquid({"read-as": "pipe"}, pipe="2 in SCH 80"),
    pipe({"area-spelled": "area"}, area="HALL"),
    valve("HV-130-134", {"tag-maybe-range": "tag"}),
    Planting({"area": "Totals for the hall"}, {"rows-left-out": ""}),
    # sizes
    pipe({"girth-differs": "girth_in"}, covering_in="", od_in="8", girth_in="31"),
    pipe(
        {"covering-missing": "covering_in", "covering-unknown-cold": "covering_in"},
        service="LTRL",
        state="liquid",
        covering_in="",
    ),
    pipe({"covering-rows-differ": "od_in"}, od_in="6.5"),
    pipe({"letter-below-row": "letter_in"}, letter_in="0.5"),
    pipe({"length-below-row": "length_in"}, length_in="6"),
    pipe({"length-below-content": "neighbor_length_in"}, neighbor_length_in="7"),
    pipe({"neighbor-below-row": "neighbor_letter_in"}, neighbor_letter_in="0.5"),
    liquid(
        {"neighbor-too-far": "neighbor_letter_in"},
        pipe="NPS 6",
        neighbor_letter_in="1.25",
        viewing_ft="50",
    ),
    pipe({"viewing-too-far": "viewing_ft"}, viewing_ft="200"),
    liquid({"run-short": "straight_in"}, straight_in="18"),
    liquid({"small-pipe": "pipe"}, pipe="NPS 3/8"),
    liquid({"edge-turned-away": ""}, pipe="NPS 1-1/4", viewing_ft="30"),
    liquid({"letters-wrap-away": "pipe"}, viewing_ft="60"),
    # what it hangs on
    liquid({"wrap-not-possible": "wrap"}, wrap="yes", surface_f="200"),
    pipe({"jacket-hot": "surface_f"}, surface_f="200"),
    pipe({"jacket-frost": "frost_in"}, frost_in="0.5"),
    liquid({"frost-not-given": "frost_in"}, surface_f="20"),
    liquid({"adhesive-too-cold": "applied_f"}, applied_f="-40", area="Tunnel"),
    liquid({"bare-cold": "surface_f"}, service="IPL", pressure_psig="30"),
    liquid({"wet-surface": "surface_f"}, surface_f="50"),
    liquid({"bare-hot": "surface_f"}, service="HSD", state="vapor"),
    pipe({"film-too-cold": "surface_f"}, surface_f="-45"),
    # what no plant has
    liquid({"level-unusual": "pressure_psig"}, pressure_psig="70", surface_f="75"),
    liquid({"pressure-implausible": "pressure_psig"}, pressure_psig="1810"),
    pipe({"covering-implausible": "covering_in"}, pipe="DN50", covering_in="40"),
    pipe({"diameter-implausible": "od_in"}, covering_in="", od_in="60.3"),
    pipe({"measured-differs": "girth_in"}, covering_in="2.5", girth_in="24"),
    pipe(
        {"surface-implausible": "surface_f"},
        service="HGD",
        state="vapor",
        pressure_psig="181",
        covering_in="0",
        surface_f="-40",
        frost_in="1",
    ),
    water(
        {"contents-freeze": "operating_f"},
        contents="CITY WATER",
        covering_in="1",
        operating_f="20",
    ),
    pipe({"length-implausible": "length_in"}, length_in="110"),
    pipe({"quantity-implausible": "qty"}, qty="500"),
    # one medium by another name
    pipe({"contents-renamed": "contents"}, contents="R-717"),
    liquid({"legend-without-contents": "legend"}, legend="King line"),
    water({"contents-by-other-scheme": "contents"}, contents="CITY WATER", scheme=""),
    liquid({}, line="HPL-2-9", drawing="R-1"),
    liquid({"line-differs": "pipe"}, line="HPL-2-9", pipe="NPS 3", drawing="R-1"),
    machine({"applied-unlike-area": "applied_f"}, tag="FEU-1", legend="Evaporator", area="Freezer"),
    pipe({}, area="Freezer", applied_f="-10"),
    valve(
        "HV-113",
        {"emergency-valve-closed": "normal_position"},
        emergency="yes",
        normal_position="closed",
    ),
    liquid({"paint-unknown": "paint"}, paint="mauve"),
    liquid({"paint-as-field": "paint"}, paint="orange"),
    liquid({"paint-fire-red": "paint"}, paint="red"),
    # the scheme
    water(
        {"arrow-missing": "flow", "second-color-hidden": "flow"},
        contents="NATURAL GAS",
        scheme="din-2403",
        flow="none",
    ),
    water({"second-word-missing": "legend"}, contents="TOWER WATER", scheme="spanish.toml"),
    liquid(
        {"level-without-cutoff": "level"},
        contents="CO2",
        scheme="gray.toml",
        pressure_psig="",
        level="high",
    ),
    liquid(
        {"schemes-mixed": "scheme", "scheme-2018-unseen": "scheme"},
        service="HSD",
        state="vapor",
        surface_f="190",
        scheme="ammonia-2018",
    ),
    # rows against each other
    water(contents="COMPRESSED AIR"),
    water({"color-two-meanings": "scheme"}, contents="POTABLE WATER", scheme="iso-14726"),
    pipe(service="XYZ", meaning="blast tunnel suction"),
    pipe({"abbreviation-two-meanings": "service"}, service="XYZ", meaning="crossover"),
    valve("HV-110", {"abbreviation-unexplained": "service"}, service="QQ"),
    valve("hv-101", {"valve-number-twice": "tag"}),
    valve("TBD", {"emergency-valve-unnumbered": "tag"}, emergency="yes"),
    valve("HV-112", {"emergency-valve-no-drawing": "drawing"}, emergency="yes", drawing=""),
    pipe({"equipment-unmarked": "from"}, **{"from": "HSC-9", "note": "by the caf\u00e9"}),
)
# What the file as a whole is made to say, by code, with row and field.
OF_THE_FILE: dict[str, tuple[int | None, str]] = {
    "old-encoding": (None, ""),
    "unknown-column": (1, "favorite band"),
    "contrast-low": (None, "scheme"),
}

IMPOSSIBLE = (
    *SOUND,
    # cells
    pipe({"cell-error": "covering_in"}, covering_in="#REF!"),
    pipe({"cell-date": "pipe"}, pipe="4-Mar"),
    pipe({"bad-length": "covering_in"}, covering_in="thick"),
    pipe({"bad-pressure": "pressure_psig"}, pressure_psig="30 fathoms"),
    pipe({"bad-temperature": "surface_f"}, surface_f="hot"),
    pipe({"bad-pipe": "pipe"}, pipe="NPS 7"),
    pipe({"bad-choice": "state"}, state="solid"),
    pipe({"bad-quantity": "qty"}, qty="0"),
    pipe({"bad-count": "turns"}, qty="", length_ft="40", turns="several"),
    pipe({"text-too-long": "note"}, note="x" * 401),
    valve("HV-120..XV-121", {"bad-tag": "tag"}),
    valve("", {"missing-value": "tag"}),
    Planting({"area": "Hall 2"}, {"row-without-marker": ""}),
    pipe({"row-too-long": ""}, **{"": "beyond the headings"}),
    pipe({"bad-length": "covering_in"}, pipe="DN100", covering_in="1,5"),
    # runs
    pipe({"run-impossible": "turns"}, qty="", length_ft="20", turns="40 ft"),
    pipe({"spacing-unknown": "spacing"}, qty="", length_ft="20", spacing="every-mile"),
    # what nothing can be drawn from
    water({"contents-unknown": "contents"}, contents="PHLOGISTON"),
    water({"contents-unsettled": "contents"}, contents="GLYCOL", scheme="din-2403"),
    pipe({"state-missing": "state"}, state=""),
    pipe({"level-missing": "pressure_psig"}, pressure_psig=""),
    pipe({"flow-missing": "flow"}, flow=""),
    pipe({"flow-run": "flow"}, flow="up", run="horizontal"),
    pipe({"size-missing": "pipe"}, pipe="", covering_in=""),
    pipe({"size-zero": "od_in"}, pipe="", covering_in="0", od_in="0"),
    pipe({"od-below-pipe": "od_in"}, covering_in="", od_in="3"),
    machine({"equipment-unnamed": "tag"}, tag="", legend="", level="high"),
    liquid({"glyph-missing": "legend"}, legend="Ammonia \u6c28"),
)


def write_csv(path: Path, plantings: Sequence[Planting], *, extra: str = "", old: bool) -> Path:
    """The list, ``extra`` a heading of no meaning; ``old``: as old programs encode it."""
    names = {name for planting in plantings for name in planting.cells if name}
    headings = [*sorted(names), *([extra] if extra else [])]
    with path.open("w", encoding="cp1252" if old else "utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(headings)
        for planting in plantings:
            beyond = [planting.cells[""]] if "" in planting.cells else []
            row = [planting.cells.get(name, "") for name in headings]
            writer.writerow(row + beyond)
    return path


def expected(plantings: Sequence[Planting]) -> list[tuple[str, int, str]]:
    """Code, row and field of everything planted; the headings are row 1."""
    return [
        (code, row, where)
        for row, planting in enumerate(plantings, 2)
        for code, where in planting.codes.items()
    ]


# Where in a call that makes a finding its code stands.
_AT = {"Finding": 0, "warn": 0, "find": 1, "_finding": 2}
_ROOMS = ("review", "plan", "takeoff", "face", "markers")


def codes_in_source() -> set[str]:
    """Every code that reading, planning and judging a list can give."""
    files = [file for room in _ROOMS for file in sorted((LAYOUTS / room).rglob("*.py"))]
    # An idle acceptance is a fault of the order's head, not of a row: it is planted by itself.
    files.remove(LAYOUTS / "review" / "acceptances.py")
    found = {code for file in files for code in _codes(ast.parse(file.read_text("utf-8")))}
    caveats = (each for key in scheme_keys() for each in load_scheme(key).caveats)
    return found | {each.code for each in caveats if each.blocking} | set(CODES)


def _codes(tree: ast.AST) -> Iterator[str]:
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call):
            continue
        name = node.func.attr if isinstance(node.func, ast.Attribute) else ast.unparse(node.func)
        at = _AT.get(name, len(node.args))
        if at < len(node.args) and isinstance(node.args[at], ast.Constant):
            yield str(ast.literal_eval(node.args[at]))
