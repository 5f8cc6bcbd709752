"""Film longer than its stock, in pieces: where it is cut, that nothing is lost, how it joins."""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import replace
from pathlib import Path as FilePath

import pytest

from layouts.drawing import Arc, Contour, Path, Point, Rect, Size, polygon, rectangle
from layouts.drawing.document import Fill
from layouts.drawing.inks import BLACK
from layouts.face.model import Part
from layouts.order.normal import order_json
from layouts.sheets.long_film import joints, split_part
from layouts.sheets.pieces import marker_of
from layouts.sheets.stock import Stock, Turning
from layouts.terms.errors import InputError
from layouts.terms.findings import Severity
from layouts.terms.words import LongParts, PartRole
from render.folder.reprint import reprint
from render.job import JobFolder, build
from render.options import Options
from render.read import read
from render.shop.offcuts import Choices, with_choices
from render.shop.shopfile import load_shop

SHEET = load_shop().stocks["sheet-24x48in"]


def stock(width: float, length: float, turning: Turning = Turning.QUARTER) -> Stock:
    """A sheet whose free room is width by length, and whose films take no border."""
    return replace(
        SHEET, width=width + 20, length=length + 20, margin=10.0, border=0.0, turning=turning
    )


def letter(left: float, width: float) -> Contour:
    """A triangle where a letter stands."""
    points = Point(left, 10), Point(left + width, 10), Point(left + width / 2, 30)
    return polygon(points).contours[0]


def film(length: float, letters: list[tuple[float, float]], radius: float = 0.0) -> Part:
    """A film of 40 mm on a ground with 2 mm of bleed; letters by their left and width."""
    trim = Rect(0, 0, length, 40)
    words = Path(tuple(letter(*each) for each in letters))
    art = (Fill(rectangle(trim.grown(2), 0), BLACK), Fill(words, BLACK))
    return Part(PartRole.FILM, Size(length, 40), rectangle(trim, radius), None, art, 2.0)


def test_what_fits_stays_whole() -> None:
    part = film(100, [(10, 20)])
    assert split_part(part, [stock(100, 50)]) == (part,)
    assert split_part(part, [stock(50, 100)]) == (part,)  # turned
    assert len(split_part(part, [stock(50, 99)])) == 2


def test_a_joint_goes_to_the_gap_between_words_and_not_through_a_letter() -> None:
    # By hand: letters cover 10 to 90 and 130 to 190 with gaps of 4; the word gap is 90 to 130.
    # The middle, 100, would put the lap of 12.7 at 93.65 to 106.35: it is free. With room for
    # 120 mm two pieces do, and they are as even as they can be.
    letters = [(float(left), 16.0) for left in (10, 30, 50, 74)] + [
        (130, 16.0),
        (150, 16.0),
        (174, 16.0),
    ]
    first, second = split_part(film(200, letters), [stock(120, 50)])
    assert first.size.width + second.size.width == pytest.approx(200 + 12.7)
    assert first.size.width == pytest.approx(106.35, abs=3)
    # The second word begins 130 - 93.65 behind the second piece's left edge.
    words = second.art[1].path
    assert words.bounds().x == pytest.approx(130 - (200 - second.size.width))
    assert len(first.art[1].path.contours) == 4
    assert len(words.contours) == 3


def test_where_the_even_cut_would_meet_a_word_it_moves() -> None:
    # The middle of 200 is in a word from 80 to 140; the only gaps are before and behind it.
    letters = [(10.0, 50.0), (80.0, 60.0), (160.0, 30.0)]
    pieces = split_part(film(200, letters), [stock(160, 50)])
    assert len(pieces) == 2
    cut = pieces[0].size.width
    assert 61 <= cut - 12.7 <= cut <= 79 or 141 <= cut - 12.7 <= cut <= 159


def test_narrow_gaps_get_a_narrow_lap_and_none_leaves_the_film_whole() -> None:
    spread = [(10.0 + 30 * n, 22.0) for n in range(6)]  # gaps of 8: room for 3/16 in alone
    first, second = split_part(film(200, spread), [stock(130, 50)])
    assert first.size.width + second.size.width - 200 == pytest.approx(4.7625)
    tight = [(5.0 + 20 * n, 19.0) for n in range(9)]
    assert len(split_part(film(200, tight), [stock(130, 50)])) == 1
    assert (
        len(split_part(film(200, []), [stock(150, 39, Turning.NONE)])) == 1
    )  # too high for any piece


def test_no_plate_no_tag_and_no_locked_film_is_split_where_it_may_not() -> None:
    part = film(200, [])
    for role in (PartRole.PLATE, PartRole.TAG):
        assert len(split_part(replace(part, role=role), [stock(120, 50)])) == 1
    locked = stock(50, 120, Turning.NONE)
    assert len(split_part(part, [locked])) > 2  # 50 mm along, though 120 are there turned
    assert len(split_part(part, [stock(50, 120)])) == 2


