"""An id takes a corner that is free, and the marker stays as it is.

Drawn on every kind of marker and every row of the ammonia table; the picture is read back by
zxing-cpp in `tests/end_to_end/test_piece_ids.py`.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from layouts.drawing import Path as DrawnPath
from layouts.drawing import Point, Rect
from layouts.drawing.qr_code import QUIET, qr_modules, qr_outline, qr_side
from layouts.face.piece_id import ID_LETTERS, MODULES
from layouts.markers.fingerprint import fingerprint
from layouts.markers.gather import Marker
from layouts.order.order import Order
from layouts.terms.findings import Severity
from layouts.terms.units import MM_PER_INCH
from layouts.terms.words import PieceId, PieceIdPer
from render.decide import Decided, decide
from render.lists import Given
from render.read import read

PIPE = 'kind = "pipe"\nstate = "liquid"\npressure = "185 psig"\nflow = "right"\nservice = "HPL"\n'
SPECS = {
    **{f"row {od}": f'{PIPE}od = "{od} in"' for od in ("1", "1.9", "4.5", "8.6", "12.7")},
    "two lines": f'{PIPE}od = "12.7 in"\nlines = 2',
    "wrap": f'{PIPE}od = "1.9 in"\nwrap = true',
    "plate": f'{PIPE}od = "5 in"\nenvironment = {{ surface = "180 F" }}',
    "white words": 'kind = "pipe"\nscheme = "asme-a13-1"\nlegend = "CHILLED GLYCOL"\n'
    'contents = "glycol water"\nflow = "right"\nod = "3 in"',
    "equipment": 'kind = "equipment"\nname = "HIGH PRESSURE RECEIVER"\ntag = "HPR-1"\n'
    'level = "high"',
    "small": 'kind = "equipment"\nname = "OIL POT"\ntag = "OP-1"\nlevel = "low"\nsmall = true',
    "emergency": 'kind = "valve"\ntag = "HV-101"\nfunction = "KING VALVE"\nemergency = true',
    "tag": 'kind = "valve"\ntag = "HV-118"\nfunction = "FEED STOP"',
    "round": 'kind = "valve"\ntag = "HV-7"\nshape = "round"',
}


def order_of(spec: str, head: str, tmp_path: Path) -> Order:
    path = tmp_path / "order.toml"
    path.write_text(f'title = "T"\n{head}\n[[markers]]\n{spec}\npositions = [{{ qty = 2 }}]\n')
    reading = read(path)
    assert reading.order is not None, reading.findings
    return reading.order


def decided(spec: str, wanted: PieceId, tmp_path: Path, more: str = "") -> Decided:
    head = f'piece_id = "{wanted}"\n{more}'
    return decide(order_of(spec, head, tmp_path), Given().options(tmp_path))


def only(found: Decided) -> Marker:
    (marker,) = found.gathered.markers
    return marker


def id_boxes(marker: Marker) -> Iterator[Rect]:
    part = marker.face.printed
    yield from (shape.path.bounds() for shape in part.art[len(part.look) :])


@pytest.mark.parametrize("name", SPECS)
def test_nothing_moves_for_an_id(tmp_path: Path, name: str) -> None:
    plain = only(decided(SPECS[name], PieceId.NONE, tmp_path))
    ided = only(decided(SPECS[name], PieceId.BOTH, tmp_path))
    before, after = plain.face.printed, ided.face.printed
    assert after.look == before.art
    assert (after.size, after.outline, after.holes) == (before.size, before.outline, before.holes)
    assert plain.face.measures == ided.face.measures
    assert (plain.id, fingerprint(plain.face)) == (ided.id, fingerprint(ided.face))


@pytest.mark.parametrize("name", SPECS)
def test_an_id_keeps_off_words_bands_holes_and_the_cut(tmp_path: Path, name: str) -> None:
    marker = only(decided(SPECS[name], PieceId.BOTH, tmp_path))
    part = marker.face.printed
    # The ground reaches the trim all round; everything else was there first.
    inner = part.box.grown(-0.11 * marker.face.design.letter_height)
    taken = [box for shape in part.look if not (box := shape.path.bounds()).contains(inner, 1e-6)]
    taken += [part.holes.bounds()] if part.holes is not None else []
    for box in id_boxes(marker):
        assert part.box.contains(box)
        assert not any(box.overlaps(each) for each in taken)
        corners = [Point(x, y) for x in (box.x, box.right) for y in (box.y, box.bottom)]
        if part.round:
            center, radius = part.box.center, part.size.width / 2
            assert all(each.distance(center) < radius for each in corners)
    if marker.face.design.wrap is not None:
        assert all(box.y >= marker.face.design.wrap.overlap for box in id_boxes(marker))


def test_a_code_keeps_its_quiet_zone_from_everything(tmp_path: Path) -> None:
    marker = only(decided(SPECS["tag"], PieceId.QR, tmp_path))
    part = marker.face.printed
    (box,) = id_boxes(marker)
    quiet = box.grown(QUIET * MODULES[0])
    assert part.box.contains(quiet, 1e-6)
    assert not any(quiet.overlaps(shape.path.bounds(), 1e-6) for shape in part.look[1:])


def test_a_code_on_a_dark_field_stands_on_white(tmp_path: Path) -> None:
    spec = SPECS["white words"] + '\nlength = "30 in"'
    part = only(decided(spec, PieceId.QR, tmp_path)).face.printed
    white, code = part.art[len(part.look) :]
    assert white.ink is not None
    assert white.ink.name == "Paper"
    assert white.path.bounds().contains(code.path.bounds().grown(QUIET * MODULES[1] - 1e-6))


def test_letters_are_an_eighth_of_an_inch_where_there_is_room(tmp_path: Path) -> None:
    (box,) = id_boxes(only(decided(SPECS["tag"], PieceId.TEXT, tmp_path)))
    assert pytest.approx(MM_PER_INCH / 8) == ID_LETTERS[0]
    assert box.height == pytest.approx(ID_LETTERS[0], rel=0.12)  # the stroke is a little longer


@pytest.mark.parametrize("name", ["row 1", "row 1.9", "small"])
def test_what_has_no_room_is_told_and_the_advice_makes_room(tmp_path: Path, name: str) -> None:
    found = decided(SPECS[name], PieceId.QR, tmp_path)
    told = [each for each in found.gathered.findings if each.code == "piece-id-room"]
    (finding,) = told
    assert finding.severity is Severity.WARNING
    assert list(id_boxes(only(found))) == []
    if name == "small":
        feet = finding.right.split("read from ")[1].split(" ft")[0]
        advised = f'{SPECS[name]}\nviewing_distance = "{feet} ft"'
    else:
        length = finding.right.split("a length of ")[1].split(" in")[0]
        advised = f'{SPECS[name]}\nlength = "{length} in"'
    again = decided(advised, PieceId.QR, tmp_path)
    assert "piece-id-room" not in {each.code for each in again.gathered.findings}
    assert len(list(id_boxes(only(again)))) == 1


def test_ids_by_position_say_what_they_cost(tmp_path: Path) -> None:
    more = f'piece_id_per = "{PieceIdPer.POSITION}"\n'
    found = decided(SPECS["tag"], PieceId.TEXT, tmp_path, more)
    (cost,) = [each for each in found.gathered.findings if each.code == "piece-id-cost"]
    assert "2 distinct faces of 1" in cost.what
    marker = only(found)
    assert len({piece.id for piece in marker.pieces}) == marker.quantity == 2


def test_a_prefix_stands_before_the_id(tmp_path: Path) -> None:
    found = decided(SPECS["tag"], PieceId.TEXT, tmp_path, 'piece_id_prefix = "NP.2"\n')
    (text,) = only(found).placings[0].ids
    assert text.startswith(f"NP.2-{only(found).id}/")


@pytest.mark.parametrize(
    "line", ['piece_id = "barcode"', 'piece_id_prefix = "http://"', 'piece_id_per = "row"']
)
def test_a_wrong_option_is_refused(tmp_path: Path, line: str) -> None:
    path = tmp_path / "order.toml"
    path.write_text(f'title = "T"\n{line}\n[[markers]]\n{SPECS["tag"]}\npositions = [{{}}]\n')
    assert any(each.severity is Severity.UNREADABLE for each in read(path).findings)


def crosses_at(path: DrawnPath, at: Point) -> int:
    """How many edges a ray to the right of a point crosses: odd inside (Jordan's theorem)."""
    count = 0
    for contour in path.contours:
        points = list(contour.points())
        for one, other in zip(points, [*points[1:], points[0]], strict=True):
            if (one.y > at.y) != (other.y > at.y) and one.x > at.x:
                count += 1  # edges of a code are level or upright
    return count


@pytest.mark.parametrize("text", ["3F9A21BC/7C1D", "NP-K7M2Q9D-12/7C1D", "A" * 60])
def test_the_outline_of_a_code_is_its_modules(text: str) -> None:
    modules = qr_modules(text)
    path = qr_outline(text, Point(0.0, 0.0), 1.0)
    for row, cells in enumerate(modules):
        for column, dark in enumerate(cells):
            at = Point(QUIET + column + 0.5, QUIET + row + 0.5)
            assert crosses_at(path, at) % 2 == dark
    assert qr_side(text) == len(modules) + 2 * QUIET
