"""Takeoff: from a run of pipe and a spacing rule to how many markers, where and why.

This runs between reading a list and planning its markers. ``take_off`` places markers along one
run; ``sight_of`` says how they are seen and at what clock position they go.
"""

from __future__ import annotations

from layouts.schemes.spacing import SpacingRule
from layouts.takeoff.clock import ClockPosition, Sight, clock_position, sight_of
from layouts.takeoff.run import Along, Fitting, PipeRun, Room
from layouts.takeoff.spots import Spot, SpotReason, Takeoff, take_off
from layouts.takeoff.windows import Cause

__all__ = [
    "Along",
    "Cause",
    "ClockPosition",
    "Fitting",
    "PipeRun",
    "Room",
    "Sight",
    "SpacingRule",
    "Spot",
    "SpotReason",
    "Takeoff",
    "clock_position",
    "sight_of",
    "take_off",
]
