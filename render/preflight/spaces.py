"""Color spaces as a file defines them: what kind, which inks, and whether two agree."""

from __future__ import annotations

import hashlib

from pikepdf import Array, Dictionary, Name, Object, PdfError, Stream

from layouts.terms.values import frozen
from render.preflight.filters import DamagedError, unpack
from render.preflight.limits import DEPTH, Budget, too_deep

_DEVICE = {
    "/DeviceGray": "gray",
    "/G": "gray",
    "/DeviceRGB": "rgb",
    "/RGB": "rgb",
    "/DeviceCMYK": "cmyk",
    "/CMYK": "cmyk",
    "/CalGray": "gray",
    "/CalRGB": "rgb",
    "/Lab": "lab",
}
_ICC = {1: "gray", 3: "rgb", 4: "cmyk"}
PROCESS = ("Cyan", "Magenta", "Yellow", "Black")
_NO_INK = ("All", "None")


@frozen
class Space:
    """A color space. ``family`` is the PDF name, ``model`` what its numbers mean.

    ``inks`` are the colorants of Separation and DeviceN; ``definition`` is alternate and tint
    transform as text, equal where two definitions agree.
    """

    family: str
    model: str
    inks: tuple[str, ...] = ()
    definition: str = ""
    base: Space | None = None
    undefined: tuple[str, ...] = ()  # spots of a DeviceN that its Colorants leave out

    @property
    def is_spot(self) -> bool:
        """Whether it is one named ink."""
        return self.family == "Separation"

    @property
    def first_tint(self) -> tuple[float, ...]:
        """The color that the space begins with (ISO 32000-1, 8.6.3 to 8.6.6): black or solid."""
        if self.inks:
            return (1.0,) * len(self.inks)
        return (0.0, 0.0, 0.0, 1.0) if self.model == "cmyk" else (0.0,)

    def inner(self) -> Space:
        """The space whose color is painted: that below a pattern or an index table."""
        return self.base.inner() if self.base and self.family in ("Indexed", "Pattern") else self

    def text(self) -> str:
        """The space for a person."""
        if self.inks:
            return f"{self.family} {', '.join(self.inks)}"
        return self.family


GRAY = Space("DeviceGray", "gray")
RGB = Space("DeviceRGB", "rgb")
CMYK = Space("DeviceCMYK", "cmyk")
UNKNOWN = Space("unknown", "unknown")
PATTERN = Space("Pattern", "pattern")
_NAMED = {name: Space(name[1:], model) for name, model in _DEVICE.items()}
MISSING = Space("missing", "missing")  # named in the content, reported as a missing resource


def device_space(name: str) -> Space | None:
    """The space that a name means by itself, slash included; None for one of a file's own."""
    if name == "/Pattern":
        return PATTERN
    return _NAMED.get(name)


def read_space(found: Object | None, budget: Budget, depth: int = 0) -> Space:
    """The space that an object defines; `UNKNOWN` where it cannot be understood.

    Raises:
        TooLarge: spaces lie in spaces without an end, or the definition is endless.
    """
    budget.work(1)
    if depth > DEPTH:
        raise too_deep("color spaces")
    if isinstance(found, Name):
        return device_space(str(found)) or UNKNOWN
    if not isinstance(found, Array) or len(found) == 0 or not isinstance(found[0], Name):
        return UNKNOWN
    family = str(found[0])[1:]
    if len(found) == 1:
        return read_space(found[0], budget, depth + 1)
    if family == "ICCBased" and isinstance(found[1], Stream):
        return Space(family, _ICC.get(_integer(found[1].get("/N")), "unknown"))
    if family in ("CalGray", "CalRGB", "Lab"):
        return Space(family, _DEVICE["/" + family])
    if family in ("Indexed", "I", "Pattern"):
        base = read_space(found[1], budget, depth + 1)
        return Space("Pattern" if family == "Pattern" else "Indexed", "", base=base)
    if family in ("Separation", "DeviceN") and len(found) >= 4:
        inks = _inks(found[1])
        definition = f"{_flat(found[2], budget)} {_flat(found[3], budget)}"
        left_out = _undefined_spots(found, inks) if family == "DeviceN" else ()
        return Space(family, "spot", inks, definition, undefined=left_out)
    return UNKNOWN


def _inks(names: Object) -> tuple[str, ...]:
    listed = list(names.as_list()) if isinstance(names, Array) else [names]
    return tuple(str(name)[1:] for name in listed)


def _undefined_spots(found: Object, inks: tuple[str, ...]) -> tuple[str, ...]:
    """The spots of a DeviceN space that its attributes do not define one by one."""
    attributes = found[4] if len(found) > 4 else None
    colorants = attributes.get("/Colorants") if isinstance(attributes, Dictionary) else None
    known = set(colorants.keys()) if isinstance(colorants, Dictionary) else set()
    return tuple(ink for ink in inks if f"/{ink}" not in known and ink not in (*PROCESS, *_NO_INK))


def _integer(value: object) -> int:
    return value if isinstance(value, int) else 0


def _flat(found: object, budget: Budget, depth: int = 0) -> str:
    """An object as text with every reference followed, so that equal ones read the same."""
    budget.work(1)
    if depth > DEPTH // 8:
        return "..."
    if isinstance(found, Stream):
        keys = _keys(found, budget, depth, skip=("/Length", "/Filter", "/DecodeParms"))
        try:
            data = unpack(found, budget)
        except (PdfError, DamagedError):
            data = found.read_raw_bytes()
        return f"{keys}{hashlib.sha256(data).hexdigest()}"
    if isinstance(found, Dictionary):
        return _keys(found, budget, depth, skip=())
    if isinstance(found, Array):
        parts = [_flat(each, budget, depth + 1) for each in found.as_list()]
        return "[" + " ".join(parts) + "]"
    if isinstance(found, Object):
        return unparse_object(found)
    return f"{float(found):g}" if isinstance(found, int) else str(found)


def _keys(found: Object, budget: Budget, depth: int, skip: tuple[str, ...]) -> str:
    parts = [
        f"{key} {_flat(found[key], budget, depth + 1)}"
        for key in sorted(found.keys())
        if key not in skip
    ]
    return "<" + " ".join(parts) + ">"


def unparse_object(found: Object) -> str:
    """A scalar object as it is written in a file."""
    return found.unparse().decode("latin-1")
