"""Sound files of every kind that is read, and the command that reads each."""

from __future__ import annotations

import csv
import json
import shutil
from dataclasses import dataclass
from pathlib import Path

import xlsxwriter
from openpyxl import load_workbook
from PIL import ImageCms

from render.read.fonts import DEFAULT_LIGHT, TYPEFACES
from render.shop.templates import sample
from tests.helpers import pid_samples
from tests.helpers.command import MARKER, PIPE, VALVE, VESSEL, run, write_list
from tests.helpers.open_document import write_ods
from tests.helpers.pdf_system import PROFILES
from tests.helpers.readings import CGATS, CXF
from tests.helpers.surveying import fill, ids_of

DRAWING = {"drawing": "R-101"}
ROWS = (
    {**PIPE, "qty": "2", "area": "Dock", "line": "HTRS-4-101", **DRAWING},
    {**VALVE, "area": "Dock", **DRAWING},
    {**VESSEL, "area": "Roof", **DRAWING},
)
SIGNED = ("--by", "C. Fitter", "--date", "2026-02-28")
LIST, JOB, OUT = "list.csv", "job", "out"
ORDER = {
    "title": "Replacements",
    "markers": [
        {
            "service": "HTRS",
            "state": "both",
            "pressure": "30 psig",
            "pipe": "NPS 4",
            "covering": "1-1/2 in",
            "flow": "left",
            "qty": 4,
            "area": "Dock",
        },
        {"kind": "valve", "tag": "HV-101", "function": "King valve", "emergency": True},
    ],
}
MAPPING = """[columns]
"Line No." = "line"
"Fluid" = "service"

[values.service]
"HPR" = "HTRS"
"""


@dataclass(frozen=True, slots=True)
class Reader:
    """A kind of file: where a case has it, what reads it, and the sound files that are spoiled."""

    name: str
    words: tuple[str, ...]  # of the command; those with a suffix or of a folder are made by `lay`
    originals: tuple[str, ...]  # of which one is spoiled for a case
    folder: str = ""  # a sound folder that the command reads as well, or that holds the original


_ORDER = ("order", LIST, "-o", OUT, "--quiet")
_CHECK = ("check", LIST)
_PLANS = ("plan.dxf", "plan.pdf", "plan.csv", "plan.xml", "plan-2.xml")

READERS = (
    Reader("list", ("check", "{}"), ("list.csv", "list.xlsx", "list.ods", "list.xlsx")),
    Reader("list made", ("order", "{}", "-o", OUT, "--quiet"), ("list.csv",)),
    Reader("order", ("check", "{}"), ("order.toml", "order.json")),
    Reader("scheme", (*MARKER, "--scheme", "{}", "-o", "out.pdf"), ("scheme.toml",)),
    Reader("shop", ("stocks", "--shop", "{}"), ("shop.toml",)),
    Reader("shop of an order", (*_CHECK, "--shop", "{}"), ("shop.toml",)),
    Reader("prices", (*_ORDER, "--prices", "{}"), ("prices.toml",)),
    Reader("mapping", (*_CHECK, "--mapping", "{}"), ("mapping.toml",)),
    Reader("approval", (*_CHECK, "--approval", "{}"), ("approval.json",)),
    Reader("readings", ("colors", "--readings", "{}"), ("readings.txt", "readings.cxf")),
    Reader("profile", ("colors", "--profile", "{}"), ("rgb.icc", "press.icc")),
    Reader("remnants", (*_ORDER, "--remnants", "{}"), ("remnants.csv",)),
    Reader("font", (*MARKER, "--font", "{}", "-o", "out.pdf"), ("font.ttf",)),
    Reader("pdf", ("preflight", "{}"), ("marker.pdf", "plan.pdf")),
    Reader("drawing", ("crosscheck", LIST, "{}", "-o", "out.csv"), _PLANS),
    Reader(
        "survey",
        ("found", LIST, "{}", "-o", OUT, "--date", "2026-03-02", "--quiet"),
        ("survey.xlsx", "survey.csv"),
    ),
    Reader(
        "job approved",
        ("approve", JOB, *SIGNED, "-o", "out.json"),
        ("proof.json", "manifest.json", "order.json"),
        folder=JOB,
    ),
    Reader(
        "job reprinted",
        ("reprint", JOB, "HV-118", "-o", OUT, "--quiet"),
        ("proof.json", "manifest.json", "order.json", "nest.json"),
        folder=JOB,
    ),
    Reader("job found", ("find", "HV-118", JOB), ("markers.csv", "order.json"), folder=JOB),
    Reader(
        "job compared",
        ("diff", JOB, LIST, "-o", OUT, "--quiet"),
        ("order.json", "proof.json", "manifest.json"),
        folder=JOB,
    ),
    Reader(
        "rounds",
        ("rounds", "register", "--until", "2040-01-01", "-o", OUT, "--quiet"),
        ("register.csv", "history.csv"),
        folder="register",
    ),
    Reader(
        "audit",
        ("audit", "register", "--date", "2027-01-01", "-o", "out.pdf"),
        ("register.csv", "history.csv"),
        folder="register",
    ),
    Reader(
        "lifetimes",
        ("register", OUT, "--job", JOB, *SIGNED, "--lifetimes", "{}"),
        ("lifetimes.toml",),
        folder=JOB,
    ),
)


