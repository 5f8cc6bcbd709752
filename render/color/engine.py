"""Colors through an ICC profile, in floating point.

The only typed wrapper of liblcms2 (Little CMS, MIT license), called through ctypes: Pillow's own
interface rounds Lab to eight bits, and the bindings on the package index are under the GPL.
Pillow, which comes with cairosvg, brings the library along; a system's own serves too.
"""

import ctypes
import ctypes.util
from collections.abc import Iterator, Sequence
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from types import TracebackType
from typing import Self

from layouts.drawing.ink_report import Device, Intent
from layouts.drawing.inks import Lab
from layouts.terms.errors import InputError, OutputError
from layouts.terms.findings import Finding, Place, Severity
from render.color.profile import OutputProfile

# Pixel formats are packed numbers (lcms2.h, "Format of pixel is defined by one cmsUInt32Number"):
# bit 22 floating point, bits 16 to 20 color space, bits 3 to 6 channels, bits 0 to 2 zero for
# eight bytes a channel.
_FLOAT = 1 << 22
_LAB_DOUBLE = _FLOAT | 10 << 16 | 3 << 3
_DEVICE_DOUBLE = {
    3: _FLOAT | 4 << 16 | 3 << 3,  # RGB, 0 to 1
    4: _FLOAT | 6 << 16 | 4 << 3,  # CMYK, 0 to 100
}
_FULL = {3: 1.0, 4: 100.0}
_EXACT = 0x0100 | 0x0040  # cmsFLAGS_NOOPTIMIZE and cmsFLAGS_NOCACHE


class Engine:
    """Conversions through one profile by one intent; a context manager that frees the engine's
    memory when it is left."""

    def __init__(self, profile: OutputProfile, intent: Intent) -> None:
        """Open the profile.

        Raises:
            InputError: the profile is neither RGB nor CMYK, or the engine cannot use it.
            OutputError: liblcms2 is not installed.
        """
        if profile.channels not in _DEVICE_DOUBLE:
            raise _refusal("is neither CMYK nor RGB", profile)
        self.channels = profile.channels
        self._full = _FULL[self.channels]
        self._library = _library()
        self._data = profile.data  # the engine reads it as long as the profile is open
        opened = self._library.cmsOpenProfileFromMem(self._data, len(self._data))
        lab = self._library.cmsCreateLab4Profile(None)
        form = _DEVICE_DOUBLE[self.channels]
        self._to_device = self._transform(lab, _LAB_DOUBLE, opened, form, intent)
        self._to_lab = self._transform(opened, form, lab, _LAB_DOUBLE, intent)
        for handle in filter(None, (opened, lab)):
            self._library.cmsCloseProfile(handle)
        if not (self._to_device and self._to_lab):
            self.close()
            raise _refusal("cannot be used for conversions", profile)

    def devices(self, labs: Sequence[Lab]) -> list[Device]:
        """Device values that the profile gives for colors."""
        numbers = [number for lab in labs for number in (lab.lightness, lab.a, lab.b)]
        found = self._convert(self._to_device, numbers, len(labs), self.channels)
        return [
            tuple(min(1.0, max(0.0, value / self._full)) for value in values) for values in found
        ]

    def labs(self, devices: Sequence[Device]) -> list[Lab]:
        """Colors that device values print."""
        numbers = [value * self._full for device in devices for value in device]
        return [Lab(*values) for values in self._convert(self._to_lab, numbers, len(devices), 3)]

    def close(self) -> None:
        """Free the engine's memory; twice does no harm."""
        for handle in filter(None, (self._to_device, self._to_lab)):
            self._library.cmsDeleteTransform(handle)
        self._to_device = self._to_lab = None

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        at: TracebackType | None,
    ) -> None:
        self.close()

    def _transform(
        self, source: int | None, source_form: int, to: int | None, to_form: int, intent: Intent
    ) -> int | None:
        if not (source and to):
            return None
        handle: int | None = self._library.cmsCreateTransform(
            source, source_form, to, to_form, intent.value, _EXACT
        )
        return handle

    def _convert(
        self, transform: int | None, numbers: list[float], count: int, channels: int
    ) -> Iterator[tuple[float, ...]]:
        source = (ctypes.c_double * len(numbers))(*numbers)
        found = (ctypes.c_double * (count * channels))()
        self._library.cmsDoTransform(transform, source, found, count)
        return (tuple(found[n * channels : (n + 1) * channels]) for n in range(count))


@cache
def _library() -> ctypes.CDLL:
    for name in _candidates():
        try:
            library = ctypes.CDLL(name)
        except OSError:
            continue
        return _declare_types(library)
    raise OutputError(
        "colors cannot be computed: the color library liblcms2 was not found; "
        "install it (liblcms2-2 on Debian, little-cms2 with Homebrew, lcms2.dll on the PATH of "
        "Windows), or leave the profile out: print files then name no printing condition"
    )


def _candidates() -> Iterator[str]:
    pillow = find_spec("PIL")
    if pillow and pillow.origin:
        room = Path(pillow.origin).parent
        beside = [*room.parent.glob("pillow.libs/liblcms2*"), *room.glob(".dylibs/liblcms2*")]
        yield from map(str, sorted(beside))
    system = ctypes.util.find_library("lcms2")
    if system:
        yield system


def _declare_types(library: ctypes.CDLL) -> ctypes.CDLL:
    """Types of the functions in use, as lcms2.h declares them."""
    handle, number = ctypes.c_void_p, ctypes.c_uint32
    library.cmsOpenProfileFromMem.argtypes = [ctypes.c_char_p, number]
    library.cmsOpenProfileFromMem.restype = handle
    library.cmsCreateLab4Profile.argtypes = [handle]
    library.cmsCreateLab4Profile.restype = handle
    library.cmsCreateTransform.argtypes = [handle, number, handle, number, number, number]
    library.cmsCreateTransform.restype = handle
    library.cmsDoTransform.argtypes = [handle, handle, handle, number]
    library.cmsDoTransform.restype = None
    library.cmsCloseProfile.argtypes = [handle]
    library.cmsDeleteTransform.argtypes = [handle]
    library.cmsDeleteTransform.restype = None
    return library


def _refusal(fault: str, profile: OutputProfile) -> InputError:
    return InputError(
        [
            Finding(
                "profile-unusable",
                Severity.UNREADABLE,
                f"the profile {fault}",
                "give the printer's own CMYK or RGB profile with both directions in it",
                place=Place(file=profile.condition),
            )
        ]
    )
