"""Survey and change sheets, rounds, charts and audit records: complete, and on their pages."""

from __future__ import annotations

import random
from collections.abc import Sequence

import pytest

from layouts.drawing.document import Document, Fill, Stroke
from layouts.markers.piece_ids import placed_pieces
from layouts.order.normal import order_seal
from layouts.papers.keeping.audit_record import Audit, audit_record
from layouts.papers.keeping.found_sheet import found_sheet
from layouts.papers.keeping.replacement_chart import YearRow, replacement_chart
from layouts.papers.keeping.round_page import round_page
from layouts.papers.keeping.survey_sheet import SurveyHead, blank_sheet, survey_sheets
from layouts.papers.kit.cautions import Audience, cautions_for
from layouts.register.due import due_until, ids_text
from layouts.register.entries import Signed
from layouts.register.model import Register
from layouts.register.updates import SurveyLook, sign_off, take_survey
from layouts.schemes.loader import load_lifetimes
from layouts.survey.outcome import Verdict, judge_survey
from layouts.survey.sightings import Noted, Seen, Sighting, Stray
from render.write import pdf
from tests.helpers.packs_reading import all_letters, squeezed
from tests.helpers.paper_reading import words
from tests.papers.conftest import Job

NOTED = Noted(by="C. Walker", date="2026-03-02", note="no ladder")
CAREFUL = Noted(reads="NH3", by="C. Walker", date="2026-03-02")


def boxes(document: Document) -> int:
    """Squares to tick, by their edge of 2.4 mm."""
    strokes = (
        item.path.bounds()
        for page in document.pages
        for layer in page.layers
        for item in layer.items
        if isinstance(item, Stroke)
    )
    return sum(abs(box.width - 2.4) < 1e-6 and abs(box.height - 2.4) < 1e-6 for box in strokes)


def on_the_page(document: Document) -> bool:
    """Whether every line and box lies within its page."""
    for page in document.pages:
        for layer in page.layers:
            for item in layer.items:
                box = item.path.bounds() if isinstance(item, Stroke) else None
                if box is not None and not (
                    box.x >= 0 and box.right <= page.size.width and box.bottom <= page.size.height
                ):
                    return False
    return True


@pytest.fixture(scope="module")
def sheets(job: Job) -> dict[str, Document]:
    head = SurveyHead(job.order, order_seal(job.order), "2026-03-01")
    return dict(survey_sheets(head, placed_pieces(job.gathered.markers), job.typefaces))


def test_a_survey_sheet_has_every_piece_with_a_box_for_each_thing_seen(
    job: Job, sheets: dict[str, Document]
) -> None:
    listed = placed_pieces(job.gathered.markers)
    assert set(sheets) == {piece.area for piece in listed}
    for area, sheet in sheets.items():
        own = [piece for piece in listed if piece.area == area]
        text = all_letters(sheet)
        assert [piece.id for piece in own if piece.id not in text] == []
        assert boxes(sheet) == len(Seen) * len(own)
        assert on_the_page(sheet)
        for caution in cautions_for(Audience.SURVEY, ()):
            assert squeezed(caution) in text


def test_a_survey_sheet_reads_as_it_is_meant(sheets: dict[str, Document]) -> None:
    text = words(pdf.write(sheets["Roof, east"]), 1)
    for part in ("Roof, east", "present", "wrong arrow", "too small", "from C-1 to EC", "HSD"):
        assert part in text


def test_an_empty_sheet_has_rows_to_write_in(job: Job) -> None:
    sheet = blank_sheet("Roof", None, job.typefaces, 44)
    assert len(sheet.pages) > 1
    for page in sheet.pages:  # titles on every page
        assert "Whatitsays" in all_letters(Document("x", "x", (page,), {}))


