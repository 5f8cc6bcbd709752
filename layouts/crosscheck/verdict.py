"""The findings about a list and its drawings, each with the sheet and the row."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from layouts.crosscheck.drawn import DrawnSheet
from layouts.crosscheck.line_number import pipe_diameter, take_apart
from layouts.crosscheck.listed import ListedThing
from layouts.crosscheck.matching import CrossMatch, SeenThing
from layouts.crosscheck.tag_forms import plain_name
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.words import Kind

CROSSCHECK_COLUMNS = ("result", "kind", "list", "drawing", "sheets", "size", "service", "class")
_COLUMN = {Kind.VALVE: "tag", Kind.EQUIPMENT: "tag", Kind.PIPE: "line"}
_NOUN = {Kind.VALVE: "valve", Kind.EQUIPMENT: "equipment", Kind.PIPE: "line"}
_MOST_SHEETS = 3
# Emergency shut-off valves are identified at the valve and on the schematic: IIAR 2-2021 5.14.4
# and 13.3.2.8, IIAR 9-2020 7.2.9.3 (by their titles and summaries; the text was not seen).
_RULE = "emergency valves are identified at the valve and on the schematic"
_SAME = 0.5  # mm between diameters of one pipe size


def crosscheck_findings(match: CrossMatch, file: str) -> tuple[Finding, ...]:
    """Every finding of a match; ``file`` is the list's."""
    if not match.equal and not match.near:
        return (_nothing(match),)
    found: list[Finding] = []
    for listed, seen in match.equal:
        found += _contradictions(listed, seen, file)
    found += (_nearly(listed, seen, file) for listed, seen in match.near)
    found += (_undrawn(listed, file) for listed in match.undrawn)
    found += (_unlisted(seen) for seen in match.unlisted)
    return tuple(found)


def crosscheck_rows(match: CrossMatch) -> Iterator[tuple[str, ...]]:
    """Rows under ``CROSSCHECK_COLUMNS``: everything that either side names, once."""
    for result, pairs in (("agrees", match.equal), ("near", match.near)):
        for listed, seen in pairs:
            yield result, _NOUN[listed.kind], listed.name, *_drawn_cells(seen)
    for listed in match.undrawn:
        yield "not on a drawing", _NOUN[listed.kind], listed.name, "", "", "", "", ""
    for seen in match.unlisted:
        yield "not in the list", _NOUN[seen.kind], "", *_drawn_cells(seen)


def _drawn_cells(seen: SeenThing) -> tuple[str, ...]:
    sheets = "; ".join(each.title for each in seen.sheets)
    return (seen.name, sheets, *map(" ".join, (seen.sizes, seen.services, seen.classes)))


def _sheets(sheets: Sequence[DrawnSheet]) -> str:
    titles = [each.title for each in sheets]
    more = len(titles) - _MOST_SHEETS
    return ", ".join(titles[:_MOST_SHEETS]) + (f" and {more} more" if more > 0 else "")


def _nothing(match: CrossMatch) -> Finding:
    count = len(match.undrawn)
    what = f"none of the {count} names of the list is on these drawings"
    right = "see that they are of this plant and hold text; give other forms with --tag-form"
    return Finding("crosscheck-nothing", Severity.BLOCKING, what, right)


def _undrawn(listed: ListedThing, file: str) -> Finding:
    place = listed.place(file, _COLUMN[listed.kind])
    on = f"; the list says {', '.join(sorted(listed.drawings))}" if listed.drawings else ""
    if listed.emergency:
        what = f"emergency valve {listed.name} is on no drawing{on}"
        right = f"have the drawing corrected before the tag is ordered: {_RULE}"
        return Finding("crosscheck-emergency", Severity.BLOCKING, what, right, place=place)
    what = f"{_NOUN[listed.kind]} {listed.name} is on no drawing{on}"
    right = "find it in the plant: it is missing on the drawing, or wrong in the list"
    return Finding("crosscheck-undrawn", Severity.WARNING, what, right, place=place)


