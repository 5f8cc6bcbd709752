"""Registers of valves: what the list has, each valve once, nothing made up."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest

from tests.helpers.command import run, write_list

MACHINE = {"kind": "equipment", "tag": "HPR-1", "legend": "Receiver", "level": "high"}
OTHER = {"kind": "equipment", "tag": "HPR-11", "legend": "Receiver", "level": "high"}
RELIEF = {
    "kind": "valve",
    "tag": "SRV-101",
    "function": "HPR-1 relief valve",
    "valve_size": "3/4x1",
    "set_pressure_psig": "300",
    "replace_by": "2029-05-31",
    "area": "Engine room",
}
SEALED = {"kind": "valve", "tag": "HV-2", "normal_position": "CSO", "function": "Equalizer"}
LOCKOUT = {"kind": "valve", "tag": "HV-3", "lockout": "yes", "function": "HPR-1 outlet"}
PLAIN = {"kind": "valve", "tag": "HV-4", "normal_position": "NO", "function": "Relief manifold"}


def made(tmp_path: Path, *rows: dict[str, str]) -> Path:
    result = run("order", write_list(tmp_path / "list.csv", rows), "-o", tmp_path / "job")
    assert result.exit_code == 0, result.output
    return tmp_path / "job" / "registers"


def table(folder: Path, name: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO((folder / f"{name}.csv").read_text())))


def test_a_relief_valve_is_listed_with_what_the_list_gives(tmp_path: Path) -> None:
    bare = {**RELIEF, "tag": "SRV-102", "set_pressure_psig": "", "replace_by": ""}
    folder = made(tmp_path, RELIEF, bare, PLAIN)
    first, second = table(folder, "relief-valves")
    assert (first["Valve"], first["Set pressure"], first["Replace by"]) == (
        *("SRV-101", "300 psig"),
        "2029-05-31",
    )
    assert (second["Set pressure"], second["Replace by"]) == ("", "")


@pytest.mark.parametrize("position", ["LO", "LC", "CSO", "CSC"])
def test_sealed_and_locked_valves_have_a_register(tmp_path: Path, position: str) -> None:
    folder = made(tmp_path, {**SEALED, "normal_position": position}, PLAIN)
    assert [row["Valve"] for row in table(folder, "sealed-valves")] == ["HV-2"]


def test_lockout_points_stand_by_the_machine_that_the_list_names(tmp_path: Path) -> None:
    to_other = {**LOCKOUT, "tag": "HV-5", "function": "Drain", "to": "HPR-11"}
    nowhere = {**LOCKOUT, "tag": "HV-6", "function": "Drain"}
    folder = made(tmp_path, MACHINE, OTHER, LOCKOUT, to_other, nowhere)
    rows = [(row["Machine"], row["Valve"]) for row in table(folder, "lockout-points")]
    assert rows == [("HPR-1", "HV-3"), ("HPR-11", "HV-5"), ("no machine named", "HV-6")]


def test_a_list_without_such_valves_has_no_registers(tmp_path: Path) -> None:
    assert not made(tmp_path, PLAIN, MACHINE).exists()


def test_a_date_that_is_none_is_refused(tmp_path: Path) -> None:
    path = write_list(tmp_path / "list.csv", [{**RELIEF, "replace_by": "next spring"}])
    result = run("check", path)
    assert result.exit_code == 2
    assert "replace_by" in result.output


def test_a_set_pressure_that_is_none_is_refused(tmp_path: Path) -> None:
    path = write_list(tmp_path / "list.csv", [{**RELIEF, "set_pressure_psig": "high"}])
    assert run("check", path).exit_code == 2
