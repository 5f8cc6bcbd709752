"""Line numbers of pipes: ``4"-HPL-101-A1A`` is NPS 4, service HPL, number 101, class A1A.

Common forms are read by what each part looks like, not by its place, since plants differ: size
first (``4"-HPL-101-A1A``), service first (``HTRS-6-125``), or no size at all (``HPL-101``). Common
practice, no source. A number by itself is a size only where a second number follows that can be
the line's, and where pipe of that size exists.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from dataclasses import replace

from layouts.terms.pipes import PipeError, parse_pipe
from layouts.terms.values import frozen

_INCH_MARKS = str.maketrans({"”": '"', "“": '"', "″": '"', "´": "'", "’": "'"})
_SIZE = r"(?:\d{1,2}(?:[-\s]\d/\d{1,2})?|\d/\d{1,2}|\d{0,2}\.\d{1,3})"
_MARKED = re.compile(rf"(?:NPS\s*{_SIZE}|{_SIZE}\s*(?:\"|''|IN)|DN\s*\d{{1,4}}|\d{{1,4}}\s*MM)")
_BARE = re.compile(_SIZE)
_SERVICE = re.compile(r"[A-Z]{1,6}")
_NUMBER = re.compile(r"\d{1,5}[A-Z]?")
_CLASS = re.compile(r"(?=[A-Z0-9]*[A-Z])(?=[A-Z0-9]*\d)[A-Z0-9]{2,8}")
_CANDIDATE = re.compile(
    rf"(?<![A-Z0-9])(?:{_MARKED.pattern}|{_BARE.pattern}|[A-Z]{{1,6}})"
    rf"(?:\s?-\s?(?:{_MARKED.pattern}|{_BARE.pattern}|[A-Z0-9]{{1,8}})){{1,6}}(?![A-Z0-9])"
)
_MOST = 200  # characters of a text that are searched as one


@frozen
class LineNumber:
    """A line number by its parts; ``text`` is as written, ``rest`` what none of them takes."""

    text: str
    service: str
    number: str
    size: str = ""
    piping_class: str = ""
    rest: tuple[str, ...] = ()

    @property
    def key(self) -> tuple[str, str]:
        """What names the line whatever its size and class: service and number."""
        return self.service, self.number.lstrip("0") or "0"

    @property
    def diameter(self) -> float | None:
        """Outside diameter of its pipe, mm; None where no size is given."""
        return pipe_diameter(self.size)


def pipe_diameter(size: str) -> float | None:
    """Outside diameter of a pipe size as drawings write it, mm; None where there is none."""
    text = size.translate(_INCH_MARKS).replace("''", '"').upper().strip()
    if not text:
        return None
    if "DN" not in text and "MM" not in text:
        text = "NPS " + text.replace("NPS", "").replace('"', "").replace("IN", "").strip()
    try:
        return parse_pipe(text).od
    except PipeError:
        return None


def line_numbers(text: str, services: Collection[str]) -> Iterator[LineNumber]:
    """Every line number in a text of a drawing; ``services`` are codes known to be some."""
    plain = text.translate(_INCH_MARKS).upper()
    for start in range(0, len(plain), _MOST):
        # An overlap, so that a number on the border of two windows is seen whole by one.
        for found in _CANDIDATE.finditer(plain[start : start + _MOST + 40]):
            line = take_apart(found.group(), services)
            if line is not None:
                yield line


def take_apart(text: str, services: Collection[str] = ()) -> LineNumber | None:
    """The parts of a line number; None if a text is not one.

    A service that is not known needs a marked size beside it, so that ``HV-118-A`` is not read as a
    line.
    """
    parts = _parts(text.translate(_INCH_MARKS).upper())
    sizes = [part for part in parts if _MARKED.fullmatch(part)]
    words = [part for part in parts if _SERVICE.fullmatch(part)]
    service = next((part for part in words if part in services), words[0] if words else "")
    if not service or (service not in services and not sizes):
        return None
    left = [part for part in parts if part not in (service, *sizes[:1])]
    numbers = [part for part in left if _NUMBER.fullmatch(part)]
    if not sizes and len(numbers) > 1 and pipe_diameter(numbers[0]) is not None:
        sizes = numbers[:1]
        numbers = numbers[1:]
        left.remove(sizes[0])
    elif not sizes and (bare := next((part for part in left if _fraction(part)), "")):
        sizes = [bare]
        left.remove(bare)
    if not numbers:
        return None
    left.remove(numbers[0])
    line = LineNumber(text, service, numbers[0], sizes[0] if sizes else "")
    piping_class = next((part for part in left if _CLASS.fullmatch(part)), "")
    rest = tuple(part for part in left if part != piping_class)
    return replace(line, piping_class=piping_class, rest=rest)


def _fraction(part: str) -> bool:
    return bool(_BARE.fullmatch(part)) and ("/" in part or "." in part)


def _parts(text: str) -> list[str]:
    """Parts between hyphens; the hyphen of a size such as 1-1/2 does not part it."""
    parts: list[str] = []
    for part in (each.strip() for each in re.split(r"[-\s]+(?=\S)", text)):
        if parts and re.match(r"\d/\d", part) and re.fullmatch(r"(?:NPS\s*)?\d{1,2}", parts[-1]):
            parts[-1] = f"{parts[-1]}-{part}"
        elif parts and part in ('"', "IN", "MM") and re.search(r"\d$", parts[-1]):
            parts[-1] += part
        elif parts and parts[-1] in ("NPS", "DN"):
            parts[-1] = f"{parts[-1]} {part}"
        elif part:
            parts.append(part)
    return parts
