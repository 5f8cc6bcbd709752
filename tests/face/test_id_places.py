"""Where an id goes on a plain face, to the micrometer: corners, edges, arcs and what is taken.

An id keeps 1.5 mm off the cut and 1.2 mm off words and bands; a code is flush with its corner,
since its quiet zone is part of it. The rest is plane geometry.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from layouts.drawing import Point, Rect, rectangle
from layouts.drawing.document import Fill
from layouts.drawing.inks import BLACK, Ink, Lab
from layouts.drawing.lettering import measure
from layouts.drawing.qr_code import qr_side
from layouts.face import Face, compose
from layouts.face.piece_id import ID_LETTERS, MODULES, IdPlace, find_id_place, with_id
from layouts.plan.design import Design, Wrap
from layouts.terms.words import Outline, PieceId
from tests.face.test_measured_face import FACES, ORANGE, PLAIN, RED, ROUND, TAG, WHITE, band, word

ID = "3F9A21BC/7C1D"
EDGE, CLEAR = 1.5, 1.2
LARGE, SMALL = ID_LETTERS
ROOMY = replace(
    PLAIN, lines=((word("HH", 10.0),),), marker_height=80.0, length=300.0, letter_height=10.0
)


def face_of(design: Design = ROOMY, **changes: object) -> Face:
    return compose(replace(design, **changes), FACES)  # type: ignore[arg-type]


def place(face: Face, wanted: PieceId = PieceId.TEXT, *texts: str) -> IdPlace:
    return find_id_place(face, texts or (ID,), wanted, FACES)


def wide(text: str = ID, letter: float = LARGE) -> float:
    return measure(FACES.for_ink(BLACK), text, letter)


def close(box: Rect | None, x: float, y: float, width: float, height: float) -> bool:
    assert box is not None
    return (box.x, box.y, box.width, box.height) == pytest.approx((x, y, width, height), abs=1e-5)


def test_letters_go_into_the_lower_right_corner_off_the_cut() -> None:
    found = place(face_of())
    assert close(found.text, 300 - EDGE - wide(), 80 - EDGE - LARGE, wide(), LARGE)
    assert (found.letter, found.code, found.lacking) == (LARGE, None, ())


def test_a_code_is_flush_with_its_corner_and_the_letters_take_the_next() -> None:
    side = qr_side(ID) * MODULES[0]
    found = place(face_of(), PieceId.BOTH)
    assert close(found.code, 300 - side, 80 - side, side, side)
    assert found.module == MODULES[0]
    assert close(found.text, EDGE, 80 - EDGE - LARGE, wide(), LARGE)
    assert place(face_of(), PieceId.NONE) == IdPlace()
    assert place(face_of(), PieceId.QR).text is None


def with_taken(face: Face, *boxes: Rect) -> Face:
    part = face.printed
    art = (*part.art, *(Fill(rectangle(box), RED) for box in boxes))
    return replace(face, parts=(replace(part, art=art),))


def test_corners_that_are_taken_are_left_one_after_the_other() -> None:
    corners = [Rect(290, 70, 10, 10), Rect(0, 70, 10, 10), Rect(290, 0, 10, 10)]
    places = [
        (300 - EDGE - wide(), 80 - EDGE - LARGE),
        (EDGE, 80 - EDGE - LARGE),
        (300 - EDGE - wide(), EDGE),
        (EDGE, EDGE),
    ]
    for count, (x, y) in enumerate(places):
        found = place(with_taken(face_of(), *corners[:count]))
        assert close(found.text, x, y, wide(), LARGE)


def test_where_all_corners_are_taken_it_lies_beside_the_smallest_of_them() -> None:
    corners = [Rect(292, 50, 8, 30), Rect(0, 50, 10, 30), Rect(290, 0, 10, 30), Rect(0, 0, 10, 30)]
    found = place(with_taken(face_of(), *corners))
    # Level with the bottom edge, 1.2 mm to the left of the band that ends at 292.
    assert close(found.text, 292 - CLEAR - wide(), 80 - EDGE - LARGE, wide(), LARGE)
    # Where the band is low, the place above it is nearer to the corner.
    low = [Rect(200, 74, 100, 6), *corners[1:]]
    above = place(with_taken(face_of(), *low))
    assert close(above.text, 300 - EDGE - wide(), 74 - CLEAR - LARGE, wide(), LARGE)


@pytest.mark.parametrize("radius", [8.0, 20.0])
def test_a_rounded_corner_takes_it_on_the_middle_of_its_arc(radius: float) -> None:
    face = face_of(marker_height=40.0, corner_share=radius / 40)
    found = place(face).text
    assert found is not None
    # The box's own corner lies on an arc 1.5 mm inside the cut's: at 45 degrees on it.
    center = Point(300 - radius, 40 - radius)
    at = Point(found.right, found.bottom)
    assert at.distance(center) == pytest.approx(corner_radius_of(face) - EDGE, abs=1e-5)
    assert at.x - center.x == pytest.approx(at.y - center.y, abs=1e-5)


def corner_radius_of(face: Face) -> float:
    (contour,) = face.printed.outline.contours
    return 300 - max(p.x for p in contour.points() if abs(p.y) < 1e-9)


def test_a_keyline_is_kept_clear() -> None:
    # A tenth of the letters of 10 mm: 1 mm all round.
    found = place(face_of(keyline=RED), PieceId.BOTH)
    side = qr_side(ID) * MODULES[0]
    assert close(found.code, 299 - side, 79 - side, side, side)
    assert close(found.text, 1 + EDGE, 79 - EDGE - LARGE, wide(), LARGE)


def test_a_wrap_closes_over_its_underlap() -> None:
    wrap = Wrap(girth=130.0, overlap=12.0, lines=1, turned_half=False)
    face = face_of(wrap=wrap)
    assert face.printed.size.height == 142.0
    bottom = place(face).text
    assert bottom is not None
    assert bottom.bottom == pytest.approx(142 - EDGE)
    both = [Rect(290, 130, 10, 12), Rect(0, 130, 10, 12)]
    upper = place(with_taken(face, *both)).text
    assert upper is not None
    assert upper.y == pytest.approx(12 + EDGE)


def test_the_widest_of_several_ids_decides() -> None:
    longer = f"{ID}-17"
    found = place(face_of(), PieceId.BOTH, ID, longer, "A")
    assert found.text is not None
    assert found.text.width == pytest.approx(wide(longer))
    many = "A" * 90
    codes = place(face_of(), PieceId.QR, ID, many).code
    assert codes is not None
    assert codes.width == pytest.approx(qr_side(many) * MODULES[0])
    assert qr_side(many) > qr_side(ID)


def test_less_room_takes_smaller_modules_and_letters_or_none() -> None:
    # A strip at the bottom, as high as a code of the smaller modules and no more.
    for module, found in ((MODULES[0], MODULES[0]), (MODULES[1], MODULES[1]), (0.39, 0.0)):
        high = qr_side(ID) * module
        top = Rect(0, 0, 300, 80 - high - CLEAR)
        result = place(with_taken(face_of(), top), PieceId.QR)
        assert result.module == found
        assert result.lacking == (() if found else (PieceId.QR,))
    for letter, found in ((LARGE, LARGE), (SMALL, SMALL), (SMALL - 0.01, 0.0)):
        top = Rect(0, 0, 300, 80 - letter - EDGE - CLEAR)
        result = place(with_taken(face_of(), top), PieceId.TEXT)
        assert result.letter == pytest.approx(found)
        assert result.lacking == (() if found else (PieceId.TEXT,))
    full = with_taken(face_of(), Rect(1, 1, 298, 78))
    assert place(full, PieceId.BOTH).lacking == (PieceId.QR, PieceId.TEXT)


def test_a_face_exactly_as_wide_as_the_id_takes_it() -> None:
    for spare, found in ((0.0, LARGE), (-0.001, SMALL)):
        design = replace(ROOMY, length=wide() + 2 * EDGE + spare, lines=((word("I", 5.0),),))
        face = face_of(design, fixed_length=True)
        assert face.printed.size.width == pytest.approx(wide() + 2 * EDGE + spare)
        assert place(face).letter == pytest.approx(found)


def test_on_a_round_tag_it_keeps_off_the_rim_and_the_hole() -> None:
    face = face_of(ROUND, marker_height=120.0)
    found = place(face, PieceId.BOTH)
    middle = Point(60, 60)
    for box in (found.text, found.code):
        assert box is not None
        for x in (box.x, box.right):
            for y in (box.y, box.bottom):
                assert Point(x, y).distance(middle) <= 60 - EDGE + 1e-6


def test_letters_on_a_round_tag_lie_as_near_to_a_corner_as_the_disc_lets_them() -> None:
    lines = ((word("H", 5.0),),)
    face = face_of(TAG, outline=Outline.ROUND, lines=lines, marker_height=100.0)
    box = place(face).text
    assert box is not None
    # All places at half a millimeter each, by distance to the lower right corner of the square.
    corner = Point(100 - EDGE, 100 - EDGE)
    nearest = min(
        Point(x / 2, y / 2).distance(corner)
        for x in range(200)
        for y in range(120, 200)
        if Point(x / 2, y / 2).distance(Point(50, 50)) <= 50 - EDGE
        and Point(x / 2 - wide(), y / 2).distance(Point(50, 50)) <= 50 - EDGE
    )
    found = Point(box.right, box.bottom).distance(corner)
    # A sixteenth of the tag is the step in both directions.
    assert nearest - 0.5 <= found < nearest + 100 / 16


def test_the_drawing_is_centered_in_its_place() -> None:
    face = face_of()
    found = place(face, PieceId.BOTH, ID, "A" * 60)
    marked = with_id(face, ID, found, FACES).printed
    code, text = marked.art[len(marked.look) :]
    assert marked.id_shapes == 2
    assert found.code is not None
    assert found.text is not None
    assert code.path.bounds().center.distance(found.code.center) < 1e-6
    box = text.path.bounds()
    assert box.center.x == pytest.approx(found.text.center.x, abs=0.3)
    # The stroke of the slash is a little longer than the figures.
    assert box.bottom == pytest.approx(found.text.bottom, abs=0.1 * LARGE)
    assert with_id(face, ID, IdPlace(), FACES) is face


@pytest.mark.parametrize(("field", "shapes"), [(ORANGE, 1), (Ink("Navy", Lab(20, 5, -30)), 2)])
def test_a_code_lies_on_white_where_black_would_not_be_read(field: Ink, shapes: int) -> None:
    # WCAG 2.1, 1.4.3: a contrast of 4.5 at least.
    face = face_of(field=field)
    marked = with_id(face, ID, place(face, PieceId.QR), FACES).printed
    assert marked.id_shapes == shapes
    if shapes == 2:
        under = marked.art[len(marked.look)]
        assert under.path.bounds() == place(face, PieceId.QR).code


def test_an_id_has_the_ink_of_the_words() -> None:
    face = face_of(lines=((replace(word("HH", 10.0), ink=WHITE),),))
    (text,) = with_id(face, ID, place(face), FACES).printed.art[-1:]
    assert text.ink == WHITE
    assert not text.overprint
    # Words in bands only leave it black, and black prints over.
    banded = face_of(lines=((replace(band("HI"), ink=WHITE),),))
    (text,) = with_id(banded, ID, place(banded), FACES).printed.art[-1:]
    assert text.ink == BLACK
    assert text.overprint
