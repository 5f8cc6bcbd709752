"""Files leave a job one by one: the same in memory and on the disk, none if one is faulty."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import pytest

import render.job
import render.release
import render.write.sheetfiles
from layouts.terms.errors import OutputError
from render.files.atomic import Entry, StagedFiles
from render.job import JobFolder, build
from render.options import Options
from render.preflight import Report, Rules, inspect_apart
from render.read import read
from render.shop.shopfile import load_shop


@pytest.fixture(params=[1, 2])
def processes(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> int:
    count = int(request.param)
    monkeypatch.setattr(render.job, "_WORTH_SHARING", 1)
    monkeypatch.setattr(render.job, "process_count", lambda: count)
    return count


def made(path: Path, target: Path, options: Options | None = None) -> JobFolder:
    reading = read(path)
    assert reading.order is not None
    with StagedFiles(target, replace=False) as files:
        job = build(reading.order, options or Options(load_shop()), path.name, files=files)
        files.move()
    return job


@pytest.mark.usefixtures("processes")
def test_the_disk_gets_what_memory_would_hold(
    line_list: Path, job: JobFolder, tmp_path: Path
) -> None:
    staged = made(line_list, tmp_path / "job")
    assert staged.files == job.files
    assert staged.files.sizes == job.files.sizes
    assert {path.name for path in tmp_path.iterdir()} == {"job"}


@pytest.mark.usefixtures("processes")
def test_every_fault_of_every_group_is_told_and_nothing_is_left(
    line_list: Path, job: JobFolder, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def faulty(group: object, sheet: object, *_: object) -> Iterator[str]:
        yield f"planted on {getattr(group, 'key')} {getattr(sheet, 'number')}"  # noqa: B009

    monkeypatch.setattr(render.write.sheetfiles, "sheet_faults", faulty)
    with pytest.raises(OutputError, match=r"^the sheets failed their inspection: ") as caught:
        made(line_list, tmp_path / "job")
    told = str(caught.value).partition(": ")[2].split("; ")
    assert told == [
        f"planted on {group.key} {sheet.number}" for group in job.groups for sheet in group.sheets
    ]
    assert not list(tmp_path.iterdir())


@pytest.mark.usefixtures("processes")
def test_every_failing_file_is_told_and_nothing_is_left(
    line_list: Path, job: JobFolder, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    failing = SimpleNamespace(failures=(SimpleNamespace(what="planted", code="planted"),))
    monkeypatch.setattr(render.release, "inspect", lambda *_, **__: failing)
    with pytest.raises(OutputError, match=r"^a written file failed its inspection: ") as caught:
        made(line_list, tmp_path / "job")
    told = {text.partition(": ")[0] for text in str(caught.value).partition(": ")[2].split("; ")}
    assert told == {name for name in job.files if name.endswith(".pdf")}
    assert not list(tmp_path.iterdir())


def test_large_files_are_inspected_in_a_fresh_process(
    line_list: Path, job: JobFolder, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    inspected: list[str] = []

    def apart(data: bytes, rules: Rules) -> Report:
        report = inspect_apart(data, rules)
        inspected.append(report.verdict.value)
        return report

    monkeypatch.setattr(render.release, "_LARGE_BYTES", 0)
    monkeypatch.setattr(render.release, "inspect_apart", apart)
    monkeypatch.setattr(render.job, "process_count", lambda: 1)
    assert made(line_list, tmp_path / "job").files == job.files
    assert len(inspected) == sum(name.endswith(".pdf") for name in job.files)


def test_a_process_killed_while_it_writes_costs_no_file(
    line_list: Path, job: JobFolder, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(render.job, "_WORTH_SHARING", 1)
    monkeypatch.setattr(render.job, "process_count", lambda: 2)
    here, put = os.getpid(), StagedFiles.put

    def killed(files: StagedFiles, name: str, data: bytes) -> Entry:
        if os.getpid() != here and name.startswith("print/"):
            put(files, name, data[: len(data) // 2])
            os._exit(9)
        return put(files, name, data)

    monkeypatch.setattr(StagedFiles, "put", killed)
    assert made(line_list, tmp_path / "job").files == job.files


def test_pictures_of_sheets_are_drawn_beside_the_job(
    line_list: Path, job: JobFolder, tmp_path: Path
) -> None:
    (tmp_path / "seen").mkdir()
    options = replace(Options(load_shop()), pictures=tmp_path / "seen")
    assert made(line_list, tmp_path / "job", options).files == job.files
    drawn = {path.name for path in (tmp_path / "seen").iterdir()}
    wanted = {f"{group.key}-{sheet.number}.svg" for group in job.groups for sheet in group.sheets}
    assert drawn == wanted
    assert all(path.read_bytes().startswith(b"<?xml") for path in (tmp_path / "seen").iterdir())
