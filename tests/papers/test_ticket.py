"""The ticket: what it tells a shop, against sums made by hand."""

from __future__ import annotations

import io
import math
from dataclasses import replace

import pytest
from pypdf import PdfReader

from layouts.drawing.document import Step
from layouts.nest import Arrangement, CutStep
from layouts.papers.amounts import least_text
from layouts.papers.materials.hardware import packing_list
from layouts.papers.ticket import mapping_line, ticket
from layouts.papers.ticket.group import cut_text
from layouts.sheets.nest_record import bound_value
from layouts.sheets.sheetplan import SheetPlan
from layouts.terms.words import PartRole
from render.write import pdf
from tests.helpers.paper_reading import words
from tests.papers.conftest import Job


def written(job: Job, **changed) -> bytes:
    markers = job.gathered.markers
    groups = tuple(on_machine(group, **changed) for group in job.groups)
    return pdf.write(ticket(job.order, markers, groups, job.schemes, job.typefaces))


def on_machine(group: SheetPlan, **changed) -> SheetPlan:
    """The group as machines with other settings make it."""
    stocks = (replace(each, printer=replace(each.printer, **changed)) for each in group.stocks)
    return replace(group, stocks=tuple(stocks))


@pytest.mark.tools
def test_first_line_names_the_cut_inks_of_the_machine(job: Job):
    text = words(written(job, step_inks={Step.KISS_CUT: "HalfCut"}), 1)
    assert text.startswith("Before printing, map these inks to cutting")
    first = text[: text.index("Relabeling")]
    assert "HalfCut = kiss cut" in first
    assert "Cutting = through cut" in first  # ISO 19593-1:2018 type name
    assert "prints as a line" in first


def test_mapping_names_only_cuts_that_occur(job: Job):
    films = [group for group in job.groups if group.role is PartRole.FILM]
    plates = [group for group in job.groups if group.role is PartRole.PLATE]
    assert "kiss cut" in mapping_line(films)
    assert "hole" not in mapping_line(films)
    assert "hole" in mapping_line(plates)
    assert "kiss cut" not in mapping_line(plates)
    assert mapping_line([]) == "Nothing on this ticket is cut."


@pytest.mark.tools
def test_the_ticket_gives_the_proven_minimum_and_the_same_bytes_again(job: Job):
    file = written(job)
    assert file == written(job)
    pages = range(1, len(PdfReader(io.BytesIO(file)).pages) + 1)
    text = " ".join(words(file, page) for page in pages)
    for group in job.groups:
        assert least_text(group) in text, (least_text(group), text)
        assert group.key in text


def test_proven_minimum_is_no_more_than_what_is_used(job: Job):
    for group in job.groups:
        used = group.nest.length_um / 1000 if group.is_roll else group.copies
        assert 0 < bound_value(group) <= used


def test_mounting_parts_are_counted(job: Job):
    """By hand from the order and the strap rule: girth and 3 in of tail, up to 1/4 in."""
    listed = packing_list(job.gathered.markers)
    plates = {size: int(count) for part, size, count in listed if "plate" in part}
    assert sorted(plates.values()) == [3, 4]
    length = math.ceil((math.pi * (12.75 + 2 * 4) + 3) * 4) / 4
    strap = next(row for row in listed if row[1] == f"{math.floor(length)}-1/4 in long")
    assert length % 1 == 0.25
    assert strap[2] == str(2 * 3)  # two straps a plate
    wires = [row for row in listed if "wire" in row[0]]
    assert [row[2] for row in wires] == ["2"]  # a tag for each side


def test_straight_cuts_are_told_in_order():
    arrangement = Arrangement(
        "sheet", 1, (), 609600, 1219200, (CutStep(0, False, 254000, 0, 609600),)
    )
    assert cut_text(arrangement.cuts) == "1. across at 10 in (0 in to 24 in)"


@pytest.mark.tools
def test_the_ticket_names_scheme_and_edition(job: Job):
    text = words(written(job), 1)
    for scheme in job.schemes.values():
        assert scheme.edition.split()[0] in text
