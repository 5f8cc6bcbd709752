"""Letter height, marker height, length and band width of one pipe marker."""

from __future__ import annotations

from layouts.order.order import Neighbor, PipeMarker
from layouts.plan.legibility import (
    LETTER_PER_DISTANCE_SOURCE,
    TAG_DISTANCE,
    letter_for_distance,
    reading_distance,
)
from layouts.plan.model import Notes
from layouts.schemes.model import Scheme, SizeRow
from layouts.schemes.sizes import RowChoice, choose_row, row_for_letter
from layouts.terms.findings import Severity
from layouts.terms.site_lengths import legible_text
from layouts.terms.units import feet, inches
from layouts.terms.values import frozen

# A measured letter counts as the row's own when a ruler could not tell them apart.
_RULER = 0.4


@frozen
class Sizes:
    """The sizes a face is built to; ``tag`` is set if a tag replaces the marker."""

    row: str
    letter: float
    height: float
    length: float
    band: float
    tag: bool
    fixed_height: bool
    fixed_length: bool
    grown: bool  # higher than the diameter's row calls for
    reason: str


def sizes_of(spec: PipeMarker, od: float, scheme: Scheme, notes: Notes) -> Sizes | None:
    """Size the marker by its row, the viewing distance, and what the order overrides."""
    nominal = spec.pipe.nominal_in if spec.pipe is not None and not spec.covering else None
    choice = choose_row(scheme.sizes, od, nominal)
    notes.reason("size row", choice.reason, scheme.sizes.source)
    row = choice.row
    if row is None and choice.tag:
        return _tag(spec, choice, scheme, notes)
    assert row is not None  # the loader rejects a table with a gap
    if choice.tag:
        notes.find(
            Severity.WARNING,
            "small-pipe",
            f"{inches(od)} outside diameter is small for a marker",
            "consider a tag on a strap in its place",
            scheme.sizes.tag_source,
            field="pipe",
        )
    row = _raised_for_distance(spec, row, scheme, notes)
    return _overridden(spec, row, choice.row or row, notes)


def _tag(spec: PipeMarker, choice: RowChoice, scheme: Scheme, notes: Notes) -> Sizes:
    """Letters sized only by reading distance, on a plate at a strap."""
    distance = spec.viewing_distance or TAG_DISTANCE
    letter = max(letter_for_distance(distance), letter_for_distance(TAG_DISTANCE))
    if spec.letter_height is not None and spec.letter_height > letter:
        letter = spec.letter_height
    reason = f"letters {inches(letter)} for reading from {feet(distance)}"
    notes.reason("letters", reason, LETTER_PER_DISTANCE_SOURCE)
    return Sizes("tag", letter, letter * 2, 0.0, letter, True, False, False, False, choice.reason)


def _raised_for_distance(spec: PipeMarker, row: SizeRow, scheme: Scheme, notes: Notes) -> SizeRow:
    """The row, or the next one whose letters are legible at the viewing distance."""
    if spec.viewing_distance is None:
        return row
    needed = letter_for_distance(spec.viewing_distance)
    if needed <= row.letter_height:
        return row
    raised = row_for_letter(scheme.sizes, needed)
    far = feet(spec.viewing_distance)
    if raised is not None:
        notes.reason(
            "letters",
            f"read from {far}, which needs letters of {inches(needed)}: raised to the row "
            f"{raised.label}",
            LETTER_PER_DISTANCE_SOURCE,
        )
        return raised
    largest = max(scheme.sizes.rows, key=lambda each: each.letter_height)
    notes.find(
        Severity.WARNING,
        "viewing-too-far",
        f"read from {far} letters need {inches(needed)}; the largest row has "
        f"{inches(largest.letter_height)}, which reads from "
        f"{feet(reading_distance(largest.letter_height))}",
        "give letter_height, or hang a second marker nearer to the reader",
        LETTER_PER_DISTANCE_SOURCE,
        field="viewing_ft",
    )
    return largest


def _overridden(spec: PipeMarker, row: SizeRow, floor: SizeRow, notes: Notes) -> Sizes:
    """The row's sizes, or the order's own if they are not smaller."""
    neighbor = spec.neighbor or Neighbor()
    letter = row.letter_height
    if neighbor.letter_height is not None:
        letter = neighbor.letter_height
        notes.reason("letters", f"{inches(letter)} as measured off the neighboring marker")
        if letter < floor.letter_height - _RULER:
            notes.find(
                Severity.WARNING,
                "neighbor-below-row",
                f"the neighbor's letters are {inches(letter)}; its row asks for "
                f"{inches(floor.letter_height)}",
                "replace the neighbors too, or keep them all as they are on purpose",
                floor.source,
                field="neighbor_letter_in",
            )
        elif letter < row.letter_height - _RULER and spec.viewing_distance is not None:
            notes.find(
                Severity.WARNING,
                "neighbor-too-far",
                f"the neighbor's letters of {inches(letter)} read from "
                f"{feet(reading_distance(letter))}, and this one is read from "
                f"{feet(spec.viewing_distance)}",
                "replace the neighbors too, or hang a second marker nearer to the reader",
                LETTER_PER_DISTANCE_SOURCE,
                field="neighbor_letter_in",
            )
    elif spec.letter_height is not None:
        letter = spec.letter_height
        notes.reason("letters", f"{inches(letter)} by the order")
        if letter < row.letter_height - 1e-6:
            notes.find(
                Severity.BLOCKING,
                "letter-below-row",
                f"letters of {inches(letter)} are below the row's {inches(row.letter_height)}",
                f"use at least {inches(row.letter_height)}",
                row.source,
                field="letter_in",
            )
    scale = max(1.0, letter / row.letter_height)
    height = neighbor.marker_height or row.marker_height * scale
    length = neighbor.length or spec.length or row.length
    if neighbor.length is None and spec.length is not None and spec.length < row.length - 1e-6:
        notes.find(
            Severity.BLOCKING,
            "length-below-row",
            f"a length of {inches(spec.length)} is below the row's {inches(row.length)}",
            f"use at least {inches(row.length)}",
            row.source,
            field="length_in",
        )
    text = f"{row.label}: letters {inches(letter)}, marker {inches(height)} high or more"
    notes.reason(
        "reading distance",
        f"letters of {inches(letter)} legible to {legible_text(reading_distance(letter))}",
        LETTER_PER_DISTANCE_SOURCE,
    )
    return Sizes(
        row.label,
        letter,
        height,
        length,
        row.band_width * scale,
        False,
        neighbor.marker_height is not None,
        neighbor.length is not None,
        height > floor.marker_height + 1e-6,
        text,
    )
