"""The parts of a pipe marker's line, in the scheme's order."""

from __future__ import annotations

from layouts.drawing.inks import Ink, contrast
from layouts.plan.design import Arrow, Element
from layouts.schemes.model import ArrowEnds, Band, ElementKind, Pairing, Scheme
from layouts.terms.values import frozen
from layouts.terms.words import Flow, Level, State


@frozen
class Wording:
    """The content of a marker, before anything is drawn."""

    service: str
    legend: str
    state: State | None
    level: Level | None
    flow: Flow
    pairing: Pairing
    second: str = ""  # the legend in a second language


def arrow_ends(flow: Flow, ends: ArrowEnds) -> tuple[Arrow | None, Arrow | None]:
    """The arrows at the left and right end of a face.

    Upward flow points to the legend's end, since on a vertical run the legend reads upward.
    Opposed arrows, pointing outward, are only for a reversing line.
    """
    match flow:
        case Flow.NONE:
            return None, None
        case Flow.REVERSING:
            return Arrow.LEFT, Arrow.RIGHT
        case Flow.RIGHT | Flow.UP:
            return (Arrow.RIGHT if ends is ArrowEnds.BOTH else None), Arrow.RIGHT
        case Flow.LEFT | Flow.DOWN:
            return Arrow.LEFT, (Arrow.LEFT if ends is ArrowEnds.BOTH else None)


def one_line(
    wording: Wording, scheme: Scheme, letter: float, band_width: float, ends: ArrowEnds
) -> tuple[Element, ...]:
    """All parts on one line, in the scheme's order."""
    left, right = arrow_ends(wording.flow, ends)
    arrows = iter((left, right))
    elements: list[Element] = []
    for kind in scheme.face.order:
        if kind is ElementKind.ARROW:
            elements.extend(_arrow(next(arrows, None), wording, scheme, letter, band_width))
        else:
            elements.extend(_part(kind, wording, scheme, letter, band_width))
    return tuple(elements)


def full_lines(
    wording: Wording, scheme: Scheme, letter: float, band_width: float, ends: ArrowEnds
) -> tuple[tuple[Element, ...], ...]:
    """All parts on one line, and under it the second-language legend, if there is one."""
    line = one_line(wording, scheme, letter, band_width, ends)
    return (line, *second_line(wording, scheme, letter))


def second_line(wording: Wording, scheme: Scheme, letter: float) -> tuple[tuple[Element, ...], ...]:
    """A line of the second language's words, as high as the legend's; none without them."""
    if not wording.second:
        return ()
    ink = scheme.inks[wording.pairing.legend]
    return ((Element(ElementKind.LEGEND, wording.second, ink, letter),),)


def two_lines(
    wording: Wording, scheme: Scheme, letter: float, band_width: float
) -> tuple[tuple[Element, ...], ...]:
    """The legend and its arrow above, service and bands below: for a short straight run.

    Between them goes the second-language legend, if there is one.
    """
    line = one_line(wording, scheme, letter, band_width, ArrowEnds.LEADING)
    upper = {ElementKind.ARROW, ElementKind.LEGEND}
    split = (
        tuple(each for each in line if each.kind in upper),
        *second_line(wording, scheme, letter),
        tuple(each for each in line if each.kind not in upper),
    )
    return tuple(part for part in split if part)


def round_line(
    wording: Wording, scheme: Scheme, letter: float, band_width: float, ends: ArrowEnds
) -> tuple[Element, ...]:
    """One line for a wrap, the second language's words beside the legend."""
    line = one_line(wording, scheme, letter, band_width, ends)
    beside = [element for line in second_line(wording, scheme, letter) for element in line]
    at = next((i for i, each in enumerate(line, 1) if each.kind is ElementKind.LEGEND), len(line))
    return (*line[:at], *beside, *line[at:])


def _part(
    kind: ElementKind, wording: Wording, scheme: Scheme, letter: float, band_width: float
) -> list[Element]:
    ink = scheme.inks[wording.pairing.legend]
    match kind:
        case ElementKind.SERVICE:
            return [Element(kind, wording.service, ink, letter)] if wording.service else []
        case ElementKind.LEGEND:
            return [Element(kind, wording.legend, ink, letter)] if wording.legend else []
        case ElementKind.STATE:
            bands = scheme.states.get(wording.state, ()) if wording.state else ()
            return [band_element(kind, band, scheme, letter, band_width) for band in bands]
        case ElementKind.LEVEL:
            level = scheme.levels.get(wording.level) if wording.level else None
            return [band_element(kind, level, scheme, letter, band_width)] if level else []
        case ElementKind.ARROW:
            return []


def band_element(
    kind: ElementKind, band: Band, scheme: Scheme, letter: float, band_width: float
) -> Element:
    """A band with its word; the word's height is the scheme's share of the letters."""
    return Element(
        kind,
        band.word,
        scheme.inks[band.ink],
        letter * scheme.face.band_letter_share,
        scheme.inks[band.field],
        band_width,
    )


def _arrow(
    direction: Arrow | None, wording: Wording, scheme: Scheme, letter: float, band_width: float
) -> list[Element]:
    """The arrow, on a band where the contents have a second color."""
    if direction is None:
        return []
    kind, second = ElementKind.ARROW, wording.pairing.second
    if not second:
        ink = scheme.inks[wording.pairing.legend]
        return [Element(kind, "", ink, letter, arrow=direction)]
    field = scheme.inks[second]
    ink = clearest(field, scheme)
    return [Element(kind, "", ink, letter, field, band_width, direction)]


def clearest(field: Ink, scheme: Scheme) -> Ink:
    """Black or white, whichever stands out more from the field."""
    candidates = (scheme.inks["black"], scheme.inks["white"])
    return max(candidates, key=lambda ink: contrast(ink.lab, field.lab))
