"""Maps of PDF space, as the six numbers of a ``cm`` operator (ISO 32000-1, 8.3.4)."""

from __future__ import annotations

from collections.abc import Sequence

Matrix = tuple[float, float, float, float, float, float]
UNIT: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)


def product(first: Matrix, then: Matrix) -> Matrix:
    """The map that applies ``first``, then ``then``."""
    a, b, c, d, e, f = first
    p, q, r, s, t, u = then
    return (
        a * p + b * r,
        a * q + b * s,
        c * p + d * r,
        c * q + d * s,
        e * p + f * r + t,
        e * q + f * s + u,
    )


def matrix_of(given: Sequence[object]) -> Matrix:
    """Six operands as a matrix.

    Raises:
        TypeError: one is not a number.
    """
    a, b, c, d, e, f = numbers(given)
    return (a, b, c, d, e, f)


def numbers(given: Sequence[object]) -> tuple[float, ...]:
    """Operands that have to be numbers.

    Raises:
        TypeError: one is not.
    """
    for each in given:
        if type(each) is not float:
            raise TypeError(f"{each!r} is not a number")
    return tuple(given)  # type: ignore[arg-type]
