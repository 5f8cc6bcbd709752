"""Readings as instruments and people leave them: tabs, UTF-16, CxF, contradictions, wrong scale.

CxF: element names of ISO 17972-1 (from memory). CGATS: as in ``test_readings``.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from layouts.terms.errors import InputError
from render.color.readings import Readings, parse_readings
from render.color.verdict import judge
from tests.color.test_verdict import PATCHES
from tests.helpers.command import run
from tests.helpers.pdf_system import PROFILES, cmyk_profile
from tests.helpers.readings import CGATS, CXF
from tests.helpers.shop_jobs import painted, separations


def labs(found: Readings) -> dict[str, tuple[float, float, float]]:
    return {each.name: (each.lab.lightness, each.lab.a, each.lab.b) for each in found.rows}


RED = {"safety red": (41.5, 58.8, 41.9)}


def test_tabs_part_names_without_quotes() -> None:
    text = CGATS.replace('A1 "safety red" 41.50 58.80 41.90', "A1\tsafety red\t41.50\t58.80\t41.90")
    assert labs(parse_readings(text.encode(), "r.txt")).items() >= RED.items()


@pytest.mark.parametrize("encoding", ["utf-16", "utf-8-sig"])
def test_other_encodings_are_read(encoding: str) -> None:
    assert labs(parse_readings(CGATS.encode(encoding), "r.txt")).items() >= RED.items()


def test_cxf_is_read() -> None:
    assert labs(parse_readings(CXF.encode(), "r.cxf")) == RED


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (CXF.replace("ColorCIELab", "ReflectanceSpectrum"), "no object with a CIELab color"),
        (CXF[:200], "not XML"),
        ("<svg/>", "XML of another kind"),
    ],
)
def test_what_is_no_cxf_is_refused_by_name(text: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        parse_readings(text.encode(), "r.cxf")


def test_xyz_of_zero_to_one_is_told() -> None:
    text = "name,X,Y,Z\nsafety red,0.2212,0.1208,0.0292\n"
    with pytest.raises(InputError, match="XYZ of 0 to 1"):
        parse_readings(text.encode(), "r.csv")
    scaled = "name,X,Y,Z\nsafety red,22.12,12.08,2.92\n"
    assert labs(parse_readings(scaled.encode(), "r.csv"))["safety red"][0] == pytest.approx(
        41.3, abs=0.1
    )


def test_readings_that_disagree_are_told_and_do_not_pass() -> None:
    text = "name,L,a,b\nsafety red,56.34,59.08,42.05\nsafety red,26.34,59.08,42.05\n"
    verdict = judge(parse_readings(text.encode(), "r.csv"), PATCHES)
    assert "readings-disagree" in [each.code for each in verdict.findings]
    assert not verdict.passed


def test_a_name_against_its_id_is_told() -> None:
    first, second = PATCHES[0], PATCHES[1]
    text = f"name,id,L,a,b\n{first.name},{second.id},41.3,59.1,42.1\n"
    verdict = judge(parse_readings(text.encode(), "r.csv"), PATCHES)
    (found,) = [each for each in verdict.findings if each.code == "reading-contradicts"]
    assert first.name in found.what
    assert second.name in found.what


def test_the_target_follows_the_shops_way_to_the_press(tmp_path: Path) -> None:
    cmyk_profile()
    shop, target = tmp_path / "shop.toml", tmp_path / "target.pdf"
    head = f'[printer]\nprofile = "{PROFILES}/default_cmyk.icc"\ncondition = "FOGRA39"\n'
    shop.write_text(head + 'spots = "process"\n')
    assert run("colors", "--shop", shop, "--target", target).exit_code == 0
    assert "process" in painted(target.read_bytes())[""].inks
    assert "safety orange" not in separations(target.read_bytes())
    assert b"(FOGRA39)" in target.read_bytes()
    shop.write_text(head)
    assert run("colors", "--shop", shop, "--target", target, "--force").exit_code == 0
    assert "safety orange" in separations(target.read_bytes())
    assert b"/OutputIntents" in target.read_bytes()
