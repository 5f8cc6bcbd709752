"""A scheme: colors, wording, bands, sizing and abbreviations of one convention and edition.

All values come from data files; every row carries its source and, where it applies, how well
it is known (``status``: confirmed, common practice, memory). Lengths are millimeters.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum

from layouts.drawing.inks import Ink
from layouts.terms.values import frozen
from layouts.terms.words import Level, State


@frozen
class SizeRow:
    """One row of a sizing table. All sizes are minimums: a marker grows with its content.

    ``od_over`` and ``od_up_to`` bound the outside diameter, covering included; ``od_up_to`` is
    ``inf`` in the last row. A zero ``band_width`` means that the convention names none.
    """

    od_over: float
    od_up_to: float
    letter_height: float
    marker_height: float
    length: float
    band_width: float
    label: str
    source: str
    status: str


class GapRule(StrEnum):
    """What happens to a diameter between two printed ranges."""

    NONE = "none"  # the table has no holes
    NEXT_LARGER = "next larger row"
    NOMINAL = "ranges read as nominal pipe sizes"


@frozen
class SizeTable:
    """Rows in rising order of diameter.

    ``lower_inclusive`` tells whether a printed range includes its lower end (A13.1 prints
    "3/4 to 1-1/4", both ends in) or starts above it (the ammonia table, "over 1.25 to 2").
    ``tag_below`` is the diameter below which a tag replaces a marker; where
    ``tag_required`` is false the tag is offered with a warning instead.
    """

    rows: tuple[SizeRow, ...]
    gap_rule: GapRule
    lower_inclusive: bool
    tag_below: float | None
    tag_required: bool
    tag_source: str
    title: str
    source: str


@frozen
class Band:
    """A colored part of the field with its own word. Inks by their scheme name."""

    word: str
    field: str
    ink: str
    source: str
    status: str


@frozen
class Pairing:
    """Field and legend ink for a class of contents, such as "toxic or corrosive"."""

    key: str
    meaning: str
    field: str
    legend: str
    contents: tuple[str, ...]  # words, upper case, that belong to the class
    source: str
    status: str
    second: str = ""  # ink behind the arrows, where the class has a second color


@frozen
class Unsettled:
    """Contents that a scheme leaves to the plant, and the case for each color."""

    contents: tuple[str, ...]  # words, upper case
    what: str
    right: str
    source: str


@frozen
class Cutoff:
    """The pressure over which contents of a plant's own scheme are HIGH."""

    contents: tuple[str, ...]  # words, upper case
    psig: float
    source: str


@frozen
class SecondWord:
    """A legend in a second language."""

    word: str
    source: str
    status: str


@frozen
class SecondLanguage:
    """The second-language words printed under a legend, by the English legend."""

    language: str
    words: Mapping[str, SecondWord]

    def word_for(self, legend: str) -> SecondWord | None:
        """The legend in this language; None if not given."""
        return self.words.get(_words(legend))


@frozen
class Service:
    """An abbreviation with its meaning.

    The usual state and level only ever pre-fill a form or raise a note; ``usual_status`` says
    how well they are known. ``one_way`` is false for lines such as an equalizer.
    """

    code: str
    meaning: str
    usual_state: State | None
    usual_level: Level | None
    usual_status: str
    one_way: bool
    note: str
    source: str
    status: str


class ElementKind(StrEnum):
    """The parts of a face, in the order that the scheme gives them."""

    ARROW = "arrow"
    SERVICE = "service"
    STATE = "state"
    LEGEND = "legend"
    LEVEL = "level"


class ArrowEnds(StrEnum):
    """Which ends of a face carry an arrow."""

    BOTH = "both"
    LEADING = "leading"  # only the end that the flow leaves by


@frozen
class FaceRule:
    """How a face is put together. Shares are of the letter height."""

    order: tuple[ElementKind, ...]
    arrow_ends: ArrowEnds
    band_letter_share: float
    length_step: float  # the finished length rounds up to a multiple of this, mm
    length_step_text: str
    corner_share: float  # corner radius as a share of the marker height
    source: str
    compact: bool = False  # gaps at their least


@frozen
class EquipmentRule:
    """Component markers."""

    marker_height: float
    letter_height: float
    field: str
    ink: str
    pressure_band: bool
    source: str
    status: str


@frozen
class PaintRule:
    """Voluntary paint or jacket color of a service. The ink is a scheme ink name.

    A rule applies by service code, by contents, or (where it names neither) by state and level.
    """

    service: str
    color: str
    ink: str
    codes: tuple[str, ...]
    state: State | None
    level: Level | None
    source: str
    status: str
    contents: tuple[str, ...] = ()  # words, upper case, other than the scheme's own contents


@frozen
class Caveat:
    """Something about the scheme that its user must accept with a reason, or know."""

    code: str
    what: str
    right: str
    source: str
    blocking: bool
    applies_to_state: State | None = None


@frozen
class Scheme:
    """One convention, one edition."""

    key: str
    title: str
    standard: str
    edition: str
    built_from: str  # what it was built from; never a claim of conformity
    missing: str  # what of the edition has not been seen
    contents: str  # the default contents, such as AMMONIA
    inks: Mapping[str, Ink]
    pairings: tuple[Pairing, ...]
    states: Mapping[State, tuple[Band, ...]]
    levels: Mapping[Level, Band]
    cutoff_psig: float | None
    cutoff_source: str
    services: Mapping[str, Service]
    sizes: SizeTable
    face: FaceRule
    equipment: EquipmentRule
    paints: tuple[PaintRule, ...]
    caveats: tuple[Caveat, ...]
    extends: str = ""  # the built-in scheme that a plant's own file starts from
    level_contents: tuple[str, ...] = ()  # what ``cutoff_psig`` holds for; empty: ``contents``
    cutoffs: tuple[Cutoff, ...] = ()  # of other contents
    unsettled: tuple[Unsettled, ...] = ()
    second: SecondLanguage | None = None
    others: str = ""  # the built-in scheme for contents that this one does not carry
    written_contents: bool = False  # contents print as the list writes them

    def pairing_for(self, contents: str) -> Pairing | None:
        """The pairing whose class holds the contents, else None."""
        wanted = _words(contents)
        for pairing in self.pairings:
            if wanted in pairing.contents:
                return pairing
        return None

    def unsettled_for(self, contents: str) -> Unsettled | None:
        """Why the scheme leaves the color of the contents to the plant, else None."""
        wanted = _words(contents)
        return next((each for each in self.unsettled if wanted in each.contents), None)

    def cutoff_for(self, contents: str) -> Cutoff | None:
        """The cutoff pressure of the contents; None if not given."""
        wanted, own = _words(contents), self.level_contents or (self.contents,)
        for cutoff in self.cutoffs:
            if wanted in cutoff.contents:
                return cutoff
        if wanted not in own or self.cutoff_psig is None:
            return None
        return Cutoff(own, self.cutoff_psig, self.cutoff_source)

    def paint_for(
        self, contents: str, code: str, state: State | None, level: Level | None
    ) -> PaintRule | None:
        """The paint rule of a line: by its code first, else by contents, else state and level."""
        if _words(contents) != self.contents:
            wanted = _words(contents)
            return next((rule for rule in self.paints if wanted in rule.contents), None)
        named = next((rule for rule in self.paints if code and code in rule.codes), None)
        if named is not None:
            return named
        open_rules = (rule for rule in self.paints if not rule.codes and not rule.contents)
        return next((r for r in open_rules if (r.state, r.level) == (state, level)), None)


def _words(contents: str) -> str:
    return " ".join(contents.upper().split())
