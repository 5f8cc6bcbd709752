"""Signs beside the pipes: the plant's own words and ratings, readable from where they are read."""

from __future__ import annotations

import json
import re
import subprocess
from pathlib import Path
from typing import Any

import pytest

from layouts.order.normal import order_json
from layouts.order.safety_sign import SafetySign
from layouts.papers.placards.panel import Panel, SignSetters, draw_panel
from layouts.schemes.door_signs import build_signs
from layouts.schemes.loader import load_scheme, load_signs
from layouts.terms.errors import InputError
from layouts.terms.units import MM_PER_INCH
from layouts.terms.words import SignKind
from render.read import read
from render.read.fonts import default_typefaces
from tests.helpers.command import everything, run
from tests.helpers.paper_reading import words

MARKER = """title = "Signs"
[[markers]]
service = "HTRS"
state = "both"
pressure = "30 psig"
flow = "left"
pipe = "NPS 4"
covering = "1.5 in"
line = "HTRS-1"
"""
ALARM = "Horn and blue light mean ammonia in this room. Do not enter. Call the supervisor."
STEPS = ["Call the refrigeration lead.", "Close HV-101 clockwise.", "Leave by the east door."]
SIGNS: list[dict[str, Any]] = [
    {"kind": "refrigerant", "text": "Anhydrous ammonia (R-717)", "area": "Engine room"},
    {"kind": "restricted-entry", "area": "Engine room"},
    {"kind": "alarm", "text": ALARM, "area": "Engine room"},
    {"kind": "emergency-stop", "text": "Stops all compressors"},
    {"kind": "nfpa-704", "health": 3, "fire": 1, "instability": 0, "special": "W"},
    {"kind": "king-valve", "text": "HV-101", "steps": STEPS},
]
BARE = {"kind": "nfpa-704", "area": "Roof"}


def order_file(tmp_path: Path, *signs: dict[str, Any]) -> Path:
    """An order file with these signs; a JSON value is a TOML value for texts, numbers and lists."""
    tables = (
        "[[signs]]\n" + "".join(f"{key} = {json.dumps(value)}\n" for key, value in sign.items())
        for sign in signs
    )
    path = tmp_path / "order.toml"
    path.write_text(MARKER + "".join(tables), encoding="utf-8")
    return path


def made(tmp_path: Path, *signs: dict[str, Any]) -> Path:
    result = run("order", order_file(tmp_path, *signs), "-o", tmp_path / "job")
    assert result.exit_code == 0, result.output
    return tmp_path / "job"


def closed(text: str) -> str:
    """The text without blanks, of which a reader of pictures loses some."""
    return "".join(text.split())


def panel(**fields: Any) -> Panel:
    setters = SignSetters(default_typefaces())
    sign = SafetySign.model_validate(fields)
    found = draw_panel(sign, load_signs(), load_scheme(), setters)
    assert found is not None
    return found


def test_every_sign_is_a_page_of_its_own_with_the_plants_words(tmp_path: Path) -> None:
    signs = made(tmp_path, *SIGNS) / "signs"
    names = sorted(path.name for path in signs.iterdir())
    assert names == [
        "01-refrigerant-engine-room.pdf",
        "02-restricted-entry-engine-room.pdf",
        "03-alarm-engine-room.pdf",
        "04-emergency-stop.pdf",
        "05-nfpa-704.pdf",
        "06-king-valve.pdf",
        "signs.pdf",
    ]
    read_off = words((signs / "03-alarm-engine-room.pdf").read_bytes(), 1, 600.0)
    assert closed(ALARM) in closed(read_off)
    placard = words((signs / "06-king-valve.pdf").read_bytes(), 1, 600.0)
    for number, step in enumerate(STEPS, 1):
        assert closed(f"{number}. {step}") in closed(placard)


def test_a_sign_is_made_at_its_full_size_with_its_trim(tmp_path: Path) -> None:
    sign = {"kind": "restricted-entry", "width": "18 in", "height": "12 in"}
    path = made(tmp_path, sign) / "signs" / "01-restricted-entry.pdf"
    told = subprocess.run(
        ["pdfinfo", "-box", str(path)], check=True, capture_output=True, text=True
    ).stdout
    found = re.search(r"TrimBox:\s+([\d.]+)\s+([\d.]+)\s+([\d.]+)\s+([\d.]+)", told)
    assert found is not None
    left, low, right, high = map(float, found.groups())
    assert (right - left, high - low) == pytest.approx((18 * 72, 12 * 72), abs=0.02)  # points


def test_large_words_read_from_20_ft_and_steps_from_10() -> None:
    # ANSI Z535.2-2011, 9.2.3: capitals of at least 1/300 of the distance (second-hand).
    for fields in SIGNS:
        for each in panel(**fields).words:
            far = 10 if each.what == "steps" else 20
            assert each.size is not None
            assert each.size >= far * 12 * MM_PER_INCH / 300 - 1e-9


def test_a_diamond_shows_the_plants_ratings(tmp_path: Path) -> None:
    paper = (made(tmp_path, SIGNS[4]) / "signs" / "signs.pdf").read_bytes()
    assert "Health 3, fire 1, instability 0, special W" in words(paper, 1)


