"""The proof, read back from its SVG and PDF pages."""

from __future__ import annotations

import io
import math
import re
from collections import Counter
from collections.abc import Iterator

import numpy as np
import pytest
from pypdf import PdfReader

from layouts.drawing import Rect
from layouts.drawing.document import Document, Placement
from layouts.order.order import Order
from layouts.papers.proof import Proof
from layouts.papers.proof.family import families
from layouts.papers.proof.verdicts import Verdicts, Weight
from layouts.schemes.loader import load_scheme, scheme_from_toml
from layouts.terms.findings import Finding, Place, Severity
from render.read.fonts import default_typefaces
from render.write import pdf
from render.write.svg import write_page
from tests.helpers.contours import Points
from tests.helpers.gathering import gather
from tests.helpers.packs_reading import all_letters, squeezed
from tests.helpers.paper_reading import raster, words
from tests.helpers.svg_reader import HREF, SVG, matrix_of, root_of
from tests.helpers.whole_papers import whole
from tests.papers.conftest import REASON, Job


@pytest.fixture(scope="module")
def document(job: Job) -> Document:
    return job.proof()


@pytest.fixture(scope="module")
def file(document: Document) -> bytes:
    return pdf.write(document)


def faces(document: Document) -> Iterator[tuple[int, str, Points]]:
    """Page number, symbol and matrix of every face that is placed, read from the SVG pages."""
    for number, page in enumerate(document.pages, start=1):
        for use in root_of(write_page(page, document.symbols)).iter(f"{SVG}use"):
            if "face-" in use.attrib[HREF]:
                matrix = matrix_of(use.get("transform", ""))
                found = re.search(r"face-(\w+)", use.attrib[HREF])
                assert found
                yield number, found[1], matrix


def test_pages_are_us_letter(file: bytes) -> None:
    # ANSI/ASME Y14.1 size A: 8.5 x 11 in; a point is 1/72 in (ISO 32000-1, 8.3.2.3).
    for page in PdfReader(io.BytesIO(file)).pages:
        assert [float(each) for each in page.mediabox] == pytest.approx([0, 0, 612, 792], abs=0.01)


def test_each_distinct_face_is_drawn_once(job: Job, document: Document) -> None:
    placed = Counter(face for _, face, _ in faces(document))
    assert placed == Counter(marker.face.id for marker in job.gathered.markers)
    assert set(placed.values()) == {1}


@pytest.mark.slow
@pytest.mark.tools
def test_faces_are_to_scale_and_their_bleed_is_hidden(
    job: Job, document: Document, file: bytes
) -> None:
    """The colored width of a face on the page, times its scale, is its trimmed length."""
    dpi = 300
    markers = {marker.face.id: marker for marker in job.gathered.markers}
    pages = {number: raster(file, number, dpi) for number, _, _ in faces(document)}
    for number, face, matrix in faces(document):
        scale = 1 / matrix[0, 0]
        assert scale == pytest.approx(round(scale))
        size = markers[face].face.measures
        x, y = matrix[0, 2], matrix[1, 2] + size.height * 0.85 / scale
        left, right = x - 2, x + size.length / scale + 2  # mm; what is beyond belongs to others
        row = pages[number][round(y / 25.4 * dpi)].astype(int)
        around = row[round(left / 25.4 * dpi) : round(right / 25.4 * dpi)]
        keyline = markers[face].face.design.keyline is not None
        inked = around.min(axis=1) < 128 if keyline else np.ptp(around, axis=1) > 40
        at = np.flatnonzero(inked)
        width = (at[-1] - at[0] + 1) / dpi * 25.4
        assert width == pytest.approx(size.length / scale, abs=0.25), face


@pytest.mark.slow
@pytest.mark.tools
def test_cover_says_what_is_approved(job: Job, file: bytes) -> None:
    text = words(file, 1)
    for wanted in (
        "PROOF FOR APPROVAL",
        "Relabeling, phase 2",
        "Example Ridge Cold Store",
        "Ammonia refrigeration, 2014 content, edition 2014",
        "by max. normal operating pressure, defrost excluded",
        "above 70 psig HIGH",
        "check it against the P&ID",
        "Nothing pierces or crushes",
        "Signature",
        "Revision approved",
        REASON,
    ):
        assert wanted in text, (wanted, text)
    # trade facts, section 3: black on safety red and green fall short, black on orange does not.
    weak = text[text.index("Prescribed pairs") : text.index("Contrast as in")]
    assert "safety red" in weak
    assert "safety green" in weak
    assert "orange" not in weak


