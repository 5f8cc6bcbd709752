"""A small invented plant, its job folder on disk as a shop would keep it, and lists to compare."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

import pytest

from layouts.markers.content import Content, content_of, proof_json
from layouts.order.order import Order
from layouts.schemes.loader import load_scheme
from render.files.atomic import manifest, write_folder
from render.job import JobFolder, build
from render.options import Options
from render.shop.shopfile import load_shop

Row = Mapping[str, object]
OPTIONS = Options(load_shop())

SUCTION: Row = {
    "spec": {
        "kind": "pipe",
        "service": "HTRS",
        "state": "both",
        "pressure": "30 psig",
        "flow": "left",
        "pipe": "NPS 4",
        "covering": "1-1/2 in",
    },
    "positions": [{"qty": 3, "area": "Freezer 1", "line": "HTRS-4-201", "location": "bay 2"}],
}
LIQUID: Row = {
    "spec": {
        "kind": "pipe",
        "service": "HPL",
        "state": "liquid",
        "pressure": "185 psig",
        "flow": "right",
        "pipe": "NPS 2",
        "covering": "0 in",
        "side": "both",
    },
    "positions": [
        {"qty": 2, "area": "Engine room", "line": "HPL-2-101", "from": "HPR-1", "to": "IC-1"}
    ],
}
DISCHARGE: Row = {
    "spec": {
        "kind": "pipe",
        "service": "HSD",
        "state": "vapor",
        "pressure": "181 psig",
        "flow": "right",
        "pipe": "NPS 6",
        "covering": "0 in",
        "environment": {"setting": "outdoor", "surface": "200 F"},
    },
    "positions": [{"qty": 4, "area": "Roof", "line": "HSD-6-103"}],
}
KING: Row = {
    "spec": {"kind": "valve", "tag": "HV-118", "function": "King valve", "emergency": True},
    "positions": [{"qty": 1, "area": "Engine room"}],
}
RECEIVER: Row = {
    "spec": {"kind": "equipment", "name": "High pressure receiver", "tag": "HPR-1"},
    "positions": [{"qty": 1, "area": "Engine room"}],
}
ROWS = (SUCTION, LIQUID, DISCHARGE, KING, RECEIVER)


def order_of(rows: Sequence[Row] = ROWS, **head: object) -> Order:
    fields = {"title": "Markers", "plant": "Example Ridge Cold Store", "revision": "A", **head}
    return Order.model_validate({**fields, "items": list(rows)})


def with_spec(row: Row, /, **fields: object) -> Row:
    spec = row["spec"]
    assert isinstance(spec, dict)
    return {**row, "spec": {**spec, **fields}}


def with_place(row: Row, /, **fields: object) -> Row:
    positions = row["positions"]
    assert isinstance(positions, list)
    return {**row, "positions": [{**position, **fields} for position in positions]}


def content(job: JobFolder) -> Content:
    return content_of(job.markers, job.findings, {"ammonia-2014": load_scheme("ammonia-2014")})


def kept(job: JobFolder, folder: Path) -> Path:
    """The job folder on disk with what its proof approves."""
    files = {name: data for name, data in job.files.items() if name != "manifest.json"}
    files["proof.json"] = proof_json(content(job))
    write_folder(folder, {**files, "manifest.json": manifest(files)}, replace=False)
    return folder


@pytest.fixture(scope="session")
def job() -> JobFolder:
    return build(order_of(), OPTIONS)


@pytest.fixture(scope="session")
def folder(job: JobFolder, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return kept(job, tmp_path_factory.mktemp("keeping") / "job-a")
