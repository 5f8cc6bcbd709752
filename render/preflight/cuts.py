"""Processing steps as machines need them: one ink each, thin closed lines that overprint.

That every object of a step overprints is a rule of ISO 19593-1 (from memory), White and varnish
included: what they lie on or under must not be knocked out. All else here are house rules,
stricter than the standard, and common practice of cutting machines that read their lines from an
ink's name (no source). They are asked of files that carry steps.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from functools import partial
from itertools import islice

from layouts.terms.counts import counted
from layouts.terms.values import frozen
from render.preflight.boxes import media_of, unit_of
from render.preflight.layers import CUT_TYPES
from render.preflight.marks import Box, Contour, Mark, Spot
from render.preflight.opened import MM_PER_PT, Opened, Section, section
from render.preflight.painted import Painting
from render.preflight.report import Point, fail, note

CODES = {
    "step-empty": "every step has marks",
    "step-ink": "every step is painted in one spot ink",
    "step-shared": "no step shares its ink",
    "step-knockout": "steps overprint",
    "cut-ink": "cut contours are in cut inks only",
    "cut-tint": "cut contours are in solid ink",
    "cut-filled": "cut contours are stroked, not filled",
    "cut-open": "cut contours are closed",
    "cut-width": "cut lines are 0.25 pt wide",
    "cut-dashed": "cut lines are not dashed",
    "cut-placed": "cut contours lie flat on the page",
    "cut-outside": "cut contours lie on the page",
    "cut-twice": "no contour is cut twice",
}
LINE_PT, _LINE_SLACK_PT = 0.25, 0.005
_CLOSED_PT = 0.03  # a hundredth of a millimeter
_BRIDGE_PT = 3 / MM_PER_PT  # the longest gap that a through cut may leave to hold a part
_MOST_NEAR = 200  # ends in one square that are looked at
_PROCESS = frozenset({"Cyan", "Magenta", "Yellow", "Black", "All", "None"})
_PRINTED = ("White", "Varnish", "Primer", "Braille")  # groups that lay something on the sheet


@frozen
class _Sheet:
    """Where a page begins and ends, in points, for telling places in mm."""

    left: float
    bottom: float
    right: float
    top: float

    def holds(self, box: Box) -> bool:
        left, bottom, right, top = box
        return (
            left >= self.left - _CLOSED_PT
            and bottom >= self.bottom - _CLOSED_PT
            and right <= self.right + _CLOSED_PT
            and top <= self.top + _CLOSED_PT
        )

    def place(self, contour: Contour) -> str:
        x, y = contour.start
        across, down = (x - self.left) * MM_PER_PT, (self.top - y) * MM_PER_PT
        return f"at {across:.1f}, {down:.1f} mm from the top left"


def check(file: Opened, painting: Painting) -> Section | None:
    """All steps of the file; None where it has none."""
    if not file.steps:
        return None
    return section(CODES, _points(file, painting))


def _points(file: Opened, painting: Painting) -> Iterator[Point]:
    sheets = _sheets(file)
    for step in dict.fromkeys(file.steps.values()):
        marks = painting.steps.get(step, [])
        where = f"step {step.strip('/')}"
        if not marks:
            yield note("step-empty", "the step has a layer but no marks", where)
        elif _is_cut(step):
            yield from _ink_points("cut-ink", marks, where)
            yield from _cut_points(marks, where)
            yield from _contour_points(step, marks, where, sheets)
        elif not step.startswith(_PRINTED):
            yield from _ink_points("step-ink", marks, where)
    yield from _shared_points(painting)
    yield from _knockout_points(painting)


def _is_cut(step: str) -> bool:
    group, _, kind = step.partition("/")
    return group == "Structural" and kind in CUT_TYPES


def _ink_points(code: str, marks: Sequence[Mark], where: str) -> Iterator[Point]:
    spaces = dict.fromkeys(mark.space.inner() for mark in marks)
    spots = [space.inks[0] for space in spaces if space.is_spot and space.inks[0] not in _PROCESS]
    for space in spaces:
        if not space.is_spot or space.inks[0] in _PROCESS:
            what = f"painted in {space.text()}"
            yield fail(code, what, where, "use a spot ink for this step only", house=True)
    if len(set(spots)) > 1:
        what = f"painted in the inks {', '.join(spots)}"
        yield fail(code, what, where, "use one ink", house=True)


def _shared_points(painting: Painting) -> Iterator[Point]:
    owners: dict[str, str] = {}
    printed = {ink for kind in painting.art for ink in kind.space.inks}
    for step, marks in painting.steps.items():
        spaces = dict.fromkeys(mark.space.inner() for mark in marks)
        spots = {space.inks[0] for space in spaces if space.is_spot} - _PROCESS
        for ink in sorted(spots):
            if ink in owners:
                what = f"{owners[ink].strip('/')} and {step.strip('/')} share the ink {ink}"
                yield fail("step-shared", what, right="give each step an ink", house=True)
            if ink in printed and not step.startswith(_PRINTED):
                what = f"the ink {ink} is printed with as well"
                where = f"step {step.strip('/')}"
                yield fail("step-shared", what, where, "print in other inks", house=True)
            owners.setdefault(ink, step)


def _knockout_points(painting: Painting) -> Iterator[Point]:
    for step, marks in painting.steps.items():
        holes = sum(mark.count for mark in marks if not mark.coat.overprint)
        if holes:
            what = f"{counted(holes, 'mark')} without overprint, which may knock out the print"
            yield fail("step-knockout", what, f"step {step.strip('/')}", "let them overprint")


def _cut_points(marks: Sequence[Mark], where: str) -> Iterator[Point]:
    strokes = [mark for mark in marks if mark.kind == "stroke"]
    filled = sum(mark.count for mark in marks if mark.kind not in ("stroke", "text"))
    if filled:
        yield fail(
            "cut-filled",
            counted(filled, "filled area or image", "filled areas or images"),
            where,
            "stroke the outline",
            house=True,
        )
    wide = {
        round(mark.width_pt, 3) for mark in strokes if abs(mark.width_pt - LINE_PT) > _LINE_SLACK_PT
    }
    if wide:
        widths = ", ".join(f"{width:g} pt" for width in sorted(wide))
        yield fail(
            "cut-width", f"lines of {widths}", where, f"draw them {LINE_PT} pt wide", house=True
        )
    if any(mark.dashed for mark in strokes):
        yield fail("cut-dashed", "dashed lines", where, "draw them solid", house=True)
    tints = {max(mark.coat.tint) for mark in marks if mark.space.inks and any(mark.coat.tint)} - {
        1.0
    }
    if tints:
        shares = ", ".join(f"{100 * tint:g} %" for tint in sorted(tints))
        what = f"painted in a tint of {shares}, which is screened into dots"
        yield fail("cut-tint", what, where, "use 100 % of the ink", house=True)
    if any(mark.placed for mark in marks):
        what = "contours in a form or pattern, which many cutters skip"
        yield fail("cut-placed", what, where, "draw them on the page itself", house=True)


def _contour_points(
    step: str, marks: Sequence[Mark], where: str, sheets: dict[int, _Sheet]
) -> Iterator[Point]:
    by_page: dict[int, list[Contour]] = {}
    for mark in marks:
        if mark.kind == "stroke":
            by_page.setdefault(mark.page, []).extend(mark.contours)
    for page, contours in by_page.items():
        sheet = sheets.get(page)
        if sheet is None:
            continue
        at = f"page {page}, {where}"
        yield from _open_points(contours, at, sheet, bridges=step == "Structural/Cutting")
        yield from _place_points(contours, at, sheet)


def _open_points(
    contours: Sequence[Contour], where: str, sheet: _Sheet, bridges: bool
) -> Iterator[Point]:
    pieces = [each for each in contours if not each.closed and not _returns(each)]
    if not pieces:
        return
    if bridges and _closes_by_bridges(pieces):
        yield note("cut-open", f"{counted(len(pieces), 'piece')} with bridges between", where)
        return
    what = f"{counted(len(pieces), 'open contour')}, the first {sheet.place(pieces[0])}"
    yield fail("cut-open", what, where, "close them", house=True)


def _returns(contour: Contour) -> bool:
    return math.dist(contour.start, contour.end) <= _CLOSED_PT


def _closes_by_bridges(pieces: Sequence[Contour]) -> bool:
    """Whether the pieces close to loops over gaps that are short enough for bridges.

    Ends are looked up in squares as wide as the longest bridge.
    """
    ends = Counter(end for piece in pieces for end in (piece.start, piece.end))
    squares: dict[tuple[int, int], dict[Spot, None]] = {}
    for end in ends:
        squares.setdefault(_square(end), {})[end] = None

    def take(end: Spot) -> None:
        ends[end] -= 1
        if not ends[end]:
            del squares[_square(end)][end]

    for end in list(ends):
        while ends[end]:
            take(end)
            near = (
                other
                for square in _around(end)
                for other in islice(squares.get(square, ()), _MOST_NEAR)
            )
            nearest = min(near, key=partial(math.dist, end), default=None)
            if nearest is None or math.dist(end, nearest) > _BRIDGE_PT:
                return False
            take(nearest)
    return True


def _around(spot: Spot) -> Iterator[tuple[int, int]]:
    column, row = _square(spot)
    return ((x, y) for x in range(column - 1, column + 2) for y in range(row - 1, row + 2))


def _square(spot: Spot) -> tuple[int, int]:
    return (math.floor(spot[0] / _BRIDGE_PT), math.floor(spot[1] / _BRIDGE_PT))


def _place_points(contours: Sequence[Contour], where: str, sheet: _Sheet) -> Iterator[Point]:
    boxed = [(contour, contour.box()) for contour in contours]
    outside = [contour for contour, box in boxed if not sheet.holds(box)]
    twice = list(_find_repeats(boxed))
    for code, found, what, right in (
        ("cut-twice", twice, "there twice", "draw each once"),
        ("cut-outside", outside, "not all on the page", "move them onto the page"),
    ):
        if found:
            text = f"{counted(len(found), 'contour')} {what}, the first {sheet.place(found[0])}"
            yield fail(code, text, where, right, house=True)


def _find_repeats(contours: Iterable[tuple[Contour, Box]]) -> Iterator[Contour]:
    """Contours through the corners of an earlier one, from whatever point and either way round.

    Each comes with its box: only contours in one can be the same, and few share theirs.
    """
    alone: dict[Box, Contour] = {}
    seen: dict[Box, set[frozenset[Spot]]] = {}
    for contour, (left, bottom, right, top) in contours:
        box = (round(left, 2), round(bottom, 2), round(right, 2), round(top, 2))
        first = alone.setdefault(box, contour)
        if first is contour:
            continue
        known = seen.setdefault(box, {_corners(first)})
        corners = _corners(contour)
        if corners in known:
            yield contour
        known.add(corners)


def _corners(contour: Contour) -> frozenset[Spot]:
    return frozenset((round(x, 2), round(y, 2)) for x, y in contour.points())


def _sheets(file: Opened) -> dict[int, _Sheet]:
    sheets = {}
    for number, page in enumerate(file.pdf.pages, 1):
        media = media_of(file, page)
        if media is not None:
            sheets[number] = _Sheet(*(side * unit_of(page) for side in media))
    return sheets
