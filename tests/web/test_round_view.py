"""A marker on its pipe, against points turned in space by a rotation matrix."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest

import pipelegend
from render.web.round_view import VIEWS, view_of

DRAWN = pipelegend.marker(
    "HTRS", state="both", psig=30, pipe="NPS 4", covering="1-1/2 in", flow="left"
)
RADIUS = 7.5 * 25.4 / 2  # NPS 4 is 4.5 in (ASME B36.10M), with 1-1/2 in of insulation all round
FACE = DRAWN.markers[0].face
HEIGHT = FACE.measures.height


def turned(s: float, degrees: float) -> tuple[float, float]:
    """Height in the view and depth of a point at arc length `s`: turned about the pipe's axis."""
    point = np.array([RADIUS * math.sin(s / RADIUS), RADIUS * math.cos(s / RADIUS)])
    angle = math.radians(degrees)
    turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    down, depth = turn @ point
    return float(down), float(depth)


@pytest.mark.parametrize("view", VIEWS)
def test_what_shows_is_what_faces_the_eye(view: str) -> None:
    degrees = VIEWS[view]
    along = np.linspace(-HEIGHT / 2, HEIGHT / 2, 20_001)
    seen = [down for s in along for down, depth in [turned(s, degrees)] if depth >= 0]
    share = (max(seen) - min(seen)) / HEIGHT
    found = view_of(FACE, RADIUS, 0.0, degrees)
    assert found.share == pytest.approx(share, abs=1e-3)


@pytest.mark.parametrize("view", VIEWS)
def test_no_point_of_the_face_leaves_the_pipe(view: str) -> None:
    svg = view_of(FACE, RADIUS, 0.0, VIEWS[view]).svg(upright=False)
    paths = re.findall(r' d="([^"]+)"', svg)
    heights = [float(y) for path in paths for y in re.findall(r"[ML]-?[\d.]+ (-?[\d.]+)", path)]
    assert len(heights) > 500
    assert max(map(abs, heights)) <= RADIUS + 0.05


def test_a_letter_keeps_its_place_along_the_pipe() -> None:
    """A parallel view changes nothing along the axis."""
    pictures = [view_of(FACE, RADIUS, 0.0, VIEWS[view]).svg(False) for view in ("front", "slant")]
    one, other = (set(re.findall(r"[ML](-?[\d.]+) ", svg)) for svg in pictures)
    assert len(one) > 100
    assert one == other


def test_a_plate_stays_flat_and_stands_off() -> None:
    """A plate at twice the radius from the axis, seen from 45 degrees: lengths by cos 45."""
    drawn = pipelegend.marker(
        "HPL", state="liquid", psig=185, pipe="NPS 4", covering=0, flow="left", surface="250 F"
    )
    marker = drawn.markers[0]
    assert marker.plan.design.plate is not None
    found = view_of(marker.face, marker.plan.od or 0.0, marker.plan.build.stand_off, 45.0)
    assert found.share == pytest.approx(math.cos(math.pi / 4), abs=1e-3)
