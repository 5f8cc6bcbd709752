"""Pictures for ``output_samples/``: every kind of marker, at size and as seen from 20 ft."""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import openpyxl
from PIL import Image

from layouts.drawing import Affine, Point, Rect, Size
from layouts.drawing.document import Document, Layer, Page, Placement, Stroke, Symbol
from layouts.drawing.inks import BLACK
from layouts.drawing.typeset import Typesetter
from layouts.face import Face, compose
from layouts.order.order import EquipmentMarker, PipeMarker, Specification, ValveTag
from layouts.papers.chart import chart
from layouts.papers.kit.figure import carrier_of, face_symbol
from layouts.papers.kit.table import Column, TableStyle, table
from layouts.papers.packs import install
from layouts.papers.schedule import valve_rows
from layouts.plan import plan
from layouts.schemes.loader import load_scheme, scheme_keys
from layouts.terms.words import PartRole
from render.decide import decide
from render.draw import draw, drawn_bytes
from render.job import build
from render.options import Options
from render.read import one_marker, read
from render.read.fonts import default_typefaces
from render.shop.shopfile import load_shop
from render.write import png

TARGET = Path(__file__).resolve().parents[2] / "output_samples"
SCHEMES = {key: load_scheme(key) for key in scheme_keys()}
# A picture held at 28 in (reading distance of a desk screen) shows what hangs 20 ft away.
FAR_SCALE = 28 / 240
_APART = 14.0

PIPES: tuple[tuple[str, Mapping[str, object]], ...] = (
    (
        "recirculated suction, NPS 4 with 1-1/2 in of covering",
        {"service": "HTRS", "state": "both", "pressure": "30 psig", "covering": "1.5 in"}
        | {"pipe": "NPS 4", "flow": "left"},
    ),
    (
        "high pressure liquid, NPS 2",
        {"service": "HPL", "state": "liquid", "pressure": "185 psig", "covering": 0}
        | {"pipe": "NPS 2", "flow": "right"},
    ),
    (
        "suction in vacuum on a riser, 12 in with 3 in of covering",
        {"service": "LSS", "state": "vapor", "pressure": "10 inHg vac", "covering": "3 in"}
        | {"pipe": "NPS 12", "flow": "up", "run": "vertical"},
    ),
    (
        "pump out, reversing",
        {"service": "PO", "state": "both", "pressure": "40 psig", "covering": 0}
        | {"pipe": "NPS 1-1/2", "flow": "reversing"},
    ),
    (
        "hot discharge on a strapped plate, pipe painted orange",
        {"service": "HSD", "state": "vapor", "pressure": "181 psig", "covering": 0}
        | {
            "pipe": "NPS 4",
            "flow": "right",
            "paint": "orange",
            "environment": {"surface": "200 F"},
        },
    ),
    (
        "a short run: two lines",
        {"service": "HPL", "state": "liquid", "pressure": "185 psig", "covering": 0}
        | {"pipe": "NPS 2", "flow": "right", "lines": 2},
    ),
    (
        "a wrap for a small pipe, read from front and back",
        {"service": "LIC", "state": "liquid", "pressure": "185 psig", "covering": 0}
        | {"pipe": "NPS 1-1/4", "flow": "right", "wrap": True},
    ),
    (
        "1991 content",
        {"service": "HTRL", "state": "liquid", "pressure": "64 psig", "covering": "1.5 in"}
        | {"pipe": "NPS 2", "flow": "right", "scheme": "ammonia-1991"},
    ),
    (
        "ASME A13.1 content",
        {"contents": "WATER", "legend": "COOLING WATER", "pipe": "NPS 4", "covering": 0}
        | {"flow": "right", "scheme": "asme-a13-1"},
    ),
)
OTHERS: tuple[tuple[str, Specification], ...] = (
    (
        "equipment",
        EquipmentMarker.model_validate(
            {"kind": "equipment", "name": "High pressure receiver", "tag": "HPR-1", "level": "high"}
        ),
    ),
    (
        "emergency valve",
        ValveTag.model_validate(
            {"kind": "valve", "tag": "HV-118", "service": "HPL", "function": "King valve"}
            | {"valve_size": "NPS 3", "normal_position": "open", "emergency": True}
        ),
    ),
    (
        "valve",
        ValveTag.model_validate(
            {"kind": "valve", "tag": "HV-101", "service": "LSS", "function": "Suction stop"}
        ),
    ),
    (
        "round valve tag",
        ValveTag.model_validate(
            {"kind": "valve", "tag": "HV-102", "service": "LSS", "shape": "round"}
        ),
    ),
)


@dataclass(frozen=True, slots=True)
class Shown:
    """A face with the words below its picture."""

    caption: str
    face: Face


def shown() -> list[Shown]:
    """One face of every kind."""
    specs = [(text, PipeMarker.model_validate(fields)) for text, fields in PIPES]
    faces: list[Shown] = []
    for caption, spec in (*specs, *OTHERS):
        plans, _ = plan(spec, SCHEMES, "ammonia-2014")
        faces.append(Shown(caption, compose(plans[0].design, default_typefaces())))
    return faces


