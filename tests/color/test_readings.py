"""Readings of a target in the forms that instruments export.

The text form follows CGATS.17-2009 / ISO 28178:2009 (cited from memory, keywords compared with
the reader of Little CMS).
"""

from collections.abc import Iterable
from pathlib import Path

import pytest

from layouts.drawing.inks import Lab
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Severity
from render.color.facts import color_facts
from render.color.readings import parse_readings, read_readings
from tests.helpers.color_reference import colour
from tests.helpers.readings import CGATS


def cgats(**changes: tuple[str, str]) -> bytes:
    text = CGATS
    for old, new in changes.values():
        assert old in text
        text = text.replace(old, new)
    return text.encode()


def codes(findings: Iterable[Finding]) -> list[str]:
    return [finding.code for finding in findings]


def faults(data: bytes, file: str = "readings.txt") -> tuple[Finding, ...]:
    with pytest.raises(InputError) as caught:
        parse_readings(data, file)
    return caught.value.findings


def test_text_with_all_stated() -> None:
    found = parse_readings(CGATS.encode(), "readings.txt")
    assert [(each.id, each.name, each.row) for each in found.rows] == [
        ("A1", "safety red", 13),
        ("A2", "safety yellow", 14),
    ]
    assert found.rows[0].lab == Lab(41.5, 58.8, 41.9)
    assert found.notes == ()


@pytest.mark.parametrize("geometry", ["45/0", "0/45", "45:0", "0:45c", "45°:0°", "0°/45°"])
def test_the_directional_geometries_are_taken(geometry: str) -> None:
    assert parse_readings(cgats(g=("45/0", geometry)), "r").notes == ()


@pytest.mark.parametrize("geometry", ["d/8", "sphere, specular included", "d:8", "0/0"])
def test_other_geometries_are_refused(geometry: str) -> None:
    (fault,) = faults(cgats(g=("45/0", geometry)))
    assert fault.code == "readings-geometry"
    assert geometry in fault.what


def test_what_is_not_stated_is_said() -> None:
    lines = [line for line in CGATS.splitlines() if not line.startswith(("MEAS", "WEIGHT"))]
    found = parse_readings("\n".join(lines).encode(), "r")
    assert codes(found.notes) == [
        "readings-geometry-assumed",
        "readings-illuminant-assumed",
        "readings-observer-assumed",
    ]
    assert {note.severity for note in found.notes} == {Severity.NOTE}


def test_one_line_of_conditions_as_some_instruments_write_it() -> None:
    line = 'MEASUREMENT_SOURCE "Illumination=D65 ObserverAngle=10 Filter=Pol"'
    head = "\n".join(each for each in CGATS.splitlines() if not each.startswith("WEIGHT"))
    text = head.replace('ORIGINATOR "an invented instrument"', line)
    assert codes(faults(text.encode())) == ["readings-observer", "readings-polarized"]


@pytest.mark.parametrize("name", ["D65", "C", "A"])
def test_another_illuminant_is_converted_openly(name: str) -> None:
    """Against colour-science: Lab under the illuminant, to XYZ, Bradford to D50, to Lab."""
    found = parse_readings(cgats(i=("ILLUMINANT,D50", f"ILLUMINANT,{name}")), "r")
    assert codes(found.notes) == ["readings-converted"]
    assert name in found.notes[0].what
    held = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]
    xyz = colour.Lab_to_XYZ([41.5, 58.8, 41.9], held[name])
    moved = colour.adaptation.chromatic_adaptation_VonKries(
        xyz, colour.xy_to_XYZ(held[name]), colour.xy_to_XYZ(held["D50"]), transform="Bradford"
    )
    wanted = colour.XYZ_to_Lab(moved, held["D50"])
    lab = found.rows[0].lab
    # The whites of CIE 15 are given to five digits, chromaticities to four or five.
    assert (lab.lightness, lab.a, lab.b) == pytest.approx(wanted, abs=0.03)


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ("ILLUMINANT,D50", "ILLUMINANT,F11", "readings-illuminant"),
        ("OBSERVER,2 degree", "OBSERVER,10 degree", "readings-observer"),
        ('MEASUREMENT_GEOMETRY "45/0"', 'MEASUREMENT_CONDITION "M3"', "readings-polarized"),
        ('ORIGINATOR "an invented instrument"', 'POLARIZATION "yes"', "readings-polarized"),
    ],
)
def test_what_cannot_be_converted_is_refused(old: str, new: str, code: str) -> None:
    assert codes(faults(cgats(c=(old, new)))) == [code]


