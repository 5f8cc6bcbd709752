"""A long plate is held in its middle too, by openings that stay outside the film.

That a plate of more than 36 in bows between two straps is common practice, from memory.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from layouts.face import Face, compose
from layouts.face.fit import fit_design
from layouts.order.order import PipeMarker
from layouts.plan import MarkerPlan, plan
from layouts.schemes.loader import load_scheme
from layouts.terms.words import PartRole
from render.read.fonts import default_typefaces
from tests.helpers.command import run

IN = 25.4


def made(**fields: object) -> tuple[MarkerPlan, Face]:
    base = {"service": "HSD", "state": "vapor", "pressure": "185 psig", "flow": "right"}
    spec = PipeMarker.model_validate({**base, "pipe": "NPS 4", "covering": 0, **fields})
    (decided,), _ = plan(spec, {"ammonia-2014": load_scheme("ammonia-2014")}, "ammonia-2014")
    typefaces = default_typefaces()
    held = fit_design(decided, typefaces)
    return held, compose(held.design, typefaces)


@pytest.mark.parametrize(
    ("pipe", "environment", "straps", "openings"),
    [
        ("NPS 4", {"surface": "200 F"}, 2, 4),  # 27-1/4 in of film
        ("NPS 8", {"surface": "200 F"}, 3, 6),  # 54 in
        ("NPS 8", {"surface": "250 F"}, 3, 6),  # a stand-off plate on posts
    ],
)
def test_a_plate_over_36_in_has_a_strap_and_openings_in_its_middle(
    pipe: str, environment: dict[str, str], straps: int, openings: int
) -> None:
    decided, face = made(pipe=pipe, environment=environment)
    film, plate = (
        next(p for p in face.parts if p.role is r) for r in (PartRole.FILM, PartRole.PLATE)
    )
    assert plate.holes is not None
    assert (decided.build.straps, len(plate.holes.contours)) == (straps, openings)
    assert (plate.size.width > 36 * IN) is (straps == 3)
    assert any(f"Straps: {straps} x" in note for note in decided.build.notes)
    # The film lies in the middle of its plate: no opening reaches under it.
    left = (plate.size.width - film.size.width) / 2
    top = (plate.size.height - film.size.height) / 2
    for contour in plate.holes.contours:
        box = contour.bounds()
        beside = box.right < left or box.x > plate.size.width - left
        assert beside or box.bottom < top or box.y > plate.size.height - top
        assert box.y > 0.1 * IN
        assert box.bottom < plate.size.height - 0.1 * IN


def test_the_command_says_three_straps(tmp_path: Path) -> None:
    words = ("marker", "HSD", "--state", "vapor", "--psig", "185", "--pipe", "NPS 8")
    place = ("--covering", "0", "--surface", "200", "--flow", "right", "-o", tmp_path / "a.pdf")
    text = " ".join(run(*words, *place).output.split())
    assert "3 x stainless steel strap" in text
    assert "the plate is over 36 in long" in text
