"""Sizes of finished markers, measured on the plates that Ghostscript draws.

Figures come from the published tables (see `matrix.py`) and, where a table is silent, from the
scheme and mounting data named beside the check.
"""

from __future__ import annotations

import itertools
import math
from pathlib import Path

import pytest

from layouts.drawing import Rect
from layouts.markers.gather import Marker
from layouts.terms.words import PartRole
from render.write import pdf
from tests.helpers.matrix import (
    BUILDS,
    EVERY,
    IN,
    PAIRWISE,
    TABLES,
    Case,
    alone,
    drawn,
    flag,
    floor_case,
    options,
    order_of,
)
from tests.helpers.ruler import Seen, measure

pytestmark = pytest.mark.tools

EXACT = 0.03  # mm, what the drawing may be off on the raster
STEP = 0.25 * IN  # finished lengths of both schemes, our own choice (scheme files)
BAND_SHARE = 0.6  # least share of band words in the letter height (scheme files)
OVERLAP = 12.0  # of a wrap, common practice, no source
# Plate border, ear, slot and hole of the mounting data, our own choice, inches.
BORDER, EAR, SLOT_LENGTH, SLOT_WIDTH, HOLE = 1 / 4, 1.0, 5 / 8, 3 / 16, 9 / 32
THIRD_OVER = 36 * IN  # a longer plate bows between two straps: from memory


def test_the_choice_holds_every_pair() -> None:
    fields = ("scheme", "row", "flow", "build")
    for one, other in itertools.combinations(fields, 2):
        chosen = {(getattr(case, one), getattr(case, other)) for case in PAIRWISE}
        assert chosen == {(getattr(case, one), getattr(case, other)) for case in EVERY}
    assert len(PAIRWISE) == 30
    assert {case.build for case in EVERY} == set(BUILDS)


@pytest.mark.parametrize("case", PAIRWISE, ids=str)
def test_sizes_of_the_pairwise_choice(case: Case, tmp_path: Path) -> None:
    check(case, tmp_path)


@pytest.mark.full
@pytest.mark.parametrize("case", [case for case in EVERY if case not in PAIRWISE], ids=str)
def test_sizes_of_every_other_case(case: Case, tmp_path: Path) -> None:
    check(case, tmp_path)


def check(case: Case, folder: Path) -> None:
    document, marker = drawn(case)
    assert str(marker.plan.build.mount) == case.build.replace("film", "adhesive film")
    seen = measure(document, marker, pdf.write(document), folder)
    against_the_table(case, seen)
    against_the_specification(marker, seen)
    plate = seen.outlines.get(PartRole.PLATE)
    assert (plate is not None) is ("plate" in case.build)
    if plate is not None:
        openings_are_in_place(seen, plate, round_ones=case.build == "stand-off plate")
    else:
        assert seen.openings == []


def against_the_table(case: Case, seen: Seen) -> None:
    table, film = case.table, seen.outlines[PartRole.FILM]
    height = table.height * IN
    if case.build == "wrap":
        height = math.pi * table.od * IN + OVERLAP
    assert film.height == pytest.approx(height, abs=EXACT)
    assert film.width > table.length * IN - EXACT
    assert abs(film.width / STEP - round(film.width / STEP)) * STEP < EXACT
    full, small = table.letters * IN, BAND_SHARE * table.letters * IN
    heights = sorted(measured for _, _, measured in seen.letters)
    assert heights[-1] == pytest.approx(full, abs=EXACT)
    for measured in heights:
        assert measured == pytest.approx(full, abs=EXACT) or measured > small - EXACT
    assert (len(seen.bands) > 0) is (table.band > 0)
    assert all(band > table.band * IN - EXACT for band in seen.bands)


def against_the_specification(marker: Marker, seen: Seen) -> None:
    for part in marker.face.parts:
        box = seen.outlines[part.role]
        assert box.width == pytest.approx(part.size.width, abs=EXACT)
        assert box.height == pytest.approx(part.size.height, abs=EXACT)
    measures = marker.face.measures
    # A wrap repeats its bands from line to line, or draws them once all round.
    times = len(seen.bands) // max(1, len(measures.bands))
    assert seen.bands == pytest.approx(list(measures.bands) * times, abs=EXACT)
    assert (times > 0) is (len(measures.bands) > 0)
    for _, designed, measured in seen.letters:
        assert measured == pytest.approx(designed, abs=EXACT)


def openings_are_in_place(seen: Seen, plate: Rect, *, round_ones: bool) -> None:
    """Middles half an ear from the ends, one and a half widths from the long edges."""
    long, wide = (HOLE, HOLE) if round_ones else (SLOT_LENGTH, SLOT_WIDTH)
    ends, inset = (EAR / 2 * IN, plate.width - EAR / 2 * IN), 1.5 * wide * IN
    xs = ends if plate.width <= THIRD_OVER else (ends[0], plate.width / 2, ends[1])
    ys = (inset, plate.height - inset)
    wanted = [(x, y) for x in xs for y in ys]
    assert len(seen.openings) == len(wanted)
    for box, (x, y) in zip(seen.openings, wanted, strict=True):
        center = (box.center.x - plate.x, box.center.y - plate.y)
        assert center == pytest.approx((x, y), abs=EXACT)
        assert box.width == pytest.approx(long * IN, abs=EXACT)
        assert box.height == pytest.approx(wide * IN, abs=EXACT)
    film = seen.outlines[PartRole.FILM]
    assert plate.width == pytest.approx(film.width + 2 * (BORDER + EAR) * IN, abs=EXACT)
    # A middle opening lies beside the film, at least 2 mm off: common practice, no source.
    border = BORDER if xs == ends else 2 * wide + max(2.0 / IN, wide / 4)
    assert plate.height == pytest.approx(film.height + 2 * border * IN, abs=EXACT)


