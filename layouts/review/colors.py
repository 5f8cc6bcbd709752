"""Colors: red reserved for fire, and lettering that is hard to read on its field."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence

from layouts.drawing.inks import Lab
from layouts.order.order import Item, PipeMarker
from layouts.plan.legibility import CONTRAST_FLOOR, ContrastPair, contrast_pairs
from layouts.plan.pipe import paint_ink, same_color
from layouts.review.lines import Line, place_of
from layouts.schemes.loader import load_scheme, scheme_keys
from layouts.schemes.model import Scheme
from layouts.terms.findings import Finding, Place, Severity

RED_SOURCE = "ASME A13.1 color table, restated in NASA GSFC-STD-8006 (2017): red is fire quenching"
CONTRAST_SOURCE = "WCAG 2.1, 1.4.3, a rule for screens used as a yardstick"
_FIRE = frozenset({"FIRE", "SPRINKLER"})


def red_paint(lines: Iterable[Line]) -> Iterator[Finding]:
    """Pipes painted in the color reserved for fire quenching that carry something else."""
    for line in lines:
        if not line.spec.paint or not _is_red(line) or _for_fire(line):
            continue
        yield Finding(
            "paint-fire-red",
            Severity.WARNING,
            f"the pipe is painted {line.spec.paint}, the color kept for fire quenching, and "
            f"carries {line.contents}",
            "paint it in another color, or correct the column 'paint'",
            RED_SOURCE,
            place_of((line.item,), "paint", line.name),
        )


def _is_red(line: Line) -> bool:
    ink = paint_ink(line.spec.paint, line.scheme)
    if ink is not None:
        return same_color(ink, line.scheme.inks["safety red"])
    return "red" in line.spec.paint.casefold().split()


def _for_fire(line: Line) -> bool:
    pairing = line.scheme.pairing_for(line.contents)
    named = pairing is not None and pairing.field == "safety red"
    return named or bool(_FIRE & set(line.contents.split()))


def contrasts(
    items: Iterable[Item], lines: Sequence[Line], schemes: Mapping[str, Scheme], default: str
) -> Iterator[Finding]:
    """Pairs in use below the yardstick, in the plant's own colors.

    Pairs that a built-in scheme prescribes appear once on the proof and on the chart.
    """
    used: dict[str, set[str]] = defaultdict(set)
    for line in lines:
        used[line.key] |= _pairs_of(line)
    for item in items:
        if not isinstance(item.spec, PipeMarker):
            used[item.spec.scheme or default].add("equipment")
    for key, whats in used.items():
        scheme = schemes[key]
        weak = [p for p in contrast_pairs(scheme) if p.what in whats and not p.clear]
        given = _built_in_pairs(scheme)
        for pair in weak:
            if _seen(pair, scheme) in given:
                continue
            yield Finding(
                "contrast-low",
                Severity.WARNING,
                f"{_pair_text(pair)} is below a contrast of {CONTRAST_FLOOR}:1, in colors that the "
                f"plant has chosen for {scheme.title!r}",
                "take a lighter or darker color for the field or the letters",
                CONTRAST_SOURCE,
                Place(field="scheme"),
            )


def _pairs_of(line: Line) -> set[str]:
    """The pairs that the line's marker shows, as ``contrast_pairs`` calls them."""
    scheme = line.scheme
    pairing = scheme.pairing_for(line.contents)
    bands = list(scheme.states.get(line.spec.state, ()) if line.spec.state else ())
    if (level := line.level) is not None and level in scheme.levels:
        bands.append(scheme.levels[level])
    found = {f"{band.word} band" for band in bands}
    return found | {pairing.key} if pairing is not None else found


def _seen(pair: ContrastPair, scheme: Scheme) -> tuple[str, Lab, Lab]:
    return pair.what, scheme.inks[pair.field].lab, scheme.inks[pair.ink].lab


def _built_in_pairs(scheme: Scheme) -> set[tuple[str, Lab, Lab]]:
    """The pairs of the built-in scheme, used directly or extended by the plant's own."""
    if scheme.key in scheme_keys():
        base = scheme
    elif scheme.extends:
        base = load_scheme(scheme.extends)
    else:
        return set()
    return {_seen(pair, base) for pair in contrast_pairs(base)}


def _pair_text(pair: ContrastPair) -> str:
    return f"{pair.ink} on {pair.field} ({pair.what}) {pair.ratio:.1f}:1"
