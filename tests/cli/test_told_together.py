"""Faults told together, and by the name of the door and the sheet that they came through."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest

from tests.helpers.command import MARKER, PIPE, VALVE, run, told, write_list


def test_an_unreadable_word_does_not_hide_what_is_wrong_with_the_others(tmp_path: Path) -> None:
    words = ("marker", "HPL", "--state", "liqud", "--psig", "1850", "--pipe", "NPS 4")
    rest = ("--covering", "40", "--flow", "up", "--run", "horizontal")
    result = run(*words, *rest, "-o", tmp_path / "a.pdf", "--json")
    assert result.exit_code == 2
    found = {each["code"]: each["field"] for each in told(result)["findings"]}
    assert found == {
        "bad-choice": "--state",
        "flow-run": "--flow",
        "covering-implausible": "--covering",
        "pressure-implausible": "--psig",
    }
    assert not (tmp_path / "a.pdf").exists()


@pytest.mark.parametrize("command", ["check", "order"])
def test_a_stock_chosen_at_the_command_line_is_named_as_it_was_typed(
    command: str, tmp_path: Path
) -> None:
    listed = write_list(tmp_path / "list.csv", [PIPE])
    job = ("-o", tmp_path / "job") if command == "order" else ()
    for stock in ("sheet-24x48in", "none-such"):
        result = run(command, listed, "--film", stock, *job, "--json")
        assert [each["field"] for each in told(result)["findings"]] == ["--film"]
    (tmp_path / "order.toml").write_text(
        'line_list = "list.csv"\nstocks = {film = "sheet-24x48in"}\n'
    )
    result = run(command, tmp_path / "order.toml", *job, "--json")
    assert [each["field"] for each in told(result)["findings"]] == ["stocks.film"]
    assert "60-3/4 in x 3-3/4 in free" in told(result)["findings"][0]["right"]


def test_a_valve_number_on_two_sheets_names_both(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, tags in (("Machine room", ["HV-1", "HV-2"]), ("Freezer", ["HV-3", "HV-1"])):
        sheet = book.create_sheet(name)
        sheet.append(list(VALVE))
        for tag in tags:
            sheet.append(list({**VALVE, "tag": tag}.values()))
    book.save(tmp_path / "valves.xlsx")
    result = run("check", tmp_path / "valves.xlsx", "--json")
    (finding,) = [e for e in told(result)["findings"] if e["code"] == "valve-number-twice"]
    assert "row 3 of Freezer and row 2 of Machine room" in finding["what"]
    assert (finding["sheet"], finding["cell"]) == ("Machine room", "B2")


def test_the_words_of_the_commands_are_headings_too(tmp_path: Path) -> None:
    names = {"pressure_psig": "psig", "covering_in": "covering"}
    row = {names.get(key, key): value for key, value in PIPE.items()}
    row |= {"viewing": "20", "surface": "75", "same_letter": "2.5"}
    write_list(tmp_path / "lines.csv", [row])
    valve = {**VALVE, "size": "NPS 3", "normal": "NC"}
    write_list(tmp_path / "valves.csv", [valve])
    for name in ("lines.csv", "valves.csv"):
        found = told(run("check", tmp_path / name, "--json"))
        assert found["markers"] == 1
        assert {each["code"] for each in found["findings"]} <= {"column-read-as"}


def test_an_order_file_takes_the_words_of_the_commands(tmp_path: Path) -> None:
    (tmp_path / "order.toml").write_text(
        '[[markers]]\nservice = "HTRS"\nstate = "both"\npsig = 30\npipe = "NPS 4"\n'
        'covering = "1.5 in"\nflow = "left"\nviewing = "20 ft"\nsame_letter = "2.5 in"\n'
        'surface = "75 F"\n'
        '[[markers]]\nkind = "valve"\ntag = "HV-1"\nsize = "NPS 3"\nnormal = "NC"\n'
    )
    found = told(run("check", tmp_path / "order.toml", "--json"))
    assert (found["markers"], found["findings"]) == (2, [])


def test_a_comparison_takes_the_plants_mapping(tmp_path: Path) -> None:
    row = {"Leitungscode": "HTRS", "Zst": "both", "P": "30", "Weg": "left", "DN oder NPS": "NPS 4"}
    row |= {"Iso": "1.5", "line": "1"}
    write_list(tmp_path / "old.csv", [row])
    write_list(tmp_path / "new.csv", [{**row, "Weg": "right"}])
    mapped = {"Leitungscode": "service", "Zst": "state", "P": "pressure_psig", "Weg": "flow"}
    mapped |= {"DN oder NPS": "pipe", "Iso": "covering_in"}
    text = "\n".join(f'"{heading}" = "{column}"' for heading, column in mapped.items())
    (tmp_path / "plant.toml").write_text(f"[columns]\n{text}\n")
    lists = ("diff", tmp_path / "old.csv", tmp_path / "new.csv")
    assert run(*lists, "-o", tmp_path / "a").exit_code != 0
    result = run(*lists, "--mapping", tmp_path / "plant.toml", "-o", tmp_path / "b")
    assert result.exit_code == 0, result.output
    assert "1 to replace" in " ".join(result.output.split())


def test_a_single_marker_accepts_what_is_blocked_with_a_reason(tmp_path: Path) -> None:
    words = (
        *("marker", "HTRS", "--state", "both", "--psig", "30", "--pipe", "NPS 4"),
        *("--covering", "1.5", "--flow", "left", "--scheme", "ammonia-2018", "--json"),
    )
    blocked = run(*words, "-o", tmp_path / "a.pdf")
    assert blocked.exit_code == 1
    (finding,) = told(blocked)["findings"]
    reason = f"{finding['code']}=compared with the plant's own copy"
    made = run(*words, "--accept", reason, "-o", tmp_path / "a.pdf")
    assert made.exit_code == 0
    assert told(made)["markers"][0]["scheme"] == "ammonia-2018"
    short = run(*words, "--accept", finding["code"], "-o", tmp_path / "b.pdf")
    assert short.exit_code == 2
    assert [each["field"] for each in told(short)["findings"]] == ["--accept"]


def test_a_single_marker_tells_what_it_accepts_for_nothing(tmp_path: Path) -> None:
    idle = ("--accept", "scheme-unverifed=compared", "--json", "--force", "-o", tmp_path / "a.pdf")
    made = run(*MARKER, *idle)
    assert made.exit_code == 0
    (note,) = [each for each in told(made)["findings"] if each["code"] == "accept-idle"]
    assert (note["field"], note["severity"]) == ("--accept", "note")
    assert "scheme-unverifed" in note["what"]
    # A misspelled code is why the marker is still blocked.
    blocked = run(*MARKER, "--scheme", "ammonia-2018", *idle)
    assert blocked.exit_code == 1
    (finding, note) = told(blocked)["findings"]
    assert (finding["severity"], note["code"]) == ("blocked", "accept-idle")
    right = run(
        *(*MARKER, "--scheme", "ammonia-2018", "--json", "-o", tmp_path / "b.pdf"),
        *("--accept", f"{finding['code']}=compared"),
    )
    assert right.exit_code == 0
    assert "accept-idle" not in {each["code"] for each in told(right)["findings"]}
    valve = run("valve", "HV-1", "--service", "HPL", "--function", "King valve", *idle)
    assert "accept-idle" in {each["code"] for each in told(valve)["findings"]}


def test_a_code_of_another_edition_names_it_and_a_meaning_is_read_as_its_code(
    tmp_path: Path,
) -> None:
    rest = ("--state", "liquid", "--pipe", "4", "--covering", "2", "--flow", "right", "--json")
    unknown = run("marker", "LLTRL", "--level", "low", *rest, "-o", tmp_path / "a.pdf")
    assert "ammonia-2018" in told(unknown)["findings"][0]["right"]
    meaning = run(
        "marker", "High pressure liquid", "--psig", "185", *rest, "-o", tmp_path / "b.pdf"
    )
    assert told(meaning)["markers"][0]["words"] == "HPL LIQ AMMONIA HIGH"


def test_a_great_many_findings_of_one_weight_are_counted(tmp_path: Path) -> None:
    """Faults of reading end at their own limit; these come from looking at the whole order."""
    rows = [{**PIPE, "qty": "1", "area": f"\u51b7 {n}"} for n in range(1010)]
    path = write_list(tmp_path / "list.csv", [*rows, {**PIPE, "level": "high"}])
    said = run("check", path).output
    assert said.count("[text-spelled]") == 1000
    assert said.count("[level-conflict]") == 1  # of another weight
    assert "\nand more: 10 warnings; --json lists them all\n" in said
    assert "1010 warnings" in said.splitlines()[-1]
    codes = [each["code"] for each in told(run("check", path, "--json"))["findings"]]
    assert codes.count("text-spelled") == 1010
