"""What a file paints: the ledger of a walk, and its content point by point."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from layouts.terms.counts import counted
from layouts.terms.values import frozen
from render.preflight.marks import Coat, Mark, Tally
from render.preflight.opened import Opened, Section, section
from render.preflight.report import Point, fail, note
from render.preflight.spaces import PROCESS, Space
from render.preflight.walk import Walk

CODES = {
    "content-syntax": "all content can be read",
    "content-operator": "all operators are known",
    "content-balance": "saved states and marked content are balanced",
    "content-resource": "every name in the content is among the resources",
    "content-loop": "no form places itself",
    "file-postscript": "no PostScript code",
    "font-live": "all lettering is outlines",
    "font-embedded": "every font is embedded",
    "image-present": "no images",
    "image-lzw": "no image in the content is compressed with LZW",
    "transparency": "nothing is transparent",
    "state-transfer": "no transfer functions and no halftone phases",
    "line-thin": "every printed line is thick enough to print",
}
THINNEST_PT = 0.1  # thinner lines break up or vanish on a plate (common practice, no source)
_HOUSE = frozenset({"transparency"})
_CLAIMED = frozenset({"file-postscript", "state-transfer", "image-lzw"})  # rules of PDF/X
_MOST_KINDS = 4096  # that are looked up
_MOST_FAULTS = 1000  # of one code that are kept


@frozen
class Kind:
    """What sets one kind of artwork off from another.

    ``mixed`` paint overprints in mode 1, ``vanishes`` is white that overprints, ``heavy`` is
    process ink in whole percent, ``thin`` a line under `THINNEST_PT`.
    """

    kind: str
    space: Space
    mixed: bool
    vanishes: bool
    heavy: int
    thin: bool


@dataclass(slots=True)
class Painting:
    """The ledger of a walk: artwork by kind, marks of steps one by one, faults once each.

    ``kinds`` has the tally of everything painted so far, and its space, so that the space's
    identity stays its own; ``fonts`` the place by the font's name and whether it is embedded.
    """

    art: dict[Kind, Tally] = field(default_factory=dict)
    steps: dict[str, list[Mark]] = field(default_factory=dict)
    faults: dict[str, dict[str, tuple[str, str]]] = field(default_factory=dict)
    fonts: dict[tuple[str, bool], str] = field(default_factory=dict)
    kinds: dict[tuple[object, ...], tuple[Tally, Space]] = field(default_factory=dict)

    def artwork(
        self, kind: str, space: Space, coat: Coat, mode: int, width_pt: float, where: str
    ) -> Tally:
        """The tally of something painted outside of steps."""
        thin = kind == "stroke" and width_pt < THINNEST_PT
        key = (kind, id(space), coat.tint, coat.overprint, mode, thin)
        known = self.kinds.get(key)
        if known is None:
            if len(self.kinds) >= _MOST_KINDS:
                self.kinds.clear()
            tally = self.art.setdefault(_kind_of(kind, space, coat, mode, thin), Tally(where))
            known = self.kinds[key] = (tally, space)
        return known[0]

    def mark(self, mark: Mark) -> None:
        """Note a mark of a step."""
        self.steps.setdefault(mark.step, []).append(mark)

    def font(self, name: str, embedded: bool, where: str) -> None:
        """Note a font that something is lettered in."""
        self.fonts.setdefault((name, embedded), where)

    def fault(self, code: str, what: str, where: str, right: str) -> None:
        """Record a fault; a repeated one is reported once, where it was first found."""
        known = self.faults.setdefault(code, {})
        if len(known) < _MOST_FAULTS:
            known.setdefault(what, (where, right))


def _kind_of(kind: str, space: Space, coat: Coat, mode: int, thin: bool) -> Kind:
    return Kind(
        kind,
        space.inner(),
        coat.overprint and mode == 1,
        coat.overprint and kind != "image" and _is_white(space, coat.tint),
        _process_ink(space, coat.tint) if kind != "image" else 0,
        thin,
    )


def walk(file: Opened, painting: Painting) -> None:
    """Note everything that the file paints.

    Raises:
        TooLarge: it is more than the file's budget allows; the ledger has what was met so far.
    """
    walker = Walk(painting, file)
    try:
        for number, page in enumerate(file.pdf.pages, 1):
            file.budget.work(10)
            walker.page(page, number)
    finally:
        walker.let_go()


def check(file: Opened, painting: Painting) -> Section:
    """The content, color apart."""
    return section(CODES, [*_fault_points(file, painting), *_kind_points(file, painting)])


def printed_inks(painting: Painting) -> tuple[str, ...]:
    """The plates that artwork is painted on, spots by name."""
    inks: dict[str, None] = {}
    for kind in painting.art:
        inks |= dict.fromkeys(kind.space.inks or (kind.space.family,))
    return tuple(inks)


def _is_white(space: Space, tint: tuple[float, ...]) -> bool:
    """Whether paint lays no ink down: white gray, CMYK of zeros, spots of no tint."""
    if space.model == "gray":
        return tint == (1.0,)
    return (space.model == "cmyk" or bool(space.inks)) and bool(tint) and not any(tint)


def _process_ink(space: Space, tint: tuple[float, ...]) -> int:
    """Process ink in percent, spots left out: those of a register mark print on every plate."""
    if space.model == "cmyk" and len(tint) == 4:
        return round(100 * sum(tint))
    pairs = zip(space.inks, tint, strict=False)
    return round(100 * sum(value for ink, value in pairs if ink in PROCESS))


def _fault_points(file: Opened, painting: Painting) -> Iterator[Point]:
    for code, found in painting.faults.items():
        house = code in _HOUSE or (code in _CLAIMED and not file.claims)
        for what, (where, right) in found.items():
            yield fail(code, what, where, right, house)


def _kind_points(file: Opened, painting: Painting) -> Iterator[Point]:
    for kind, tally in painting.art.items():
        if kind.kind == "image":
            yield note("image-present", counted(tally.count, "image"), tally.where)
        if kind.thin:
            what = f"{counted(tally.count, 'line')} under {THINNEST_PT} pt, which may not print"
            yield fail("line-thin", what, tally.where, "draw lines of 0.25 pt or more", house=True)
    for what, where in () if file.rules.live_text else _texts(painting):
        right = "turn lettering into outlines"
        yield fail("font-live", f"{what} in a live font", where, right, house=True)
    for (name, embedded), where in painting.fonts.items():
        if not embedded and (file.claims or file.rules.live_text):
            what = f"the font {name} is not embedded"
            yield fail("font-embedded", what, where, "embed it, or use outlines")


def _texts(painting: Painting) -> Iterator[tuple[str, str]]:
    for kind, tally in painting.art.items():
        if kind.kind == "text":
            yield "lettering", tally.where
    for step, marks in painting.steps.items():
        for mark in marks:
            if mark.kind == "text":
                yield f"lettering of {step.strip('/')}", mark.where
                break
