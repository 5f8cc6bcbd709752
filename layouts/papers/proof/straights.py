"""Straight pipe: what a marker needs, and the runs and legs that have less."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from layouts.markers.gather import Marker, Placing
from layouts.order.order import PipeMarker
from layouts.papers.kit.figure import carrier_of, printed_part
from layouts.papers.proof.whereabouts import place_text
from layouts.terms.site_lengths import feet_and_inches
from layouts.terms.units import inches

_SLIGHT = 0.05  # mm; a tape measure cannot tell lengths closer than this apart


def fit_text(marker: Marker) -> str:
    """The straight pipe that the marker needs, and every run or leg that is shorter."""
    text = f"needs {inches(_needed(marker))} of straight pipe"
    short = list(dict.fromkeys(short_runs(marker)))
    return f"{text}; DOES NOT FIT {', '.join(short)}" if short else text


def short_runs(marker: Marker) -> Iterator[str]:
    """Places with less straight pipe than the marker needs.

    By the straight run that the list gives, or by the leg between two elbows of a measured run;
    where only the number of elbows is known, they are taken as evenly spread.
    """
    needed = _needed(marker)
    for placing in marker.placings:
        spec = placing.spec
        if not isinstance(spec, PipeMarker):
            continue
        if spec.straight is not None:
            if spec.straight < needed - _SLIGHT:
                yield f"{place_text(placing)} ({inches(spec.straight)} straight)"
            continue
        leg = leg_of(placing)
        if leg is not None and leg[0] < needed - _SLIGHT:
            length, known = leg
            about = "" if known else "about "
            yield f"{place_text(placing)} ({about}{feet_and_inches(length)} between elbows)"


def leg_of(placing: Placing) -> tuple[float, bool] | None:
    """The leg of a run that a position lies on, mm, and whether its elbows' places are known.

    None where the run has no length or no elbow.
    """
    run, at = placing.position.pipe_run, placing.position.at
    if run is None or run.length is None or not run.turns:
        return None
    if isinstance(run.turns, int):
        return run.length / (run.turns + 1), False
    ends = sorted({0.0, *run.turns, run.length})
    legs = [(start, end) for start, end in pairwise(ends) if at is None or start <= at <= end]
    return min((end - start for start, end in legs), default=run.length), True


def _needed(marker: Marker) -> float:
    return (carrier_of(marker.face) or printed_part(marker.face)).size.width
