"""A fingerprint names a face by its geometry and inks: what changes it, and what must not.

Approvals and reprints of plants hold fingerprints, so those of two drawn parts are written down
here: a version of the program that gives others would find every old approval changed.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from dataclasses import replace

import pytest

from layouts.drawing import (
    Affine,
    Arc,
    Contour,
    Cubic,
    Line,
    Path,
    Point,
    Rect,
    Size,
    circle,
    rectangle,
)
from layouts.drawing.document import Fill, Stroke
from layouts.drawing.inks import Ink, InkRole, Lab
from layouts.face import compose
from layouts.face.model import Part
from layouts.markers.content import (
    AcceptedFinding,
    Content,
    ProvedMarker,
    json_file,
    proof_hash,
    proof_json,
)
from layouts.markers.fingerprint import FORM, fingerprint
from layouts.terms.words import Backs, PartRole
from tests.face.test_measured_face import FACES, PLAIN

INK = Ink("Safety orange", Lab(65.0, 50.5, 60.25))
BLACK = Ink("Black", Lab(15.0, 0.0, 0.0), InkRole.BLACK)
NM = 1e-6  # mm
CURVED = Path(
    (
        Contour(
            Point(1.0, 2.0),
            (
                Line(Point(11.0, 2.0)),
                Cubic(Point(12.0, 3.0), Point(13.0, 4.0), Point(11.0, 5.0)),
                Arc(Point(1.0, 5.0), 0.5),
            ),
        ),
    )
)
FIRST = CURVED.contours[0]
GLYPH = Path.of(((CURVED, Affine(2.0, 0.25, 0.5, 2.0, 3.0, 4.0)),))
PART = Part(
    PartRole.TAG,
    Size(40.0, 20.0),
    rectangle(Rect(0, 0, 40, 20), 2.0),
    circle(Point(20, 4), 3.0),
    (Fill(CURVED, INK), Stroke(CURVED, BLACK, 0.25, (1.0, 2.0), True), Fill(GLYPH, None)),
    2.0,
)
FACE = replace(compose(PLAIN, FACES), parts=(PART,))


def of(part: Part, form: int = FORM) -> str:
    return fingerprint(replace(FACE, parts=(part,)), 1 if form == 1 else 2)


def test_fingerprints_once_written_stay() -> None:
    assert FORM == 2
    assert fingerprint(FACE) == of(PART)
    assert of(PART) == "6d60a46d514f105cce2d532981f2e0bfa4610fd52f8112c7fac7cb1eafe6c7c7"
    assert of(PART, 1) == "2ab5f3105a48c4ba45cc7f547ec483c61e29d7a7ed68f62202beeaf278b84499"


def moved(path: Path, by: float) -> Path:
    return path.mapped(Affine.move(by, 0.0))


def shapes(change: Callable[[Fill | Stroke], Fill | Stroke], number: int) -> Part:
    art = list(PART.art)
    art[number] = change(art[number])
    return replace(PART, art=tuple(art))


CHANGES: dict[str, Part] = {
    "role": replace(PART, role=PartRole.FILM),
    "width": replace(PART, size=Size(40.001, 20.0)),
    "height": replace(PART, size=Size(40.0, 20.001)),
    "outline": replace(PART, outline=rectangle(Rect(0, 0, 40, 20), 2.5)),
    "hole": replace(PART, holes=circle(Point(20, 4), 3.1)),
    "no hole": replace(PART, holes=None),
    "two faces": replace(PART, backs=next(b for b in Backs if b is not Backs.SECOND_TAG)),
    "order": replace(PART, art=PART.art[::-1]),
    "ink": shapes(lambda s: replace(s, ink=replace(INK, name="Orange")), 0),
    "lightness": shapes(lambda s: replace(s, ink=replace(INK, lab=Lab(65.01, 50.5, 60.25))), 0),
    "a": shapes(lambda s: replace(s, ink=replace(INK, lab=Lab(65.0, 50.51, 60.25))), 0),
    "b": shapes(lambda s: replace(s, ink=replace(INK, lab=Lab(65.0, 50.5, 60.26))), 0),
    "no ink": shapes(lambda s: replace(s, ink=None), 0),
    "overprint": shapes(lambda s: replace(s, overprint=not s.overprint), 0),
    "place": shapes(lambda s: replace(s, path=moved(s.path, 2 * NM)), 0),
    "glyph's place": shapes(lambda s: replace(s, path=moved(s.path, 2 * NM)), 2),
    "glyph's form": shapes(
        lambda s: replace(s, path=Path.of(((moved(CURVED, 0.1), GLYPH.parts[0][1]),))), 2
    ),
    "stroke": shapes(lambda s: Stroke(s.path, s.ink, 0.26, (1.0, 2.0), True), 1),
    "dash": shapes(lambda s: Stroke(s.path, s.ink, 0.25, (1.0, 2.1), True), 1),
    "filled": shapes(lambda s: Fill(s.path, s.ink, True), 1),
    "open": shapes(
        lambda s: replace(s, path=Path((Contour(FIRST.start, FIRST.segments, closed=False),))), 0
    ),
}


@pytest.mark.parametrize("name", CHANGES)
def test_what_shows_on_the_piece_changes_it(name: str) -> None:
    assert of(CHANGES[name]) != of(PART)
    assert of(CHANGES[name], 1) != of(PART, 1)


@pytest.mark.parametrize("number", range(6))
def test_every_number_of_a_contour_counts(number: int) -> None:
    """Points of lines and curves and the bulge of an arc, each two nanometers or billionths off."""
    by = [0.0] * 6
    by[number] = 2 * NM
    contour = Contour(
        Point(1.0 + by[0], 2.0),
        (
            Line(Point(11.0, 2.0 + by[1])),
            Cubic(Point(12.0 + by[2], 3.0), Point(13.0, 4.0 + by[3]), Point(11.0 + by[4], 5.0)),
            Arc(Point(1.0, 5.0), 0.5 + by[5]),
        ),
    )
    changed = shapes(lambda s: replace(s, path=Path((contour,))), 0)
    assert of(changed) != of(PART)
    assert of(changed, 1) != of(PART, 1)


def test_what_is_no_part_of_the_piece_leaves_it() -> None:
    more = replace(PART, art=(*PART.art, Fill(CURVED, BLACK)), id_shapes=1)
    same = [more, replace(PART, bleed=3.0), shapes(lambda s: replace(s, ink=replace(INK)), 0)]
    # Less than half a nanometer is the noise of floats, and a color counts to three decimals.
    same.append(shapes(lambda s: replace(s, path=moved(s.path, 0.3 * NM)), 0))
    same.append(shapes(lambda s: replace(s, ink=replace(INK, lab=Lab(65.0001, 50.5, 60.25))), 0))
    for part in same:
        assert of(part) == of(PART)


def test_a_length_divided_evenly_does_not_hang_on_its_last_digit() -> None:
    # Halves, thirds and quarters of a nanometer, a float's last digit up or down.
    for share in (1 / 2, 1 / 3, 2 / 3, 1 / 4, 3 / 4):
        names = set()
        for last in (-1e-12, 0.0, 1e-12):
            part = moved(CURVED, 7.0 + share * NM + last)
            names.add(of(replace(PART, art=(Fill(part, INK),))))
        assert len(names) == 1


MARKER = ProvedMarker("A1", "HPL AMMONIA", "f" * 64, ("adhesive film",), 3)
OTHER = ProvedMarker("B2", "LPL AMMONIA", "e" * 64, ("wrap",), 1)
ACCEPTED = AcceptedFinding("state-unusual", "HPL", "HPL is usually liquid", "checked")
CONTENT = Content((MARKER, OTHER), (ACCEPTED,), {"ammonia-2014": "2014"}, 2)


def test_the_hash_of_a_content_is_that_of_its_canonical_json() -> None:
    # JSON with sorted keys and no spaces, without the markers' ids; SHA-256 by the library.
    text = (
        '{"accepted":[{"code":"state-unusual","marker":"HPL","reason":"checked",'
        '"what":"HPL is usually liquid"}],"markers":['
        f'{{"build":["adhesive film"],"face":"{"f" * 64}","quantity":3,"words":"HPL AMMONIA"}},'
        f'{{"build":["wrap"],"face":"{"e" * 64}","quantity":1,"words":"LPL AMMONIA"}}],'
        '"schemes":{"ammonia-2014":"2014"},"version":2}'
    )
    assert CONTENT.hash == hashlib.sha256(text.encode()).hexdigest()
    ids = text.replace('"markers"', '"ids":"text","markers"')
    assert replace(CONTENT, ids="text").hash == hashlib.sha256(ids.encode()).hexdigest()


def test_order_and_names_leave_the_hash_and_all_else_changes_it() -> None:
    assert replace(CONTENT, markers=(OTHER, MARKER)).hash == CONTENT.hash
    assert replace(CONTENT, markers=(replace(MARKER, id="Z"), OTHER)).hash == CONTENT.hash
    more = AcceptedFinding("a", "b", "c", "d")
    twice = replace(CONTENT, accepted=(ACCEPTED, more))
    assert twice.hash == replace(CONTENT, accepted=(more, ACCEPTED)).hash
    others = [
        replace(CONTENT, markers=(replace(MARKER, quantity=4), OTHER)),
        replace(CONTENT, markers=(MARKER,)),
        replace(CONTENT, accepted=()),
        replace(CONTENT, schemes={"ammonia-2014": "2015"}),
        replace(CONTENT, version=1),
        replace(CONTENT, ids="text"),
        twice,
    ]
    assert len({each.hash for each in [CONTENT, *others]}) == len(others) + 1


def test_the_printed_hash_is_sixteen_digits_in_fours() -> None:
    printed = proof_hash(CONTENT)
    assert printed.replace("-", "").lower() == CONTENT.hash[:16]
    assert [len(each) for each in printed.split("-")] == [4, 4, 4, 4]
    assert printed == printed.upper()


def test_a_table_names_ids_only_where_there_are_any() -> None:
    assert "ids" not in CONTENT.table
    assert CONTENT.table["version"] == 2
    proved = json.loads(proof_json(CONTENT))["content"]
    assert [each["id"] for each in proved["markers"]] == ["A1", "B2"]
    assert proved["markers"][0]["quantity"] == 3
    assert proved["accepted"][0]["reason"] == "checked"
    assert replace(CONTENT, ids="text").table["ids"] == "text"
    assert json_file({"b": "é", "a": 1}) == '{\n "a": 1,\n "b": "é"\n}\n'.encode()
    assert f'"hash": "{CONTENT.hash}"'.encode() in proof_json(CONTENT)
