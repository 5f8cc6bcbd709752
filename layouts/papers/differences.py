"""Why a marker is replaced: the changes in the list, and their visible effect."""

from __future__ import annotations

from collections.abc import Iterator

from layouts.markers.gather import build_key
from layouts.markers.positions import Hanging
from layouts.order.order import Strict
from layouts.terms.pipes import PipeSize
from layouts.terms.site_lengths import ruler_text
from layouts.terms.units import feet, inches, psig_text

_PRESSURES = frozenset({"pressure"})
_TEMPERATURES = frozenset({"surface", "applied_at"})
_DISTANCES = frozenset({"viewing_distance"})
_SLIGHT = 0.05  # mm; a ruler cannot tell sizes closer than this apart


def list_differences(old: Hanging, new: Hanging) -> tuple[str, ...]:
    """The fields in which the two lists differ, as ``pressure 30 psig, was 185 psig``."""
    if type(old.spec) is not type(new.spec):
        return ()
    return tuple(_fields(old.spec, new.spec))


def seen_differences(old: Hanging, new: Hanging) -> tuple[str, ...]:
    """The visible parts of the marker: words, arrows, colors, sizes, build."""
    return tuple(_seen(old, new))


def _fields(old: Strict, new: Strict) -> Iterator[str]:
    for field in type(new).model_fields:
        before, after = getattr(old, field), getattr(new, field)
        if before == after:
            continue
        if isinstance(before, Strict) and isinstance(after, Strict):
            yield from _fields(before, after)
        else:
            name = field.replace("_", " ")
            yield f"{name} {_value_text(field, after)}, was {_value_text(field, before)}"


def _value_text(field: str, value: object) -> str:
    """A value as the trade writes it."""
    match value:
        case None | "":
            return "not given"
        case bool():
            return "yes" if value else "no"
        case float() if field in _PRESSURES:
            return psig_text(value)
        case float() if field in _TEMPERATURES:
            return f"{value:g} F"
        case float() if field in _DISTANCES:
            return feet(value)
        case float():
            return inches(value)
        case PipeSize():
            return value.label
        case Strict():
            given = value.model_dump(exclude_defaults=True)
            return ", ".join(
                f"{key.replace('_', ' ')} {_value_text(key, given[key])}" for key in given
            )
    return str(value)


def _seen(old: Hanging, new: Hanging) -> Iterator[str]:
    before, after = old.marker.face, new.marker.face
    if before.words != after.words:
        yield f"reads {after.words}, was {before.words}"
    if _arrows(old) != _arrows(new):
        yield f"arrows: {_arrows(new) or 'none'}, were {_arrows(old) or 'none'}"
    if before.design.field.name != after.design.field.name:
        yield f"on {after.design.field.name}, was on {before.design.field.name}"
    for what, one, other in (
        ("letters", before.measures.letter_height, after.measures.letter_height),
        ("height", before.measures.height, after.measures.height),
        ("length", before.measures.length, after.measures.length),
    ):
        if abs(one - other) > _SLIGHT:
            yield f"{what} {ruler_text(other)}, was {ruler_text(one)}"
    schemes = old.placing.plan.scheme, new.placing.plan.scheme
    if schemes[0] != schemes[1]:
        yield f"scheme {schemes[1]}, was {schemes[0]}"
    builds = old.marker.plan.build, new.marker.plan.build
    if build_key(builds[0]) != build_key(builds[1]):
        yield f"{builds[1].mount_text} ({builds[1].film_text})"


def _arrows(hanging: Hanging) -> str:
    arrows = (
        element.arrow
        for line in hanging.marker.face.design.lines
        for element in line
        if element.arrow is not None
    )
    return " and ".join(dict.fromkeys(str(arrow) for arrow in arrows))
