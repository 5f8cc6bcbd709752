"""A second color of the contents stands behind the arrows."""

from __future__ import annotations

import pytest

from layouts.drawing.inks import contrast
from layouts.face import compose
from layouts.order.order import PipeMarker
from layouts.plan import MarkerPlan, plan
from layouts.schemes.loader import load_scheme
from layouts.schemes.model import ElementKind
from layouts.terms.findings import Severity
from render.read.fonts import default_typefaces

SCHEMES = {"din-2403": load_scheme("din-2403")}


def planned(contents: str, **fields: object) -> tuple[MarkerPlan, list[tuple[str, Severity]]]:
    base = {"contents": contents, "pipe": "NPS 4", "covering": 0, "flow": "right"}
    (made,), findings = plan(PipeMarker.model_validate({**base, **fields}), SCHEMES, "din-2403")
    return made, [(finding.code, finding.severity) for finding in findings]


@pytest.mark.parametrize(
    ("contents", "field", "second"),
    [
        # TRGS 201 Annex 3 (public, 2014 grouping): groups 4, 5 and 8; 1 has no second color
        ("NATURAL GAS", "safety yellow", "safety red"),
        ("NITROGEN", "safety yellow", "black"),
        ("FUEL OIL", "safety brown", "safety red"),
        ("WATER", "safety green", None),
    ],
)
def test_colors_behind_the_arrows(contents: str, field: str, second: str | None) -> None:
    made, found = planned(contents)
    assert found == []
    assert made.design.field.name == field
    (line,) = made.design.lines
    ends = [element for element in line if element.kind is ElementKind.ARROW]
    assert [each.field.name if each.field else None for each in ends] == [second, second]
    # whatever it stands on, the arrow can be told from it (WCAG 2.1, 1.4.3 as a yardstick)
    assert all(contrast(each.ink.lab, (each.field or made.design.field).lab) > 4.5 for each in ends)


def test_the_band_is_drawn_to_the_ends_of_the_face() -> None:
    face = compose(planned("NATURAL GAS")[0].design, default_typefaces())
    boxes = [
        shape.path.bounds()
        for shape in face.parts[0].art
        if shape.ink is not None and shape.ink.name == "safety red"
    ]
    assert len(boxes) == 2
    left, right = sorted(boxes, key=lambda box: box.x)
    assert left.x < 0
    assert right.right > face.measures.length


def test_without_an_arrow_it_cannot_be_shown() -> None:
    _, found = planned("NATURAL GAS", flow="none")
    assert ("second-color-hidden", Severity.WARNING) in found
    assert "second-color-hidden" not in dict(planned("WATER", flow="none")[1])


def test_what_the_plant_must_settle_is_said() -> None:
    spec = PipeMarker.model_validate({"pipe": "NPS 4", "covering": 0, "flow": "right"})
    plans, (finding,) = plan(spec, SCHEMES, "din-2403")
    assert plans == ()
    assert (finding.code, finding.severity) == ("contents-unsettled", Severity.UNREADABLE)
    assert finding.place.field == "contents"
    assert "groups 4 (combustible gas), 5 (other gas) and 7 (alkali)" in finding.what
    assert "extends din-2403" in finding.right
