"""Page boxes: there, numbers, inside one another, of a size that readers take."""

from __future__ import annotations

from collections.abc import Iterator

from pikepdf import Array, Dictionary, Object, Page

from render.preflight.keys import entry_of, key_faults, number_of
from render.preflight.opened import MM_PER_PT, Opened, Section, section
from render.preflight.report import PageFacts, Point, fail, note

CODES = {
    "box-media": "every page has a media box",
    "box-trim": "every page has a trim box and no art box",
    "box-bleed": "bleed boxes are boxes",
    "box-crop": "crop boxes are boxes",
    "box-order": "trim lies in bleed, bleed in media",
    "box-size": "page sizes are within what readers take",
    "box-unit": "pages are drawn at true size, without a page scale",
    "box-rotated": "no page is turned",
}
_NAMES = {"/MediaBox": "media", "/CropBox": "crop", "/BleedBox": "bleed", "/TrimBox": "trim"}
_INHERITED = ("/MediaBox", "/CropBox")
_SLACK_PT = 0.001
_SHORTEST, _LONGEST = 3, 14_400  # units a side (ISO 32000-1, annex C; from memory)

Box = tuple[float, float, float, float]


def check(file: Opened) -> Section:
    """All boxes of all pages."""
    return section(CODES, _points(file))


def media_of(file: Opened, page: Page) -> Box | None:
    """The media box of a page; None where the file gives none that can be read."""
    return None if page.obj.objgen in file.boxless else box_of(page.obj, "/MediaBox")


def page_facts(file: Opened, page: Page, number: int) -> PageFacts | None:
    """Sizes of a page in mm, or None where it has no media box that can be read."""
    media = media_of(file, page)
    if media is None:
        return None
    unit = unit_of(page) * MM_PER_PT

    def measured(key: str) -> Box | None:
        box = box_of(page.obj, key)
        if box is None:
            return None
        x0, y0, x1, y1 = box
        values = (x0 - media[0], media[3] - y1, x1 - x0, y1 - y0)
        x, y, width, height = (round(value * unit, 3) + 0.0 for value in values)
        return (x, y, width, height)

    width, height = (media[2] - media[0]) * unit, (media[3] - media[1]) * unit
    return PageFacts(
        number, round(width, 3), round(height, 3), measured("/TrimBox"), measured("/BleedBox")
    )


def box_of(owner: Object, key: str) -> Box | None:
    """A box as (left, bottom, right, top), corners in order; inherited where that is allowed."""
    found = entry_of(owner, key)
    parent, met = entry_of(owner, "/Parent"), {owner.objgen}
    while found is None and key in _INHERITED and isinstance(parent, Dictionary):
        if parent.objgen in met:  # a tree that goes in a circle
            break
        met.add(parent.objgen)
        found, parent = entry_of(parent, key), entry_of(parent, "/Parent")
    if not isinstance(found, Array) or len(found) != 4:
        return None
    values = [number_of(each) for each in found.as_list()]
    known = [value for value in values if value is not None]
    if len(known) != 4:
        return None
    x0, y0, x1, y1 = known
    return (min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1))


def unit_of(page: Page) -> float:
    """How many points a unit of the page is."""
    return number_of(entry_of(page.obj, "/UserUnit")) or 1.0


def _points(file: Opened) -> Iterator[Point]:
    for number, page in enumerate(file.pdf.pages, 1):
        file.budget.work(10)
        yield from _page_points(file, page, f"page {number}")


def _page_points(file: Opened, page: Page, where: str) -> Iterator[Point]:
    media = media_of(file, page)
    if media is None:
        what = "the page has no media box of four numbers"
        yield fail("box-media", what, where, "give the page's size")
    for fault in key_faults("Page", page.obj, file.strict):
        if fault.row.code != "box-media":
            yield fail(fault.row.code, fault.what, where, f"correct it ({fault.row.source})")
    yield from _trim_points(file, page, where)
    boxes = {
        name: box for key, name in _NAMES.items() if (box := box_of(page.obj, key)) is not None
    }
    if media is None:
        boxes.pop("media", None)
    else:
        yield from _size_points(media, where)
    yield from _order_points(file, boxes, where)
    yield from _scale_points(page, where)
    if number_of(entry_of(page.obj, "/Rotate")) not in (None, 0.0):
        yield note("box-rotated", f"the page is shown turned by {page.obj['/Rotate']}", where)


def _scale_points(page: Page, where: str) -> Iterator[Point]:
    """Some programs leave the scale out of account and make the page a third of its size."""
    unit = number_of(entry_of(page.obj, "/UserUnit"))
    if unit not in (None, 1.0):
        what = f"the page is scaled {unit:g} times (/UserUnit), which many programs ignore"
        right = "keep pages to 5,080 mm and /UserUnit to 1"
        yield fail("box-unit", what, where, right, house=True)


def _trim_points(file: Opened, page: Page, where: str) -> Iterator[Point]:
    trim, art = "/TrimBox" in page.obj, "/ArtBox" in page.obj
    if trim and art:
        what = "the page has a trim box and an art box"
        yield file.breach("box-trim", what, where, "keep the trim box only")
    elif not trim and not art and file.strict:
        yield file.breach("box-trim", "the page has no trim box", where, "give the finished size")
    elif not trim and not art:
        yield note("box-trim", "the page has no trim box; its media box is used", where)


def _order_points(file: Opened, boxes: dict[str, Box], where: str) -> Iterator[Point]:
    for inner, outer in (
        ("trim", "bleed"),
        ("trim", "media"),
        ("bleed", "media"),
        ("crop", "media"),
    ):
        if inner in boxes and outer in boxes and not _inside(boxes[inner], boxes[outer]):
            what = f"the {inner} box extends beyond the {outer} box"
            yield file.breach("box-order", what, where, f"keep it within the {outer} box")


def _size_points(media: Box, where: str) -> Iterator[Point]:
    sides = (media[2] - media[0], media[3] - media[1])
    if min(sides) < _SHORTEST or max(sides) > _LONGEST:
        what = f"the page is {sides[0]:g} by {sides[1]:g} units"
        yield fail("box-size", what, where, f"keep sides from {_SHORTEST} to {_LONGEST} units")


def overlap(one: Box, other: Box) -> bool:
    """Whether two boxes share more than an edge."""
    return (
        one[0] < other[2] - _SLACK_PT
        and one[2] > other[0] + _SLACK_PT
        and one[1] < other[3] - _SLACK_PT
        and one[3] > other[1] + _SLACK_PT
    )


def _inside(inner: Box, outer: Box) -> bool:
    return (
        inner[0] >= outer[0] - _SLACK_PT
        and inner[1] >= outer[1] - _SLACK_PT
        and inner[2] <= outer[2] + _SLACK_PT
        and inner[3] <= outer[3] + _SLACK_PT
    )
