"""A shop's names for the inks and layers of steps, checked for conflicts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from layouts.drawing.document import FORBIDDEN_IN_LAYERS, Step
from layouts.drawing.inks import InkRole
from layouts.schemes.loader import load_scheme, scheme_keys

# A Separation of one of these names prints on all plates, on none or on a process plate
# (ISO 32000-1, 8.6.6.4).
_RESERVED = frozenset({"all", "none", "cyan", "magenta", "yellow", "black"})
Fault = tuple[str, str, str]  # key, what is wrong, what would be right


def name_faults(inks: Mapping[str, str], layers: Mapping[str, str]) -> Iterator[Fault]:
    """Every ink or layer name that cannot be used."""
    yield from _ink_faults(inks)
    for title, name in layers.items():
        wrong = sorted(FORBIDDEN_IN_LAYERS.intersection(name))
        if wrong:
            what = f"the layer name {name!r} cannot be in a DXF file"
            yield f"step_layers, {title}", what, f"leave out {' '.join(wrong)}"
    yield from _mixed_faults("step_layers", "layer", layers)


def _ink_faults(inks: Mapping[str, str]) -> Iterator[Fault]:
    printed = _printed_inks() if inks else frozenset()
    for title, name in inks.items():
        key = f"step_inks, {title}"
        if name.casefold() in _RESERVED:
            what = f"{name!r} is not an ink of a step: a plate of that name prints"
            yield key, what, "give the name that the machine knows for this step"
        elif name.casefold() in printed:
            what = f"{name!r} is an ink that markers are printed with"
            yield key, what, "give the step its own name"
    yield from _mixed_faults("step_inks", "ink", inks)


_WORKED = frozenset({Step.KISS_CUT, Step.THROUGH_CUT, Step.HOLE, Step.FOLD, Step.ENGRAVE})


def _mixed_faults(key: str, kind: str, names: Mapping[str, str]) -> Iterator[Fault]:
    """Steps that share a name are all cut or engraved, or are all notes; white prints."""
    owners: dict[str, Step] = {}
    for step in Step:
        name = names.get(step.title, step.title).casefold()
        other = owners.setdefault(name, step)
        if other is step or _sort(other) == _sort(step):
            continue
        named = step if step.title in names else other
        what = f"{other.title} and {step.title} share the {kind} {names[named.title]!r}"
        right = "steps that are cut may share one, and notes may; not one of each"
        yield f"{key}, {named.title}", what, right


def _sort(step: Step) -> str:
    if step is Step.WHITE:
        return "white"
    return "worked" if step in _WORKED else "notes"


def _printed_inks() -> frozenset[str]:
    """The names of all inks of the built-in schemes, in lower case."""
    return frozenset(
        name.casefold()
        for key in scheme_keys()
        for name, ink in load_scheme(key).inks.items()
        if ink.role is InkRole.COLOR
    )
