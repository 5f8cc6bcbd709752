"""Optional content: its configurations, and the vocabulary of processing steps.

The names of ISO 19593-1 are those of the Arlington PDF Model (GTS_ProcStepsGroup); which types
belong to which group is from memory. Names of a vendor's own carry an underscore and are noted.
"""

from __future__ import annotations

from collections.abc import Iterator

from pikepdf import Array, Dictionary, Object

from render.preflight.keys import key_faults
from render.preflight.opened import Opened, Section, groups_of, section, step_key, text_of
from render.preflight.report import Point, fail, note

CODES = {
    "layers-list": "layers are listed and named",
    "layers-name": "layer configurations have a name",
    "layers-order": "the layer panel lists every layer",
    "layers-auto": "no layer switches itself",
    "layers-hidden": "no processing step is switched off",
    "step-group": "step groups are those of ISO 19593-1",
    "step-type": "step types are those of ISO 19593-1",
}
CUT_TYPES = frozenset(
    {"Cutting", "PartialCutting", "ReversePartialCutting", "Drilling", "Punching"}
)
_STRUCTURAL = CUT_TYPES | {
    *("Creasing", "ReverseCreasing", "CuttingCreasing", "ReverseCuttingCreasing"),
    *("PartialCuttingCreasing", "ReversePartialCuttingCreasing", "Gluing", "FoilStamping"),
    *("ColdFoilStamping", "Embossing", "Debossing", "Perforating", "Bleed", "VarnishFree"),
    *("InkFree", "InkVarnishFree", "Folding", "Stapling"),
}
TYPES = {
    "Structural": _STRUCTURAL,
    "Positions": {"Hologram", "Barcode", "ContentArea", "CodingMarking", "Imprinting"},
    "PlateMaking": {"StationInfo", "PlateStamping", "OverstepArea", "Cutting", "Bleed", "NoMark"},
}
GROUPS = {*TYPES, "Dimensions", "Braille", "Legend", "White", "Varnish", "Primer"}


def check(file: Opened) -> Section | None:
    """Layers and steps; None for a file without optional content."""
    properties = file.pdf.Root.get("/OCProperties")
    if properties is None:
        return None
    points = [*_config_points(file, properties), *_step_points(file)]
    return section(CODES, points)


def _config_points(file: Opened, properties: Object) -> Iterator[Point]:
    for fault in key_faults("Layers", properties, file.strict):
        yield file.breach(fault.row.code, fault.what, "layers", f"give it ({fault.row.source})")
    groups = groups_of(file.pdf)
    for group in groups:
        for fault in key_faults("Group", group, file.strict):
            yield file.breach(fault.row.code, fault.what, "layers", f"give it ({fault.row.source})")
    default = properties.get("/D") if isinstance(properties, Dictionary) else None
    others = properties.get("/Configs") if isinstance(properties, Dictionary) else None
    configs = [default, *(others.as_list() if isinstance(others, Array) else ())]
    for config in configs:
        if isinstance(config, Dictionary):
            yield from _one_config(file, config, groups)
    if isinstance(default, Dictionary):
        yield from _hidden_points(file, default, groups)


def _one_config(file: Opened, config: Object, groups: list[Object]) -> Iterator[Point]:
    if not file.strict:
        return
    where = "layer configuration"
    for fault in key_faults("Config", config, claims=True):
        yield file.breach(fault.row.code, fault.what, where, f"give it ({fault.row.source})")
    listed = _identities(config.get("/Order"))
    missing = [text_of(group, "/Name") for group in groups if group.objgen not in listed]
    if missing:
        what = f"the order leaves out {', '.join(missing)}"
        yield file.breach("layers-order", what, where, "list every layer")
    if "/AS" in config:
        what = "layers switch themselves on and off (/AS)"
        yield file.breach("layers-auto", what, where, "remove /AS")


def _hidden_points(file: Opened, config: Object, groups: list[Object]) -> Iterator[Point]:
    off = _identities(config.get("/OFF"))
    on = _identities(config.get("/ON"))
    if str(config.get("/BaseState")) == "/OFF":
        off |= {group.objgen for group in groups if group.objgen not in on}
    for group in groups:
        if group.objgen in off and group.objgen in file.steps:
            what = f"the step {text_of(group, '/Name')} is switched off"
            yield fail("layers-hidden", what, "layer configuration", "switch it on")


def _step_points(file: Opened) -> Iterator[Point]:
    for layer in groups_of(file.pdf):
        where = f"layer {text_of(layer, '/Name')}"
        metadata = layer.get("/GTS_Metadata")
        if metadata is None:
            continue
        faults = list(key_faults("Step", metadata, claims=True))
        for fault in faults:
            yield fail(fault.row.code, fault.what, where, f"give it ({fault.row.source})")
        if not faults:
            group, _, kind = step_key(layer).partition("/")
            yield from _vocabulary(group, kind, where)


def _vocabulary(group: str, kind: str, where: str) -> Iterator[Point]:
    if "_" in group or "_" in kind:
        yield note("step-group", f"{group} {kind} is a vendor's own step", where)
    elif group not in GROUPS:
        what = f"{group} is not a step group of ISO 19593-1"
        yield fail("step-group", what, where, f"use one of {', '.join(sorted(GROUPS))}")
    elif group in TYPES and kind not in TYPES[group]:
        what = f"{kind} is not a type of {group}" if kind else f"{group} needs a type"
        yield fail("step-type", what, where, "use a type of ISO 19593-1")
    elif group not in TYPES and kind:
        yield fail("step-type", f"{group} has no types, but {kind} is given", where, "remove it")


def _identities(found: Object | None) -> set[tuple[int, int]]:
    """Every dictionary in a nested list, by identity."""
    identities: set[tuple[int, int]] = set()
    waiting, met = [found], set()
    while waiting:
        each = waiting.pop()
        if isinstance(each, Dictionary):
            identities.add(each.objgen)
        elif isinstance(each, Array) and (each.objgen == (0, 0) or each.objgen not in met):
            met.add(each.objgen)  # an array can hold itself by reference
            waiting += [inner for inner in each.as_list() if isinstance(inner, Object)]
    return identities