def lay(folder: Path) -> None:
    """Write all sound files into an empty folder."""
    write_list(folder / LIST, ROWS)
    headings = list(dict.fromkeys(name for row in ROWS for name in row))
    table = [headings, *([row.get(name, "") for name in headings] for row in ROWS)]
    with xlsxwriter.Workbook(str(folder / "list.xlsx")) as book:
        sheet = book.add_worksheet("Lines")
        for n, row in enumerate(table):
            sheet.write_row(n, 0, row)
    write_ods(folder / "list.ods", table)
    (folder / "order.json").write_text(json.dumps(ORDER, indent=1))
    (folder / "order.toml").write_bytes(Path("output_samples/order_example.toml").read_bytes())
    for name in ("shop", "prices", "scheme"):
        (folder / f"{name}.toml").write_bytes(sample(f"{name}.toml"))
    (folder / "mapping.toml").write_text(MAPPING)
    (folder / "lifetimes.toml").write_bytes(Path("layouts/schemes/lifetimes.toml").read_bytes())
    (folder / "readings.txt").write_text(CGATS)
    (folder / "readings.cxf").write_text(CXF)
    (folder / "remnants.csv").write_text(
        "of,material,width,length,sheets\nroll-54in,vinyl film,300 mm,600 mm,2\n"
        "tag-24x48in,rigid plastic tag,12 in,12 in,1\n"
    )
    display = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    (folder / "rgb.icc").write_bytes(display.replace(b"mntr", b"prtr", 1))
    press = PROFILES / "default_cmyk.icc"
    (folder / "press.icc").write_bytes(
        (press if press.exists() else folder / "rgb.icc").read_bytes()
    )
    (folder / "font.ttf").write_bytes((TYPEFACES / DEFAULT_LIGHT).read_bytes())
    pid_samples.dxf(folder / "plan.dxf")
    pid_samples.pdf(folder / "plan.pdf", [pid_samples.TEXTS])
    pid_samples.table(folder / "plan.csv")
    pid_samples.proteus(folder / "plan.xml")
    pid_samples.dexpi_2(folder / "plan-2.xml")
    for words in (
        (*MARKER, "-o", folder / "marker.pdf"),
        ("order", folder / LIST, "-o", folder / JOB, "--quiet"),
        (
            "approve",
            folder / JOB,
            "--by",
            "A. Reader",
            "--date",
            "2026-03-02",
            "-o",
            folder / "approval.json",
        ),
        ("survey", folder / LIST, "-o", folder / "survey", "--quiet"),
        ("register", folder / "register", "--job", folder / JOB, *SIGNED),
    ):
        assert run(*words).exit_code == 0, words
    sheet = folder / "survey" / "dock.xlsx"
    hangs = {"found": "present", "reads": "HTRS LIQ VAP AMMONIA LOW"}
    shutil.copy(fill(sheet, dict.fromkeys(ids_of(sheet)[:2], hangs)), folder / "survey.xlsx")
    with (folder / "survey.csv").open("w", newline="") as stream:
        rows = load_workbook(sheet)["Survey"].values
        csv.writer(stream).writerows([["" if c is None else c for c in row] for row in rows])
