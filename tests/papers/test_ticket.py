"""The ticket: what it tells a shop, against sums made by hand."""

from __future__ import annotations

import io
import math
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader

from layouts.drawing.document import Step
from layouts.nest import (
    Arrangement,
    Bound,
    CutStep,
    Cutting,
    Margins,
    Nest,
    NestRequest,
    Piece,
    RollStock,
)
from layouts.papers.amounts import forced_text, least_length, least_text
from layouts.papers.materials import materials
from layouts.papers.materials.bill import group_waste
from layouts.papers.materials.hardware import packing_list
from layouts.papers.ticket import mapping_line, ticket
from layouts.papers.ticket.group import cut_text
from layouts.sheets.sheetplan import SheetPlan
from layouts.terms.words import PartRole
from render.write import pdf
from tests.helpers.command import PIPE, VESSEL, run, write_list
from tests.helpers.packs_reading import all_letters
from tests.helpers.paper_reading import words
from tests.papers.conftest import Job


def written(job: Job, step_inks: Mapping[Step, str] | None = None) -> bytes:
    markers, names = job.gathered.markers, dict(step_inks or {})
    groups = tuple(on_machine(group, names) for group in job.groups)
    return pdf.write(ticket(job.order, markers, groups, job.schemes, job.typefaces))


def on_machine(group: SheetPlan, step_inks: Mapping[Step, str]) -> SheetPlan:
    """The group as a machine with these names makes it."""
    stocks = (
        replace(each, printer=replace(each.printer, step_inks=step_inks)) for each in group.stocks
    )
    return replace(group, stocks=tuple(stocks))


@pytest.mark.slow
@pytest.mark.tools
def test_first_line_names_the_cut_inks_of_the_machine(job: Job) -> None:
    text = words(written(job, step_inks={Step.KISS_CUT: "HalfCut"}), 1)
    assert text.startswith("Before printing, map these inks to cutting")
    first = text[: text.index("Relabeling")]
    assert "HalfCut = kiss cut" in first
    assert "Cutting = through cut" in first  # ISO 19593-1:2018 type name
    assert "prints as a line" in first


def test_mapping_names_only_cuts_that_occur(job: Job) -> None:
    films = [group for group in job.groups if group.role is PartRole.FILM]
    plates = [group for group in job.groups if group.role is PartRole.PLATE]
    assert "kiss cut" in mapping_line(films)
    assert "hole" not in mapping_line(films)
    assert "hole" in mapping_line(plates)
    assert "kiss cut" not in mapping_line(plates)
    assert mapping_line([]) == "Nothing on this ticket is cut."


@pytest.mark.slow
@pytest.mark.tools
def test_the_ticket_gives_the_proven_minimum_and_the_same_bytes_again(job: Job) -> None:
    file = written(job)
    assert file == written(job)
    pages = range(1, len(PdfReader(io.BytesIO(file)).pages) + 1)
    text = " ".join(words(file, page) for page in pages)
    for group in job.groups:
        assert least_text(group) in text, (least_text(group), text)
        assert group.key in text


def test_proven_minimum_is_no_more_than_what_is_used(job: Job) -> None:
    for group in job.groups:
        used = group.nest.length_um / 1000 if group.is_roll else group.copies
        bound = group.nest.bound
        assert 0 < (bound.length_um / 1000 if group.is_roll else bound.sheets) <= used


def test_a_part_that_cannot_lie_across_the_roll_sets_the_minimum(job: Job) -> None:
    """By hand: 77 in of part on a 54 in roll, and 1/2 in of margin at both ends, is 78 in."""
    inch = 25_400
    roll = RollStock("roll", 54 * inch, Margins(*[inch // 2] * 4), 120 * inch)
    group = next(group for group in job.groups if group.is_roll)
    long, short = Piece("long", 77 * inch, 4 * inch, 3), Piece("short", 40 * inch, 4 * inch, 1)
    nest = Nest((), (), Bound("area", 0, 7 * inch, 0))
    for pieces, inches in (((long, short), 78.0), ((short,), 5.0)):
        request = NestRequest(pieces, (roll,), 0, Cutting.FREE)
        made = replace(group, request=request, nest=nest)
        assert made.forced_length == pytest.approx(inches * 25.4)
        assert least_length(made) == pytest.approx(max(inches, 7.0) * 25.4)
        assert bool(forced_text(made)) == (inches > 7.0)


def test_waste_on_the_ticket_is_that_of_the_bill(job: Job) -> None:
    bill = materials(job.gathered.markers, job.groups, None)
    by_id = {marker.id: marker for marker in job.gathered.markers}
    assert [group_waste(group, by_id) for group in job.groups] == [*bill.group_waste]
    text = all_letters(
        ticket(job.order, job.gathered.markers, job.groups, job.schemes, job.typefaces)
    )
    for waste in bill.group_waste:
        assert f"Waste{waste.percent:.1f}%" in text


def test_mounting_parts_are_counted(job: Job) -> None:
    """By hand from the order and the strap rule: girth and 3 in of tail, up to 1/4 in."""
    listed = packing_list(job.gathered.markers)
    plates = {size: int(count) for part, size, count in listed if "plate" in part}
    assert sorted(plates.values()) == [3, 4]
    length = math.ceil((math.pi * (12.75 + 2 * 4) + 3) * 4) / 4
    strap = next(row for row in listed if row[1] == f"{math.floor(length)}-1/4 in long")
    assert length % 1 == 0.25
    assert strap[2] == str(3 * 3)  # three plates over 36 in, each with a strap in its middle
    wires = [row for row in listed if "wire" in row[0]]
    assert [row[2] for row in wires] == ["2"]  # a tag for each side


def test_straight_cuts_are_told_in_order() -> None:
    arrangement = Arrangement(
        "sheet", 1, (), 609600, 1219200, (CutStep(0, False, 254000, 0, 609600),)
    )
    assert cut_text(arrangement.cuts) == "1. across at 10 in (0 in to 24 in)"


@pytest.mark.tools
def test_the_ticket_names_scheme_and_edition(job: Job) -> None:
    text = words(written(job), 1)
    for scheme in job.schemes.values():
        assert scheme.edition.split()[0] in text


@pytest.mark.tools
def test_each_film_group_names_its_own_kind_and_a_laminate_where_it_has_one(tmp_path: Path) -> None:
    """Cast on a jacket, calendered where all lies flat on plates (common practice, no source)."""
    rows = [{**PIPE, "environment": "outdoor"}, VESSEL]
    listed = write_list(tmp_path / "list.csv", rows)
    done = run("order", listed, "-o", tmp_path / "job")
    assert done.exit_code == 0, done.output
    file = (tmp_path / "job" / "ticket.pdf").read_bytes()
    pages = len(PdfReader(io.BytesIO(file)).pages)
    text = " ".join(words(file, number) for number in range(1, pages + 1))
    assert text.count("Film kind:") == 2
    assert "Film kind: cast; laminate: cast too." in text
    assert "Film kind: calendered." in text
