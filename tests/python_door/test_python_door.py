"""`import pipelegend`: the same markers as the command, in the words of the command."""

from __future__ import annotations

import doctest
import tomllib
import xml.etree.ElementTree as ET
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

import pipelegend
from tests.helpers.command import MARKER, PIPE, VALVE, everything, run, write_list

if TYPE_CHECKING:
    from render.one_marker import Drawing

TOP = Path(__file__).resolve().parents[2]


def suction() -> Drawing:
    return pipelegend.marker(
        "HTRS", state="both", psig=30, pipe="NPS 4", covering="1.5in", flow="left"
    )


@pytest.fixture
def at_top(monkeypatch: pytest.MonkeyPatch) -> None:
    """The examples name files from the top folder."""
    monkeypatch.chdir(TOP)


@pytest.mark.usefixtures("at_top")
def test_the_examples_run_as_they_are_printed() -> None:
    result = doctest.testmod(pipelegend)
    assert result.attempted >= 10
    assert result.failed == 0


@pytest.mark.parametrize("suffix", [".pdf", ".svg", ".dxf", ".png"])
def test_a_marker_has_the_bytes_of_the_command(suffix: str, tmp_path: Path) -> None:
    assert run(*MARKER, "-o", tmp_path / f"m{suffix}").exit_code == 0
    drawn = suction()
    made = {".pdf": drawn.pdf, ".svg": drawn.svg, ".dxf": drawn.dxf, ".png": drawn.png}[suffix]()
    assert made == (tmp_path / f"m{suffix}").read_bytes()


def test_a_face_is_its_own_size_and_holds_nothing_else() -> None:
    drawn = suction()
    face = ET.fromstring(drawn.face_svg())
    width, height = drawn.size
    # Units and viewBox as SVG 1.1 second edition has them (7.10 and 7.7).
    assert (face.get("width"), face.get("height")) == (f"{width:g}mm", f"{height:g}mm")
    layers = [each.get("data-layer") for each in face if each.get("data-layer")]
    assert layers == ["Print"]
    assert len(drawn.face_svg()) < len(drawn.svg()) / 8


def test_both_sides_are_two_markers() -> None:
    drawn = pipelegend.marker(
        "HPL", state="liquid", psig=185, pipe="NPS 2", covering=0, flow="right", side="both"
    )
    assert {each.plan.hand for each in drawn.markers} == {"left-hand", "right-hand"}
    assert len(drawn.markers) == 2


def test_findings_name_the_words_of_the_call() -> None:
    with pytest.raises(pipelegend.InputError) as caught:
        pipelegend.marker("HTRS")
    fields = {each.place.field for each in caught.value.findings}
    assert fields == {"state", "psig", "flow", "pipe"}
    told = " ".join(each.right for each in caught.value.findings)
    assert "covering_in" not in told
    assert "pressure_psig" not in told


def test_an_unknown_word_is_refused_with_the_nearest() -> None:
    with pytest.raises(TypeError, match="takes no 'covring'; did you mean covering"):
        pipelegend.marker("HTRS", covring=1)  # type: ignore[call-arg]
    with pytest.raises(TypeError, match="an order takes no 'plates'; did you mean plate"):
        pipelegend.check("list.csv", plates="x")  # type: ignore[call-arg]


def test_a_marker_that_may_not_be_printed_is_blocked() -> None:
    with pytest.raises(pipelegend.BlockedError) as caught:
        pipelegend.equipment("Receiver", tag="HPR-1", psig=185, level="low")
    assert [each.code for each in caught.value.findings] == ["level-conflict"]


def test_check_and_order_count_the_same(tmp_path: Path) -> None:
    path = write_list(tmp_path / "list.csv", [{**PIPE, "qty": "3", "side": "both"}, VALVE])
    checked = pipelegend.check(path)
    job = pipelegend.order(path, tmp_path / "job")
    assert checked.markers == sum(marker.quantity for marker in job.markers) == 7
    assert everything(tmp_path / "job").keys() >= job.files.keys()
    with pytest.raises(pipelegend.OutputError, match="already exists"):
        pipelegend.order(path, tmp_path / "job")


def test_the_version_is_that_of_the_package() -> None:
    project = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))
    assert pipelegend.__version__ == project["project"]["version"]


def test_every_public_name_is_there() -> None:
    assert all(hasattr(pipelegend, name) for name in pipelegend.__all__)
