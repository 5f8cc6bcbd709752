"""The colors that a file paints in: spaces against the intent, spot inks, overprint, ink laid."""

from __future__ import annotations

from collections.abc import Iterator

from pikepdf import Array, Name

from render.preflight.intents import model_of
from render.preflight.opened import Opened, Section, section
from render.preflight.painted import Kind, Painting
from render.preflight.report import Point, fail, note
from render.preflight.spaces import Space, read_space

CODES = {
    "color-rgb": "nothing is painted in RGB",
    "color-cmyk": "process colors have an output intent",
    "color-gray": "no gray without an intent that prints it",
    "color-lab": "no color is painted in Lab itself",
    "color-icc": "no profile is mixed with overprint",
    "color-unknown": "every color space is understood",
    "spot-definition": "every spot ink has one definition",
    "spot-names": "no two spot inks differ only in capitals or blanks",
    "spot-colorants": "spots that are mixed are defined one by one",
    "spot-all": "nothing is painted on all plates",
    "white-overprint": "nothing white overprints",
    "ink-limit": "no spot takes more process ink than the limit",
}


def check(file: Opened, painting: Painting) -> Section:
    """Every color that artwork is painted in, and every definition of a spot ink."""
    spaces = list(_spaces(file, painting))
    points = [
        *_color_points(file, painting),
        *_definition_points(file, spaces),
        *_name_points(spaces),
        *_colorant_points(file, spaces),
    ]
    return section(CODES, points)


def _color_points(file: Opened, painting: Painting) -> Iterator[Point]:
    intent = model_of(file)
    for kind, tally in painting.art.items():
        space, where = kind.space, tally.where
        what = f"a {kind.kind} in {space.text()}"
        if space.model == "rgb":
            yield _rgb_point(file, space, intent, what, where)
        elif space.model == "unknown":
            what = f"a {kind.kind} in a color space that cannot be understood"
            yield fail("color-unknown", what, where, "define the space as ISO 32000 does")
        elif space.family == "ICCBased":
            yield _profile_point(file, kind, what, where)
        elif space.model == "cmyk":
            good = intent in ("cmyk", "any")
            yield from _process_points(file, "color-cmyk", good, what, where)
        elif space.model == "gray":
            good = intent in ("cmyk", "gray", "any")
            yield from _process_points(file, "color-gray", good, what, where)
        elif space.model == "lab":
            yield note("color-lab", what, where)
        if "All" in space.inks:
            yield _all_point(file, what, where)
        if kind.vanishes:
            text = f"{what} is white and overprints, so it does not show"
            yield fail("white-overprint", text, where, "let it knock out", house=True)
        if kind.heavy > file.rules.ink_limit:
            text = f"{what} lays down {kind.heavy} % of process ink"
            right = f"stay within {file.rules.ink_limit:g} %"
            yield fail("ink-limit", text, where, right, house=True)


def _rgb_point(file: Opened, space: Space, intent: str, what: str, where: str) -> Point:
    """PDF/X-4 allows RGB by a profile or a calibration, and plain RGB for an RGB printer."""
    forbidden = file.claims and space.family == "DeviceRGB" and intent != "rgb"
    right = "use a spot ink or process colors"
    return fail("color-rgb", what, where, right, house=not forbidden)


def _profile_point(file: Opened, kind: Kind, what: str, where: str) -> Point:
    if kind.space.model == "cmyk" and kind.mixed:
        text = f"{what} overprints in mode 1"
        right = "use DeviceCMYK or mode 0 (veraPDF rule 6.2.4.2)"
        return file.breach("color-icc", text, where, right)
    return note("color-icc", f"{what}, {kind.space.model}", where)


def _process_points(file: Opened, code: str, good: bool, what: str, where: str) -> Iterator[Point]:
    if file.claims and not good:
        yield fail(code, f"{what} without an intent for it", where, "embed the printer's profile")
    elif not good:
        yield note(code, f"{what}; the file names no printing condition", where)


def _all_point(file: Opened, what: str, where: str) -> Point:
    if file.steps:
        right = "use the printing inks or black"
        return fail("spot-all", f"{what} goes to the cutter as well", where, right, house=True)
    return note("spot-all", f"{what} prints on every plate", where)


def _spaces(file: Opened, painting: Painting) -> Iterator[Space]:
    """All spaces of the file with inks, painted or not."""
    yield from (kind.space for kind in painting.art)
    for marks in painting.steps.values():
        yield from dict.fromkeys(mark.space.inner() for mark in marks)
    for found in file.pdf.objects:
        file.budget.work(1)
        if isinstance(found, Array) and len(found) in (4, 5) and isinstance(found[0], Name):
            yield read_space(found, file.budget)


def _definition_points(file: Opened, spaces: list[Space]) -> Iterator[Point]:
    definitions: dict[str, set[str]] = {}
    for space in spaces:
        if space.is_spot:
            definitions.setdefault(space.inks[0], set()).add(space.definition)
    for ink, different in definitions.items():
        if len(different) > 1:
            what = f"the ink {ink} has {len(different)} definitions"
            yield file.breach("spot-definition", what, right="define it once")


def _name_points(spaces: list[Space]) -> Iterator[Point]:
    """Two names for one ink make two plates."""
    spellings: dict[str, dict[str, None]] = {}
    for space in spaces:
        for ink in space.inks:
            plain = "".join(ink.casefold().split())
            spellings.setdefault(plain, {})[ink] = None
    for inks in spellings.values():
        if len(inks) > 1:
            what = f"the inks {' and '.join(inks)} differ only in capitals or blanks"
            yield fail("spot-names", what, right="use one spelling", house=True)


def _colorant_points(file: Opened, spaces: list[Space]) -> Iterator[Point]:
    """A printer that lacks one ink of a mixture has to know each (veraPDF rule 6.2.4.4)."""
    left_out = {ink: space for space in spaces for ink in space.undefined}
    for ink, space in left_out.items():
        what = f"{space.text()} does not define the ink {ink}"
        if file.claims:
            yield fail("spot-colorants", what, right="list it among the Colorants")
        else:
            yield note("spot-colorants", what)