def test_xyz_readings() -> None:
    """XYZ of the perfect white under D50 is Lab 100, 0, 0; half its Y is L 76.07 (CIE 15)."""
    x, y, z = color_facts().whites["D50"].xyz
    data = f"name;X;Y;Z\nwhite;{x};{y};{z}\nhalf;{x / 2};{y / 2};{z / 2}\n".replace(".", ",")
    white, half = (each.lab for each in parse_readings(data.encode(), "r.csv").rows)
    assert (white.lightness, white.a, white.b) == pytest.approx((100, 0, 0), abs=1e-9)
    assert half.lightness == pytest.approx(76.07, abs=0.005)


HEADS = ("illuminant", "observer", "geometry")


@pytest.mark.parametrize(
    "lines",
    [
        (",".join(("ink", "L*", "a*", "b*", *HEADS)), "safety red,41.5,58.8,41.9,D50,2,45/0"),
        (
            ";".join(("Patch", "LAB_L", "LAB_A", "LAB_B", *HEADS)),
            "safety red;41,5;58,8;41,9;D50;2°;45:0",
        ),
        (
            "\t".join(("\ufeffName", "L", "a", "b", *HEADS)),
            "",
            "safety red\t41.5\t58.8\t41.9\tD50\t2\t0/45",
        ),
    ],
)
def test_csv_in_three_habits(lines: tuple[str, ...]) -> None:
    found = parse_readings("\n".join(lines).encode(), "r.csv")
    assert [(each.name, each.lab) for each in found.rows] == [("safety red", Lab(41.5, 58.8, 41.9))]
    assert found.notes == ()


def test_every_bad_row_is_named_at_once() -> None:
    data = b"name,L,a,b\nred,41.5,58.8,41.9\nblue,x,1,2\ngreen,40\nwhite,180,0,0\ngray,nan,0,0\n"
    found = faults(data, "r.csv")
    assert [(each.place.row, each.place.field) for each in found] == [
        (3, "l"),
        (4, ""),
        (5, ""),
        (6, ""),
    ]
    assert "'x' is not a number" in found[0].what
    assert "has 2 values" in found[1].what


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "is empty"),
        (b"name,L,a,b\n", "holds no readings"),
        (b"L,a,b\n1,2,3\n", "which patch"),
        (b"name,nm400,nm410\nred,0.1,0.2\n", "neither Lab nor XYZ"),
        (b"name,L,a,b,geometry\nx,1,2,3,45/0\ny,1,2,3,d/8\n", "rows of different geometry"),
        (CGATS.replace("END_DATA\n", "").encode(), "cut short"),
        (CGATS.replace("A2", "# A2").encode(), "announces 2 readings and holds 1"),
        ((CGATS + CGATS).encode(), "2 tables"),
        (bytes(range(256)), "which patch"),
        (b"name,L,a,b\n" + b"x" * 200000 + b",1,2,3\n", "not a table of readings"),
    ],
)
def test_files_that_cannot_be_used(data: bytes, said: str) -> None:
    assert any(said in fault.what for fault in faults(data))


def test_from_a_file(tmp_path: Path) -> None:
    path = tmp_path / "shop readings.txt"
    path.write_bytes(CGATS.encode())
    assert read_readings(path).file == "shop readings.txt"
    with pytest.raises(InputError, match=r"none\.txt: cannot be read"):
        read_readings(tmp_path / "none.txt")
