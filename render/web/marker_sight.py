"""The page's data of a drawn marker: alt texts, sizes, reasons, how to mount it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from layouts.markers.gather import Marker
from layouts.order.order import PipeMarker
from layouts.plan.design import Arrow
from layouts.terms.findings import Finding
from layouts.terms.units import MM_PER_INCH, feet, inches
from layouts.terms.values import frozen
from layouts.terms.words import Flow, Run
from render.cli.findings import in_order, word_of
from render.web.language import Translate
from render.web.round_view import VIEWS, RoundView, view_of


@frozen
class RoundSight:
    """A pipe with the marker, seen from one place."""

    view: str
    caption: str
    alternative: str


@frozen
class MarkerSight:
    """One marker of a drawing. ``facts`` are pairs of a heading and a text."""

    index: int
    words: str
    hand: str
    alternative: str
    width: float
    height: float
    facts: tuple[tuple[str, str], ...]
    reasons: tuple[tuple[str, str, str], ...]
    rounds: tuple[RoundSight, ...]
    upright: bool


@frozen
class FindingSight:
    """A finding with its severity and the name of its form field, if it has one."""

    weight: str
    text: str
    right: str
    field: str
    label: str
    code: str


def sight_of(marker: Marker, index: int, t: Translate) -> MarkerSight:
    """The page's data of one marker."""
    plan, measures = marker.plan, marker.face.measures
    size = size_text(measures.length, measures.height)
    metric = f"{measures.length:.0f} x {measures.height:.0f} mm"
    alternative = ", ".join(filter(None, (marker.face.words, flow_text(marker, t), size)))
    facts = (
        (t("sight.size"), f"{size} ({metric})"),
        (t("sight.letters"), f"{inches(measures.letter_height)} ({measures.letter_height:.0f} mm)"),
        (t("sight.row"), plan.row),
        (t("sight.distance"), distance_text(plan.reading_distance)),
        (t("sight.mounting"), plan.build.mount_text),
        (t("sight.scheme"), plan.scheme),
        (t("sight.id"), marker.id),
    )
    reasons = dict.fromkeys((each.topic, each.text, each.source) for each in plan.reasons)
    return MarkerSight(
        index,
        marker.face.words,
        plan.hand,
        alternative,
        measures.length,
        measures.height,
        tuple((heading, text) for heading, text in facts if text),
        tuple(reasons),
        tuple(_round(marker, view, t) for view in VIEWS) if plan.od else (),
        is_upright(marker),
    )


def size_text(length: float, height: float) -> str:
    """``60-1/2 x 3-1/2 in``."""
    return f"{inches(length).removesuffix(' in')} x {inches(height)}"


def distance_text(distance: float) -> str:
    """A reading distance rounded down: to feet, and to meters."""
    whole = math.floor(distance / MM_PER_INCH / 12)
    shown = f"{whole} ft" if whole else feet(distance)
    return f"{shown} ({distance / 1000:.1f} m)"


def flow_text(marker: Marker, t: Translate) -> str:
    """The flow in words, as the arrows of this marker show it; empty if it has none."""
    spec = marker.placings[0].spec
    if not isinstance(spec, PipeMarker) or spec.flow is None:
        return ""
    flow = spec.flow
    if flow in (Flow.LEFT, Flow.RIGHT):
        arrows = {each.arrow for line in marker.plan.design.lines for each in line} - {None}
        flow = Flow.LEFT if arrows == {Arrow.LEFT} else Flow.RIGHT
    return t("sight.flow", flow=t(f"flow.{flow}").lower())


def seen_round(marker: Marker, view: str) -> RoundView | None:
    """A marker on its pipe from one of ``VIEWS``; None for a marker that is not on a pipe."""
    plan = marker.plan
    if plan.od is None:
        return None
    return view_of(marker.face, plan.od / 2, plan.build.stand_off, VIEWS[view])


def is_upright(marker: Marker) -> bool:
    """Whether the marker goes on a vertical pipe."""
    spec = marker.placings[0].spec
    return isinstance(spec, PipeMarker) and spec.run is Run.VERTICAL


def _round(marker: Marker, view: str, t: Translate) -> RoundSight:
    seen = seen_round(marker, view)
    assert seen is not None
    name = f"{view}-upright" if is_upright(marker) and view != "front" else view
    caption = t(f"round.{name}")
    share = t("round.share", percent=f"{100 * seen.share:.0f}")
    return RoundSight(view, f"{caption}: {share}", f"{marker.face.words}. {caption}: {share}")


def findings_sight(
    findings: Sequence[Finding], labels: Mapping[str, str]
) -> tuple[FindingSight, ...]:
    """Findings, the most severe first; ``labels`` gives the field of each label."""
    return tuple(
        FindingSight(
            word_of(each),
            each.what,
            each.right,
            labels.get(each.place.field.strip("“”"), ""),
            each.place.field.strip("“”"),
            each.code,
        )
        for each in in_order(findings)
    )
