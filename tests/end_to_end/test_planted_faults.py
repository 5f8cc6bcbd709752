"""Every kind of fault planted once is found once, in its row and field, by the whole command."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable, Iterable
from pathlib import Path

import openpyxl
import pytest
from typer.testing import CliRunner, Result

from layouts.papers.proof import Proof
from layouts.terms.findings import Finding, Severity
from render.cli import app
from render.decide import decide
from render.options import Options
from render.read import CODES, read
from render.shop.shopfile import load_shop
from tests.helpers.orchard import (
    IMPOSSIBLE,
    OF_THE_FILE,
    PRINTABLE,
    SCHEMES,
    SOUND,
    codes_in_source,
    expected,
    liquid,
    write_csv,
)
from tests.helpers.packs_reading import all_letters, squeezed
from tests.helpers.whole_papers import whole
from tests.samples import demo_plant

PRINTABLE_CODES = Counter([*expected(PRINTABLE), *((c, *at) for c, at in OF_THE_FILE.items())])
IMPOSSIBLE_CODES = Counter(expected(IMPOSSIBLE))
# Planted by other tests: of workbooks, headings and broken text in ``tests/read``, of holes in
# ``tests/end_to_end/test_shop_setups.py``, of ids in ``tests/face/test_piece_id.py``, of texts
# that the papers' typeface lacks in ``tests/markers/test_spelled_texts.py``.
BESIDE = {
    *("order-sheet-unread", "bad-mapping", "sheet-left-out", "merged-cells", "decimal-comma"),
    *("column-read-as", "column-left-out", "kind-inferred", "bad-character", "hidden-columns"),
    *("more-findings", "too-many-columns", "hole-room", "piece-id-room", "piece-id-cost"),
    "text-spelled",
}


def run(*arguments: str | Path) -> Result:
    result = CliRunner().invoke(app, [str(each) for each in arguments])
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result


def told(result: Result) -> Counter[tuple[str, int | None, str]]:
    """Code, row and field of every finding that the command prints as JSON."""
    findings = json.loads(result.stdout)["findings"]
    return Counter((each["code"], each["row"], each["field"]) for each in findings)


def order_file(folder: Path, accept: Iterable[str] = ()) -> Path:
    """An order of the list with every fault, its findings of some codes accepted."""
    for name, text in SCHEMES.items():
        (folder / name).write_text(text, "utf-8")
    write_csv(folder / "list.csv", PRINTABLE, extra="favorite band", old=True)
    lines = ['title = "Orchard"', 'line_list = "list.csv"']
    for code in accept:
        lines += ["[[accept]]", f'code = "{code}"', f'reason = "{reason(code)}"']
    path = folder / "order.toml"
    path.write_text("\n".join(lines), "utf-8")
    return path


def reason(code: str) -> str:
    return f"Seen by the owner: {code} stays until the next shutdown."


def placed(findings: Iterable[Finding]) -> Counter[tuple[str, int | None, str]]:
    return Counter((each.code, each.place.row, each.place.field) for each in findings)


def test_each_fault_of_a_list_is_found_once(tmp_path: Path) -> None:
    result = run("check", order_file(tmp_path), "--json")
    assert told(result) == PRINTABLE_CODES
    assert result.exit_code == 1
    assert {each["file"] for each in json.loads(result.stdout)["findings"]} == {"list.csv"}


def test_each_fault_is_found_by_judging_alone(tmp_path: Path) -> None:
    reading = read(order_file(tmp_path))
    assert reading.order is not None
    judged = decide(reading.order, Options(load_shop(), folder=tmp_path), reading.listed)
    assert placed((*reading.findings, *judged.gathered.findings)) == PRINTABLE_CODES
    for finding in judged.gathered.findings:
        assert finding.what, finding.code
        assert finding.right, finding.code


def test_an_order_with_faults_that_block_is_refused_and_writes_nothing(tmp_path: Path) -> None:
    result = run("order", order_file(tmp_path), "-o", tmp_path / "job", "--json")
    assert result.exit_code == 1
    assert not (tmp_path / "job").exists()
    table = json.loads(result.stdout)["findings"]
    blocking = {each["code"] for each in table if each["severity"] == "blocked"}
    assert len(blocking) >= 12
    assert all(PRINTABLE_CODES[each["code"], each["row"], each["field"]] == 1 for each in table)


@pytest.mark.slow
def test_each_finding_can_be_accepted_and_its_reason_prints_on_the_proof(tmp_path: Path) -> None:
    codes = sorted({code for code, _, _ in PRINTABLE_CODES})
    path = order_file(tmp_path, accept=codes)
    checked = run("check", path, "--json")
    assert checked.exit_code == 0
    assert {each["code"]: each["accepted"] for each in json.loads(checked.stdout)["findings"]} == {
        code: reason(code) for code in codes
    }
    made = run("order", path, "-o", tmp_path / "job", "--json")
    assert made.exit_code == 0, made.stdout
    recorded = json.loads((tmp_path / "job" / "proof.json").read_text())["content"]["accepted"]
    assert {each["code"]: each["reason"] for each in recorded} == {
        code: reason(code)
        for code in codes
        if code not in CODES  # of the file, not of markers
    }
    text = proof_text(path)
    assert [code for code in codes if squeezed(reason(code)) not in text] == []


def proof_text(path: Path) -> str:
    """All that the proof of an order says, without any blank."""
    reading = read(path)
    assert reading.order is not None
    judged = decide(reading.order, Options(load_shop(), folder=path.parent), reading.listed)
    gathered = judged.gathered
    findings = (*reading.findings, *gathered.findings)
    return all_letters(
        whole(Proof(reading.order, gathered.markers, findings, judged.schemes, judged.typefaces))
    )


def test_each_fault_of_a_row_that_nothing_is_drawn_from_is_found_once(tmp_path: Path) -> None:
    path = write_csv(tmp_path / "list.csv", IMPOSSIBLE, old=False)
    result = run("check", path, "--json")
    assert told(result) == IMPOSSIBLE_CODES
    assert result.exit_code == 2
    refused = run("order", path, "-o", tmp_path / "job", "--json")
    assert (refused.exit_code, told(refused)) == (2, IMPOSSIBLE_CODES)
    assert not (tmp_path / "job").exists()


def test_what_cannot_be_read_cannot_be_accepted(tmp_path: Path) -> None:
    write_csv(tmp_path / "list.csv", IMPOSSIBLE, old=False)
    lines = ['line_list = "list.csv"']
    codes = sorted({code for code, _, _ in IMPOSSIBLE_CODES})
    for code in codes:
        lines += ["[[accept]]", f'code = "{code}"', f'reason = "{reason(code)}"']
    (tmp_path / "order.toml").write_text("\n".join(lines))
    result = run("check", tmp_path / "order.toml", "--json")
    idle = Counter(("accept-idle", None, f"accept {n}") for n in range(1, len(codes) + 1))
    assert told(result) == IMPOSSIBLE_CODES + idle
    assert not any(each["accepted"] for each in json.loads(result.stdout)["findings"])


def test_the_rows_around_the_faults_are_sound(tmp_path: Path) -> None:
    result = run("check", write_csv(tmp_path / "list.csv", SOUND, old=False), "--json")
    assert (result.exit_code, told(result)) == (0, Counter())


# Faults that end the reading, or keep the whole order from being read: each in a file of its own.
def _text(name: str, text: str) -> Callable[[Path], Path]:
    def make(folder: Path) -> Path:
        (folder / name).write_text(text, "utf-8")
        return folder / name

    return make


def _bytes(name: str, data: bytes) -> Callable[[Path], Path]:
    def make(folder: Path) -> Path:
        (folder / name).write_bytes(data)
        return folder / name

    return make


def _large(folder: Path) -> Path:
    path = folder / "list.csv"
    with path.open("wb") as file:
        file.write(b"kind")
        file.truncate(401 << 20)  # a hole, no bytes on the disk
    return path


def _folder(folder: Path) -> Path:
    (folder / "list.csv").mkdir()
    return folder / "list.csv"


def _formula(folder: Path) -> Path:
    """A workbook whose formula was never worked out, as programs write them."""
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    cells = dict(SOUND[1].cells)
    sheet.append(list(cells))
    sheet.append([*cells.values()])
    sheet.cell(2, list(cells).index("covering_in") + 1).value = "=1+1"
    book.save(folder / "list.xlsx")
    return folder / "list.xlsx"


_MARKER = '[[markers]]\nkind = "valve"\ntag = "HV-1"\n'
ENDING: dict[str, Callable[[Path], Path]] = {
    "file-missing": lambda folder: folder / "gone.csv",
    "file-unreadable": _folder,
    "file-empty": _bytes("list.csv", b""),
    "file-too-large": _large,
    "file-broken": _bytes("list.xlsx", b"PK\x03\x04 and no more"),
    "file-locked": _bytes("list.xlsx", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600)),
    "unknown-format": _text("list.docx", "kind,tag"),
    "newer-version": _text("order.json", '{"version": 9, "new_key": [], "markers": []}'),
    "bad-encoding": _bytes("list.csv", b"kind,tag\nvalve,\x00\x81\n"),
    "bad-syntax": _text("order.toml", "title = Orchard\n"),
    "no-headings": _text("list.csv", "some,words\nand,more\n"),
    "duplicate-column": _text("list.csv", "kind,tag,qty,quantity\nvalve,HV-1,1,1\n"),
    "missing-column": _text("list.csv", "kind,service,state,flow\npipe,HPL,liquid,right\n"),
    "empty-list": _text("list.csv", "kind,tag,service\n"),
    "cell-formula": _formula,
    "bad-date": _text("order.toml", f'date = "soon"\n{_MARKER}'),
    "bad-value": _text("order.toml", f"title = 7\n{_MARKER}"),
    "unknown-key": _text("order.toml", f'colour = "red"\n{_MARKER}'),
    "duplicate-key": _text("order.json", '{"title": "a", "title": "b"}'),
    "bad-line-list": _text("order.toml", 'line_list = "list.docx"\n'),
    "scheme-unknown": _text("order.toml", f'scheme = "iiar-1066"\n{_MARKER}'),
}


@pytest.mark.parametrize("code", ENDING)
def test_what_ends_the_reading_is_the_one_finding(code: str, tmp_path: Path) -> None:
    path = ENDING[code](tmp_path)
    result = run("check", path, "--json")
    (found,) = json.loads(result.stdout)["findings"]
    assert (found["code"], found["severity"], result.exit_code) == (code, "error", 2)
    assert found["what"]
    assert found["right"]


def test_an_acceptance_of_what_is_not_there_is_told(tmp_path: Path) -> None:
    write_csv(tmp_path / "list.csv", [*SOUND, liquid(straight_in="18")], old=False)
    lines = ['line_list = "list.csv"']
    for code, marker in (
        ("run-short", ""),  # accepts what is there
        ("run-short", "HPL"),
        ("run-shrot", ""),  # accepts nothing: misspelled, or of another marker
        ("run-short", "LPL"),
    ):
        lines += ["[[accept]]", f'code = "{code}"', f'reason = "{reason(code)}"']
        lines += [f'marker = "{marker}"'] * bool(marker)
    (tmp_path / "order.toml").write_text("\n".join(lines))
    found = json.loads(run("check", tmp_path / "order.toml", "--json").stdout)["findings"]
    idle = [each["field"] for each in found if each["code"] == "accept-idle"]
    assert idle == ["accept 3", "accept 4"]
    made = run("order", tmp_path / "order.toml", "-o", tmp_path / "job", "--json")
    idle = [f["field"] for f in json.loads(made.stdout)["findings"] if f["code"] == "accept-idle"]
    assert (made.exit_code, idle) == (0, ["accept 3", "accept 4"])


def test_every_code_that_there_is_has_been_planted() -> None:
    planted = {code for code, _, _ in (*PRINTABLE_CODES, *IMPOSSIBLE_CODES)}
    assert planted | set(ENDING) - {"scheme-unknown"} | BESIDE == codes_in_source()
    assert planted.isdisjoint(ENDING)


def test_only_codes_above_a_note_are_told_at_the_end_of_a_job(tmp_path: Path) -> None:
    reading = read(order_file(tmp_path))
    assert reading.order is not None
    judged = decide(reading.order, Options(load_shop(), folder=tmp_path), reading.listed)
    notes = {f.code for f in judged.gathered.findings if f.severity is Severity.NOTE}
    assert notes == {
        "contents-by-other-scheme",
        "contents-renamed",
        "edge-turned-away",
        "paint-as-field",
        "state-unusual",
    }


def test_the_demo_plant_is_clean_but_for_notes_and_what_its_owner_accepts() -> None:
    result = run("check", demo_plant.TARGET, "--json")
    told_of = {
        (each["code"], each["severity"], bool(each["accepted"]))
        for each in json.loads(result.stdout)["findings"]
    }
    above = {each for each in told_of if each[1] != "note"}
    assert above == {("run-short", "warning", True)}
    assert result.exit_code == 0
