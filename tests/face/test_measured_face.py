"""A face measured with a ruler: margins, gaps, bands, frames and corners.

The shares of the letter height are the face's own proportions; the geometry that follows from
them is plain. Half a height between lines is NUREG-0700 r3.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest

from layouts.drawing import Arc, Path, Point, Rect, Size
from layouts.drawing.document import Drawn, Fill
from layouts.drawing.inks import Ink, InkRole, Lab
from layouts.face import Face, compose, content_length
from layouts.face.common import round_up_to_step
from layouts.face.holes import plate_part
from layouts.plan.design import Arrow, Design, Element, Plate
from layouts.schemes.model import ElementKind
from layouts.terms.words import HoleAt, Kind, Outline
from render.read.fonts import default_typefaces

FACES = default_typefaces()
BLACK = Ink("Black", Lab(15, 0, 0), InkRole.BLACK)
ORANGE = Ink("Orange", Lab(65, 50, 60))
RED = Ink("Red", Lab(40, 60, 40))
WHITE = Ink("Paper", Lab(95, 0, 0), InkRole.PAPER)
LETTER = 20.0
BLEED = 2.0  # mm; common practice, no source


def word(text: str, letter: float = LETTER) -> Element:
    return Element(ElementKind.LEGEND, text, BLACK, letter)


def band(text: str, letter: float = LETTER / 2, width: float = 0.0) -> Element:
    return Element(ElementKind.STATE, text, BLACK, letter, RED, width)


def arrow(direction: Arrow = Arrow.RIGHT) -> Element:
    return Element(ElementKind.ARROW, "", BLACK, LETTER, arrow=direction)


PLAIN = Design(
    kind=Kind.PIPE,
    scheme="ammonia-2014",
    lines=((word("HELLO"),),),
    field=ORANGE,
    letter_height=LETTER,
    marker_height=0.0,
    length=0.0,
    length_step=0.0,
    corner_share=0.0,
)


def letters(face: Face) -> list[Rect]:
    """The boxes of words and arrows, from left to right."""
    boxes = [
        shape.path.bounds()
        for shape in face.printed.art
        if isinstance(shape, Fill) and shape.drawn is Drawn.LETTER
    ]
    return sorted(boxes, key=lambda box: box.x)


def bands(face: Face) -> list[Rect]:
    boxes = [shape.path.bounds() for shape in face.printed.art if shape.ink == RED]
    return sorted(boxes, key=lambda box: box.x)


def ground(face: Face) -> list[Rect]:
    return [shape.path.bounds() for shape in face.printed.art if shape.ink == ORANGE]


def corner(path: Path) -> float:
    """Radius of the rounded corner at the upper right: from where the arc starts to its end."""
    (contour,) = path.contours
    at = contour.start
    for segment in contour.segments:
        if isinstance(segment, Arc):
            return segment.end.x - at.x
        at = segment.end
    return 0.0


@pytest.mark.parametrize(
    ("value", "step", "rounded"),
    [
        (25.4, 6.35, 25.4),  # 1 in is four quarters
        (25.5, 6.35, 31.75),
        (0.1 + 0.2, 0.1, 0.3),  # 0.30000000000000004: three tenths, by the last bits' noise
        (0.30001, 0.1, 0.4),
        (7.3, 0.0, 7.3),
        (7.3, 1.0, 8.0),
    ],
)
def test_lengths_go_up_to_the_next_step(value: float, step: float, rounded: float) -> None:
    assert round_up_to_step(value, step) == rounded


def test_a_single_line_keeps_the_margin_of_the_ammonia_tables_last_row() -> None:
    # 4.5 in of marker for letters of 3.5 in (ammonia table, 2014): a seventh, here 0.14.
    face = compose(PLAIN, FACES)
    assert face.measures.height == pytest.approx(LETTER * (1 + 2 * 0.14))
    assert face.measures.height == pytest.approx(LETTER * 4.5 / 3.5, rel=0.01)
    (box,) = letters(face)
    assert box.y == pytest.approx(0.14 * LETTER, abs=0.02 * LETTER)
    assert face.measures.height - box.bottom == pytest.approx(0.14 * LETTER, abs=0.02 * LETTER)


def test_lines_keep_half_a_letter_between_them() -> None:
    face = compose(replace(PLAIN, lines=((word("HEH"),), (word("HEH"),), (word("HEH"),))), FACES)
    rows = sorted(letters(face), key=lambda box: box.y)
    assert [below.y - above.bottom for above, below in pairwise(rows)] == pytest.approx(
        [0.5 * LETTER] * 2, abs=0.02 * LETTER
    )
    assert rows[0].y == pytest.approx(0.25 * LETTER, abs=0.01 * LETTER)
    assert face.measures.height == pytest.approx(3 * 1.5 * LETTER)


def test_the_tallest_letters_of_a_line_decide_its_height_and_bands_do_not() -> None:
    mixed = compose(replace(PLAIN, lines=((word("HE", 10.0), word("HE")),)), FACES)
    assert mixed.measures.height == pytest.approx(LETTER * 1.28)
    banded = compose(replace(PLAIN, lines=((word("HE", 10.0), band("HI", 12.0)),)), FACES)
    small = compose(replace(PLAIN, lines=((word("HE", 10.0),),)), FACES)
    # 0.14 of the marker's own letters of 20 mm to the edges, as for a small line without a band.
    assert banded.measures.height == pytest.approx(small.measures.height)


def test_a_small_first_line_is_as_far_from_the_edge_as_a_large_one() -> None:
    design = replace(PLAIN, lines=((word("HEH", 10.0),), (word("HEH"),)))
    face = compose(design, FACES)
    small, large = sorted(letters(face), key=lambda box: box.y)
    assert small.y == pytest.approx(0.25 * LETTER, abs=0.2)
    assert face.measures.height - large.bottom == pytest.approx(0.25 * LETTER, abs=0.2)
    turned = compose(replace(design, lines=design.lines[::-1]), FACES)
    _, last = sorted(letters(turned), key=lambda box: box.y)
    assert turned.measures.height - last.bottom == pytest.approx(0.25 * LETTER, abs=0.2)


def test_tails_and_accents_grow_the_face_and_do_not_touch_its_edge() -> None:
    plain, tailed = compose(PLAIN, FACES), compose(replace(PLAIN, lines=((word("ÅQÇ"),),)), FACES)
    assert tailed.measures.height > plain.measures.height
    (box,) = letters(tailed)
    least = min(box.y, tailed.measures.height - box.bottom)
    assert least == pytest.approx(0.03 * LETTER, abs=1e-6)
    # The capitals stay in the middle: their baseline half a letter below it.
    (flat,) = letters(plain)
    baseline = flat.bottom - plain.measures.height / 2
    assert baseline == pytest.approx(LETTER / 2, abs=0.02 * LETTER)


def test_the_gaps_of_a_line_are_equal_and_never_narrower_than_0_55_of_a_letter() -> None:
    line = (arrow(), word("NH"), word("HN"), arrow())
    for length, spare in ((0.0, 0.0), (400.0, None)):
        face = compose(replace(PLAIN, lines=(line,), length=length), FACES)
        boxes = letters(face)
        ends = [boxes[0].x, face.measures.length - boxes[-1].right]
        gaps = [*ends, *(two.x - one.right for one, two in pairwise(boxes))]
        assert gaps == pytest.approx([gaps[0]] * 5, abs=0.05 * LETTER)
        if spare is None:
            assert gaps[0] > 0.6 * LETTER
        else:
            assert gaps[0] == pytest.approx(0.55 * LETTER, abs=0.05 * LETTER)
    assert face.measures.length == 400.0


def test_a_compact_line_gives_up_gaps_but_not_those_between_words() -> None:
    design = replace(PLAIN, lines=((arrow(), word("NH"), word("HN")),))
    full, compact = (compose(replace(design, compact=each), FACES) for each in (False, True))
    first, second, third = letters(compact)
    assert second.x - first.right == pytest.approx(0.25 * LETTER, abs=0.02 * LETTER)
    assert third.x - second.right == pytest.approx(0.55 * LETTER, abs=0.02 * LETTER)
    # Of four gaps, three are narrower by 0.30 of a letter.
    shorter = full.measures.length - compact.measures.length
    assert shorter == pytest.approx(3 * 0.30 * LETTER)


def test_bands_touch_each_other_and_the_edges_and_bleed_beyond_them() -> None:
    line = (band("HI"), band("HO"), word("NH"), band("HE"))
    face = compose(replace(PLAIN, lines=(line,), length=300.0), FACES)
    one, two, last = bands(face)
    length, height = face.measures.length, face.measures.height
    assert (one.x, last.right) == pytest.approx((-BLEED, length + BLEED))
    assert one.right == pytest.approx(two.x)
    for each in (one, two, last):
        assert (each.y, each.bottom) == pytest.approx((-BLEED, height + BLEED))
    # Both gaps around the word grow alike.
    _, _, words, _ = letters(face)
    assert words.x - two.right == pytest.approx(last.x - words.right, abs=0.05 * LETTER)


def test_a_line_of_bands_only_is_centered() -> None:
    face = compose(replace(PLAIN, lines=((band("HI"), band("HO"), band("HE")),), length=300), FACES)
    one, two, three = bands(face)
    assert one.x == pytest.approx(300 - three.right)
    assert one.x > 0
    assert (one.right, two.right) == pytest.approx((two.x, three.x))


def test_only_a_band_at_the_very_edge_bleeds() -> None:
    design = replace(PLAIN, lines=((band("HI"), band("HO")),))
    natural = face_length(design)
    one, two = bands(compose(design, FACES))
    assert (one.x, two.right) == pytest.approx((-BLEED, natural + BLEED))
    # Half a millimeter off the edge it ends there.
    one, two = bands(compose(replace(design, length=natural + 1.0), FACES))
    assert (one.x, two.right) == pytest.approx((0.5, natural + 0.5))


def test_a_band_is_as_wide_as_the_table_says_or_as_its_word_needs() -> None:
    wide = compose(replace(PLAIN, lines=((word("H"), band("HI", 10.0, 90.0)),)), FACES)
    natural = compose(replace(PLAIN, lines=((word("H"), band("HI", 10.0, 1.0)),)), FACES)
    assert wide.measures.bands == (90.0,)
    (box,), words = bands(natural), letters(natural)[1]
    trimmed = natural.measures.length - box.x
    assert natural.measures.bands == pytest.approx((trimmed,))
    # Half a letter of the word on either side of it.
    assert words.x - box.x == pytest.approx(5.0, abs=0.6)
    assert natural.measures.length - words.right == pytest.approx(5.0, abs=0.6)
    assert natural.measures.band_letter_height == 10.0
    assert compose(PLAIN, FACES).measures.band_letter_height == 0.0


def test_an_end_band_takes_the_whole_height_beside_all_lines() -> None:
    design = replace(PLAIN, lines=((word("HEH"),), (word("HE"),)), end_band=band("HI", 10.0))
    face = compose(design, FACES)
    (box,) = bands(face)
    height, length = face.measures.height, face.measures.length
    assert (box.y, box.bottom, box.right) == pytest.approx((-BLEED, height + BLEED, length + BLEED))
    without = content_length(replace(design, end_band=None), FACES)
    assert length == pytest.approx(without + face.measures.bands[0])
    *words, inside = letters(face)
    assert max(each.right for each in words) < box.x < inside.x
    assert inside.center.y == pytest.approx(height / 2, abs=0.2)
    assert face.words == "HEH HE HI"


@pytest.mark.parametrize("share", [0.0, 0.1])
def test_a_keyline_is_a_tenth_of_a_letter_wide_and_keeps_the_corners_parallel(share: float) -> None:
    face = compose(replace(PLAIN, keyline=WHITE, corner_share=share), FACES)
    length, height = face.measures.length, face.measures.height
    frame = next(shape for shape in face.printed.art if shape.ink == WHITE)
    outer, (inner,) = frame.path.bounds(), ground(face)
    assert (outer.x, outer.y, outer.right, outer.bottom) == pytest.approx(
        (-BLEED, -BLEED, length + BLEED, height + BLEED)
    )
    width = 0.1 * LETTER
    assert (inner.x, inner.y, inner.right, inner.bottom) == pytest.approx(
        (width, width, length - width, height - width)
    )
    radius = share * height
    assert corner(face.printed.outline) == pytest.approx(radius)
    field = next(shape for shape in face.printed.art if shape.ink == ORANGE)
    assert corner(field.path) == pytest.approx(max(0.0, radius - width))


def test_bands_inside_a_keyline_end_at_it() -> None:
    face = compose(replace(PLAIN, lines=((word("H"), band("HI")),), keyline=WHITE), FACES)
    (box,) = bands(face)
    width, height = 0.1 * LETTER, face.measures.height
    assert (box.y, box.bottom) == pytest.approx((width, height - width))
    assert box.right == pytest.approx(face.measures.length - width)


def test_a_field_of_the_films_own_white_is_not_printed() -> None:
    face = compose(replace(PLAIN, field=WHITE, lines=((word("H"), band("HI")),)), FACES)
    assert {shape.ink for shape in face.printed.art} == {BLACK, RED}
    (box,) = bands(face)
    assert box.bottom == pytest.approx(face.measures.height)
    assert ground(compose(PLAIN, FACES)) == [
        Rect(0, 0, face_length(PLAIN), LETTER * 1.28).grown(BLEED)
    ]


def face_length(design: Design) -> float:
    return compose(design, FACES).measures.length


def test_the_length_is_the_least_or_the_words_up_to_the_step() -> None:
    needed = content_length(PLAIN, FACES)
    assert face_length(PLAIN) == pytest.approx(needed)
    assert face_length(replace(PLAIN, length=400.0)) == 400.0
    stepped = face_length(replace(PLAIN, length_step=25.4))
    assert 0 <= stepped - needed < 25.4
    assert stepped / 25.4 == pytest.approx(round(stepped / 25.4))
    # A neighbor's length stays as measured if the words fit, up to the last micrometer.
    for length in (needed, 400.0):
        measured = replace(PLAIN, length=length, length_step=25.4, fixed_length=True)
        assert face_length(measured) == length
    short = replace(PLAIN, length=needed - 5, length_step=25.4, fixed_length=True)
    assert face_length(short) == stepped


def test_a_measured_height_stays_and_another_goes_up_to_the_step() -> None:
    for fixed, height in ((True, 40.0), (False, 50.8)):
        design = replace(PLAIN, marker_height=40.0, length_step=25.4, fixed_height=fixed)
        face = compose(design, FACES)
        assert face.measures.height == pytest.approx(height)
        (box,) = letters(face)
        assert box.center.y == pytest.approx(height / 2, abs=0.02 * LETTER)


def test_a_large_plate_of_small_letters_has_small_corners() -> None:
    tall = replace(PLAIN, marker_height=500.0, corner_share=0.1)
    assert corner(compose(tall, FACES).printed.outline) == pytest.approx(0.1 * 4 * LETTER)
    low = replace(PLAIN, marker_height=60.0, corner_share=0.1)
    assert corner(compose(low, FACES).printed.outline) == pytest.approx(0.1 * 60)


TAG = replace(PLAIN, kind=Kind.VALVE, hole_diameter=5.0, hole_edge=4.0, lines=((word("HV"),),))


def test_the_words_of_a_tag_lie_below_its_hole() -> None:
    face = compose(TAG, FACES)
    holes = face.printed.holes
    assert holes is not None
    (hole,) = [contour.bounds() for contour in holes.contours]
    assert (hole.y, hole.width) == pytest.approx((4.0, 5.0))
    assert hole.center.x == pytest.approx(face.measures.length / 2)
    # A quarter of the hole is clear below it, then the line's own margin of 0.14 letters.
    (box,) = letters(face)
    assert box.y == pytest.approx(4.0 + 1.25 * 5.0 + 0.14 * LETTER, abs=0.02 * LETTER)
    assert face.measures.height == pytest.approx(4.0 + 1.25 * 5.0 + 1.28 * LETTER)


def test_a_tag_may_have_a_hole_in_each_upper_corner() -> None:
    face = compose(replace(TAG, hole_at=HoleAt.CORNERS), FACES)
    holes = face.printed.holes
    assert holes is not None
    left, right = sorted((each.bounds() for each in holes.contours), key=lambda box: box.x)
    assert (left.x, left.y) == pytest.approx((4.0, 4.0))
    assert right.right == pytest.approx(face.measures.length - 4.0)
    one = compose(replace(TAG, hole_at=HoleAt.CORNERS, outline=Outline.ROUND), FACES).printed.holes
    assert one is not None
    assert one.count == 1
    tag = compose(replace(TAG, outline=Outline.ROUND), FACES)
    assert tag.printed.holes is not None
    assert tag.printed.holes.bounds().center.x == pytest.approx(tag.measures.length / 2)


ROUND = replace(
    TAG, outline=Outline.ROUND, lines=((word("HIGH", 10.0),), (word("HEH"),), (word("NH", 10.0),))
)


def test_the_corners_of_every_line_keep_a_quarter_letter_inside_the_disc() -> None:
    face = compose(ROUND, FACES)
    radius = face.measures.length / 2
    assert face.measures.height == face.measures.length
    middle = Point(radius, radius)
    boxes = letters(face)
    for box in boxes:
        for x in (box.x, box.right):
            for y in (box.y, box.bottom):
                assert Point(x, y).distance(middle) < radius - 0.25 * LETTER
        # Each line lies in the middle of the tag.
        assert box.center.x == pytest.approx(radius, abs=0.5)
    # It is no larger than it must be: a line's own margin is a quarter of its letters, and with
    # that some line reaches the edge less a quarter letter, to the quarter millimeter of its step.
    reach = max(
        math.hypot(box.width / 2, max(abs(box.y - m - radius), abs(box.bottom + m - radius)))
        for box in boxes
        for m in (0.25 * (box.bottom - box.y),)
    )
    assert 0 <= radius - 0.25 * LETTER - reach < 0.6
    rows = sorted(boxes, key=lambda box: box.y)
    assert rows[0].y >= 4.0 + 1.25 * 5.0


def test_the_words_of_a_round_tag_are_centered_or_begin_below_the_hole() -> None:
    low = compose(replace(ROUND, lines=((word("HEHEHEHEH"),),)), FACES)
    (box,) = letters(low)
    # A long word needs the middle of the disc, far below the hole.
    assert box.center.y == pytest.approx(low.measures.height / 2, abs=0.02 * LETTER)
    (ink,) = ground(low)
    assert (ink.x, ink.width) == pytest.approx((-BLEED, low.measures.length + 2 * BLEED))
    stacked = sorted(letters(compose(ROUND, FACES)), key=lambda box: box.y)
    # Lines at a pitch of 1.5 letters each: a quarter of both heights between them.
    gaps = [below.y - above.bottom for above, below in pairwise(stacked)]
    assert gaps == pytest.approx([0.25 * (10 + LETTER)] * 2, abs=0.02 * LETTER)


def test_a_round_tag_is_at_least_as_large_as_ordered() -> None:
    assert compose(replace(ROUND, marker_height=200.0), FACES).measures.height == 200.0


PLATE = Plate(border=8.0, slot_length=12.0, slot_width=6.0, ear=20.0)
FILM = Size(200.0, 50.0)


def openings(plate: Plate) -> list[Rect]:
    part = plate_part(plate, FILM)
    assert part.holes is not None
    return [contour.bounds() for contour in part.holes.contours]


def test_slots_lie_in_the_middle_of_the_ears_as_far_from_the_edge_as_they_are_wide() -> None:
    part = plate_part(PLATE, FILM)
    # 200 of film, 8 of border and 20 of ear at each end; 50 of film and 8 above and below.
    assert part.size == Size(256.0, 66.0)
    assert (part.art, part.bleed) == ((), 0.0)
    assert part.outline.bounds() == Rect(0, 0, 256.0, 66.0)
    boxes = openings(PLATE)
    assert len(boxes) == 4
    assert {round(box.center.x, 6) for box in boxes} == {10.0, 246.0}
    assert {(round(box.y, 6), round(box.bottom, 6)) for box in boxes} == {(6, 12), (54, 60)}
    assert {round(box.width, 6) for box in boxes} == {12.0}
    assert corner(part.outline) == pytest.approx(20.0 / 3)
    # A slot's ends are round: half its width.
    assert corner(Path(part.holes.contours[:1]) if part.holes else Path(())) == pytest.approx(3.0)


def test_a_flag_has_one_ear_at_its_left() -> None:
    flag = replace(PLATE, ears=1)
    assert plate_part(flag, FILM).size == Size(236.0, 66.0)
    assert {round(box.center.x, 6) for box in openings(flag)} == {10.0}


def test_round_holes_are_as_wide_as_the_plate_says_and_rivets_go_through_the_ears() -> None:
    screwed = replace(PLATE, slot_length=0.0, rivet_hole=3.0)
    boxes = openings(screwed)
    assert sorted(round(box.width, 6) for box in boxes) == [3.0] * 2 + [6.0] * 4
    rivets = [box for box in boxes if box.width < 5]
    assert {(round(box.center.x, 6), round(box.center.y, 6)) for box in rivets} == {
        (10.0, 33.0),
        (246.0, 33.0),
    }
    near = replace(PLATE, hole_edge=4.0)
    assert {round(box.y, 6) for box in openings(near)} == {4.0, 66.0 - 4.0 - 6.0}


def test_openings_halfway_along_lie_outside_the_film_by_two_millimeters() -> None:
    middle = replace(PLATE, middle=True, rivet_hole=3.0)
    part = plate_part(middle, FILM)
    # 6 to the slot, 6 of slot and 2 clear: 14 above the film, 8 of which are border.
    assert part.size == Size(256.0, 50.0 + 2 * 14.0)
    boxes = [box for box in openings(middle) if abs(box.center.x - 128) < 1e-6]
    # No rivet halfway along: it would go through the legend.
    assert sorted(round(box.bottom, 6) for box in boxes) == [12.0, 72.0]
    # A wide slot keeps a quarter of its width: 12 + 12 + 3.
    wide = plate_part(replace(middle, slot_width=12.0), FILM)
    assert wide.size.height == 50.0 + 2 * 27.0
    roomy = replace(middle, border=30.0)
    assert plate_part(roomy, FILM).size.height == 50.0 + 2 * 30.0
