"""Boiling points of media and freezing points of mixtures, as sourced tables. F and psig."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import pairwise

from layouts.schemes.rows import Faults, Row, Table
from layouts.terms.errors import InputError
from layouts.terms.values import frozen

_ATMOSPHERE = 14.696  # psi


@frozen
class SaturationCurve:
    """Saturation temperatures of one medium over rising pressures."""

    medium: str
    psig: tuple[float, ...]
    fahrenheit: tuple[float, ...]
    source: str
    status: str

    def at(self, psig: float) -> float | None:
        """The saturation temperature, F; None outside the table.

        Between two rows the logarithm of the absolute pressure is followed, which misses
        the curve by less than 0.3 F.
        """
        if not self.psig[0] <= psig <= self.psig[-1]:
            return None
        for (low, cold), (high, warm) in pairwise(zip(self.psig, self.fahrenheit, strict=True)):
            if psig <= high:
                a, b, p = (math.log(each + _ATMOSPHERE) for each in (low, high, psig))
                return cold + (warm - cold) * (p - a) / (b - a)
        return self.fahrenheit[-1]


@frozen
class FreezingMixture:
    """Freezing points of a glycol in water by its share of the mass."""

    medium: str
    percent: tuple[float, ...]
    freezes_f: tuple[float, ...]
    source: str
    status: str

    def freezes_at(self, percent: float | None) -> float:
        """The freezing point, F, of a share of the mass; unknown: that of the strongest mixture.

        Between two rows a straight line is followed; weaker mixtures freeze as the weakest does.
        """
        if percent is None:
            return self.freezes_f[-1]
        for (low, warm), (high, cold) in pairwise(zip(self.percent, self.freezes_f, strict=True)):
            if percent <= high:
                share = max(0.0, percent - low) / (high - low)
                return warm + (cold - warm) * share
        return self.freezes_f[-1]


@frozen
class PhaseData:
    """Curves and mixtures by the key of their medium."""

    curves: Mapping[str, SaturationCurve]
    mixtures: Mapping[str, FreezingMixture]


def build_phases(values: Table, origin: str) -> PhaseData:
    """The tables of the file. Raises ``InputError`` with every fault."""
    faults = Faults(origin, "saturation")
    top = Row(values, "", faults)
    top.child("sources")
    curves = [_curve(row) for row in top.children("curves", "medium")]
    mixtures = [_mixture(row) for row in top.children("mixtures", "medium")]
    top.close()
    if faults.found:
        raise InputError(faults.found)
    return PhaseData(
        {each.medium: each for each in curves}, {each.medium: each for each in mixtures}
    )


def _curve(row: Row) -> SaturationCurve:
    psig, fahrenheit = _columns(row, "psig", "f")
    if not (_rises(psig) and _rises(fahrenheit)):
        row.fault("value", "psig", "the curve does not rise throughout", "write it in order")
    curve = SaturationCurve(row.text("medium"), psig, fahrenheit, row.source(), row.status())
    row.close()
    return curve


def _mixture(row: Row) -> FreezingMixture:
    percent, freezes = _columns(row, "percent", "freezes_f")
    if not (_rises(percent) and _rises(freezes[::-1])):
        row.fault("value", "percent", "more glycol does not freeze lower", "write it in order")
    mixture = FreezingMixture(row.text("medium"), percent, freezes, row.source(), row.status())
    row.close()
    return mixture


def _columns(row: Row, one: str, two: str) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Two lists of numbers of one length."""
    first = row.number_list(one)
    return first, row.numbers(two, len(first))


def _rises(numbers: Sequence[float]) -> bool:
    return all(low < high for low, high in pairwise(numbers))
