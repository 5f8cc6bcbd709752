"""The compiler of the inner loops, an optional package.

Without it the same loops run as plain Python: the same answer, and a large order takes minutes in
place of seconds.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol, TypeVar, cast

F = TypeVar("F", bound=Callable[..., object])


class Compiler(Protocol):
    """A decorator that may keep what it compiled beside the module."""

    def __call__(self, *, cache: bool) -> Callable[[F], F]:
        """The decorator for one function."""
        ...


def _leave(*, cache: bool) -> Callable[[F], F]:
    """The function as it is; ``cache`` is the compiler's."""
    del cache
    return lambda function: function


def _compiler() -> Compiler:
    try:
        from numba import njit
    except ImportError:
        return _leave
    return cast(Compiler, njit)


njit = _compiler()
