"""Shop set-ups: a shop's file, a short list, and the job folder that the command makes of them."""

from __future__ import annotations

import csv
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from tests.helpers.command import PIPE, VALVE, VESSEL, run, write_list
from tests.helpers.shop_jobs import (
    CutFile,
    cut_file,
)

Box = tuple[float, float, float, float]
ROWS = [
    {**PIPE, "qty": "3"},
    {"kind": "pipe", "service": "BS", "state": "vapor", "pressure_psig": "2", "flow": "right"}
    | {"pipe": "NPS 8", "covering_in": "0", "surface_f": "20", "frost_in": "1.5", "qty": "2"},
    {"kind": "pipe", "service": "HSD", "state": "vapor", "pressure_psig": "181", "flow": "right"}
    | {"pipe": "NPS 6", "covering_in": "0", "environment": "outdoor", "surface_f": "200"},
    VESSEL,
    VALVE,
    {"kind": "valve", "tag": "HV-101", "service": "LSS", "emergency": "yes", "drawing": "R-1"},
]
STOCK = """
[[stocks]]
key = "own"
title = "own stock"
form = "{form}"
width = "{width}"
length = "{length}"
{more}
"""


def stock(more: str = "", form: str = "roll", width: str = "30 in", length: str = "50 yd") -> str:
    return STOCK.format(form=form, width=width, length=length, more=more)


@dataclass(frozen=True)
class Made:
    """A job folder on disk."""

    folder: Path
    said: str

    def pdf(self, group: str = "film-2") -> bytes:
        return (self.folder / "print" / f"{group}.pdf").read_bytes()

    def dxf(self, name: str = "film-2-1") -> CutFile:
        return cut_file(self.folder / "cut" / f"{name}.dxf")

    def names(self, folder: str) -> list[str]:
        return sorted(path.name for path in (self.folder / folder).iterdir())

    def bill(self) -> dict[tuple[str, str], dict[str, str]]:
        with (self.folder / "materials.csv").open(newline="") as stream:
            return {(row["material"], row["item"]): row for row in csv.DictReader(stream)}


Row = Mapping[str, str]


def make(tmp_path: Path, shop: str, *arguments: str, rows: Sequence[Row] = ()) -> Made:
    file = tmp_path / "shop.toml"
    file.write_text(shop)
    listed = write_list(tmp_path / "list.csv", rows or ROWS)
    done = run("order", listed, "-o", tmp_path / "job", "--shop", file, *arguments)
    assert done.exit_code == 0, done.output
    return Made(tmp_path / "job", done.output)


OWN = ("--film", "own")
Check = Callable[[Made], None]


@dataclass(frozen=True)
class Setup:
    """A shop's file, how the job is ordered, and what its files must hold."""

    name: str
    shop: str
    check: Check
    arguments: tuple[str, ...] = OWN
    rows: Sequence[Row] = tuple(ROWS)
