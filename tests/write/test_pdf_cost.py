"""What a file costs: bytes follow distinct faces and distinct layers, not quantity."""

from __future__ import annotations

from dataclasses import replace

from render.preflight import inspect
from render.write.pdf import write
from tests.bench.pdf_bench import document
from tests.helpers.pdf_samples import sheet

# A tenth of the job of tests/bench/pdf_bench.py, and a tenth of its bytes.
DISTINCT, SHEETS, PLACEMENTS, MOST_BYTES = 50, 20, 1000, 250_000


def test_a_tenth_of_the_job_takes_a_tenth_of_the_bytes_and_passes() -> None:
    data = write(document(DISTINCT, SHEETS, PLACEMENTS))
    assert len(data) <= MOST_BYTES
    assert inspect(data).failures == ()


def test_ten_times_the_placements_take_less_than_twice_the_bytes() -> None:
    few, many = (len(write(document(DISTINCT, SHEETS, count))) for count in (100, 1000))
    assert many < 2 * few


def test_pages_that_share_their_layers_share_the_bytes() -> None:
    one = sheet()
    (page,) = one.pages
    again = tuple(replace(page, id=f"sheet-{number}") for number in range(20))
    alone, shared = len(write(one)), len(write(replace(one, pages=again)))
    assert (shared - alone) / 19 < 500
