"""Whatever the bytes, ``read`` answers with findings and raises nothing."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Literal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layouts.terms.findings import Severity
from render.read import CODES, read
from tests.helpers.lists import HEADINGS, write_csv, write_xlsx

NAMES = st.sampled_from(["f.toml", "f.json", "f.csv", "f.xlsx"])
EXAMPLES = Path(__file__).resolve().parents[2] / "output_samples"
PIECES = st.lists(
    st.sampled_from(
        [
            *HEADINGS,
            *',;\t\n"#=[]{}',
            "[[markers]]",
            "= 3",
            "HPL",
            "NPS 4",
            "1/0",
            "-",
            "²",
            "9" * 400,
        ]
    )
    | st.text(max_size=5),
    max_size=40,
).map("".join)
JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(
                ["markers", "kind", "pipe", "covering", "positions", "qty", "environment", "accept"]
            )
            | st.text(max_size=3),
            inner,
            max_size=4,
        )
    ),
    max_leaves=20,
)


def judged(name: str, write: Callable[[Path], object]) -> None:
    """Read a file and see that every finding is in order."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / name
        write(path)
        reading = read(path)
    for finding in reading.findings:
        assert finding.severity is CODES[finding.code][0]
        sentence = finding.sentence()
        assert sentence.isprintable()
        sentence.encode()
    if reading.order is None:
        assert any(finding.severity is Severity.UNREADABLE for finding in reading.findings)


@settings(deadline=None, max_examples=150)
@given(NAMES, st.binary(max_size=200))
def test_any_bytes(name: str, data: bytes) -> None:
    judged(name, lambda path: path.write_bytes(data))


@settings(deadline=None, max_examples=200)
@given(NAMES, PIECES)
def test_any_text(name: str, text: str) -> None:
    judged(name, lambda path: path.write_bytes(text.encode("utf-8", "surrogatepass")))


@pytest.mark.slow
@settings(deadline=None, max_examples=200)
@given(JSON)
def test_any_json(value: object) -> None:
    judged("f.json", lambda path: path.write_text(json.dumps(value), encoding="utf-8"))
    marker = {"markers": [value, {"pipe": value, "qty": value, "environment": value}]}
    judged("f.json", lambda path: path.write_text(json.dumps(marker), encoding="utf-8"))


CELLS = st.lists(st.lists(st.text(max_size=6), min_size=31, max_size=32), max_size=3)


@settings(deadline=None, max_examples=100)
@given(CELLS)
def test_any_cells_under_the_headings(cells: list[list[str]]) -> None:
    texts = [[cell.encode(errors="replace").decode() for cell in row] for row in cells]
    judged("f.csv", lambda path: write_csv(path, [HEADINGS, *texts]))


CONTROL: tuple[Literal["C"]] = ("C",)
PRINTABLE = st.characters(min_codepoint=32, exclude_categories=CONTROL)


@settings(deadline=None, max_examples=40)
@given(
    st.lists(
        st.lists(
            st.floats(allow_nan=False, allow_infinity=False)
            | st.booleans()
            | st.text(PRINTABLE, max_size=6),
            max_size=31,
        ),
        max_size=3,
    )
)
def test_any_cells_of_a_workbook(cells: list[list[object]]) -> None:
    rows = [[f" {cell}" if isinstance(cell, str) else cell for cell in row] for row in cells]
    judged("f.xlsx", lambda path: write_xlsx(path, [HEADINGS, *rows]))


@settings(deadline=None, max_examples=120)
@given(st.data())
def test_a_damaged_workbook_and_order(data: st.DataObject) -> None:
    name = data.draw(st.sampled_from(["demo_plant.xlsx", "order_example.toml"]))
    content = bytearray((EXAMPLES / name).read_bytes())
    for _ in range(data.draw(st.integers(1, 20))):
        content[data.draw(st.integers(0, len(content) - 1))] = data.draw(st.integers(0, 255))
    del content[data.draw(st.integers(len(content) // 2, len(content))) :]
    judged(name, lambda path: path.write_bytes(bytes(content)))
