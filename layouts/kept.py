"""What was made of values that several files share, made once."""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, TypeVar

V = TypeVar("V")
M = TypeVar("M")


class Kept(Generic[V, M]):
    """Results by the identity of what they were made of, which is held as long as they are."""

    def __init__(self, make: Callable[[V], M]) -> None:
        self._make = make
        self._made: dict[int, tuple[V, M]] = {}

    def of(self, value: V) -> M:
        """The result for a value, made at the first call."""
        known = self._made.get(id(value))
        if known is None:
            known = self._made[id(value)] = (value, self._make(value))
        return known[1]
