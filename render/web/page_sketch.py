"""Draws a page as an inspection measured it: its boxes, and the locations of its faults."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

from layouts.terms.values import frozen

_PAGE = re.compile(r"\bpage (\d+)\b")
_PLACE = re.compile(r"\bat (-?\d+\.\d), (-?\d+\.\d) mm from the top left")


@frozen
class PageSketch:
    """A page with marks where its faults are; lengths in mm from the page's top left.

    ``trim`` and ``bleed`` are (x, y, width, height), or None where the page has no such box.
    ``unit`` is the line width that is visible on a page of any size.
    """

    number: int
    width: float
    height: float
    trim: tuple[float, ...] | None
    bleed: tuple[float, ...] | None
    places: tuple[tuple[float, float], ...]

    @property
    def unit(self) -> float:
        """A hundredth of the longer side."""
        return max(self.width, self.height) / 100


def page_of(point: Mapping[str, Any]) -> int | None:
    """The page that a point of a report is about; None where it is about the file."""
    found = _PAGE.search(_text(point))
    return int(found[1]) if found else None


def sketches(report: Mapping[str, Any], points: Iterable[Mapping[str, Any]]) -> list[PageSketch]:
    """A sketch of each page that the points are about."""
    places: dict[int, list[tuple[float, float]]] = {}
    for point in points:
        number = page_of(point)
        if number is not None:
            found = _PLACE.findall(_text(point))
            places.setdefault(number, []).extend((float(x), float(y)) for x, y in found)
    pages = (page for page in report["pages"] if page["number"] in places)
    return [_sketch(page, places[page["number"]]) for page in pages]


def _sketch(page: Mapping[str, Any], places: Iterable[tuple[float, float]]) -> PageSketch:
    trim, bleed = (tuple(page[key]) if page[key] else None for key in ("trim_mm", "bleed_mm"))
    width, height = page["width_mm"], page["height_mm"]
    # A fault off the page is marked at the nearest edge.
    within = ((min(max(x, 0.0), width), min(max(y, 0.0), height)) for x, y in places)
    return PageSketch(page["number"], width, height, trim, bleed, tuple(dict.fromkeys(within)))


def _text(point: Mapping[str, Any]) -> str:
    return f"{point.get('where', '')}, {point['what']}"
