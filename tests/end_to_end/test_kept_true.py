"""One walk through the commands, and the same over invented plants: nothing lost, nothing twice.

From the demo plant and a half-labeled machinery room: survey sheets, filled, the order of the
difference, the job, packs signed, the register, a round years later, its replacements.
"""

from __future__ import annotations

import csv
import json
import shutil
from collections import Counter
from collections.abc import Mapping
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from layouts.markers.piece_ids import PlacedPiece, placed_pieces
from layouts.order.order import Order
from layouts.register.due import due_until
from layouts.register.entries import Signed, months_after
from layouts.register.model import GOOD, Register
from layouts.register.updates import SurveyLook, sign_off, take_survey
from layouts.schemes.loader import load_lifetimes
from layouts.survey.outcome import Verdict, judge_survey
from layouts.survey.sightings import Noted, Seen, Sighting
from render.decide import decide
from render.folder.compare import order_for
from render.options import Options
from render.read import read
from render.shop.shopfile import load_shop
from render.survey.found import change_of
from tests.end_to_end.test_conserved import LISTS, job_of, pieces
from tests.helpers.command import run, told
from tests.helpers.surveying import fill, ids_of
from tests.samples.half_labeled import (
    APPROVED_ON,
    APPROVER,
    FITTED_ON,
    FITTER,
    READ_ON,
    STRAYS,
    SURVEYED_ON,
    SURVEYOR,
    answers,
)

TOP = Path(__file__).resolve().parents[2]
DEMO = TOP / "output_samples" / "demo_plant.xlsx"
PRICES = TOP / "output_samples" / "prices_example.toml"
AREA = "Machinery room"
OPTIONS = Options(load_shop())


def table(path: Path) -> list[dict[str, str]]:
    with path.open(newline="", encoding="utf-8") as stream:
        return list(csv.DictReader(stream))


def done(*arguments: str | Path) -> dict[str, object]:
    result = run(*arguments, "--json")
    assert result.exit_code == 0, result.stdout
    return told(result)


def order_ids(path: Path) -> Counter[str]:
    """The ids of all pieces that an order file makes."""
    order = read(path).order
    assert order is not None
    return Counter(piece.id for piece in planned(order))


def planned(order: Order) -> tuple[PlacedPiece, ...]:
    return placed_pieces(decide(order, OPTIONS).gathered.markers)


