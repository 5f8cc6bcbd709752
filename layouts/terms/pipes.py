"""Pipes: from a nominal size, a tube or a measured diameter to the outside diameter."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache

from layouts.terms.units import MM_PER_INCH, UnitError, inches, parse_length
from layouts.terms.values import frozen

_STEEL_SOURCE = "ASME B36.10M, outside diameters in inches"
_WATER_TUBE_SOURCE = "ASTM B88: outside diameter is nominal + 1/8 in (second-hand summary)"
_ACR_SOURCE = "ASTM B280: ACR tube is named by its outside diameter (from memory)"
_GIVEN_SOURCE = "outside diameter as given"

# ASME B36.10M: NPS, DN, outside diameter in inches. Inches are the defining figures; the
# millimeter column of the standard is rounded (60.3 for 60.325).
STEEL: tuple[tuple[str, int, float], ...] = (
    ("1/8", 6, 0.405),
    ("1/4", 8, 0.540),
    ("3/8", 10, 0.675),
    ("1/2", 15, 0.840),
    ("3/4", 20, 1.050),
    ("1", 25, 1.315),
    ("1-1/4", 32, 1.660),
    ("1-1/2", 40, 1.900),
    ("2", 50, 2.375),
    ("2-1/2", 65, 2.875),
    ("3", 80, 3.500),
    ("3-1/2", 90, 4.000),
    ("4", 100, 4.500),
    ("5", 125, 5.563),
    ("6", 150, 6.625),
    ("8", 200, 8.625),
    ("10", 250, 10.750),
    ("12", 300, 12.750),
    ("14", 350, 14.000),
    ("16", 400, 16.000),
    ("18", 450, 18.000),
    ("20", 500, 20.000),
    ("22", 550, 22.000),
    ("24", 600, 24.000),
)

# ASTM B88 water tube, nominal sizes; 1/8 and 8 to 12 from memory.
WATER_TUBE: tuple[str, ...] = (
    *("1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "1", "1-1/4", "1-1/2"),
    *("2", "2-1/2", "3", "3-1/2", "4", "5", "6", "8", "10", "12"),
)


# Schedules and weights of ASME B36.10M and B36.19M.
_SCHEDULE = re.compile(
    r"[\s,\-(]*(?:(?:sch(?:ed(?:ule)?)?\.?\s*[-/]?\s*|(?<=[\s\-])s[-/]?)\d{1,3}s?"
    r"|(?:sch(?:ed(?:ule)?)?\.?\s*)?\b(?:std|xxs|xs|xxh|xh)\b\.?(?:\s*wt\.?)?)\)?$",
    re.IGNORECASE,
)
_EXTRA = re.compile(
    r"\s*\b(?:(?:carbon|stainless|black|galv(?:anized)?\.?)\s+)?(?:steel|pipe)\b", re.IGNORECASE
)
_ONE_SIZE = r"\d[\d\s./\-]*\s*(?:\"|in\.?|mm)?"
_TWO_SIZES = re.compile(rf"(?:nps\s*|dn\s*)?{_ONE_SIZE}\s*(?:x|×|by)\s*{_ONE_SIZE}", re.IGNORECASE)


_LARGEST_OD = 48.0  # in; beyond it a bare number is likelier millimeters


class PipeError(ValueError):
    """A pipe size that cannot be read or does not exist; the message names near ones."""


@frozen
class PipeSize:
    """A pipe or tube.

    ``od`` is the bare outside diameter in mm; ``note`` says how the text was read (empty where
    it could only be read one way); ``nominal_in`` is the nominal pipe size of steel pipe.
    """

    label: str
    od: float
    note: str
    source: str
    nominal_in: float | None = None


@lru_cache(maxsize=1024)  # a list repeats a few sizes
def parse_pipe(text: str) -> PipeSize:
    """A pipe size as the trade writes it.

    ``NPS 4``, ``DN100``, ``4 in`` and ``2-1/2`` are nominal; ``114.3 mm`` and ``OD 4.5 in`` are
    outside diameters; ``tube 7/8 in`` is tube by its outside diameter and ``copper 3/4 in``
    water tube by its nominal size. A schedule is left out, with a note: it does not change the
    outside diameter (ASME B36.10M, B36.19M). Raises ``PipeError``.
    """
    plain = " ".join(text.replace("''", '"').split()).removeprefix("Ø").removeprefix("ø")
    plain, schedule = _without_schedule(plain)
    size = _size(plain, text)
    return replace(size, note=_join_note(size.note, schedule)) if schedule else size


def schedule_of(text: str) -> str:
    """The schedule or weight that a size names, such as ``SCH 40``; empty for none."""
    return _without_schedule(" ".join(text.split()))[1]


def _without_schedule(plain: str) -> tuple[str, str]:
    """The text without schedule and words such as *pipe*, and what the schedule was."""
    plain = _EXTRA.sub("", plain).strip()
    found = _SCHEDULE.search(plain)
    if found is None or not found.start():
        return plain, ""
    return plain[: found.start()].rstrip(" ,-"), found[0].strip(" ,-")


def _join_note(note: str, schedule: str) -> str:
    left_out = f"{schedule} left out: the outside diameter is the same in every schedule"
    return f"{note}; {left_out}" if note else left_out


def _size(plain: str, text: str) -> PipeSize:
    if _TWO_SIZES.fullmatch(plain):
        raise PipeError(
            f"pipe {text!r} is two sizes, as of a reducer; write one row a size, each as NPS 4"
        )
    if found := re.fullmatch(r"(\d+)\s*(?:dn|a)", plain, re.IGNORECASE):
        return _by_dn(found[1])
    if found := re.fullmatch(r"(.+?)\s*(?:nps|nom(?:inal)?\.?)", plain, re.IGNORECASE):
        return _by_nominal(_inches_of(found[1], text), text, "")
    if found := re.fullmatch(r"dn\s*(\S+)", plain, re.IGNORECASE):
        return _by_dn(found[1])
    if found := re.fullmatch(r"nps\s*(.+)", plain, re.IGNORECASE):
        return _by_nominal(_inches_of(found[1], text), text, "")
    if found := re.fullmatch(r"copper\s+(?:tube\s+)?(.+)", plain, re.IGNORECASE):
        return _water_tube(_inches_of(found[1], text), text)
    if (rest := _strip_tag(plain, r"(?:acr\s+)?tube|acr")) is not None:
        return _tube(_length_of(rest, text))
    if (rest := _strip_tag(plain, r"od|o\.d\.")) is not None:
        return _outside(_length_of(rest, text))
    if re.search(r"[cm]?m\.?$", plain, re.IGNORECASE):
        return _outside(_length_of(plain, text))
    size = _inches_of(plain, text)
    return _by_nominal(size, text, "nominal")


def two_sizes(text: str) -> tuple[str, str] | None:
    """Inlet and outlet of ``3/4x1``, as a relief valve is named; None for any other text."""
    plain = " ".join(text.split())
    if not _TWO_SIZES.fullmatch(plain):
        return None
    inlet, outlet = re.split(r"\s*(?:x|×|by)\s*", plain, flags=re.IGNORECASE)
    return inlet, outlet


def covered_diameter(od: float, covering: float) -> float:
    """Outside diameter over a covering of the given thickness, mm."""
    return od + 2 * covering


def diameter_from_girth(girth: float) -> float:
    """Outside diameter from a taped circumference, mm."""
    return girth / math.pi


def _strip_tag(plain: str, tag: str) -> str | None:
    """What is left of the text without a tag before or after it; None without the tag."""
    found = re.fullmatch(rf"(?:{tag})\s*(?P<after>.+)|(?P<before>.+?)\s*(?:{tag})", plain, re.I)
    return None if found is None else found["after"] or found["before"]


def _length_of(part: str, text: str) -> float:
    try:
        size = parse_length(part)
    except UnitError as error:
        raise PipeError(f"pipe {text!r}: {error}, NPS 4 or DN100") from error
    if size == 0:
        raise PipeError(f"pipe {text!r} has no size; write it as NPS 4, DN100 or OD 4.5 in")
    return size


def _inches_of(part: str, text: str) -> float:
    if re.search(r"ft|feet|foot|'$", part, re.IGNORECASE):
        raise PipeError(f"pipe {text!r} is in feet; write it as NPS 4, DN100 or OD 4.5 in")
    return _length_of(part, text) / MM_PER_INCH


def _outside(od: float) -> PipeSize:
    return PipeSize(f"OD {inches(od)}", od, f"{inches(od)} outside diameter", _GIVEN_SOURCE)


def _steel(nps: str, od_in: float, note: str) -> PipeSize:
    return PipeSize(
        f"NPS {nps}", round(od_in * MM_PER_INCH, 6), note, _STEEL_SOURCE, nominal_in=_nominal(nps)
    )


def _by_dn(number: str) -> PipeSize:
    for nps, dn, od_in in STEEL:
        if number == str(dn):
            return _steel(nps, od_in, f"DN{dn} read as NPS {nps}, {od_in:.3f} in outside diameter")
    if not number.isdigit():
        raise PipeError(f"pipe 'DN{number}' is not a size; write a whole number, such as DN100")
    near = sorted(STEEL, key=lambda row: abs(row[1] - int(number)))[:2]
    names = " and ".join(f"DN{dn}" for dn in sorted(row[1] for row in near))
    raise PipeError(f"there is no pipe DN{number}; the nearest sizes are {names}")


def _by_nominal(size_in: float, text: str, reading: str) -> PipeSize:
    for nps, _dn, od_in in STEEL:
        if math.isclose(_nominal(nps), size_in, abs_tol=1e-6):
            note = f"{text.strip()} read as NPS {nps}, {od_in:.3f} in outside diameter"
            return _steel(nps, od_in, note if reading else "")
    near = sorted(STEEL, key=lambda row: abs(_nominal(row[0]) - size_in))[:2]
    names = " and ".join(f"NPS {row[0]}" for row in sorted(near, key=lambda row: row[2]))
    hint = f"OD {size_in:g} in" if size_in <= _LARGEST_OD else f"{size_in:g} mm or DN{size_in:g}"
    raise PipeError(
        f"pipe {text!r}: there is no NPS {size_in:g}; the nearest sizes are {names}; an outside "
        f"diameter or another measure is written as {hint}"
    )


def _water_tube(size_in: float, text: str) -> PipeSize:
    for nominal in WATER_TUBE:
        if math.isclose(_nominal(nominal), size_in, abs_tol=1e-6):
            od = round((size_in + 0.125) * MM_PER_INCH, 6)
            note = f"copper {nominal} in read as water tube, {inches(od)} outside diameter"
            return PipeSize(f"copper {nominal} in", od, note, _WATER_TUBE_SOURCE)
    near = sorted(WATER_TUBE, key=lambda name: abs(_nominal(name) - size_in))[:2]
    names = " and ".join(sorted(near, key=_nominal))
    raise PipeError(
        f"pipe {text!r}: there is no copper water tube {size_in:g} in; the nearest sizes are "
        f"{names} in; tube by its outside diameter is written as tube 7/8 in"
    )


def _tube(od: float) -> PipeSize:
    note = f"tube {inches(od)} taken as its outside diameter"
    return PipeSize(f"tube {inches(od)}", od, note, _ACR_SOURCE)


@lru_cache
def _nominal(name: str) -> float:
    """Inches of a size name such as ``1-1/4``."""
    whole, _, part = name.rpartition("-")
    return float(whole or 0) + float(Fraction(part))
