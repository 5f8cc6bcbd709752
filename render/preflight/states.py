"""Graphics state dictionaries: overprint and line for the state, faults for the ledger."""

from __future__ import annotations

from dataclasses import replace

from pikepdf import Array, Dictionary, Object

from render.preflight.keys import number_of
from render.preflight.marks import Ledger, State

_PLAIN_MODES = frozenset({"/Normal", "/Compatible"})
_PLAIN_TRANSFERS = frozenset({"/Identity", "/Default"})


def apply_state(state: State, found: Object, ledger: Ledger, where: str) -> None:
    """Take over what an ExtGState dictionary sets."""
    stroke = found.get("/OP")
    fill = found.get("/op", stroke)  # op follows OP where it is not given (ISO 32000-1, table 58)
    for use, value in (("stroke", stroke), ("fill", fill)):
        if isinstance(value, bool):
            state.coats[use] = replace(state.coats[use], overprint=value)
    mode, width, dash = found.get("/OPM"), number_of(found.get("/LW")), found.get("/D")
    if isinstance(mode, int):
        state.mode = mode
    if width is not None:
        state.width = width
    if isinstance(dash, Array) and len(dash) == 2:
        state.dashed = is_dash(dash[0])
    for what in transparencies(found):
        ledger.fault("transparency", what, where, "flatten it: paint solid inks only")
    for key in ("/TR", "/TR2"):
        if key in found and str(found[key]) not in _PLAIN_TRANSFERS:
            ledger.fault("state-transfer", f"a transfer function ({key})", where, "remove it")
    if "/HTP" in found:
        ledger.fault("state-transfer", "a halftone phase (/HTP)", where, "remove it")


def transparencies(found: Object) -> list[str]:
    """What in a graphics state dictionary makes marks transparent."""
    faults = []
    for key in ("/ca", "/CA"):
        value = number_of(found.get(key))
        if value is not None and value < 1:
            faults.append(f"opacity {value:g} ({key})")
    blend = found.get("/BM")
    modes = blend.as_list() if isinstance(blend, Array) else [blend]
    if blend is not None and str(modes[0]) not in _PLAIN_MODES:
        faults.append(f"blend mode {str(modes[0])[1:]}")
    if isinstance(found.get("/SMask"), Dictionary):
        faults.append("a soft mask")
    return faults


def is_dash(found: object) -> bool:
    """Whether a dash array breaks a line."""
    return isinstance(found, Array | list) and len(found) > 0