def _unlisted(seen: SeenThing) -> Finding:
    place = Place(seen.sheets[0].file, marker=seen.name)
    kept = "emergency valve" if seen.emergency else _NOUN[seen.kind]
    what = f"{kept} {seen.name} is on {_sheets(seen.sheets)} and not in the list"
    if seen.emergency:
        right = f"add it to the list as an emergency valve: {_RULE}"
        return Finding("crosscheck-emergency", Severity.BLOCKING, what, right, place=place)
    right = "add it to the list, or say why it takes no marker"
    return Finding("crosscheck-unlisted", Severity.WARNING, what, right, place=place)


def _nearly(listed: ListedThing, seen: SeenThing, file: str) -> Finding:
    place = listed.place(file, _COLUMN[listed.kind])
    what = (
        f"the list has {listed.name} and {_sheets(seen.sheets)} has {seen.name}, "
        "and neither has the other's"
    )
    right = "if they are one thing, correct the one that is wrong"
    severity = Severity.BLOCKING if listed.emergency else Severity.WARNING
    return Finding("crosscheck-near", severity, what, right, place=place)


def _contradictions(listed: ListedThing, seen: SeenThing, file: str) -> Iterator[Finding]:
    if seen.emergency and not listed.emergency and listed.kind is Kind.VALVE:
        what = f"{listed.name} is an emergency valve on {_sheets(seen.sheets)}, not in the list"
        right = f"say so in the list, or have the drawing corrected: {_RULE}"
        place = listed.place(file, "emergency")
        yield Finding("crosscheck-emergency", Severity.BLOCKING, what, right, place=place)
    if listed.kind is Kind.PIPE:
        yield from _line_contradictions(listed, seen, file)
    yield from _other_sheet(listed, seen, file)


def _line_contradictions(listed: ListedThing, seen: SeenThing, file: str) -> Iterator[Finding]:
    others = [each for each in seen.services if listed.services and each not in listed.services]
    if others:
        what = (
            f"line {listed.name} carries {', '.join(sorted(listed.services))} by the list and "
            f"{', '.join(others)} by {_sheets(seen.sheets)}"
        )
        right = "trace the line before a marker is ordered for it"
        place = listed.place(file, "service")
        yield Finding("crosscheck-service", Severity.BLOCKING, what, right, place=place)
    # A size in the list's own number is judged as well: it may be a copy of an older drawing.
    own = take_apart(listed.name, listed.services)
    drawn = [(size, _sheets(seen.sheets)) for size in seen.sizes]
    if own is not None and own.size and own.size not in seen.sizes:
        drawn.append((own.size, "its own number"))
    for size, where in drawn:
        diameter = pipe_diameter(size)
        known = listed.sizes
        if diameter is None or not known or min(abs(od - diameter) for od in known) < _SAME:
            continue
        sizes = ", ".join(listed.sizes.values())
        what = f"line {listed.name} is {sizes} in the list and {size} by {where}"
        right = "measure the pipe: the size of the marker follows from it"
        place = listed.place(file, "pipe")
        yield Finding("crosscheck-size", Severity.WARNING, what, right, place=place)


def _other_sheet(listed: ListedThing, seen: SeenThing, file: str) -> Iterator[Finding]:
    """A thing that the list puts on one drawing and that only others show."""
    named = [each for each in seen.sheets if each.name]
    if not listed.drawings or len(named) < len(seen.sheets):
        return
    listed_on = {plain_name(each) for each in listed.drawings}
    if not any(plain_name(each.name) in listed_on for each in named):
        what = (
            f"{listed.name} is on {', '.join(sorted(listed.drawings))} by the list and on "
            f"{_sheets(seen.sheets)}"
        )
        right = "correct the drawing in the list"
        place = listed.place(file, "drawing")
        yield Finding("crosscheck-sheet", Severity.NOTE, what, right, place=place)