@pytest.mark.parametrize("row", range(5))
@pytest.mark.parametrize("scheme", list(TABLES))
def test_a_short_marker_has_the_length_of_the_table(scheme: str, row: int, tmp_path: Path) -> None:
    document, marker = floor_case(scheme, row)
    seen = measure(document, marker, pdf.write(document), tmp_path)
    table, film = TABLES[scheme][row], seen.outlines[PartRole.FILM]
    wanted = (table.length * IN, table.height * IN)
    assert (film.width, film.height) == pytest.approx(wanted, abs=EXACT)
    assert max(height for *_, height in seen.letters) == pytest.approx(
        table.letters * IN, abs=EXACT
    )
    against_the_specification(marker, seen)


def test_a_flag_has_two_slots_beside_its_film(tmp_path: Path) -> None:
    """One ear, at the left end; letters by reading distance (29 CFR 1910.145(f)(4), 5 ft)."""
    document, marker = flag()
    seen = measure(document, marker, pdf.write(document), tmp_path)
    film, plate = seen.outlines[PartRole.FILM], seen.outlines[PartRole.PLATE]
    assert plate.width == pytest.approx(film.width + (2 * BORDER + EAR) * IN, abs=EXACT)
    assert plate.height == pytest.approx(film.height + 2 * BORDER * IN, abs=EXACT)
    upper, lower = seen.openings
    inset = 1.5 * SLOT_WIDTH * IN
    for box, y in ((upper, inset), (lower, plate.height - inset)):
        middle = (box.center.x - plate.x, box.center.y - plate.y)
        assert middle == pytest.approx((EAR / 2 * IN, y), abs=EXACT)
        assert (box.width, box.height) == pytest.approx(
            (SLOT_LENGTH * IN, SLOT_WIDTH * IN), abs=EXACT
        )
    against_the_specification(marker, seen)
    # 1/300 of 5 ft.
    assert max(height for *_, height in seen.letters) > 5 * 304.8 / 300 - EXACT


@pytest.mark.parametrize("shape", ["rectangle", "round"])
def test_a_valve_tag_has_its_number_and_its_hole(shape: str, tmp_path: Path) -> None:
    """Number of 1/2 in (US building specifications, from memory); hole of 5 mm for a wire, its
    middle 1.25 widths under the edge (common practice, no source)."""
    spec = {"kind": "valve", "tag": "HV-118", "service": "HPL", "shape": shape}
    document, marker = alone(spec)
    seen = measure(document, marker, pdf.write(document), tmp_path)
    tag, (hole,) = seen.outlines[PartRole.TAG], seen.openings
    assert (hole.width, hole.height) == pytest.approx((5.0, 5.0), abs=EXACT)
    assert (hole.center.x - tag.x, hole.center.y - tag.y) == pytest.approx(
        (tag.width / 2, 6.25), abs=EXACT
    )
    assert max(height for *_, height in seen.letters) == pytest.approx(0.5 * IN, abs=EXACT)
    against_the_specification(marker, seen)


def test_an_equipment_marker_has_the_usual_size(tmp_path: Path) -> None:
    """3.5 in high with letters of 2.5 in: common practice, no source, edition not proven."""
    spec = {"kind": "equipment", "name": "Chiller", "tag": "", "pressure": "40 psig"}
    document, marker = alone(spec)
    seen = measure(document, marker, pdf.write(document), tmp_path)
    assert seen.outlines[PartRole.FILM].height == pytest.approx(3.5 * IN, abs=EXACT)
    assert max(height for *_, height in seen.letters) == pytest.approx(2.5 * IN, abs=EXACT)
    assert len(seen.bands) == 1
    against_the_specification(marker, seen)


def test_the_ruler_tells_a_letter_a_tenth_too_low(tmp_path: Path) -> None:
    """A neighbor's letter, 0.1 mm under its row, is measured as what it is."""
    from render.draw import draw

    case = Case("ammonia-2014", 2, "right", "film")
    order = order_of(case)
    (item,) = order.items
    low = case.table.letters * IN - 0.1
    spec = type(item.spec).model_validate(
        {**item.spec.model_dump(mode="json"), "neighbor": {"letter_height": f"{low} mm"}}
    )
    order = order.model_copy(update={"items": (type(item)(spec, item.positions),)})
    document, (marker,), _ = draw(order, options())
    seen = measure(document, marker, pdf.write(document), tmp_path)
    assert max(height for *_, height in seen.letters) == pytest.approx(low, abs=EXACT)
    with pytest.raises(AssertionError):
        against_the_table(case, seen)
