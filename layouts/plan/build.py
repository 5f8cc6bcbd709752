"""The build of one marker, asked for with what its environment says."""

from __future__ import annotations

from layouts.mounting import Build, BuildQuestion, choose_build
from layouts.order.order import Environment
from layouts.plan.notes import Notes


def build_for(
    environment: Environment,
    notes: Notes,
    *,
    insulated: bool = False,
    od: float | None = None,
    marker_height: float = 0.0,
    wrap: bool = False,
    tag: bool = False,
    hung: bool = False,
) -> Build:
    """Choose film, laminate and mount; reasons and findings go into the notes."""
    build = choose_build(
        BuildQuestion(
            setting=environment.setting,
            surface_max_f=environment.surface,
            frost=environment.frost,
            washdown=environment.washdown,
            applied_at_f=environment.applied_at,
            insulated=insulated,
            od=od,
            marker_height=marker_height,
            wrap=wrap,
            tag=tag,
            hung=hung,
        )
    )
    for text, source in build.reasons:
        notes.reason("build", text, source)
    notes.adopt(build.findings)
    return build


def strapped_for(environment: Environment, od: float, insulated: bool) -> Build:
    """The last resort where a straight run is too short: a plate on straps."""
    return choose_build(
        BuildQuestion(
            setting=environment.setting,
            surface_max_f=environment.surface,
            frost=environment.frost,
            washdown=environment.washdown,
            insulated=insulated,
            od=od,
            plate=True,
        )
    )
