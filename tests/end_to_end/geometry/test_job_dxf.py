"""Every DXF of a job as another program takes it: ezdxf's own loader and audit."""

from __future__ import annotations

import io

from ezdxf import filemanagement
from ezdxf.document import Drawing
from ezdxf.entities.lwpolyline import LWPolyline

from render.job import JobFolder

# Types of group Structural, and the groups that carry none, in ISO 19593-1:2018 as listed in the
# Arlington PDF model's GTS_Metadata table.
TYPES = {"Cutting", "PartialCutting", "Drilling", "Creasing", "CodingMarking"}
GROUPS = {"Legend", "Dimensions"}
CUTS = {"Cutting", "PartialCutting", "Drilling"}
MILLIMETERS = 4  # $INSUNITS, DXF Reference, HEADER section


def drawings(job: JobFolder) -> dict[str, Drawing]:
    return {
        name: filemanagement.read(io.StringIO(data.decode("cp1252")))
        for name, data in job.files.items()
        if name.endswith(".dxf")
    }


def test_files_pass_the_audit_and_are_in_millimeters(job: JobFolder) -> None:
    found = drawings(job)
    assert len(found) == len({(g.key, s.cut) for g in job.groups for s in g.sheets})
    for name, drawing in found.items():
        audit = drawing.audit()
        assert (audit.errors, audit.fixes) == ([], []), name
        assert drawing.header["$INSUNITS"] == MILLIMETERS


def test_layers_are_named_by_type_and_all_are_used(job: JobFolder) -> None:
    for name, drawing in drawings(job).items():
        used = {entity.dxf.layer for entity in drawing.modelspace()}
        assert used <= TYPES | GROUPS, name
        own = {layer.dxf.name for layer in drawing.layers} - {"0", "Defpoints", "DEFPOINTS"}
        assert own == used, name


def test_cut_lines_are_closed_polylines_with_arcs(job: JobFolder) -> None:
    """One outline a part, one more around film, and one an opening: counted from the sheets."""
    for group in job.groups:
        for sheet in group.sheets:
            drawing = filemanagement.read(
                io.StringIO(job.files[f"cut/{group.key}-{sheet.cut}.dxf"].decode("cp1252"))
            )
            cuts = [each for each in drawing.modelspace() if each.dxf.layer in CUTS]
            outlines = [each for each in cuts if isinstance(each, LWPolyline)]
            assert outlines == cuts
            assert all(each.closed for each in outlines)
            parts = [group.parts[placed.name] for placed in sheet.placed]
            openings = sum(len(part.holes.contours) for part in parts if part.holes)
            around = 2 if group.role == "film" else 1
            assert len(cuts) == around * len(parts) + openings
            for polyline in outlines:
                bulges = [bulge for *_, bulge in polyline.get_points("xyb")]
                assert any(bulges), "corners are round, so every contour has arcs"
