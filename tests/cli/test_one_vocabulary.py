"""The commands take the words of the list, and their findings name the option that was typed."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.helpers.command import MARKER, PIPE, everything, run, told, write_list


def with_words(**changed: str) -> list[str]:
    """The usual marker with other words behind its options."""
    words = list(MARKER)
    for name, value in changed.items():
        words[words.index(f"--{name}") + 1] = value
    return words


@pytest.mark.parametrize(
    ("usual", "other"),
    [
        (MARKER, with_words(state="BOTH", flow="L")),
        (MARKER, with_words(state="liq+vap", psig="30 psi")),
        ((*MARKER, "--vertical", "--flow", "up"), (*MARKER, "--run", "riser", "--flow", "U")),
        ((*MARKER, "--both-sides"), (*MARKER, "--side", "2")),
        ((*MARKER, "--two-lines"), (*MARKER, "--lines", "two")),
        ((*MARKER, "--outdoor", "--washdown"), (*MARKER, "--environment", "outside wash down")),
        (MARKER, [word.replace("--psig", "--pressure") for word in MARKER]),
        (
            (*MARKER, "--same-letter", "3in"),
            (*MARKER, "--neighbor-letter=3in"),
        ),
    ],
)
def test_a_synonym_gives_the_same_file(
    usual: tuple[str, ...], other: tuple[str, ...], tmp_path: Path
) -> None:
    for name, words in (("usual.pdf", usual), ("other.pdf", other)):
        assert run(*words, "-o", tmp_path / name, "--quiet").exit_code == 0
    one, two = everything(tmp_path).values()
    assert one == two


@pytest.mark.parametrize("typed", ["--psig", "--pressure"])
def test_a_finding_names_the_option_as_it_was_typed(typed: str, tmp_path: Path) -> None:
    words = [typed if word == "--psig" else word for word in with_words(psig="thirty")]
    result = run(*words, "-o", tmp_path / "m.pdf")
    assert result.exit_code == 2
    assert result.stderr.startswith(f"error: {typed}: 'thirty'")


def test_no_finding_of_a_command_speaks_of_columns(tmp_path: Path) -> None:
    for words in (
        ("marker", "HTRS"),
        ("marker", "XQ", *MARKER[2:]),
        (*with_words(covering="0"), "--surface", "-10F"),
        ("valve", "HV-1", "--service", "HPL", "--emergency"),
        ("marker", "HTRS", *MARKER[2:-2], "--flow", "up"),
    ):
        result = run(*words, "-o", tmp_path / "m.pdf")
        text = result.stdout.partition("\n  ")[0] + result.stderr
        assert "column" not in text
        assert not any(name in text for name in ("_psig", "_in", "_ft", "run = "))
        assert "--" in text


def test_the_emergency_valve_of_a_command_can_name_its_drawing(tmp_path: Path) -> None:
    words = ("valve", "HV-118", "--service", "HPL", "--function", "King valve", "--emergency")
    bare = told(run(*words, "-o", tmp_path / "v.pdf", "--json"))["findings"]
    named = told(run(*words, "--drawing", "P-101", "-o", tmp_path / "w.pdf", "--json"))["findings"]
    assert isinstance(bare, list)
    assert [each["code"] for each in bare] == ["emergency-valve-no-drawing"]
    assert "--drawing" in bare[0]["right"]
    assert named == []


@pytest.mark.parametrize("kind", ["marker", "equipment", "valve"])
def test_every_kind_takes_the_words_of_all(kind: str) -> None:
    text = run(kind, "--help").stdout
    shared = "drawing area location contents frost applied-at environment paper profile viewing"
    assert all(f"--{word} " in text for word in shared.split())


def test_a_marker_without_a_name_is_named_by_its_words(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run(*MARKER).exit_code == 0
    assert set(everything(tmp_path)) == {"HTRS-LIQ-VAP-AMMONIA-LOW.pdf"}
    again = run(*MARKER, "--json")
    assert again.exit_code == 2
    assert json.loads(again.stdout)["findings"][0]["code"] == "file-exists"


def test_check_refuses_what_order_refuses(tmp_path: Path) -> None:
    """77 in of marker on a 24 x 48 in sheet: by row and words, in both commands."""
    path = write_list(tmp_path / "list.csv", [PIPE, {**PIPE, "pipe": "NPS 1", "covering_in": "0"}])
    small = ("--film", "sheet-24x48in", "--json")
    checked = run("check", path, *small)
    ordered = run("order", path, "-o", tmp_path / "job", *small)
    assert (checked.exit_code, ordered.exit_code) == (2, 2)
    misfit = [
        [
            each
            for each in json.loads(result.stdout)["findings"]
            if each["code"] == "stock-too-small"
        ]
        for result in (checked, ordered)
    ]
    assert misfit[0] == misfit[1]
    assert misfit[0][0]["row"] == 2
    assert misfit[0][0]["what"].startswith("HTRS LIQ VAP AMMONIA LOW is 60-1/2 in x 3-1/2 in")
    assert run("check", path, "--film", "no-such", "--json").exit_code == 2


def test_check_counts_as_order_counts(tmp_path: Path) -> None:
    path = write_list(tmp_path / "list.csv", [{**PIPE, "qty": "3", "side": "both"}])
    checked = told(run("check", path, "--json"))
    made = told(run("order", path, "-o", tmp_path / "job", "--json"))
    assert checked["markers"] == made["markers"] == 6
