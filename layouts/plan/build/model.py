"""The inputs of a build, and the build itself. Lengths are mm, temperatures degrees Fahrenheit."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from layouts.plan.design import Plate
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.units import inches
from layouts.terms.values import frozen
from layouts.terms.words import Setting


class Mount(StrEnum):
    """How a marker is held."""

    FILM = "adhesive film"
    WRAP = "wrap"
    STRAPPED_PLATE = "strapped plate"
    STAND_OFF = "stand-off plate"
    FLAG_TAG = "flag tag"
    HUNG_TAG = "hung tag"

    @property
    def has_plate(self) -> bool:
        """Whether the film goes on its own plate."""
        return self not in (Mount.FILM, Mount.WRAP, Mount.HUNG_TAG)


@frozen
class ExpectedSurface:
    """The maximum temperature of a bare surface, estimated from the rest of the line's data.

    ``asks`` is false where another finding asks already whether the line is bare; ``hot_guess``
    marks the usual range of a hot service, which the list should replace by a temperature.
    """

    fahrenheit: float
    text: str
    source: str
    asks: bool = True
    hot_guess: bool = False


@frozen
class BuildQuestion:
    """What decides the build.

    ``surface_max_f`` is the peak temperature of what the marker goes on, the jacket where there
    is one, and ``expected`` is used if it is not given; ``od`` is None for what is not round.
    ``letters`` is the height from the head of the first line to the foot of the last, and
    ``prescribed`` says that the size table itself sets the marker's height. ``tag`` asks for a tag in a marker's place,
    ``hung`` for a valve's own tag, and ``plate`` for a plate that reaches past a fitting because
    the straight run is too short.
    """

    setting: Setting = Setting.INDOOR
    surface_max_f: float | None = None
    frost: float = 0.0
    washdown: bool = False
    applied_at_f: float | None = None
    insulated: bool = False
    od: float | None = None
    marker_length: float = 0.0
    marker_height: float = 0.0
    letters: float = 0.0
    prescribed: bool = False
    expected: ExpectedSurface | None = None
    food_zone: bool = False
    wrap: bool = False
    tag: bool = False
    hung: bool = False
    plate: bool = False

    @property
    def warmest_f(self) -> float | None:
        """The surface's maximum temperature, as given or expected."""
        if self.surface_max_f is not None:
            return self.surface_max_f
        return self.expected.fahrenheit if self.expected is not None else None

    @property
    def coldest_f(self) -> float | None:
        """The surface's lowest known temperature."""
        known = [each for each in (self.warmest_f, self.applied_at_f) if each is not None]
        return min(known, default=None)


@frozen
class Build:
    """How a marker is built and held.

    A mounted marker is two parts: the film, and the ``plate`` blank that is larger than the
    face, so that its slots (straps) or holes (stand-off) lie outside the film. ``stand_off`` is
    the clear height under the plate; ``strap_length`` includes the tail. ``reasons`` are pairs
    of text and source; ``notes`` belong on the cut file and the ticket.
    """

    mount: Mount
    film: str
    adhesive: str
    laminate: str | None
    stand_off: float = 0.0
    straps: int = 0
    strap: str = ""
    strap_length: float = 0.0
    plate: Plate | None = None
    plate_material: str = ""
    thickness: str = ""  # of the shop's plate or tag stock; empty: by practice
    engraved: bool = False  # a tag whose stock is engraved and not printed; known once it has one
    reasons: tuple[tuple[str, str], ...] = ()
    notes: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()

    @property
    def film_text(self) -> str:
        """The film and laminate: equal texts may share a sheet."""
        return ", ".join(part for part in (self.film, self.adhesive, self.laminate) if part)

    @property
    def mount_text(self) -> str:
        """How it is held, for a schedule."""
        text = str(self.mount)
        if self.stand_off:
            text += f", {inches(self.stand_off)} off the surface"
        if self.straps:
            text += f", {self.straps} x {self.strap} {inches(self.strap_length)} long"
        return text


@dataclass(slots=True)
class Notebook:
    """Reasons and findings of one build, in the order they come up."""

    reasons: list[tuple[str, str]] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)

    def warn(self, code: str, at: str, what: str, right: str, source: str) -> None:
        """Add a warning about one heading of the list."""
        place = Place(field=at)
        self.findings.append(Finding(code, Severity.WARNING, what, right, source, place))
