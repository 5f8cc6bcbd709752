"""Changes to a register: a signed pack, a survey, a removal. No piece is installed twice."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import replace

from layouts.markers.piece_ids import PlacedPiece
from layouts.register.entries import Signed, entry_of, mark_inspected, mark_installed
from layouts.register.model import GOOD, MISSING, UNLISTED, Deed, Entry, Event, Register
from layouts.schemes.lifetimes import Exposure, Lifetime
from layouts.survey.sightings import Seen
from layouts.terms.tags import natural_key
from layouts.terms.values import frozen


@frozen
class SurveyLook:
    """What a survey says of one piece, and who says it; ``piece`` is its plan by the list."""

    id: str
    seen: tuple[Seen, ...]
    note: str
    signed: Signed
    piece: PlacedPiece


@frozen
class Unlisted:
    """An installed marker that is not in any list."""

    area: str
    position: str
    line_or_tag: str
    marker: str
    note: str
    signed: Signed

    @property
    def id(self) -> str:
        """A name made of its place and words."""
        text = "|".join((self.area, self.position, self.line_or_tag, self.marker)).casefold()
        return f"STRAY-{hashlib.sha256(text.encode()).hexdigest()[:7].upper()}"


def sign_off(
    register: Register,
    pieces: Iterable[PlacedPiece],
    job: str,
    signed: Signed,
    lifetimes: Sequence[Lifetime],
) -> Register:
    """The register after these pieces of a job go up; each replaces the one at its place."""
    rows, events = register.by_id, list(register.history)
    for piece in pieces:
        before = rows.get(piece.id)
        rows[piece.id] = mark_installed(entry_of(piece, job), signed, lifetimes)
        deed = Deed.INSTALLED if before is None else Deed.REPLACED
        was = "" if before is None else _said(before)
        now = _said(rows[piece.id])
        events.append(Event(signed.day, deed, piece.id, signed.by, was, now, signed.source))
    return Register(_sorted(rows.values()), tuple(events))


def take_survey(
    register: Register,
    looks: Iterable[SurveyLook],
    unlisted: Iterable[Unlisted],
    job: str,
    lifetimes: Sequence[Lifetime],
) -> Register:
    """The register after a survey. Installed pieces not yet in it are added; missing ones are not.

    A piece of the register that is missing stays in it, since it is to be replaced.
    """
    rows, events = register.by_id, list(register.history)
    for look in looks:
        before = rows.get(look.id)
        state = GOOD if look.seen == (Seen.PRESENT,) else ", ".join(look.seen)
        if before is None and state == MISSING:
            continue
        entry = before or entry_of(look.piece, job)
        after = mark_inspected(entry, look.signed, state, look.note, lifetimes)
        if after == before:
            continue
        rows[look.id] = after
        deed = Deed.ADDED if before is None else Deed.INSPECTED
        was = "" if before is None else before.state
        events.append(_event(look.signed, deed, look.id, was, after.state))
    for stray in unlisted:
        if stray.id not in rows:
            rows[stray.id] = mark_inspected(
                _stray_entry(stray), stray.signed, UNLISTED, stray.note, lifetimes
            )
            events.append(_event(stray.signed, Deed.ADDED, stray.id, "", UNLISTED))
    return Register(_sorted(rows.values()), tuple(events))


def take_down(register: Register, ids: Iterable[str], signed: Signed) -> Register:
    """The register without pieces that were taken down; its history keeps them."""
    rows, events = register.by_id, list(register.history)
    events += [
        _event(signed, Deed.REMOVED, piece, _said(rows.pop(piece)), "")
        for piece in dict.fromkeys(ids)
    ]
    return Register(_sorted(rows.values()), tuple(events))


def _event(signed: Signed, deed: Deed, piece: str, was: str, now: str) -> Event:
    return Event(signed.day, deed, piece, signed.by, was, now, signed.source)


def _said(entry: Entry) -> str:
    """The installed piece, in a few words for the history."""
    parts = (entry.marker, entry.marker_id, entry.state, entry.installed_on)
    return "; ".join(part for part in parts if part)


def _stray_entry(stray: Unlisted) -> Entry:
    empty = dict.fromkeys(Entry.__dataclass_fields__, "")
    entry = Entry(**empty)
    return replace(
        entry,
        id=stray.id,
        area=stray.area,
        position=stray.position,
        line_or_tag=stray.line_or_tag,
        marker=stray.marker,
        exposure=str(Exposure.INDOOR),
    )


def _sorted(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """By area, line or tag and place, so that a change shows in one line of a comparison."""
    return tuple(
        sorted(
            entries,
            key=lambda each: (
                natural_key(each.area),
                natural_key(each.line_or_tag),
                natural_key(each.position),
                natural_key(each.id),
            ),
        )
    )
