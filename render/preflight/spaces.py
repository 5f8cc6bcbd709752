"""Color spaces as a file defines them: what kind, which inks, and whether two agree."""

from __future__ import annotations

from dataclasses import dataclass

from pikepdf import Array, Dictionary, Name, Object, Stream

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


@dataclass(frozen=True, slots=True)
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

    @property
    def is_spot(self) -> bool:
        """Whether it is one named ink."""
        return self.family == "Separation"

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
MISSING = Space("missing", "missing")  # named in the content, told of as a missing resource


def device_space(name: str) -> Space | None:
    """The space that a name means by itself, slash included; None for one of a file's own."""
    if name == "/Pattern":
        return PATTERN
    return _NAMED.get(name)


def read_space(found: Object | None) -> Space:
    """The space that an object defines; `UNKNOWN` where it cannot be understood."""
    if isinstance(found, Name):
        return device_space(str(found)) or UNKNOWN
    if not isinstance(found, Array) or len(found) == 0 or not isinstance(found[0], Name):
        return UNKNOWN
    family = str(found[0])[1:]
    if len(found) == 1:
        return read_space(found[0])
    if family == "ICCBased" and isinstance(found[1], Stream):
        return Space(family, _ICC.get(_integer(found[1].get("/N")), "unknown"))
    if family in ("CalGray", "CalRGB", "Lab"):
        return Space(family, _DEVICE["/" + family])
    if family in ("Indexed", "I", "Pattern"):
        return Space("Pattern" if family == "Pattern" else "Indexed", "", base=read_space(found[1]))
    if family in ("Separation", "DeviceN") and len(found) >= 4:
        return Space(family, "spot", _inks(found[1]), f"{_flat(found[2])} {_flat(found[3])}")
    return UNKNOWN


def _inks(names: Object) -> tuple[str, ...]:
    listed = list(names.as_list()) if isinstance(names, Array) else [names]
    return tuple(str(name)[1:] for name in listed)


def _integer(value: object) -> int:
    return value if isinstance(value, int) else 0


def _flat(found: object, depth: int = 0) -> str:
    """An object as text with every reference followed, so that equal ones read the same."""
    if depth > 8:
        return "..."
    if isinstance(found, Stream):
        keys = _keys(found, depth, skip=("/Length", "/Filter", "/DecodeParms"))
        return f"{keys}{found.read_bytes().hex()}"
    if isinstance(found, Dictionary):
        return _keys(found, depth, skip=())
    if isinstance(found, Array):
        return "[" + " ".join(_flat(each, depth + 1) for each in found.as_list()) + "]"
    if isinstance(found, Object):
        return unparse_object(found)
    return f"{float(found):g}" if isinstance(found, int) else str(found)


def _keys(found: Object, depth: int, skip: tuple[str, ...]) -> str:
    parts = [
        f"{key} {_flat(found[key], depth + 1)}" for key in sorted(found.keys()) if key not in skip
    ]
    return "<" + " ".join(parts) + ">"


def unparse_object(found: Object) -> str:
    """A scalar object as it stands in a file."""
    return found.unparse().decode("latin-1")
