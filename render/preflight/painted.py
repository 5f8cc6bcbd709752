"""What a file paints: color spaces, spot definitions, lettering, images, transparency."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from pikepdf import Array, Name

from render.preflight.claim import intent_model
from render.preflight.marks import Coat, Mark
from render.preflight.opened import Opened, Section, section
from render.preflight.report import Point, counted, fail, note
from render.preflight.spaces import Space, read_space
from render.preflight.walk import Walk

CONTENT_CODES = {
    "content-syntax": "all content can be read",
    "content-operator": "all operators are known",
    "content-balance": "saved states and marked content are balanced",
    "content-resource": "every name in the content is among the resources",
    "content-loop": "no form places itself",
    "file-postscript": "no PostScript code",
    "font-live": "all lettering is outlines",
    "image-present": "no images",
    "transparency": "nothing is transparent",
    "state-transfer": "no transfer functions and no halftone phases",
}
COLOR_CODES = {
    "color-rgb": "nothing is painted in RGB",
    "color-cmyk": "process colors have an output intent",
    "color-gray": "no gray without an intent that prints it",
    "color-lab": "no color is painted in Lab itself",
    "color-icc": "no profile is mixed with overprint",
    "color-unknown": "every color space is understood",
    "spot-definition": "every spot ink has one definition",
    "spot-all": "nothing is painted on all plates",
    "white-overprint": "nothing white overprints",
}


@dataclass(slots=True)
class Painting:
    """The ledger of a walk: artwork by kind, marks of steps one by one, faults once each."""

    art: dict[tuple[str, Space, bool, bool], tuple[str, int]] = field(default_factory=dict)
    steps: dict[str, list[Mark]] = field(default_factory=dict)
    faults: dict[tuple[str, str], Point] = field(default_factory=dict)

    def artwork(self, kind: str, space: Space, coat: Coat, mode: int, where: str) -> None:
        """Note something painted outside of steps."""
        mixed = coat.overprint and mode == 1
        vanishes = coat.overprint and bool(space.inks) and not any(coat.tint)
        key = (kind, space.inner(), mixed, vanishes)
        first, count = self.art.get(key, (where, 0))
        self.art[key] = (first, count + 1)

    def mark(self, mark: Mark) -> None:
        """Note a mark of a step."""
        self.steps.setdefault(mark.step, []).append(mark)

    def fault(self, code: str, what: str, where: str, right: str) -> None:
        """Note a fault; the same one is told once, where it was met first."""
        self.faults.setdefault((code, what), fail(code, what, where, right))


def walk(file: Opened) -> Painting:
    """Everything that the file paints."""
    painting = Painting()
    walker = Walk(painting, file.steps)
    for number, page in enumerate(file.pdf.pages, 1):
        walker.page(page, number)
    return painting


def check(file: Opened, painting: Painting) -> list[Section]:
    """Content, then color."""
    content = [*painting.faults.values(), *_kind_points(painting)]
    color = [*_color_points(file, painting), *_spot_points(file, painting)]
    return [section(CONTENT_CODES, content), section(COLOR_CODES, color)]


def printed_inks(painting: Painting) -> tuple[str, ...]:
    """The plates that artwork is painted on, spots by name."""
    inks: dict[str, None] = {}
    for _, space, _, _ in painting.art:
        inks |= dict.fromkeys(space.inks or (space.family,))
    return tuple(inks)


def _kind_points(painting: Painting) -> Iterator[Point]:
    for (kind, _, _, _), (where, count) in painting.art.items():
        if kind == "image":
            yield note("image-present", counted(count, "image"), where)
    for kind, where in _texts(painting):
        yield fail("font-live", f"{kind} in a live font", where, "turn lettering into outlines")


def _texts(painting: Painting) -> Iterator[tuple[str, str]]:
    for (kind, _, _, _), (where, _) in painting.art.items():
        if kind == "text":
            yield "lettering", where
    for step, marks in painting.steps.items():
        for mark in marks:
            if mark.kind == "text":
                yield f"lettering of {step}", mark.where
                break


def _color_points(file: Opened, painting: Painting) -> Iterator[Point]:
    intent = intent_model(file)
    for (kind, space, mixed, vanishes), (where, _) in painting.art.items():
        what = f"a {kind} in {space.text()}"
        if space.model == "rgb":
            yield fail("color-rgb", what, where, "use a spot ink or process colors")
        elif space.model == "unknown":
            yield fail("color-unknown", f"a {kind} in a color space that has no meaning", where)
        elif space.family == "ICCBased":
            yield from _icc_points(space, mixed, what, where)
        elif space.model == "cmyk":
            yield from _process_points(file, "color-cmyk", intent == "cmyk", what, where)
        elif space.model == "gray":
            good = intent in ("cmyk", "gray")
            yield from _process_points(file, "color-gray", good, what, where)
        elif space.model == "lab":
            yield note("color-lab", what, where)
        if "All" in space.inks:
            yield _all_point(file, what, where)
        if vanishes:
            yield fail(
                "white-overprint", f"{what} of no tint overprints", where, "let it knock out"
            )


def _icc_points(space: Space, mixed: bool, what: str, where: str) -> Iterator[Point]:
    if space.model == "cmyk" and mixed:
        text = f"{what} overprints in mode 1"
        yield fail("color-icc", text, where, "use DeviceCMYK or mode 0 (veraPDF rule 6.2.4.2)")
    else:
        yield note("color-icc", f"{what}, {space.model}", where)


def _process_points(file: Opened, code: str, good: bool, what: str, where: str) -> Iterator[Point]:
    if file.claims and not good:
        yield fail(code, f"{what} without an intent for it", where, "embed the printer's profile")
    elif not good:
        yield note(code, f"{what}; the file names no printing condition", where)


def _all_point(file: Opened, what: str, where: str) -> Point:
    if file.steps:
        return fail("spot-all", f"{what} is cut as well", where, "use the printing inks or black")
    return note("spot-all", f"{what} prints on every plate", where)


def _spot_points(file: Opened, painting: Painting) -> Iterator[Point]:
    """Definitions of one name that differ, among all in the file, painted or not."""
    spaces = [space for _, space, _, _ in painting.art]
    spaces += [mark.space for marks in painting.steps.values() for mark in marks]
    for found in file.pdf.objects:
        if isinstance(found, Array) and len(found) == 4 and isinstance(found[0], Name):
            spaces.append(read_space(found))
    definitions: dict[str, set[str]] = {}
    for space in spaces:
        if space.is_spot:
            definitions.setdefault(space.inks[0], set()).add(space.definition)
    for ink, different in definitions.items():
        if len(different) > 1:
            what = f"the ink {ink} has {len(different)} definitions"
            yield fail("spot-definition", what, right="define it once")
