"""Invented P&IDs of an invented plant in every form that is read: PDF, DXF, table, DEXPI.

The PDF is written by hand after ISO 32000-1, the DEXPI files after the published schema of
Proteus XML 4.1 (elements ``PlantModel``, ``Equipment``, ``PipingNetworkSystem``,
``GenericAttribute``) and of DEXPI 2.0 (``Model``, ``Object``, ``Data``, ``Components``).
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import ezdxf

from tests.helpers.command import write_list

Text = tuple[str, float, float]  # text, left and baseline in points

LINE = {"kind": "pipe", "state": "liquid", "pressure_psig": "185", "flow": "right"}
ROWS = (
    {**LINE, "line": "HPL-4-101", "service": "HPL", "pipe": "NPS 4", "drawing": "R-101"},
    {**LINE, "line": "CD-3-102", "service": "CD", "pipe": "NPS 3", "drawing": "R-101"},
    {"kind": "equipment", "tag": "HPR-1", "legend": "Receiver", "level": "high"},
    {"kind": "valve", "tag": "HV-118", "function": "Feed stop", "drawing": "R-101"},
    {"kind": "valve", "tag": "HV-101", "function": "King valve", "emergency": "yes"},
)
# All that ROWS name, as a drawing has it; the number of one valve stands below its letters.
TEXTS: tuple[Text, ...] = (
    ('4"-HPL-101-A1A', 72, 700),
    ('3"-CD-102-A1A', 72, 650),
    ("HPR-1", 300, 500),
    ("HV-118", 300, 450),
    ("HV", 300, 400),
    ("101", 299, 388),
    ("DWG NO. R-101", 450, 60),
    ("REV 3", 450, 45),
)


def plant_list(folder: Path, rows: Sequence[dict[str, str]] = ROWS) -> Path:
    covered = [{**row, "covering_in": "0"} if row["kind"] == "pipe" else row for row in rows]
    return write_list(folder / "list.csv", covered)


def pdf(path: Path, pages: Sequence[Sequence[Text]]) -> Path:
    """A PDF with one page for each sequence of texts, in Helvetica of 10 points."""
    kids = " ".join(f"{4 + 2 * n} 0 R" for n in range(len(pages)))
    objects = [
        "<< /Type /Catalog /Pages 2 0 R >>",
        f"<< /Type /Pages /Kids [{kids}] /Count {len(pages)} >>",
        "<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica >>",
    ]
    for n, texts in enumerate(pages):
        shown = "".join(f"BT /F1 10 Tf {x} {y} Td ({text}) Tj ET\n" for text, x, y in texts)
        objects.append(
            "<< /Type /Page /Parent 2 0 R /MediaBox [0 0 612 792] /Resources << /Font "
            f"<< /F1 3 0 R >> >> /Contents {5 + 2 * n} 0 R >>"
        )
        objects.append(f"<< /Length {len(shown)} >>\nstream\n{shown}\nendstream")
    data, places = b"%PDF-1.4\n", []
    for number, each in enumerate(objects, start=1):
        places.append(len(data))
        data += f"{number} 0 obj\n{each}\nendobj\n".encode("latin-1")
    table = "".join(f"{place:010d} 00000 n \n" for place in places)
    size = len(objects) + 1
    end = f"xref\n0 {size}\n0000000000 65535 f \n{table}trailer\n<< /Size {size} /Root 1 0 R >>\n"
    path.write_bytes(data + f"{end}startxref\n{len(data)}\n%%EOF\n".encode())
    return path


def dxf(path: Path, texts: Sequence[Text] = TEXTS) -> Path:
    """A DXF with a title block of attributes, one tag in a block and the rest as texts."""
    drawing = ezdxf.new()  # type: ignore[attr-defined]
    title = drawing.blocks.new("TITLE")
    title.add_attdef("DWG_NO", (0, 0))
    title.add_attdef("REV", (0, 10))
    space = drawing.modelspace()
    insert = space.add_blockref("TITLE", (500, 20))
    insert.add_attrib("DWG_NO", "R-101", (500, 20))
    insert.add_attrib("REV", "3", (500, 30))
    inner = drawing.blocks.new("TAG")
    plain = [each for each in texts if "DWG" not in each[0] and "REV" not in each[0]]
    for n, (text, x, y) in enumerate(plain):
        if n == 0:
            space.add_mtext(text, {"insert": (x, y), "char_height": 10})
        else:
            inner.add_text(text, height=10, dxfattribs={"insert": (x, y)})
    space.add_blockref("TAG", (0, 0))
    drawing.saveas(path)
    return path


def table(path: Path) -> Path:
    path.write_text(
        "Tag No.,Type,Line No.,Size,Fluid Code,Piping Class,Drawing,Rev,Emergency\n"
        "HPR-1,vessel,,,,,R-101,3,\n"
        "HV-118,gate valve,,,,,R-101,3,no\n"
        "HV-101,gate valve,,,,,R-101,3,yes\n"
        ',,101,"4""",HPL,A1A,R-101,3,\n'
        ",,CD-102,3 in,CD,A1A,R-101,3,\n"
    )
    return path