def test_no_diamond_without_ratings_and_the_paper_says_so(tmp_path: Path) -> None:
    job = made(tmp_path, BARE, SIGNS[1])
    assert [path.name for path in sorted((job / "signs").iterdir())] == [
        "02-restricted-entry-engine-room.pdf",
        "signs.pdf",
    ]
    paper = words((job / "signs" / "signs.pdf").read_bytes(), 1)
    assert "not made: the plant gave no ratings, and none is assumed" in paper
    result = run("check", order_file(tmp_path, BARE))
    assert "sign-without-ratings" in result.output


@pytest.mark.parametrize("rating", [-1, 5, 33, 2.5, "three", True])
@pytest.mark.parametrize("field", ["health", "fire", "instability"])
def test_a_rating_outside_0_to_4_is_refused(tmp_path: Path, field: str, rating: object) -> None:
    # NFPA 704 rates from 0 to 4 (from memory).
    path = order_file(tmp_path, {**SIGNS[4], field: rating})
    result = run("order", path, "-o", tmp_path / "job")
    assert result.exit_code == 2
    assert f"signs 1, {field}" in result.output
    assert not (tmp_path / "job").exists()


@pytest.mark.parametrize(
    ("sign", "field"),
    [
        ({"kind": "alrm", "text": "x"}, "kind"),
        ({"kind": "alarm"}, "text"),
        ({"kind": "refrigerant"}, "text"),
        ({"kind": "king-valve", "text": "HV-101"}, "steps"),
        ({"kind": "king-valve", "steps": STEPS}, "text"),
        ({"kind": "king-valve", "text": "HV-101", "steps": ["Do it."] * 13}, "steps"),
        ({"kind": "alarm", "text": "x", "steps": STEPS}, "steps"),
        ({"kind": "alarm", "text": "x", "health": 3}, "health"),
        ({"kind": "nfpa-704", "health": 3, "fire": 1}, "instability"),
        ({"kind": "nfpa-704", "health": 3, "fire": 1, "instability": 0, "special": "Q"}, "special"),
        ({"kind": "alarm", "text": "x", "width": "0 in"}, "width"),
        ({"kind": "alarm", "text": "x", "height": "97 in"}, "height"),
        ({"kind": "alarm", "text": "x", "hight": "3 in"}, "hight"),
    ],
)
def test_a_faulty_sign_is_told_by_its_field(
    tmp_path: Path, sign: dict[str, Any], field: str
) -> None:
    result = run("check", order_file(tmp_path, SIGNS[1], sign))
    assert result.exit_code == 2
    assert f"signs 2, {field}" in result.output


def test_words_without_room_keep_the_job_from_being_printed(tmp_path: Path) -> None:
    small = {**SIGNS[2], "width": "8 in", "height": "6 in"}
    accept = '[[accept]]\ncode = "sign-too-small"\nreason = "it is read from near"\n'
    order = order_file(tmp_path, small)
    order.write_text(order.read_text() + accept)
    result = run("order", order, "-o", tmp_path / "job")
    assert result.exit_code == 2  # nobody can accept a sign without its words
    assert "sign-too-small" in result.output
    assert not (tmp_path / "job").exists()


def test_a_letter_that_no_typeface_has_is_told(tmp_path: Path) -> None:
    result = run("check", order_file(tmp_path, {"kind": "refrigerant", "text": "\u6c28 ammonia"}))
    assert "sign-letter-missing" in result.output


def test_signs_stay_in_the_orders_normal_form(tmp_path: Path) -> None:
    first = read(order_file(tmp_path, *SIGNS, BARE)).order
    assert first is not None
    written = tmp_path / "again.json"
    written.write_bytes(order_json(first))
    again = read(written).order
    assert again is not None
    assert again.signs == first.signs
    assert order_json(again) == written.read_bytes()


def test_an_order_without_signs_is_made_as_before(tmp_path: Path) -> None:
    (tmp_path / "plain").mkdir()
    (tmp_path / "signed").mkdir()
    plain = everything(made(tmp_path / "plain"))
    signed = everything(made(tmp_path / "signed", *SIGNS))
    assert not any(name.startswith("signs") for name in plain)
    assert b"signs" not in plain["order.json"]
    added = {name for name in signed if name.startswith("signs")}
    changed = {name for name in plain if plain[name] != signed[name]}
    assert set(signed) == set(plain) | added
    assert changed == {"order.json", "manifest.json"}


def test_the_largest_sign_is_made(tmp_path: Path) -> None:
    large = {"kind": "restricted-entry", "width": "96 in", "height": "96 in"}
    assert (made(tmp_path, large) / "signs" / "01-restricted-entry.pdf").exists()


def test_a_reprint_makes_no_sign_again(tmp_path: Path) -> None:
    job = made(tmp_path, *SIGNS)
    result = run("reprint", job, "HTRS-1", "-o", tmp_path / "again")
    assert result.exit_code == 0, result.output
    assert (tmp_path / "again" / "order.json").exists()
    assert not (tmp_path / "again" / "signs").exists()


def test_every_kind_has_its_source_and_its_form() -> None:
    forms = load_signs().forms
    assert set(forms) == set(SignKind)
    assert all(form.source and form.status for form in forms.values())


def test_a_table_without_a_kind_is_refused() -> None:
    with pytest.raises(InputError, match="the kind alarm is missing"):
        build_signs({"diamond": {"quarter_in_figures": 2.5}}, "x.toml")
