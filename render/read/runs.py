"""Counts and places the markers of pipe runs by a spacing rule."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import field, replace
from pathlib import Path

from layouts.order.order import (
    LONGEST_PLACE_TEXT,
    MeasuredRun,
    PipeMarker,
    Position,
    RoomAlong,
    Specification,
)
from layouts.schemes.loader import eye_height, load_spacing, spacing_keys
from layouts.takeoff import PipeRun, Room, SpacingRule, sight_of, take_off
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.values import frozen
from layouts.terms.words import Run
from render.files.intake import toml_of

_DIGITS = 3  # of a millimeter
_ASSUMED = "some of what a run passes is known only by number, and is spread evenly along it"
_MEASURE = "set it out on site, or give places from the run's start, such as 12 ft, 40 ft"


@frozen
class SpacingRules:
    """The rules that a list can name: built in, or a TOML file in ``folder``.

    ``default`` applies to runs that name none.
    """

    default: str = ""
    folder: Path = field(default_factory=Path)
    _known: dict[str, SpacingRule] = field(default_factory=dict)

    def rule(self, name: str) -> SpacingRule:
        """The rule of that name. Raises ``InputError``."""
        name = name or self.default
        if name not in self._known:
            self._known[name] = self._load(name)
        return self._known[name]

    def _load(self, name: str) -> SpacingRule:
        if not name:
            return load_spacing()
        path = self.folder / name
        if name not in spacing_keys() and path.suffix == ".toml" and path.is_file():
            try:
                return load_spacing(toml_of(path), path.name)
            except (OSError, ValueError, TypeError, AttributeError) as error:
                why = getattr(error, "strerror", None) or error
                what, right = f"the file {name!r} cannot be read ({why})", "save it as UTF-8 text"
                raise InputError([_no_rule(what, right)]) from error
            except InputError as error:
                raise InputError(
                    [_no_rule(_of_file(each, name), each.right) for each in error.findings]
                ) from error
        return load_spacing(name)


def _no_rule(what: str, right: str) -> Finding:
    place = Place(field="spacing")
    return Finding("spacing-unknown", Severity.UNREADABLE, what, right, place=place)


def _of_file(finding: Finding, name: str) -> str:
    """The faults of a rule's file, reported in a list that names it."""
    at = f" at {finding.place.field}" if finding.place.field else ""
    return f"the rule in {name!r} cannot be used: {finding.what}{at}"


def set_viewing_distance(spec: Specification, position: Position) -> Specification:
    """The specification, with its viewing distance calculated from the position if needed.

    The straight distance to the reader's eye follows from the height of the pipe and the
    distance along the floor.
    """
    if spec.viewing_distance is not None or position.height is None or position.distance is None:
        return spec
    lie = spec.run if isinstance(spec, PipeMarker) else Run.HORIZONTAL
    seen = PipeRun(length=1000.0, height=position.height, distance=position.distance, lie=lie)
    sight = sight_of(seen, eye_height())
    if sight is None or sight.distance < 1:
        return spec
    return spec.model_copy(update={"viewing_distance": round(sight.distance, _DIGITS)})


def is_counted(position: Position, has_quantity: bool) -> bool:
    """Whether the spacing rule sets the number of markers at the position."""
    run = position.pipe_run
    return run is not None and run.length is not None and not has_quantity and position.at is None


def lacks_length(position: Position, has_quantity: bool) -> bool:
    """Whether a run is described, but neither its length nor a quantity is given."""
    run = position.pipe_run
    if run is None or run.length is not None or has_quantity or position.at is not None:
        return False
    return run != MeasuredRun(spacing=run.spacing)


def spots_of(
    spec: PipeMarker, position: Position, rules: SpacingRules
) -> tuple[tuple[Position, ...], tuple[str, ...]]:
    """One position per spot of the run, in order, and the assumptions made.

    Raises:
        InputError: the run is impossible, or there is no such rule; each finding's field is that
        of ``MeasuredRun`` or ``Position``.
    """
    measured = position.pipe_run
    assert measured is not None
    run, rule = pipe_run(spec, position), rules.rule(measured.spacing)
    details = position.details
    found = (
        replace(details, spot=_cut_text(spot.text), at=round(spot.at, _DIGITS))
        for spot in take_off(run, rule).spots
    )
    spots = tuple(replace(position, quantity=1, details=each) for each in found)
    return spots, tuple(_notes(measured, rule))


def pipe_run(spec: PipeMarker, position: Position) -> PipeRun:
    """The run that the position describes. Raises ``InputError``."""
    run = position.pipe_run
    assert run is not None
    return PipeRun(
        length=run.length or 0.0,
        turns=run.turns,
        branches=run.branches,
        valves=run.valves,
        penetrations=run.penetrations,
        rooms=run.rooms if isinstance(run.rooms, int) else tuple(map(_room, run.rooms)),
        height=position.height,
        distance=position.distance,
        side=spec.side,
        lie=spec.run,
        setting=spec.environment.setting,
    )


def _room(room: RoomAlong) -> Room:
    return Room(room.name, room.length)


def _cut_text(text: str) -> str:
    if len(text) <= LONGEST_PLACE_TEXT:
        return text
    return f"{text[: LONGEST_PLACE_TEXT - 1].rstrip()}…"


def _notes(run: MeasuredRun, rule: SpacingRule) -> Iterator[str]:
    """The assumptions about a run, worded the same for all runs of a kind."""
    distances = {
        "turns": (run.turns, rule.turns),
        "branches": (run.branches, rule.branches),
        "valves": (run.valves, rule.valves),
        "penetrations": (run.penetrations or 0, rule.penetrations),
    }
    marked = [along for along, distance in distances.values() if distance is not None]
    rooms = run.rooms
    unknown = rooms > 1 if isinstance(rooms, int) else any(room.length is None for room in rooms)
    if any(isinstance(along, int) and along for along in marked) or (
        unknown and rule.once_per_room
    ):
        yield f"{_ASSUMED}; {_MEASURE}"
    for name, (along, distance) in distances.items():
        if along and distance is None:
            what = f"the rule {rule.key} gives no distance from {name}, and none is marked"
            yield f"{what}; name another rule, or add markers by a row with a qty"