def test_round_corners_stay_at_the_ends_alone() -> None:
    pieces = split_part(film(300, [], radius=8.0), [stock(120, 50)])
    arcs = [
        sum(isinstance(segment, Arc) for segment in piece.outline.contours[0].segments)
        for piece in pieces
    ]
    assert arcs == [2, *(0 for _ in pieces[1:-1]), 2]
    for piece in pieces:
        box = piece.outline.bounds()
        assert (box.x, box.y) == pytest.approx((0, 0))
        assert (box.width, box.height) == pytest.approx((piece.size.width, 40))
        assert piece.art[0].path.bounds().right == pytest.approx(piece.size.width + 2)
        assert piece.art[0].path.bounds().x == pytest.approx(-2)


@pytest.fixture(scope="module")
def split(line_list: FilePath) -> JobFolder:
    order = read(line_list).order
    assert order is not None
    wishes = Choices(film="sheet-24x48in", long_parts="split", keep_together="area")
    wanted, stocked = with_choices(order, load_shop(), wishes)
    options = Options(stocked)
    return build(wanted, options, line_list.name)


def test_every_piece_is_made_as_often_as_its_marker(split: JobFolder) -> None:
    found = joints(split.groups, split.markers)
    assert found
    made: Counter[tuple[PartRole, str]] = Counter()
    for group in split.groups:
        for sheet in group.sheets:
            for each in sheet.placed:
                made[group.role, each.name] += sheet.copies
    for marker in split.markers:
        for part in marker.face.parts:
            names = [
                name for role, name in made if role is part.role and marker_of(name) == marker.id
            ]
            assert {made[part.role, name] for name in names} == {marker.quantity}
            pieces = len(found[marker.id].lengths) if marker.id in found else 1
            assert len(names) == (pieces if part.role is PartRole.FILM else 1)


def test_all_letters_are_on_the_pieces_once(split: JobFolder) -> None:
    found = joints(split.groups, split.markers)
    parts = {
        name: part
        for group in split.groups
        if group.role is PartRole.FILM
        for name, part in group.parts.items()
    }
    for marker in split.markers:
        if marker.id not in found:
            continue
        (whole,) = [part for part in marker.face.parts if part.role is PartRole.FILM]
        pieces = [part for name, part in parts.items() if marker_of(name) == marker.id]
        letters = sum(len(shape.path.contours) for shape in whole.art if is_words(shape.path))
        assert letters == sum(
            len(shape.path.contours)
            for piece in pieces
            for shape in piece.art
            if is_words(shape.path)
        )


def is_words(path: object) -> bool:
    """No box: grounds and bands start in the middle of their top edge."""
    contour = path.contours[0]  # type: ignore[attr-defined]
    box = path.bounds()  # type: ignore[attr-defined]
    middle = Point(box.x + box.width / 2, box.y)
    return len(path.contours) > 1 or contour.start.distance(middle) > 1e-6  # type: ignore[attr-defined]


def test_a_split_is_noted_and_stands_in_the_files(split: JobFolder) -> None:
    notes = [each for each in split.findings if each.code == "long-part-split"]
    assert len(notes) == len(joints(split.groups, split.markers))
    assert all(note.severity is Severity.NOTE for note in notes)
    assert json.loads(split.files["order.json"])["long_parts"] == "split"


def test_without_the_wish_long_film_is_refused(line_list: FilePath, tmp_path: FilePath) -> None:
    path = tmp_path / "order.toml"
    text = f'line_list = "{line_list}"\nstocks = {{ film = "sheet-24x48in" }}\n'
    path.write_text(text)
    order = read(path).order
    assert order is not None
    with pytest.raises(InputError, match="does not fit 24 x 48 in sheet; use a stock with"):
        build(order, Options(load_shop()), path.name)
    path.write_text('long_parts = "split"\n' + text)
    wanted = read(path).order
    assert wanted is not None
    assert wanted.long_parts is LongParts.SPLIT
    (tmp_path / "order.json").write_bytes(order_json(wanted))
    assert read(tmp_path / "order.json").order == wanted


def test_a_marker_in_pieces_is_reprinted_to_the_byte(split: JobFolder, tmp_path: FilePath) -> None:
    for name, data in split.files.items():
        path = tmp_path / "job" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    wanted = sorted(joints(split.groups, split.markers))[0]
    again = reprint(tmp_path / "job", [f"{wanted}=2"], Options(load_shop()))
    assert not [each for each in again.findings if each.code == "reprint-rewritten"]
    assert joints(again.groups, again.markers).keys() == {wanted}
