"""Ids of faces once made stay: plants file their markers, approvals and reprints under them."""

from __future__ import annotations

import pytest
from pydantic import TypeAdapter

from layouts.face import compose
from layouts.order.order import Specification
from layouts.plan import plan
from layouts.schemes.loader import load_scheme
from render.read.fonts import default_typefaces

PIPE = {"service": "HPL", "state": "liquid", "pressure": "185 psig", "covering": 0, "flow": "right"}


@pytest.mark.parametrize(
    ("fields", "name"),
    [
        ({**PIPE, "kind": "pipe", "pipe": "NPS 4"}, "21988F693FD48CEC"),
        ({**PIPE, "kind": "pipe", "pipe": "NPS 1-1/4", "wrap": True}, "25D2AB9287AA78CA"),
        (
            {
                **PIPE,
                "kind": "pipe",
                "service": "HSD",
                "state": "vapor",
                "pipe": "NPS 4",
                "environment": {"surface": "190 F"},
            },
            "B6B9484385075913",
        ),
        ({"kind": "equipment", "name": "Evaporator", "tag": "E-1"}, "F49E9B859681FA18"),
        ({"kind": "valve", "tag": "HV-1"}, "E492D4F4B998275F"),
    ],
)
def test_the_id_of_a_face_depends_on_its_design_only(fields: dict[str, object], name: str) -> None:
    spec: Specification = TypeAdapter(Specification).validate_python(fields)
    (made,), _ = plan(spec, {"ammonia-2014": load_scheme("ammonia-2014")}, "ammonia-2014")
    assert compose(made.design, default_typefaces()).id == name