@pytest.mark.parametrize("seed", range(3))
def test_a_change_sheet_has_every_piece_that_is_not_left(job: Job, seed: int) -> None:
    listed = placed_pieces(job.gathered.markers)
    chance = random.Random(seed)
    seen: dict[str, tuple[Seen, ...]] = {
        piece.id: chance.choice([(), *((each,) for each in Seen)]) for piece in listed
    }
    sightings = [
        Sighting(piece, each, CAREFUL if Seen.OTHER in each else NOTED)
        for piece, each in seen.items()
        if each
    ]
    stray = Stray("Roof, east", "", "by the fan", "", "", (), CAREFUL)
    surveyed = judge_survey(listed, listed, sightings, (stray,))
    sheet = found_sheet(job.order, surveyed, job.typefaces, "2026-03-05")
    text = all_letters(sheet)
    changed = surveyed.of(Verdict.REPLACE, Verdict.ADD, Verdict.LOOK, Verdict.OPEN)
    assert [each.piece.id for each in changed if each.piece.id not in text] == []
    # a box for each thing to do and to ask; what nobody saw has none
    due = [each for each in changed if each.verdict is not Verdict.OPEN]
    assert boxes(sheet) == len(due) + 1 + len(surveyed.questions)
    assert squeezed("Take it down only after the question is answered") in text
    assert on_the_page(sheet)


def registered(job: Job) -> Register:
    """A register in which every other piece was installed and the others were seen faded."""
    listed = placed_pieces(job.gathered.markers)
    lifetimes = load_lifetimes()
    signed = Signed("C. Fitter", "2026-01-15", "job")
    register = sign_off(Register(), listed[::2], "JOB", signed, lifetimes)
    looked = Signed("C. Walker", "2026-03-02", "survey")
    looks = [SurveyLook(each.id, (Seen.FADED,), "", looked, each) for each in listed[1::2]]
    return take_survey(register, looks, (), "LIST", lifetimes)


def test_a_round_page_has_all_that_is_due(job: Job) -> None:
    register = registered(job)
    for until in ("2026-06-30", "2028-12-31", "2040-01-01"):
        due = due_until(register, until)
        sheet = round_page(due, "Example Ridge", job.typefaces, None)
        text = all_letters(sheet)
        ids = {each.entry.id for each in (*due.inspect, *due.replace)}
        bases = {piece.partition("-")[0] for piece in ids}
        assert [base for base in bases if base not in text] == []
        assert f"Toinspect{len(due.inspect)}" in text
        assert f"Toreplace{len(due.replace)}" in text
        assert on_the_page(sheet)
    assert "Nothingisdue" in all_letters(
        round_page(due_until(Register(), "2030-01-01"), "", job.typefaces, None)
    )


def test_ids_of_neighbors_are_said_once(job: Job) -> None:
    due = due_until(registered(job), "2040-01-01").replace
    alone = ids_text(due[:1])
    assert alone == due[0].entry.id
    same = [each for each in due if each.entry.id.partition("-")[0] == alone.partition("-")[0]]
    assert ids_text(same).count(alone.partition("-")[0]) == 1


@pytest.mark.parametrize("years", [(), (3,), (7, 0, 12, 900)])
def test_bars_are_as_high_as_their_numbers(job: Job, years: Sequence[int]) -> None:
    rows = [YearRow(str(2030 + n), each, "", n == 0) for n, each in enumerate(years)]
    chart = replacement_chart(rows, 5, load_lifetimes(), "", job.typefaces, None)
    items = chart.pages[0].layers[0].items
    bars = [item.path.bounds() for item in items if isinstance(item, Fill)]
    wanted = [74.0 * each / max(years) for each in years if each]
    assert [box.height for box in bars] == pytest.approx(wanted)
    assert len({round(box.bottom, 6) for box in bars}) <= 1  # all from one foot
    assert "commonpractice,nosource" in all_letters(chart)


def test_an_audit_record_counts_and_names(job: Job) -> None:
    register = registered(job)
    audit = Audit("Example Ridge", register, (), (), {"Roof, east": 3}, "2026-02-01", "2027-02-01")
    record = audit_record(audit, job.typefaces)
    text = all_letters(record)
    bad = sum(entry.state != "good" for entry in register.entries)
    assert squeezed(f"Open findings: {bad} pieces") in text
    assert squeezed("Listed and not in the register: 3 pieces") in text
    # changes from February on: the survey's, and not those of January
    assert squeezed(f"What changed since 2026-02-01: {bad} changes") in text
    for name in ("C.Walker", "C.Fitter", "Whosigned"):
        assert name in text
    for caution in cautions_for(Audience.AUDIT):
        assert squeezed(caution) in text
    assert on_the_page(record)
