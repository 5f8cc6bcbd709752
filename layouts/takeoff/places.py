"""The fewest places that serve every window and keep the spacing.

Walking along the run, each marker goes as far as possible: to the end of the first window not yet
served, or one spacing beyond the marker before it, whichever comes first. No choice of places needs
fewer (the usual exchange argument for stabbing intervals). Walking back, each marker then moves to
the best place that keeps what it serves.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import pairwise

from layouts.takeoff.along import Layout
from layouts.takeoff.windows import DIGITS, Cause, Window
from layouts.terms.values import frozen

_SLACK = 1e-6  # mm; places are sums of floats
_SAME = 1e-3  # mm; places nearer than this are the same place
_WEIGHTY = (Cause.TURN, Cause.BRANCH, Cause.VALVE, Cause.PENETRATION)


@frozen
class Straights:
    """The stretches of a run where a marker's center may be: off every fitting and wall.

    A leg too short for the clearance at both ends still allows its middle.
    """

    length: float
    stretches: tuple[tuple[float, float], ...]

    def last_up_to(self, limit: float) -> float:
        """The furthest place not beyond the limit."""
        index = bisect_right(self.stretches, limit, key=lambda stretch: stretch[0]) - 1
        start, end = self.stretches[max(index, 0)]
        return max(start, min(limit, end))

    def onward(self, place: float, by: float) -> float:
        """The furthest place up to ``by`` beyond another, otherwise the first one beyond it."""
        furthest = self.last_up_to(place + by)
        if furthest > place:
            return furthest
        index = bisect_right(self.stretches, place, key=lambda stretch: stretch[0])
        return self.stretches[index][0] if index < len(self.stretches) else self.length

    def nearest(self, wish: float, low: float, high: float) -> float | None:
        """The place from ``low`` to ``high`` nearest to the preferred one; None if none."""
        places = [
            min(max(wish, start, low), end, high)
            for start, end in self.stretches
            if max(start, low) <= min(end, high)
        ]
        return min(places, key=lambda place: (abs(place - wish), place), default=None)


def straights(length: float, layout: Layout, clear: float) -> Straights:
    """Where markers may be on a run, fittings and walls kept clear."""
    barred = sorted({*(each.at for each in layout.fittings), *layout.walls})
    stretches: list[tuple[float, float]] = []
    for start, end in pairwise(sorted({0.0, *barred, length})):
        first, last = start in barred, end in barred
        if first and last and end - start < _SAME:
            continue
        share = (end - start) / (2 if first and last else 1)
        keep = min(clear, share)
        stretches.append((start + keep if first else start, end - keep if last else end))
    rounded = ((round(start, DIGITS), round(max(start, end), DIGITS)) for start, end in stretches)
    return Straights(length, tuple(rounded))


def fewest_places(windows: Sequence[Window], free: Straights, spacing: float) -> list[float]:
    """The fewest places, from the run's start to its end, in mm."""
    windows = [window for window in windows if not _is_implied(window, windows, spacing)]
    places, served = _furthest(windows, free, spacing)
    settled: list[float] = []
    for index in reversed(range(len(places))):
        after = settled[-1] if settled else None
        low = max((window.start for window in served[index]), default=0.0)
        if after is not None:
            low = max(low, after - spacing)
        wish = _wish(index, places, served, after, free.length)
        best = free.nearest(wish, low, places[index])
        settled.append(places[index] if best is None else best)
    plain = [all(each.cause is Cause.INTERVAL for each in windows) for windows in served]
    return _even_out(settled[::-1], plain, free, spacing)


def _even_out(
    places: list[float], plain: Sequence[bool], free: Straights, spacing: float
) -> list[float]:
    """The places with those that only keep the spacing set evenly between the others."""
    length = free.length
    evened = list(places)
    index = 0
    while index < len(places):
        stop = index
        while stop < len(places) and plain[stop]:
            stop += 1
        if stop > index:
            before = evened[index - 1] if index else None
            after = places[stop] if stop < len(places) else None
            group = [
                free.nearest(wish, 0.0, length)
                for wish in _evenly(stop - index, before, after, length)
            ]
            moved = [place for place in group if place is not None]
            if _keeps([before, *moved, after], length, spacing):
                evened[index:stop] = moved
        index = stop + 1
    return evened


def _evenly(count: int, before: float | None, after: float | None, length: float) -> list[float]:
    """The given number of places between two, or between one and an end (half an interval)."""
    start, end = before or 0.0, length if after is None else after
    first = 0.5 if before is None else 1.0
    step = (end - start) / (count - 1 + first + (0.5 if after is None else 1.0))
    return [start + step * (first + number) for number in range(count)]


def _keeps(places: Sequence[float | None], length: float, spacing: float) -> bool:
    """Whether places, with None for an end of the run at either side, keep the spacing."""
    known = [place for place in places if place is not None]
    if places[0] is None:
        known.insert(0, -known[0])
    if places[-1] is None:
        known.append(2 * length - known[-1])
    return all(two - one <= spacing + _SLACK for one, two in pairwise(known))


def _is_implied(window: Window, windows: Sequence[Window], spacing: float) -> bool:
    """Whether the other markers already serve a room, so that it needs no preferred place."""
    return window.cause is Cause.ROOM and (
        window.end - window.start >= spacing
        or any(
            window.start <= other.start and other.end <= window.end
            for other in windows
            if other.cause is not Cause.ROOM
        )
    )


def _furthest(
    windows: Sequence[Window], free: Straights, spacing: float
) -> tuple[list[float], list[list[Window]]]:
    """Each marker as far along as it can be, with the windows that it is the first to serve.

    It comes to an end: every window holds a free place, so a marker that the spacing does not
    stop serves one, and one that it does stop is further along than the last.
    """
    windows = [_reached(window, free) for window in windows]
    left = sorted(windows, key=lambda window: (free.last_up_to(window.end), window.start))
    places: list[float] = []
    served: list[list[Window]] = []
    while left:
        place = free.last_up_to(left[0].end)
        if places:
            place = min(place, free.onward(places[-1], spacing))
        places.append(place)
        served.append([window for window in left if window.start <= place <= window.end])
        left = [window for window in left if not window.start <= place <= window.end]
    return places, served


def _reached(window: Window, free: Straights) -> Window:
    """The window, up to the nearest free place where it has none: a room as thin as its walls."""
    if free.nearest(window.wish, window.start, window.end) is not None:
        return window
    place = free.nearest(window.wish, 0.0, free.length)
    assert place is not None  # a run is longer than the fittings on it
    return replace(window, start=min(window.start, place), end=max(window.end, place))


def _wish(
    index: int,
    places: Sequence[float],
    served: Sequence[Iterable[Window]],
    after: float | None,
    length: float,
) -> float:
    """A marker's best place: at its last fitting, mid-room, otherwise evenly spread."""
    by_cause = {window.cause: window for window in served[index]}
    fitting = [window for window in served[index] if window.cause in _WEIGHTY]
    if fitting:
        return fitting[-1].wish
    if Cause.ROOM in by_cause:
        return by_cause[Cause.ROOM].wish
    anchor = index - 1
    while anchor >= 0 and all(window.cause is Cause.INTERVAL for window in served[anchor]):
        anchor -= 1
    start = places[anchor] if anchor >= 0 else 0.0
    # A run's end counts half an interval, so that two runs joined keep the spacing.
    steps = index - anchor - (0.5 if anchor < 0 else 0.0)
    if after is not None:
        return after - (after - start) / (steps + 1)
    return length - (length - start) / (steps + 0.5) / 2
