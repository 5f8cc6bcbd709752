"""A second engine for ICC profiles, on numpy alone: lookup tables of type mft1 and mft2.

ICC.1:2010, 10.8 and 10.9 (lut16Type, lut8Type) and 6.3.4 for the encodings of Lab; tetrahedral
interpolation from device values, linear along each axis from Lab. All cited from memory.
"""

import struct
from collections.abc import Callable, Sequence

import numpy as np

from tests.helpers.contours import Points

Mix = Callable[[Points, Sequence[float]], Points]
D50 = np.array([0.9642, 1.0, 0.8249])


class Lut:
    """One table of a profile: input curves, a grid, output curves; all numbers 0 to 1."""

    def __init__(self, profile: bytes, tag: bytes) -> None:
        data = tag_of(profile, tag)
        inputs, outputs, grid = data[8], data[9], data[10]
        if data[:4] == b"mft2":
            entries, results = struct.unpack_from(">HH", data, 48)
            body, full = np.frombuffer(data[52:], ">u2"), 65535.0
        else:
            assert data[:4] == b"mft1"
            entries = results = 256
            body, full = np.frombuffer(data[48:], "u1"), 255.0
        self.wide = data[:4] == b"mft2"
        nodes = grid**inputs * outputs
        ends = np.cumsum([inputs * entries, nodes, outputs * results])
        body = body[: ends[2]] / full
        self.curves_in = body[: ends[0]].reshape(inputs, entries)
        self.grid = body[ends[0] : ends[1]].reshape([grid] * inputs + [outputs])
        self.curves_out = body[ends[1] : ends[2]].reshape(outputs, results)

    def __call__(self, values: Sequence[float], mix: Mix) -> Points:
        curved = [_curve(c, v) for c, v in zip(self.curves_in, values, strict=True)]
        mixed = mix(self.grid, curved)
        return np.array([_curve(c, v) for c, v in zip(self.curves_out, mixed, strict=True)])


def tag_of(profile: bytes, tag: bytes) -> bytes:
    (count,) = struct.unpack_from(">I", profile, 128)
    for n in range(count):
        name, offset, size = struct.unpack_from(">4sII", profile, 132 + 12 * n)
        if name == tag:
            return profile[offset : offset + size]
    raise KeyError(tag)


def lab_printed(profile: bytes, cmyk: Sequence[float], absolute: bool) -> Points:
    """Lab that shares of CMYK print."""
    lut = Lut(profile, b"A2B1")
    lightness, a, b = lut(cmyk, _simplex)
    if lut.wide:  # 0xFF00 is 100, 0x8000 is 0
        lab = np.array([lightness * 65535 / 652.8, a * 65535 / 256 - 128, b * 65535 / 256 - 128])
    else:
        lab = np.array([lightness * 100, a * 255 - 128, b * 255 - 128])
    return _lab(_xyz(lab) * _white(profile) / D50) if absolute else lab


def cmyk_for(profile: bytes, lab: Sequence[float], absolute: bool) -> Points:
    """Shares of CMYK that the profile gives for a Lab (lut8Type)."""
    wanted = np.array(lab)
    if absolute:
        wanted = _lab(_xyz(wanted) * D50 / _white(profile))
    lut = Lut(profile, b"B2A1")
    assert not lut.wide
    shares = [wanted[0] / 100, (wanted[1] + 128) / 255, (wanted[2] + 128) / 255]
    return lut(np.clip(shares, 0, 1).tolist(), _linear)


def _curve(table: Points, value: float) -> float:
    return np.interp(value, np.linspace(0, 1, len(table)), table)


def _simplex(grid: Points, values: Sequence[float]) -> Points:
    """Linear along the first of four inputs, tetrahedral in the last three."""
    if len(values) == 4:
        at = values[0] * (grid.shape[0] - 1)
        low = min(int(at), grid.shape[0] - 2)
        below, above = (_simplex(grid[n], values[1:]) for n in (low, low + 1))
        mixed: Points = (1 - (at - low)) * below + (at - low) * above
        return mixed
    spot = np.array(values) * (np.array(grid.shape[:3]) - 1)
    corner = np.minimum(spot.astype(int), np.array(grid.shape[:3]) - 2)
    rest = spot - corner
    found: Points = grid[tuple(corner)].astype(float)
    here = corner.copy()
    for axis in np.argsort(-rest, kind="stable"):
        there = here.copy()
        there[axis] += 1
        found = found + rest[axis] * (grid[tuple(there)] - grid[tuple(here)])
        here = there
    return found


def _linear(grid: Points, values: Sequence[float]) -> Points:
    """Linear along each input in turn, as lightness wants it: grays stay on their axis."""
    if not values:
        return grid
    at = values[0] * (grid.shape[0] - 1)
    low = min(int(at), grid.shape[0] - 2)
    below, above = (_linear(grid[n], values[1:]) for n in (low, low + 1))
    mixed: Points = below + (at - low) * (above - below)
    return mixed


def _white(profile: bytes) -> Points:
    return np.array(struct.unpack_from(">iii", tag_of(profile, b"wtpt"), 8)) / 65536


def _xyz(lab: Points) -> Points:
    y = (lab[0] + 16) / 116
    f = np.array([y + lab[1] / 500, y, y - lab[2] / 200])
    return D50 * np.where(f > 6 / 29, f**3, 3 * (6 / 29) ** 2 * (f - 4 / 29))


def _lab(xyz: Points) -> Points:
    t = xyz / D50
    f = np.where(t > (6 / 29) ** 3, np.cbrt(t), t / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])
