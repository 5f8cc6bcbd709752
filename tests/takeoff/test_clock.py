"""Where round the pipe a legend goes. Hand-worked; the clock rule itself is derived geometry."""

from __future__ import annotations

import math

import pytest

from layouts.schemes.loader import eye_height
from layouts.takeoff import PipeRun, clock_position, sight_of
from layouts.terms.words import Run

FT = 304.8


@pytest.mark.parametrize(
    ("height", "distance", "degrees", "clock"),
    [
        # atan(7 / 10) = 35.0 degrees, 3 o'clock and 35 / 30 of an hour: 4:10
        (7, 10, 34.992, "4 o'clock"),
        (0, 12, 0, "3 o'clock"),
        (10, 10, 45, "4:30"),  # 3 + 45 / 30
        (20, 0, 90, "6 o'clock"),  # right overhead
        (-3, 3, -45, "1:30"),  # a low pipe: above the center line
        (-4, 0, -90, "12 o'clock"),  # underfoot
        (5, 20, 14.036, "3:30"),  # a quarter to one in slope: 28 minutes
        (1, 30, 1.909, "3 o'clock"),
    ],
)
def test_clock_positions(height: float, distance: float, degrees: float, clock: str) -> None:
    position = clock_position(height, distance)
    assert position.degrees == pytest.approx(degrees, abs=5e-4)
    assert position.clock == clock
    # Seen along the pipe the legend's middle points at the eye.
    turned = math.radians(position.degrees)
    assert math.hypot(height, distance) * math.cos(turned) == pytest.approx(distance)


def test_words() -> None:
    assert clock_position(7, 10).words == (
        "centered at 4 o'clock, viewed along the pipe with the reader on the right "
        "(35 degrees below the horizontal center line)"
    )
    assert "45 degrees above the horizontal center line" in clock_position(-3, 3).words
    assert "centered at 3 o'clock" in clock_position(0.1, 30).words


@pytest.mark.parametrize(("height", "distance"), [(0, 0), (5, -1)])
def test_no_reader_stands_there(height: float, distance: float) -> None:
    with pytest.raises(ValueError, match="cannot be at the pipe or behind it"):
        clock_position(height, distance)


def test_sight_of_a_run() -> None:
    # Eyes at 5 ft, common practice: a pipe at 17 ft is 12 ft above them; 16 ft away along the
    # floor it is 20 ft off (3-4-5) and 36.87 degrees up.
    sight = sight_of(PipeRun(40 * FT, height=17 * FT, distance=16 * FT), eye_height())
    assert sight is not None
    assert sight.distance == pytest.approx(20 * FT)
    assert sight.clock is not None
    assert sight.clock.degrees == pytest.approx(36.8699, abs=1e-4)


def test_a_riser_has_no_clock_position() -> None:
    riser = PipeRun(40 * FT, height=1 * FT, distance=8 * FT, lie=Run.VERTICAL)
    sight = sight_of(riser, eye_height())
    assert sight is not None
    assert (sight.distance, sight.clock) == (8 * FT, None)


@pytest.mark.parametrize(
    "run",
    [
        PipeRun(40 * FT),
        PipeRun(40 * FT, height=12 * FT),
        PipeRun(40 * FT, distance=12 * FT),
        PipeRun(40 * FT, height=5 * FT, distance=0.0),  # at the reader's own eye
    ],
)
def test_unknown_sight(run: PipeRun) -> None:
    assert sight_of(run, eye_height()) is None


@pytest.mark.parametrize(
    ("degrees", "where"),
    [
        # Nobody lays out less than 2.5 degrees on a pipe.
        (0.0, "(on the horizontal center line)"),
        (2.4, "(on the horizontal center line)"),
        (-2.4, "(on the horizontal center line)"),
        (2.6, "(3 degrees below the horizontal center line)"),
        (-2.6, "(3 degrees above the horizontal center line)"),
    ],
)
def test_a_legend_is_on_the_center_line_or_turned(degrees: float, where: str) -> None:
    assert clock_position(math.tan(math.radians(degrees)), 1.0).words.endswith(where)


@pytest.mark.parametrize(
    ("height", "away", "clock"), [(12, 0, "6 o'clock"), (5, 8, "3 o'clock"), (1, 0, "12 o'clock")]
)
def test_straight_overhead_underfoot_and_at_eye_level(
    height: float, away: float, clock: str
) -> None:
    # Eyes at 5 ft: one of the two distances is zero, and the pipe is seen all the same.
    sight = sight_of(PipeRun(40 * FT, height=height * FT, distance=away * FT), eye_height())
    assert sight is not None
    assert sight.clock is not None
    assert sight.clock.clock == clock
    assert sight.distance == pytest.approx((abs(height - 5) + away) * FT)
