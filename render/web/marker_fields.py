"""The fields of the marker's form: the words of a marker and the control for each.

Names are the words of the single commands, so that a link, a command and a call use the same names.
"""

from __future__ import annotations

from layouts.terms.pipes import STEEL
from layouts.terms.values import frozen
from layouts.terms.words import Kind

# What a bare number of a measure means, by the units that the reader chose.
UNITS = {
    "us": {"length": "in", "distance": "ft", "temperature": "F", "pressure": "psig"},
    "metric": {"length": "mm", "distance": "m", "temperature": "C", "pressure": "bar"},
}
# The form need not offer the smallest and largest steel pipes.
_SIZES = tuple(f"NPS {size}" for size, dn, _ in STEEL if dn >= 15)
# Usual thicknesses of insulation, common practice, no source.
_COVERINGS = {
    "us": ("0", "1", "1-1/2", "2", "2-1/2", "3", "4"),
    "metric": ("0", "25", "40", "50", "65", "75", "100"),
}


@frozen
class Field:
    """One word and its control.

    ``control`` is ``chips`` or ``select`` (one of ``choices``), ``text``, ``number`` or ``check``.
    ``other`` adds an entry for values outside the choices. ``measure`` is the key of the unit
    that a bare number has; ``listed`` names a list of suggestions. ``only`` shows a field where
    the pipe is measured in that way.
    """

    name: str
    control: str = "text"
    choices: tuple[str, ...] = ()
    measure: str = ""
    other: bool = False
    listed: str = ""
    only: str = ""

    def choices_in(self, units: str) -> tuple[str, ...]:
        """The choices in the reader's units."""
        return _COVERINGS[units] if self.name == "covering" else self.choices

    @property
    def spoken(self) -> bool:
        """Whether the choices are words with a message each, rather than sizes."""
        return not self.other


@frozen
class Group:
    """Fields shown together; ``folded`` ones are collapsed under a heading."""

    name: str
    fields: tuple[Field, ...]
    folded: bool = False


_PSIG = Field("psig", "number", measure="pressure")
_LEVEL = Field("level", "chips", ("", "high", "low"))
_SERVICE = Field("service", listed="services")
_CONTENTS = (
    Field("contents", listed="contents"),
    Field("color"),
    Field("cutoff", "number", measure="pressure"),
)
_SIDE = Field("side", "chips", ("one", "both"))
_COVERING = Field("covering", "chips", measure="length", other=True)
_SURROUNDINGS = (
    Field("setting", "chips", ("indoor", "outdoor")),
    Field("washdown", "check"),
    Field("food_zone", "check"),
)
_WARMTH = (
    Field("surface", "number", measure="temperature"),
    Field("operating", "number", measure="temperature"),
    Field("applied_at", "number", measure="temperature"),
    Field("frost", "number", measure="length"),
    Field("viewing", "number", measure="distance"),
)
_PLACE = (Field("area"), Field("location"))
_LINE = (Field("line"), Field("drawing"))
_LINES = Field("lines", "chips", ("", "1", "2"))
_LETTER = Field("letter", "number", measure="length")

FORMS: dict[Kind, tuple[Group, ...]] = {
    Kind.PIPE: (
        Group(
            "says",
            (
                _SERVICE,
                Field("state", "chips", ("liquid", "vapor", "both")),
                _PSIG,
                _LEVEL,
                Field("flow", "chips", ("left", "right", "up", "down", "reversing", "none")),
            ),
        ),
        Group(
            "pipe",
            (
                Field("measure", "chips", ("pipe", "girth", "od")),
                Field("pipe", "select", _SIZES, other=True, only="pipe"),
                Field("girth", "number", measure="length", only="girth"),
                Field("od", "number", measure="length", only="od"),
                _COVERING,
            ),
        ),
        Group("hangs", (Field("run", "chips", ("horizontal", "vertical")), _SIDE, *_SURROUNDINGS)),
        Group("surface", _WARMTH, folded=True),
        Group(
            "more",
            (
                *_CONTENTS,
                Field("legend"),
                Field("meaning"),
                _LINES,
                Field("straight", "number", measure="length"),
                Field("paint"),
                Field("wrap", "check"),
                Field("face", "chips", ("full", "compact")),
                _LETTER,
                Field("length", "number", measure="length"),
                *_PLACE,
                *_LINE,
            ),
            folded=True,
        ),
    ),
    Kind.EQUIPMENT: (
        Group("says", (Field("name", listed="machines"), Field("tag"), _PSIG, _LEVEL)),
        Group("hangs", _SURROUNDINGS),
        Group(
            "surface",
            (Field("covering", "number", measure="length"), *_WARMTH),
            folded=True,
        ),
        Group(
            "more",
            (*_CONTENTS, _LINES, Field("small", "check"), _LETTER, *_PLACE, _LINE[1]),
            folded=True,
        ),
    ),
    Kind.VALVE: (
        Group(
            "says",
            (
                Field("tag"),
                _SERVICE,
                Field("function", listed="functions"),
                Field("size", "select", _SIZES, other=True),
                Field("normal", "chips", ("", "open", "closed")),
                Field("emergency", "check"),
                Field("lockout", "check"),
            ),
        ),
        Group(
            "hangs",
            (_SIDE, Field("shape", "chips", ("rectangle", "round")), *_SURROUNDINGS),
        ),
        Group("surface", _WARMTH, folded=True),
        Group("more", (*_CONTENTS[:2], *_PLACE, *_LINE), folded=True),
    ),
}
# Defaults of a blank form: the usual case.
USUAL = {
    "measure": "pipe",
    "run": "horizontal",
    "side": "one",
    "setting": "indoor",
    "shape": "rectangle",
    "face": "full",
    "level": "",
    "lines": "",
    "normal": "",
}
# Trade names to choose from, common practice, no source.
MACHINES = (
    *("Compressor", "Condenser", "Evaporator", "High pressure receiver", "Intercooler"),
    *("Low pressure receiver", "Oil pot", "Pump recirculator", "Purger", "Suction accumulator"),
    *("Surge drum", "Thermosyphon receiver", "Transfer drum"),
)
FUNCTIONS = (
    *("Stop", "King valve", "Check", "Solenoid", "Regulator", "Hand expansion", "Drain"),
    *("Equalizer", "Hot gas stop", "Liquid stop", "Suction stop", "Purge", "Relief", "Charging"),
)


def fields_of(kind: Kind) -> tuple[Field, ...]:
    """Every field of a kind's form."""
    return tuple(field for group in FORMS[kind] for field in group.fields)
