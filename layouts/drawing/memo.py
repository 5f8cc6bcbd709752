"""A cache of results that several files share, each made once."""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, TypeVar

V = TypeVar("V")
M = TypeVar("M")


class Kept(Generic[V, M]):
    """Results by the identity of their source value, which is kept as long as they are.

    With ``most``, at most that many are kept; then the cache is emptied.
    """

    def __init__(self, make: Callable[[V], M], most: int | None = None) -> None:
        self._make = make
        self._most = most
        self._made: dict[int, tuple[V, M]] = {}

    def of(self, value: V) -> M:
        """The result for a value, made at the first call."""
        known = self._made.get(id(value))
        if known is None:
            if self._most is not None and len(self._made) >= self._most:
                self._made.clear()
            known = self._made[id(value)] = (value, self._make(value))
        return known[1]