@pytest.fixture(scope="module")
def walk(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The whole walk, up to the register of the machinery room."""
    top = tmp_path_factory.mktemp("kept")
    done("survey", DEMO, "--area", AREA, "-o", top / "survey")
    sheet = top / "survey" / "machinery-room.xlsx"
    fill(sheet, answers(ids_of(sheet)), SURVEYOR, SURVEYED_ON, STRAYS)
    done("found", DEMO, sheet, "--date", READ_ON, "-o", top / "found")
    done("order", top / "found" / "order.json", "-o", top / "job")
    done("register", top / "register", "--found", top / "found")
    approval = top / "approval.json"
    done("approve", top / "job", "--by", APPROVER, "--date", APPROVED_ON, "-o", approval)
    signed = ("--by", FITTER, "--date", FITTED_ON)
    arguments = ("--job", top / "job", "--area", AREA, "--approval", approval)
    done("register", top / "register", *arguments, *signed)
    return top


def test_every_piece_of_the_list_has_one_verdict(walk: Path) -> None:
    sheet = walk / "survey" / "machinery-room.xlsx"
    wanted, said = ids_of(sheet), answers(ids_of(sheet))
    rows = [row for row in table(walk / "found" / "found.csv") if row["id"]]
    here = [row for row in rows if row["area"] == AREA]
    assert Counter(row["id"] for row in here) == Counter(wanted)
    verdicts = {row["id"]: row["verdict"] for row in here}
    assert {piece for piece, each in verdicts.items() if each == "not surveyed"} == set(
        wanted
    ) - set(said)
    assert {row["verdict"] for row in rows if row["area"] != AREA} == {"not surveyed"}
    for piece, cells in said.items():
        expected = {"missing": "add", "hidden by ice": "look again", "present": "leave"}
        due = expected.get(cells["found"], "replace")
        assert verdicts[piece] == ("replace" if "circumference_in" in cells else due)


def test_the_order_is_for_the_difference_and_nothing_else(walk: Path) -> None:
    rows = table(walk / "found" / "found.csv")
    due = Counter(row["id"] for row in rows if row["verdict"] in ("add", "replace"))
    assert order_ids(walk / "found" / "order.json") == due
    made = json.loads((walk / "job" / "proof.json").read_text())["content"]["markers"]
    assert sum(each["quantity"] for each in made) == due.total()


def test_a_part_of_a_plant_is_not_blamed_for_the_rest(walk: Path) -> None:
    checked = done("check", walk / "found" / "order.json")
    findings = checked["findings"]
    assert isinstance(findings, list)
    assert "equipment-unmarked" not in {each["code"] for each in findings}
    # the circumference that was measured is what the list must be asked about
    assert "measured-differs" in {each["code"] for each in findings}


def test_what_must_be_asked_is_asked(walk: Path) -> None:
    asked = "\n".join(row["question"] for row in table(walk / "found" / "questions.csv"))
    for part in (
        *("LIQUID AMMONIA", "Which way does it flow", "hidden", "31.0 in measured around"),
        *("'AMMONIA'", "'LIQ'", "painted by hand", "no ladder", "pictogram"),
    ):
        assert part in asked


def test_the_register_holds_what_hangs_once(walk: Path) -> None:
    rows = table(walk / "register" / "register.csv")
    sheet = walk / "survey" / "machinery-room.xlsx"
    said = answers(ids_of(sheet))
    assert len({row["id"] for row in rows}) == len(rows)
    # all that was looked at hangs now: it was there, or it was installed
    assert {row["id"] for row in rows if not row["id"].startswith("STRAY")} == set(said)
    assert Counter(row["state"] for row in rows) == Counter(
        {"good": len(said) - 1, "hidden": 1, "in no list": len(STRAYS)}
    )
    new = {row["id"] for row in rows if row["installed_by"] == FITTER}
    assert new == set(order_ids(walk / "found" / "order.json"))


def test_a_survey_taken_twice_changes_nothing(walk: Path) -> None:
    before = (walk / "register" / "register.csv").read_bytes()
    told_again = done("register", walk / "register", "--found", walk / "found")
    assert told_again["changes"] == 0
    assert (walk / "register" / "register.csv").read_bytes() == before


def test_a_round_gives_the_replacements_of_its_years(walk: Path, tmp_path: Path) -> None:
    """Hot lines are replaced after 3 years, the rest after 10: common practice, no source."""
    register = table(walk / "register" / "register.csv")
    rounds: dict[str, set[str]] = {
        "2028-03-20": set(),
        "2029-12-31": {"hot"},
        "2036-12-31": {"hot", "indoor"},
    }
    for until, exposures in rounds.items():
        out = tmp_path / until
        made = done("rounds", walk / "register", "--until", until, "-o", out, "--prices", PRICES)
        due = {
            row["id"] for row in register if row["installed_on"] and row["exposure"] in exposures
        }
        listed = table(out / "round.csv")
        assert {row["id"] for row in listed if row["what"] == "replace"} == due
        assert Counter(row["id"] for row in listed) == Counter({row["id"] for row in listed})
        if due:
            assert order_ids(out / "order.json") == Counter(due)
            years = made["years"]
            assert isinstance(years, Mapping)
            assert all(
                each["materials"].startswith("USD") for each in years.values() if each["pieces"]
            )
        else:
            assert not (out / "order.json").exists()
        assert (out / "round.pdf").read_bytes().startswith(b"%PDF")
        assert (out / "replacements.pdf").read_bytes().startswith(b"%PDF")


def test_replacements_are_ordered_made_and_signed_again(walk: Path, tmp_path: Path) -> None:
    copy = tmp_path / "register"
    shutil.copytree(walk / "register", copy)
    done("rounds", copy, "--until", "2029-12-31", "-o", tmp_path / "round")
    due = set(order_ids(tmp_path / "round" / "order.json"))
    done("order", tmp_path / "round" / "order.json", "-o", tmp_path / "job")
    signed = ("--by", "D. Second", "--date", "2029-02-01")
    done("register", copy, "--job", tmp_path / "job", *signed)
    before, after = (table(each / "register.csv") for each in (walk / "register", copy))
    assert [row["id"] for row in after] == [row["id"] for row in before]
    assert {row["id"] for row in after if row["installed_on"] == "2029-02-01"} == due
    again = done("rounds", copy, "--until", "2029-12-31", "-o", tmp_path / "again")
    assert again["replace"] == 0


def test_the_audit_record_is_the_same_each_time(walk: Path, tmp_path: Path) -> None:
    made = []
    for name in ("one.pdf", "two.pdf"):
        done("audit", walk / "register", "--date", "2028-12-31", "-o", tmp_path / name)
        made.append((tmp_path / name).read_bytes())
    assert made[0] == made[1]


SEEN = st.sampled_from(
    [(), *((each,) for each in Seen), (Seen.FADED, Seen.TOO_SMALL), (Seen.OTHER, Seen.FADED)]
)


@settings(
    deadline=None,
    max_examples=15,
    derandomize=True,
    phases=(Phase.explicit, Phase.generate),  # a plant is too long to be shrunk
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
@given(LISTS, st.data())
def test_quantities_are_conserved_from_survey_to_replacement(
    rows: list[dict[str, str]], data: st.DataObject
) -> None:
    job = job_of(rows, "")
    listed = placed_pieces(job.markers)
    ids = [piece.id for piece in listed]
    assert len(set(ids)) == len(ids) == sum(map(pieces, rows))
    seen = {piece: data.draw(SEEN) for piece in ids}
    noted = Noted(by="C. Walker", date="2026-03-02")
    sightings = [Sighting(piece, words, noted) for piece, words in seen.items() if words]
    surveyed = judge_survey(listed, listed, sightings, ())
    assert sum(map(surveyed.count, Verdict)) == len(ids)
    wanted = order_for(job.order, map(change_of, surveyed.outcomes), ", survey")
    due = {each.piece.id for each in surveyed.of(Verdict.ADD, Verdict.REPLACE)}
    ordered = planned(wanted) if wanted is not None else ()
    assert Counter(piece.id for piece in ordered) == Counter(due)
    looks = (
        {piece.marker.id for piece in listed if piece.id in due},
        {piece.marker.id for piece in ordered},
    )
    assert looks[0] == looks[1]  # each is made as the list asks for it
    register = _kept(listed, seen, ordered)
    hung = {piece for piece, words in seen.items() if words}
    assert Counter(entry.id for entry in register.entries) == Counter(hung)
    assert {entry.id for entry in register.entries if entry.state != GOOD} == {
        piece for piece in hung if seen[piece] == (Seen.HIDDEN,)
    }
    last = max((entry.end_of_life for entry in register.entries), default="")
    if last:
        replaced = due_until(register, last).replace
        assert {each.entry.id for each in replaced} == due


def _kept(
    listed: tuple[PlacedPiece, ...],
    seen: Mapping[str, tuple[Seen, ...]],
    ordered: tuple[PlacedPiece, ...],
) -> Register:
    """The register after the survey and the pack of its order."""
    surveyor = Signed("C. Walker", "2026-03-02", "survey")
    looks = (
        SurveyLook(piece.id, seen[piece.id], "", surveyor, piece)
        for piece in listed
        if seen[piece.id]
    )
    lifetimes = load_lifetimes()
    surveyed = take_survey(Register(), looks, (), "LIST", lifetimes)
    fitter = Signed("C. Fitter", "2026-03-20", "job")
    return sign_off(surveyed, ordered, "JOB", fitter, lifetimes)


@pytest.mark.parametrize(
    ("day", "months", "later"),
    [
        # by the calendar: a shorter month ends earlier, and 2028 is a leap year
        ("2026-01-31", 1, "2026-02-28"),
        ("2024-02-29", 12, "2025-02-28"),
        ("2026-02-28", 24, "2028-02-28"),
        ("2026-11-30", 3, "2027-02-28"),
        ("2026-12-01", 120, "2036-12-01"),
    ],
)
def test_months_are_counted_by_the_calendar(day: str, months: int, later: str) -> None:
    assert months_after(day, months) == later
