"""Work shared by processes: the same outcome as by one, errors and killed helpers included."""

from __future__ import annotations

import os
from functools import partial
from pathlib import Path

import pytest

import render.job
from layouts.terms.errors import OutputError
from render.job import JobFolder
from render.processes import run_all
from tests.end_to_end.conftest import job_of


@pytest.mark.parametrize("count", [1, 2, 3])
def test_what_pieces_give_stands_in_their_order(count: int) -> None:
    assert run_all([partial(pow, number, 2) for number in range(20)], count) == [
        number * number for number in range(20)
    ]


def test_the_pieces_are_done_by_other_processes() -> None:
    assert os.getpid() not in run_all([os.getpid] * 4, 2)
    assert run_all([os.getpid] * 4, 1) == [os.getpid()] * 4


def test_the_error_of_a_piece_is_raised() -> None:
    def fail() -> int:
        raise OutputError("a sheet failed")

    with pytest.raises(OutputError, match="a sheet failed"):
        run_all([fail, fail], 2)


def test_where_a_process_is_killed_this_one_does_the_work() -> None:
    here = os.getpid()

    def die_elsewhere() -> int:
        if os.getpid() != here:
            os._exit(9)
        return 7

    assert run_all([die_elsewhere, die_elsewhere], 2) == [7, 7]


def test_two_processes_write_the_bytes_of_one(
    line_list: Path, job: JobFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The list is short, so that the folder of the fixture was written by one."""
    monkeypatch.setattr(render.job, "_WORTH_SHARING", 1)
    monkeypatch.setattr(render.job, "process_count", lambda: 2)
    assert job_of(line_list).files == job.files
