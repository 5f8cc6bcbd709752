"""Order files: TOML and JSON of one model, and every fault by its key path."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from layouts.order.normal import normalize, order_json
from layouts.order.order import Acceptance, PipeMarker
from layouts.terms.errors import InputError
from layouts.terms.words import Flow, Kind, Setting
from render.read import Reading, one_marker, read
from tests.helpers.lists import GOOD, short, table, write_csv

EXAMPLE = Path(__file__).resolve().parents[2] / "output_samples" / "order_example.toml"
HEAD = 'title = "T"\n'
PIPE = '[[markers]]\nservice = "HPL"\npipe = "NPS 2"\n'


def toml(folder: Path, text: str) -> Reading:
    path = folder / "order.toml"
    path.write_text(text, encoding="utf-8")
    return read(path)


def test_the_example_order() -> None:
    reading = read(EXAMPLE)
    assert reading.findings == ()
    order = reading.order
    assert order is not None
    assert (order.date, order.revision, order.scheme) == ("2026-03-02", "B", "ammonia-2014")
    assert order.quantity == 9
    riser = next(item for item in order.items if getattr(item.spec, "flow", None) is Flow.UP)
    assert {position.area for position in riser.positions} == {"Rooftop", "Machinery room"}
    assert riser.spec.environment.setting is Setting.OUTDOOR
    assert riser.spec.viewing_distance == pytest.approx(6096)


def test_json_is_the_same_model(tmp_path: Path) -> None:
    document = {
        "title": "T",
        "date": "2026-03-02",
        "markers": [
            {"service": "HPL", "pipe": "NPS 2", "covering": "40 mm", "from": "A", "qty": 2}
        ],
        "accept": [{"code": "level-conflict", "reason": "measured twice"}],
    }
    path = tmp_path / "order.json"
    path.write_text(json.dumps(document), encoding="utf-8")
    as_toml = toml(
        tmp_path,
        HEAD
        + "date = 2026-03-02\n"
        + PIPE
        + 'covering = "40 mm"\nfrom = "A"\nqty = 2\n'
        + '[[accept]]\ncode = "level-conflict"\nreason = "measured twice"\n',
    )
    assert read(path) == as_toml
    assert as_toml.order is not None
    assert as_toml.order.accept == (Acceptance(code="level-conflict", reason="measured twice"),)


def test_bare_numbers_are_inches_but_a_viewing_distance_is_in_feet(tmp_path: Path) -> None:
    order = toml(tmp_path, PIPE + "covering = 1.5\nviewing_distance = 20\npressure = 30\n").order
    assert order is not None
    spec = order.items[0].spec
    assert isinstance(spec, PipeMarker)
    assert (spec.covering, spec.viewing_distance, spec.pressure) == (38.1, 6096.0, 30.0)


def test_the_environment_holds_where_a_marker_gives_none(tmp_path: Path) -> None:
    text = (
        'line_list = "list.csv"\n[environment]\nsetting = "outdoor"\nsurface = "100 F"\n'
        + PIPE
        + 'environment = { setting = "indoor" }\n'
    )
    cells = [["service", "pipe", "environment"], ["CD", "NPS 4", ""], ["BD", "NPS 4", "indoor"]]
    write_csv(tmp_path / "list.csv", cells)
    order = toml(tmp_path, text).order
    assert order is not None
    found = {
        item.spec.service: (item.spec.environment.setting, item.spec.environment.surface)
        for item in order.items
        if isinstance(item.spec, PipeMarker)
    }
    assert found == {
        "HPL": (Setting.INDOOR, 100.0),
        "CD": (Setting.OUTDOOR, 100.0),
        "BD": (Setting.INDOOR, 100.0),
    }


def test_a_line_list_beside_markers(tmp_path: Path) -> None:
    (tmp_path / "lists").mkdir()
    write_csv(tmp_path / "lists" / "list.csv", table([GOOD, {**GOOD, "flow": "east"}]))
    reading = toml(tmp_path, 'line_list = "lists/list.csv"\n' + PIPE)
    assert short(reading) == {(3, "flow", "bad-choice")}
    assert reading.findings[0].place.file == "list.csv"
    assert reading.order is not None
    assert reading.order.quantity == 3


@pytest.mark.parametrize(
    ("named", "expected"),
    [
        ('"none.csv"', (None, "", "file-missing")),
        ('"order.toml"', (None, "line_list", "bad-line-list")),
        ("3", (None, "line_list", "bad-line-list")),
    ],
)
def test_a_line_list_that_cannot_be_read(
    tmp_path: Path, named: str, expected: tuple[None, str, str]
) -> None:
    assert short(toml(tmp_path, f"line_list = {named}\n")) == {expected}


@pytest.mark.parametrize(
    ("text", "field", "code"),
    [
        (HEAD, "", "empty-list"),
        ("titel = 'x'\n" + PIPE, "titel", "unknown-key"),
        ("title = 3\n" + PIPE, "title", "bad-value"),
        ("version = 2\n" + PIPE, "version", "newer-version"),
        ("version = 0\n" + PIPE, "version", "bad-choice"),
        ("date = '1 March'\n" + PIPE, "date", "bad-date"),
        ("date = 2026-03-01T10:00:00\n" + PIPE, "date", "bad-date"),
        ("markers = 3\n", "markers", "bad-value"),
        ("markers = [3]\n", "marker 1", "bad-value"),
        (PIPE + "covering = 'thick'\n", "marker 1, covering", "bad-length"),
        (PIPE + "covering = true\n", "marker 1, covering", "bad-length"),
        (PIPE + "covering = inf\n", "marker 1, covering", "bad-length"),
        (PIPE + "pressure = '3 m'\n", "marker 1, pressure", "bad-pressure"),
        (PIPE + "pipe_size = 'NPS 3'\n", "marker 1, pipe_size", "unknown-key"),
        (PIPE + "flow = 'rihgt'\n", "marker 1, flow", "bad-choice"),
        (PIPE + "wrap = 'perhaps'\n", "marker 1, wrap", "bad-choice"),
        (PIPE + "lines = 3\n", "marker 1, lines", "bad-choice"),
        (PIPE + "kind = 'vavle'\n", "marker 1, kind", "bad-choice"),
        (PIPE + "kind = 3\n", "marker 1, kind", "bad-choice"),
        (PIPE + "qty = 0\n", "marker 1, qty", "bad-quantity"),
        (PIPE + "qty = '2'\n", "marker 1, qty", "bad-quantity"),
        (PIPE + "area = 2\n", "marker 1, area", "bad-value"),
        (PIPE + "environment = 'outdoor'\n", "marker 1, environment", "bad-value"),
        (PIPE + "environment = {frost = 'x'}\n", "marker 1, environment, frost", "bad-length"),
        (
            PIPE + "environment = {surface = 'x'}\n",
            "marker 1, environment, surface",
            "bad-temperature",
        ),
        (PIPE + "neighbor = {height = '3 in'}\n", "marker 1, neighbor, height", "unknown-key"),
        (PIPE + "positions = []\n", "marker 1, positions", "bad-value"),
        (
            PIPE + "positions = [{qty = 1}, {qty = 0}]\n",
            "marker 1, position 2, qty",
            "bad-quantity",
        ),
        (PIPE + "positions = [{where = 'x'}]\n", "marker 1, position 1, where", "unknown-key"),
        (PIPE + "qty = 2\npositions = [{qty = 1}]\n", "marker 1, qty", "bad-value"),
        (PIPE + "[[markers]]\nkind = 'valve'\n", "marker 2, tag", "missing-value"),
        (
            PIPE + "pipe_size = 1\nlegend = '" + "x" * 121 + "'\n",
            "marker 1, legend",
            "text-too-long",
        ),
        (PIPE + "[environment]\nsetting = 'attic'\n", "environment, setting", "bad-choice"),
        (PIPE + "[stocks]\nfoil = 'x'\n", "stocks, foil", "unknown-key"),
        (PIPE + "[[accept]]\ncode = 'x'\n", "accept 1, reason", "missing-value"),
        (PIPE + "[[accept]]\ncode = 'x'\nreason = 'ok'\n", "accept 1, reason", "missing-value"),
    ],
)
def test_a_fault_is_named_by_its_key_path(tmp_path: Path, text: str, field: str, code: str) -> None:
    reading = toml(tmp_path, text)
    assert (None, field, code) in short(reading)
    wanted = {(None, field, code)}
    if "pipe_size = 1" in text:  # two faults at once
        wanted.add((None, "marker 1, pipe_size", "unknown-key"))
    assert short(reading) == wanted
    assert all(finding.blocks for finding in reading.findings)


def test_the_nearest_key_and_word_are_offered(tmp_path: Path) -> None:
    def said(text: str) -> str:
        return toml(tmp_path, text).findings[0].sentence()

    assert "did you mean covering?" in said(PIPE + "coverring = '1 in'\n")
    assert "did you mean right?" in said(PIPE + "flow = 'rihgt'\n")
    assert "did you mean markers?" in said(PIPE + "[[marker]]\nservice = 'x'\n")
    assert "did you mean valve?" in said(PIPE + "kind = 'vavle'\n")


@pytest.mark.parametrize(
    ("name", "content", "line", "code"),
    [
        ("o.toml", "title = 'x'\nplant = \n", 2, "bad-syntax"),
        ("o.toml", "a = 1\na = 2\n", 2, "bad-syntax"),
        ("o.json", '{\n"title": "x",\n}', 3, "bad-syntax"),
        ("o.json", "[1, 2]", None, "bad-syntax"),
        ("o.json", '{"title": "x", "title": "y"}', None, "duplicate-key"),
        ("o.json", "[" * 100_000, None, "bad-syntax"),
        ("o.json", '{"version": ' + "1" * 5000 + "}", None, "bad-syntax"),
    ],
)
def test_a_broken_text_is_named_by_its_line(
    tmp_path: Path, name: str, content: str, line: int | None, code: str
) -> None:
    path = tmp_path / name
    path.write_text(content, encoding="utf-8")
    found = {(f.place.row, f.code) for f in read(path).findings}
    assert {each[1] for each in found} == {code}
    if line is not None:
        assert found == {(line, code)}


def test_equal_markers_are_joined(tmp_path: Path) -> None:
    order = toml(tmp_path, PIPE + "qty = 2\n" + PIPE + "qty = 3\n").order
    assert order is not None
    assert [item.quantity for item in order.items] == [5]


def test_the_normalized_order_reads_back(tmp_path: Path) -> None:
    order = read(EXAMPLE).order
    assert order is not None
    path = tmp_path / "order.json"
    path.write_bytes(order_json(order))
    again = read(path)
    assert again == Reading(order, ())
    assert order_json(normalize(order)) == order_json(order)
    document = json.loads(order_json(order))
    assert list(document) == sorted(document)
    assert document["version"] == 1
    coverings = [m["covering"] for m in document["markers"] if "covering" in m]
    assert coverings == ["0.0 mm", "38.1 mm"]


def test_one_marker_of_the_command(tmp_path: Path) -> None:
    order = one_marker({"kind": "pipe", "service": "HTRS", "pipe": "NPS 4"}, "ammonia-1991")
    assert (order.quantity, order.scheme) == (1, "ammonia-1991")
    assert order.items[0].spec == PipeMarker(service="HTRS", pipe="NPS 4")
    assert one_marker({"kind": "valve", "tag": "HV-1"}).items[0].spec.kind is Kind.VALVE
    with pytest.raises(InputError) as caught:
        one_marker({"kind": "pipe", "pipe": "NPS 7", "covering": "thick"})
    assert [(f.place.field, f.code) for f in caught.value.findings] == [
        ("pipe", "bad-pipe"),
        ("covering", "bad-length"),
    ]
