"""Finds markers of a job folder by id, tag or line number."""

from __future__ import annotations

import difflib
import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping

from layouts.markers.positions import Hanging
from layouts.order.order import MOST_AT_A_PLACE, PipeMarker
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity

_COUNTED = re.compile(r"(.+?)(?:=(\d*))?")


def counted_name(text: str) -> tuple[str, int | None]:
    """A name and the number after its equals sign; None if there is no number."""
    found = _COUNTED.fullmatch(text.strip())
    if found is None:
        return "", None
    return found[1].strip(), None if found[2] is None else int(found[2] or 0)


def pieces_by_id(
    texts: Iterable[str],
    listed: Iterable[str],
    hangings: Iterable[Hanging],
    old_ids: Mapping[str, str],
) -> Mapping[str, int]:
    """Pieces by the old job's ids; a marker named twice is made twice.

    An id asks for one piece, a tag or a line number for all pieces of each marker installed there;
    ``=3`` asks for three. ``listed`` holds the ids of the job, and ``old_ids`` gives the old id of
    a marker by its current one.

    Raises:
        InputError: a text names nothing in the job; the nearest names are suggested.
    """
    called = _by_name(hangings, old_ids)
    ids = {each.upper() for each in listed}
    wanted: Counter[str] = Counter()
    faults = []
    for text in texts:
        name, asked = counted_name(text)
        count = 1 if asked is None else asked
        if not name or not 1 <= count <= MOST_AT_A_PLACE:
            right = "write an id, a tag or a line number, or as in HV-118=3 for three"
            faults.append(reprint_fault(f"{text!r} names no marker", right))
        elif name.upper() in ids:
            wanted[name.upper()] += count
        elif name.casefold() in called:
            for key, number in called[name.casefold()].items():
                wanted[key] += number if asked is None else count
        else:
            faults.append(unknown_name(name, [*ids, *called]))
    if not wanted and not faults:
        faults.append(
            reprint_fault("no marker is named", "give at least one id, tag or line number")
        )
    if faults:
        raise InputError(faults)
    return wanted


def _by_name(hangings: Iterable[Hanging], old_ids: Mapping[str, str]) -> Mapping[str, Counter[str]]:
    """Pieces of each marker by the tags and line numbers where it is installed."""
    called: dict[str, Counter[str]] = defaultdict(Counter)
    for each in hangings:
        key = old_ids.get(each.marker.id)
        if key is None:
            continue
        line = each.placing.position.line
        name = line if isinstance(each.spec, PipeMarker) else each.spec.tag
        if name:
            called[name.casefold()][key] += each.count
    return called


def unknown_name(name: str, known: Iterable[str]) -> Finding:
    """The error for a name that is not in the job, with the nearest names."""
    near = difflib.get_close_matches(name.casefold(), {each.casefold() for each in known}, n=3)
    hint = f"did you mean {' or '.join(each.upper() for each in near)}? See" if near else "see"
    what = f"the job has no marker, tag or line {name!r}"
    return reprint_fault(what, f"{hint} markers.csv and proof.pdf in the folder", name)


def reprint_fault(what: str, right: str, marker: str = "") -> Finding:
    """The error for a name that cannot be reprinted."""
    return Finding("reprint-id", Severity.UNREADABLE, what, right, place=Place(marker=marker))