@pytest.mark.tools
def test_counts_add_up_over_areas(job: Job, file: bytes) -> None:
    """Counted by hand from the order: seven bays of 2, both hands; one tag for each side."""
    text = words(file, 1)
    rows = {}
    for area in ("Freezer 1", "Machinery room", "Roof, east", "All areas"):
        found = re.search(rf"{area}((?: \d+){{4}})", text)
        assert found, area
        rows[area] = [int(each) for each in found[1].split()]
    assert rows == {
        "Freezer 1": [2 * 2 * 7 + 3, 0, 0, 31],
        "Machinery room": [5, 2, 2, 9],
        "Roof, east": [4, 0, 0, 4],
        "All areas": [40, 2, 2, 44],
    }


@pytest.mark.slow
@pytest.mark.tools
def test_an_entry_names_marker_sizes_and_places(job: Job, document: Document, file: bytes) -> None:
    marker = next(each for each in job.gathered.markers if each.plan.name == "LTRS")
    page = next(number for number, face, _ in faces(document) if face == marker.face.id)
    text = words(file, page, width=110.0)  # the left column
    # 12.75 in and twice 4 in of covering: over 10 in, letters 3.5 in by both published tables;
    # 3.5 in x 300 = 87.5 ft (ANSI Z535.2-2011, 9.2.3).
    for wanted in (
        "3-1/2 in, legible to 87 ft",
        "row: over 10 in",
        "Freezer 1, line L-12",
    ):
        assert wanted in text, (wanted, text)


def test_nothing_leaves_the_page_and_text_is_large_enough(document: Document) -> None:
    inner = Rect(10.0, 8.0, 215.9 - 20.0, 279.4 - 16.0)
    for page in document.pages:
        for layer in page.layers:
            for item in layer.items:
                if isinstance(item, Placement):
                    box = item.at.rect(document.symbols[item.symbol].bounds)
                    assert inner.contains(box), (page.id, item.symbol)
                    if item.symbol.startswith("g-"):  # glyphs are drawn 10 mm high
                        assert item.at.d * 10 >= 1.6
                else:
                    assert inner.contains(item.path.bounds(), 0.1)


def test_same_order_same_bytes_and_no_date_of_its_own(job: Job, file: bytes) -> None:
    assert pdf.write(job.proof()) == file
    assert job.proof().date is None
    assert job.proof("2026-02-03").date == "2026-02-03"
    assert b"CreationDate" not in file