def _attribute(name: str, value: str) -> str:
    return (
        f'<GenericAttribute Name="{name}AssignmentClass" Format="string" Value="{value}" '
        f'AttributeURI="http://example.invalid/{name}"/>'
    )


def _attributes(**values: str) -> str:
    inner = "".join(_attribute(name, value) for name, value in values.items())
    return f'<GenericAttributes Set="DexpiAttributes">{inner}</GenericAttributes>'


def proteus(path: Path) -> Path:
    """DEXPI 1.3: one element a kind of thing."""

    def system(number: str, service: str, size: str, valves: str = "") -> str:
        return (
            f'<PipingNetworkSystem ID="S{number}" ComponentClass="PipingNetworkSystem">'
            f"{_attributes(LineNumber=number, FluidCode=service, PipingClassCode='A1A')}"
            f'<PipingNetworkSegment ID="G{number}" ComponentClass="PipingNetworkSegment">'
            + _attributes(
                NominalDiameterNumericalValueRepresentation=size,
                NominalDiameterTypeRepresentation="NPS",
            )
            + f"{valves}</PipingNetworkSegment></PipingNetworkSystem>"
        )

    valves = (
        '<PipingComponent ID="V1" ComponentClass="GateValve" TagName="HV-118"/>'
        '<PipingComponent ID="V2" ComponentClass="GlobeValve">'
        f"{_attributes(PipingComponentName='HV-101')}</PipingComponent>"
    )
    path.write_text(
        '<?xml version="1.0" encoding="utf-8"?>\n<PlantModel>'
        '<PlantInformation SchemaVersion="4.1.1" OriginatingSystem="invented"/>'
        '<Drawing Name="R-101" Type="PID" Revision="3"/>'
        f'<Equipment ID="E1" ComponentClass="PressureVessel">{_attributes(TagName="HPR-1")}'
        '<Nozzle ID="N1" ComponentClass="Nozzle">'
        f"{_attributes(SubTagName='N1')}</Nozzle></Equipment>"
        f"{system('101', 'HPL', '4', valves)}{system('102', 'CD', '3')}</PlantModel>"
    )
    return path


def _data(**values: str) -> str:
    return "".join(
        f'<Data property="{name}"><String>{value}</String></Data>' for name, value in values.items()
    )


def dexpi_2(path: Path) -> Path:
    """DEXPI 2.0: one element for all things, with a type."""

    def thing(kind: str, values: str, inside: str = "") -> str:
        return f'<Object id="O{hash_of(kind + values)}" type="{kind}">{values}{inside}</Object>'

    valves = thing("Plant/Piping.GateValve", _data(TagName="HV-118")) + thing(
        "Plant/Piping.GlobeValve", _data(PipingComponentName="HV-101")
    )
    nozzle = thing("Plant/ProcessEquipment.Nozzle", _data(SubTagName="N1"))
    lines = ""
    for number, service, size, items in (("101", "HPL", "4", valves), ("102", "CD", "3", "")):
        segment = thing(
            "Plant/Piping.PipingNetworkSegment",
            _data(NominalDiameterNumericalValueRepresentation=size)
            + _data(NominalDiameterTypeRepresentation="NPS"),
            f'<Components property="Items">{items}</Components>',
        )
        lines += thing(
            "Plant/Piping.PipingNetworkSystem",
            _data(LineNumber=number, FluidCode=service, PipingClassCode="A1A"),
            f'<Components property="Segments">{segment}</Components>',
        )
    vessel = thing(
        "Plant/ProcessEquipment.PressureVessel",
        _data(TagName="HPR-1"),
        f'<Components property="Nozzles">{nozzle}</Components>',
    )
    drawn = thing("Plant/Diagram.PlantMetaData", _data(DrawingNumber="R-101", RevisionNumber="3"))
    path.write_text(
        '<?xml version="1.0" encoding="utf-8"?>\n'
        '<Model name="invented" uri="http://example.invalid/plant">'
        '<Import prefix="Plant" source="http://example.invalid/Plant.xml"/>'
        '<Object type="Core/EngineeringModel"><Components property="ConceptualModel">'
        f'<Object id="P1" type="Plant/PlantModel"><Components property="TaggedPlantItems">{vessel}'
        f'</Components><Components property="PipingNetworkSystems">{lines}</Components></Object>'
        f'</Components><Components property="Diagram">{drawn}</Components></Object></Model>'
    )
    return path


def hash_of(text: str) -> int:
    return sum(n * ord(char) for n, char in enumerate(text, start=1))
