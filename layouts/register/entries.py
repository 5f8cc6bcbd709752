"""A row of the register made of a piece, with its expected end of life and next inspection."""

from __future__ import annotations

import calendar
import datetime
from collections.abc import Sequence
from dataclasses import replace

from layouts.markers.gather import Placing
from layouts.markers.piece_ids import PlacedPiece
from layouts.register.model import GOOD, Entry
from layouts.schemes.lifetimes import Exposure, Lifetime, lifetime_of
from layouts.schemes.loader import load_practice
from layouts.terms.site_lengths import feet_and_inches
from layouts.terms.values import frozen
from layouts.terms.words import Setting


@frozen
class Signed:
    """Who signed, for which day, and what it is about: a job, a survey or an instruction."""

    by: str
    day: str
    source: str


def entry_of(piece: PlacedPiece, job: str) -> Entry:
    """The row of a piece of which only its plan is known."""
    build, position = piece.placing.plan.build, piece.placing.position
    environment = piece.placing.spec.environment
    surface = "" if environment.surface is None else f"{environment.surface:g}"
    hand = f" ({piece.placing.plan.hand})" if piece.placing.plan.hand else ""
    ends = " ".join(
        part
        for part in (
            f"from {position.from_}" if position.from_ else "",
            f"to {position.to}" if position.to else "",
        )
        if part
    )
    spot = f"{feet_and_inches(position.at)} from start" if position.at is not None else ""
    where = ", ".join(part for part in (position.location, ends, spot) if part)
    return Entry(
        id=piece.id,
        area=piece.area,
        position=where,
        line_or_tag=piece.thing,
        marker=f"{piece.marker.face.words}{hand}",
        marker_id=piece.marker.id,
        build=str(build.mount),
        film=build.film,
        laminate=build.laminate or "",
        surface_f=surface,
        exposure=str(exposure_of(piece.placing)),
        job=job,
        installed_on="",
        installed_by="",
        inspected_on="",
        inspected_by="",
        state="",
        next_inspection="",
        end_of_life="",
        note="",
    )


def exposure_of(placing: Placing) -> Exposure:
    """What wears the marker of a placing."""
    environment = placing.spec.environment
    surface = environment.surface
    if surface is not None and surface >= load_practice().burn.surface_f:
        return Exposure.HOT
    if environment.setting is Setting.OUTDOOR:
        return Exposure.OUTDOOR
    return Exposure.WASHDOWN if environment.washdown else Exposure.INDOOR


def mark_installed(entry: Entry, signed: Signed, lifetimes: Sequence[Lifetime]) -> Entry:
    """The row once its piece was put up new."""
    life = _life(entry, lifetimes)
    return replace(
        entry,
        installed_on=signed.day,
        installed_by=signed.by,
        inspected_on=signed.day,
        inspected_by=signed.by,
        state=GOOD,
        next_inspection=months_after(signed.day, life.inspect_months),
        end_of_life=months_after(signed.day, 12 * life.years),
    )


def mark_inspected(
    entry: Entry, signed: Signed, state: str, note: str, lifetimes: Sequence[Lifetime]
) -> Entry:
    """The row once somebody looked; an earlier look changes nothing."""
    if signed.day < entry.inspected_on:
        return entry
    return replace(
        entry,
        inspected_on=signed.day,
        inspected_by=signed.by,
        state=state,
        next_inspection=months_after(signed.day, _life(entry, lifetimes).inspect_months),
        note=note or entry.note,
    )


def _life(entry: Entry, lifetimes: Sequence[Lifetime]) -> Lifetime:
    exposure = Exposure(entry.exposure) if entry.exposure else Exposure.INDOOR
    return lifetime_of(lifetimes, entry.film, entry.laminate, exposure)


def months_after(day: str, months: int) -> str:
    """The same day of a later month, or the last day of a month that is shorter."""
    date = datetime.date.fromisoformat(day)
    years, month = divmod(date.month - 1 + months, 12)
    year = date.year + years
    last = calendar.monthrange(year, month + 1)[1]
    return datetime.date(year, month + 1, min(date.day, last)).isoformat()
