"""Findings name the marker that they are about, as the list's reader would."""

from __future__ import annotations

import pytest

from layouts.order.order import EquipmentMarker, PipeMarker, Specification, ValveTag
from layouts.plan import plan, spec_name
from layouts.schemes.loader import load_scheme


@pytest.mark.parametrize(
    ("spec", "name"),
    [
        (PipeMarker(service="hpl"), "HPL"),
        (PipeMarker(service="hpl", legend="Liquid"), "HPL Liquid"),
        (PipeMarker(service="hpl", contents="NH3"), "HPL AMMONIA"),
        (PipeMarker(contents="NH3 supply"), "AMMONIA SUPPLY"),
        (PipeMarker(contents="soap"), "soap"),
        (PipeMarker(), ""),
        (EquipmentMarker(kind="equipment", tag="c-1", name="Compressor"), "C-1 COMPRESSOR"),
        (EquipmentMarker(kind="equipment", name="Compressor"), "COMPRESSOR"),
        (ValveTag(kind="valve", tag="hv-1"), "HV-1"),
    ],
)  # fmt: skip
def test_the_name_of_a_marker(spec: Specification, name: str) -> None:
    assert spec_name(spec) == name
    _, findings = plan(spec, {"ammonia-2014": load_scheme("ammonia-2014")}, "ammonia-2014")
    assert {each.place.marker for each in findings} <= {name}
    assert findings or name in ("C-1 COMPRESSOR", "COMPRESSOR", "HV-1")