def contact_page(
    faces: Sequence[Shown], width: float, scale: float, caption: float
) -> tuple[Page, dict[str, Symbol]]:
    """The faces in rows, as many a row as fit, each with its caption; true size times scale."""
    setter = Typesetter(default_typefaces().text)
    symbols: dict[str, Symbol] = {}
    items: list[Placement | Stroke] = []
    x, y, row = _APART, _APART, 0.0
    for each in faces:
        carrier = carrier_of(each.face)
        part = carrier or each.face.parts[0]
        size = Size(part.size.width * scale, part.size.height * scale)
        room = max(size.width, setter.width(each.caption, caption))
        if x > _APART and x + room > width - _APART:
            x, y, row = _APART, y + row, 0.0
        symbol = face_symbol(each.face)
        symbols[symbol.id] = symbol
        at = Affine.scale(scale).then(Affine.move(x, y))
        shift = Affine()
        if carrier is not None:
            plate = each.face.design.plate
            assert plate is not None
            above = (carrier.size.height - each.face.parts[0].size.height) / 2
            shift = Affine.move(plate.border + plate.ear, above)
            lines = (
                carrier.outline if carrier.holes is None else carrier.outline.joined(carrier.holes)
            )
            items.append(Stroke(lines.mapped(at), BLACK, 0.4))
        items.append(Placement(symbol.id, shift.then(at)))
        items += setter.line(
            each.caption, Point(x, y + size.height + 0.6 * caption + caption), caption, BLACK
        )
        row = max(row, size.height + 2.5 * caption + _APART)
        x += room + 2 * _APART
    height = y + row
    box = Rect(0.0, 0.0, width, height)
    page = Page("kinds", "kinds", Size(width, height), box, box, (Layer("Print", tuple(items)),))
    return page, {**symbols, **setter.symbols()}


def write_plant() -> None:
    """The chart of the demo plant, one of its sheets and a page of a pack."""
    reading = read(TARGET / "demo_plant.xlsx")
    assert reading.order is not None
    options = Options(load_shop(), previews=True)
    judged = decide(reading.order, options, "demo_plant.xlsx")
    markers, typefaces = judged.gathered.markers, judged.typefaces
    valves = valve_rows(reading.order, judged.schemes)
    poster = chart(reading.order, markers, valves, judged.schemes, typefaces)
    picture(poster, 0, 900, "chart.png")
    packs = install(reading.order, markers, typefaces)
    picture(packs["Freezer"], 0, 800, "install_freezer.png")
    job = build(reading.order, options, "demo_plant.xlsx")
    largest = max(
        (sheet for group in job.groups if group.role is PartRole.FILM for sheet in group.sheets),
        key=lambda sheet: (len(sheet.placed), -sheet.number),
    )
    group = next(group for group in job.groups if largest in group.sheets)
    preview = Image.open(io.BytesIO(job.files[f"preview/{group.key}-{largest.number}.png"]))
    preview.thumbnail((700, 1800))
    preview.save(TARGET / "demo_sheet.png")


_LIST_COLUMNS = (
    *("line", "service", "state", "pressure_psig", "flow", "pipe", "covering_in", "qty", "area"),
)


def list_rows() -> Document:
    """The first rows of the demo plant's list, a choice of its columns."""
    with (TARGET / "demo_plant.xlsx").open("rb") as stream:
        workbook = openpyxl.load_workbook(stream, read_only=True)
        rows = [list(row) for row in workbook.worksheets[0].iter_rows(max_row=8, values_only=True)]
    first = next(number for number, row in enumerate(rows) if "pressure_psig" in row)
    heads, *cells = rows[first : first + 5]
    at = [heads.index(name) for name in _LIST_COLUMNS]
    shown = [["" if row[index] is None else str(row[index]) for index in at] for row in cells]
    setter = Typesetter(default_typefaces().text)
    style = TableStyle(2.4, BLACK, 2.0)
    widths = [
        max(setter.width(text, style.size) for text in column) + 3 * style.padding
        for column in zip(_LIST_COLUMNS, *shown, strict=True)
    ]
    columns = [Column(name, width) for name, width in zip(_LIST_COLUMNS, widths, strict=True)]
    drawn = table(setter, columns, shown, Point(5.0, 5.0), style)
    size = Size(sum(widths) + 10.0, drawn.height + 10.0)
    box = Rect(0.0, 0.0, size.width, size.height)
    page = Page("list", "list", size, box, box, (Layer("Print", drawn.items),))
    return Document("list", "list", (page,), setter.symbols(), None)


def picture(document: Document, page: int, width_px: int, name: str) -> None:
    """One page of a document as a PNG among the samples."""
    data = png.write(document.pages[page], document.symbols, width_px=width_px)
    (TARGET / name).write_bytes(data)


def write() -> None:
    """Draw every picture."""
    picture(list_rows(), 0, 1400, "demo_list.png")
    write_plant()
    faces = shown()
    page, symbols = contact_page(faces, 2150.0, 1.0, 13.0)
    (TARGET / "markers.png").write_bytes(png.write(page, symbols, width_px=1600))
    far, symbols = contact_page(faces[:5], 270.0, FAR_SCALE, 4.5)
    (TARGET / "markers_at_20_ft.png").write_bytes(png.write(far, symbols, dpi=96))
    order = one_marker({"kind": "pipe", **PIPES[0][1]}, "")
    document, _, _ = draw(order, Options(load_shop()))
    for suffix in (".pdf", ".svg", ".dxf", ".png"):
        data = drawn_bytes(document, suffix, Options(load_shop()))
        (TARGET / f"one_marker{suffix}").write_bytes(data)