def test_a_proof_handed_over_page_by_page_shows_the_same(
    job: Job, document: Document, file: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And so it does if every page lets go of what the one before it placed."""
    monkeypatch.setattr("layouts.papers.kit.paper._MOST_HELD", 0)
    found = job.gathered
    drawn = Proof(job.order, found.markers, found.findings, job.schemes, job.typefaces)
    handed = pdf.write_ahead(drawn.document, drawn.pages)
    assert len(drawn.document.symbols) < len(document.symbols) / 2
    for page in range(1, len(document.pages) + 1):
        assert words(handed, page) == words(file, page)
        assert (raster(handed, page, 40) == raster(file, page, 40)).all()


def test_what_holds_for_every_marker_stands_on_the_cover_alone(job: Job) -> None:
    markers = job.gathered.markers
    names = sorted({marker.plan.name for marker in markers})
    common = [
        Finding("scheme-unseen", Severity.BLOCKING, "not seen", place=Place(marker=name))
        for name in names
    ]
    verdicts = Verdicts(markers, (*job.gathered.findings, *common))
    first = verdicts.groups[0]
    assert (first.weight, first.where) == (Weight.BLOCKS, ("every marker",))
    assert verdicts.count(Weight.BLOCKS) == len(names)
    for marker in markers:
        codes = [finding.code for finding in verdicts.of_marker(marker)]
        assert "scheme-unseen" not in codes
        assert ("letter-below-row" in codes) == (marker.plan.name == "HPL")
    without_one = Verdicts(markers, common[1:])
    assert without_one.groups[0].where == tuple(names[1:])


def test_the_cover_names_cutoffs_a_second_language_and_doubts() -> None:
    text = """
extends = "ammonia-2014"
key = "plant"
title = "Ours"
[legend]
language = "Spanish"
[[cutoffs]]
key = "co2"
contents = ["CO2"]
psig = 500
source = "plant standard 9"
"""
    scheme = scheme_from_toml(text, "plant.toml")
    order = Order.model_validate(
        {
            "scheme": "plant.toml",
            "items": [
                {"spec": {"kind": "valve", "tag": "HV-1"}, "positions": [{"area": "Hall"}]},
            ],
        }
    )
    schemes = {"plant.toml": scheme}
    faces = default_typefaces()
    gathered = gather(order.items, schemes, order.scheme, faces, (), "")
    said = all_letters(whole(Proof(order, gathered.markers, gathered.findings, schemes, faces)))
    for wanted in (
        "The plant's own cutoff for CO2: 500 psig (plant standard 9)",
        "English with Spanish below; words from memory",
        "Approval",
        "Signature",
        *(f"{each.what[1:]}: {each.right}" for each in scheme.caveats if not each.blocking),
    ):
        assert squeezed(wanted) in said


def test_tags_that_differ_in_their_words_alone_share_a_page_and_are_legible() -> None:
    """Forty tags by number in a grid, each once; an emergency valve's is larger: by itself."""
    valve: dict[str, object] = {"kind": "valve", "service": "HPL", "function": "Drain"}
    tags = [valve | {"tag": f"HV-{number}"} for number in range(101, 141)]
    tags.append(valve | {"tag": "HV-1", "emergency": True})
    order = Order.model_validate(
        {"items": [{"spec": spec, "positions": [{"area": "Hall"}]} for spec in tags]}
    )
    schemes = {order.scheme: load_scheme(order.scheme)}
    typefaces = default_typefaces()
    gathered = gather(order.items, schemes, order.scheme, typefaces, (), "")
    found = [
        (family.markers, family.scheme)
        for family in families(gathered.markers, lambda _: (), schemes)
    ]
    assert sorted(len(markers) for markers, _ in found) == [1, 40]
    document = whole(Proof(order, gathered.markers, (), schemes, typefaces))
    placed = [*faces(document)]
    assert Counter(face for _, face, _ in placed) == Counter(
        marker.face.id for marker in gathered.markers
    )
    # Cover, notes at the end, and seven rows of three a page.
    assert len(document.pages) <= 1 + math.ceil(40 / 21) + 2
    by_face = {marker.face.id: marker for marker in gathered.markers}
    for _, face, matrix in placed:
        smallest = min(
            element.letter_height
            for line in by_face[face].face.design.lines
            for element in line
            if element.word
        )
        assert smallest * matrix[0, 0] >= 1.5, "as high as capitals of 6 point type"
    said = all_letters(document)
    for marker in gathered.markers:
        assert marker.plan.name in said
        assert marker.id in said


def test_the_proof_names_straight_runs_that_a_marker_does_not_fit() -> None:
    """A strapped plate is longer than 8 in of straight pipe; 10 ft takes any marker."""
    spec = {"kind": "pipe", "service": "HPL", "state": "liquid", "pressure": "181 psig"}
    spec |= {"flow": "right", "pipe": "NPS 4", "covering": "0 in"}
    places = (("8 in", "short leg"), ("10 ft", "long leg"))
    items = [
        {"spec": spec | {"straight": straight}, "positions": [{"location": where}]}
        for straight, where in places
    ]
    order = Order.model_validate({"items": items})
    schemes = {order.scheme: load_scheme(order.scheme)}
    faces = default_typefaces()
    gathered = gather(order.items, schemes, order.scheme, faces, (), "")
    said = all_letters(whole(Proof(order, gathered.markers, gathered.findings, schemes, faces)))
    assert squeezed("Straight runs too short for their marker") in said
    assert squeezed("short leg (8 in straight)") in said
    assert squeezed("DOES NOT FIT short leg") in said
    assert squeezed("long leg (10 ft") not in said


@pytest.mark.parametrize(
    ("turns", "said", "unsaid"),
    [
        # A marker of 63 in or more: the leg from 10 to 14 ft is 4 ft.
        ("10 ft, 14 ft", ["bend (4 ft between elbows)"], "(about"),
        ("30 ft", [], "between elbows"),
        (15, ["bend (about 3 ft 9 in between elbows)"], "(4 ft"),
    ],
)
def test_the_proof_names_legs_between_elbows_that_are_too_short(
    turns: str | int, said: list[str], unsaid: str
) -> None:
    spec = {"kind": "pipe", "service": "HTRS", "state": "both", "pressure": "30 psig"}
    spec |= {"flow": "right", "pipe": "NPS 6", "covering": "2.5 in"}
    run = {"length": "60 ft", "turns": turns}
    place = {"location": "bend", "pipe_run": run, "at": "12 ft"}
    order = Order.model_validate({"items": [{"spec": spec, "positions": [place]}]})
    schemes = {order.scheme: load_scheme(order.scheme)}
    typefaces = default_typefaces()
    gathered = gather(order.items, schemes, order.scheme, typefaces, (), "")
    letters = all_letters(
        whole(Proof(order, gathered.markers, gathered.findings, schemes, typefaces))
    )
    assert all(squeezed(each) in letters for each in said)
    assert squeezed(unsaid) not in letters
    assert (squeezed("DOES NOT FIT") in letters) is bool(said)
