"""A wrong list through the command: every mistake by row, field and code, in one run."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import Result

from tests.helpers.command import PIPE, VALVE, everything, run, told, write_list

# Twenty mistakes of different kinds: in a word, a number, a cell, a row, and in what is decided
# from several cells at once. Each row is right but for its one mistake.
MISTAKES: tuple[tuple[dict[str, str], str, str], ...] = (
    ({"kind": "pump line"}, "kind", "bad-choice"),
    ({"state": "liquidd"}, "state", "bad-choice"),
    ({"flow": "rihgt"}, "flow", "bad-choice"),
    ({"environment": "indoor outdoor"}, "environment", "bad-choice"),
    ({"pressure_psig": "thirty"}, "pressure_psig", "bad-pressure"),
    ({"pressure_psig": "-20"}, "pressure_psig", "bad-pressure"),
    ({"pipe": "NPS 7"}, "pipe", "bad-pipe"),
    ({"pipe": "3/4/2026"}, "pipe", "cell-date"),
    ({"covering_in": "1,5"}, "covering_in", "bad-length"),
    ({"covering_in": "#DIV/0!"}, "covering_in", "cell-error"),
    ({"surface_f": "warm"}, "surface_f", "bad-temperature"),
    ({"qty": "two"}, "qty", "bad-quantity"),
    ({"legend": "X" * 200}, "legend", "text-too-long"),
    ({**VALVE, "tag": ""}, "tag", "missing-value"),
    ({"flow": ""}, "flow", "flow-missing"),
    ({"state": ""}, "state", "state-missing"),
    ({"pipe": "", "covering_in": ""}, "pipe", "size-missing"),
    ({"flow": "up", "run": "horizontal"}, "flow", "flow-run"),
    ({"level": "high"}, "level", "level-conflict"),
    ({"service": "XQ"}, "service", "service-unknown"),
)
Found = set[tuple[int | None, str, str]]


def wrong_rows() -> list[dict[str, str]]:
    rows = [PIPE]
    for mistake, _field, _code in MISTAKES:
        rows.append({**({} if "kind" in mistake and "tag" in mistake else PIPE), **mistake})
    return rows


@pytest.fixture(scope="module")
def wrong_list(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_list(tmp_path_factory.mktemp("wrong") / "wrong.csv", wrong_rows())


def found(result: Result) -> list[tuple[int | None, str, str]]:
    table = told(result)
    findings = table["findings"]
    assert isinstance(findings, list)
    return [(each["row"], each["field"], each["code"]) for each in findings]


EXPECTED: Found = {
    (row, field, code) for row, (_mistake, field, code) in enumerate(MISTAKES, start=3)
}


@pytest.mark.parametrize("command", ["order", "check"])
def test_twenty_mistakes_are_told_in_one_run(
    command: str, wrong_list: Path, tmp_path: Path
) -> None:
    before = everything(wrong_list.parent)
    output = ("-o", tmp_path / "job") if command == "order" else ()
    result = run(command, wrong_list, *output, "--json")
    assert result.exit_code == 2
    listed = found(result)
    assert len(EXPECTED) == len(MISTAKES) == 20
    assert set(listed) == EXPECTED
    assert len(listed) == 20
    assert everything(tmp_path) == {}
    assert everything(wrong_list.parent) == before


def test_every_mistake_is_a_sentence_with_file_row_and_field(
    wrong_list: Path, tmp_path: Path
) -> None:
    result = run("order", wrong_list, "-o", tmp_path / "job")
    assert result.exit_code == 2
    assert result.stdout == ""
    lines = result.stderr.splitlines()
    assert len(lines) == 20
    for row, field, code in EXPECTED:
        (line,) = [each for each in lines if f"row {row}, {field}" in each]
        assert "wrong.csv" in line
        assert line.endswith(f"[{code}]")


def test_the_list_without_its_mistakes_is_clean(tmp_path: Path) -> None:
    """Nothing but the mistakes is found: the rows around them are right."""
    result = run("check", write_list(tmp_path / "right.csv", [PIPE, VALVE]), "--json")
    assert result.exit_code == 0
    assert told(result) == {"markers": 2, "findings": []}


def test_a_list_that_may_not_be_printed_ends_with_one(tmp_path: Path) -> None:
    path = write_list(tmp_path / "list.csv", [PIPE, {**PIPE, "level": "high"}])
    for arguments in (("check", path, "--json"), ("order", path, "-o", tmp_path / "j", "--json")):
        result = run(*arguments)
        assert result.exit_code == 1
        assert found(result) == [(3, "level", "level-conflict")]
    assert sorted(everything(tmp_path)) == ["list.csv"]


@pytest.mark.parametrize("mistake", [{"flow": ""}, {"pipe": "NPS 7"}])
def test_what_is_impossible_wins_over_what_is_blocked(
    tmp_path: Path, mistake: dict[str, str]
) -> None:
    rows = [{**PIPE, "level": "high"}, {**PIPE, **mistake}]
    path = write_list(tmp_path / "list.csv", rows)
    assert run("check", path).exit_code == 2
    result = run("order", path, "-o", tmp_path / "job", "--json")
    assert result.exit_code == 2
    assert {code for _row, _field, code in found(result)} > {"level-conflict"}
    assert sorted(everything(tmp_path)) == ["list.csv"]


def test_schemes_that_are_not_there_are_named_with_their_rows(tmp_path: Path) -> None:
    rows = [PIPE, {**PIPE, "scheme": "ours"}, {**PIPE, "scheme": "theirs", "flow": "right"}]
    said = told(run("check", write_list(tmp_path / "list.csv", rows), "--json"))
    found = {tuple(each[name] for name in ("file", "row", "field")) for each in said["findings"]}
    assert found == {("list.csv", 3, "scheme"), ("list.csv", 4, "scheme")}
    assert {each["code"] for each in said["findings"]} == {"scheme-unknown"}
