"""markers.csv and nest.json, read by the csv and json modules of the standard library."""

from __future__ import annotations

import csv
import io
import json

from render.write.tables import markers_csv, nest_json
from tests.papers.conftest import Job

HEADINGS = "id,kind,legend,letter_height_in,marker_height_in,length_in,size_row,reason,mounting,qty"


def rows(job: Job) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(markers_csv(job.gathered.markers).decode())))


def test_one_row_a_distinct_marker_and_quantities_add_up(job: Job) -> None:
    assert len(rows(job)) == len(job.gathered.markers)
    assert sum(int(row["qty"]) for row in rows(job)) == 44  # by hand, as on the proof's cover
    assert len({row["id"] for row in rows(job)}) == len(job.gathered.markers)


def test_the_file_is_plain_csv(job: Job) -> None:
    data = markers_csv(job.gathered.markers)
    assert data.decode().splitlines()[0] == HEADINGS
    assert b"\r" not in data
    assert data.endswith(b"\n")
    # RFC 4180, 2.6 and 2.7: a field with a comma and quotes comes back whole.
    tag = next(row for row in rows(job) if row["kind"] == "valve")
    assert 'KING "A", MAIN' in tag["legend"]
    assert b'KING ""A"", MAIN' in data


def test_sizes_are_those_of_the_published_table(job: Job) -> None:
    """2014 edition dimension table: over 7 to 10 in 2.5 in letters, over 10 in 3.5 in letters."""
    found = {row["legend"].split()[0]: row for row in rows(job) if row["kind"] == "pipe"}
    assert found["HTRS"]["letter_height_in"] == "2.5"  # 4.5 in and twice 1.5 in: 7.5 in
    assert found["HTRS"]["size_row"] == "over 7 to 10 in"
    assert found["LTRS"]["letter_height_in"] == "3.5"
    assert float(found["LTRS"]["length_in"]) >= 32
    assert found["HPL"]["letter_height_in"] == "0.75"
    assert "7-1/2 in outside diameter" in found["HTRS"]["reason"]


def test_nest_holds_sums_and_a_bound_that_can_be_checked(job: Job) -> None:
    data = nest_json(job.groups)
    groups = json.loads(data)["groups"]
    assert json.dumps(json.loads(data), indent=1, sort_keys=True).encode() + b"\n" == data
    films = [group for group in groups if group["role"] == "film"]
    plates = [group for group in groups if group["role"] == "plate"]
    assert sum(group["parts"] for group in films) == 42  # all but the two tags
    assert sum(group["parts"] for group in plates) == 7
    for group in groups:
        pieces = group["pieces"]
        assert sum(piece["parts"] for piece in pieces) == group["parts"]
        assert 0 < group["utilization"] <= 1
        bound = group["bound"]
        assert all(isinstance(dual, int) for dual in bound["duals"])
        assert len(bound["duals"]) in (0, len(pieces), 4 * len(pieces))
        made = group["used_length_mm"] if bound["unit"] == "mm" else group["copies"]
        assert 0 < bound["value"] <= made


def test_area_bound_of_a_roll_recomputed_from_the_file(job: Job) -> None:
    """The stock is 54 in wide with margins of 1/2 in; no bound may fall below the area."""
    for group in json.loads(nest_json(job.groups))["groups"]:
        if group["bound"]["unit"] != "mm":
            continue
        area = sum(p["width_um"] * p["height_um"] * p["parts"] for p in group["pieces"]) / 1e6
        assert group["bound"]["value"] >= area / (53 * 25.4)


def test_same_markers_same_bytes(job: Job) -> None:
    assert markers_csv(job.gathered.markers) == markers_csv(job.gathered.markers)
    assert nest_json(job.groups) == nest_json(job.groups)
