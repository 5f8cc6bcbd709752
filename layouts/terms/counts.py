"""A number with its noun, as every paper, message and report says it."""

from __future__ import annotations


def counted(number: int, one: str, many: str = "") -> str:
    """``1 sheet``, ``2 sheets``; ``many`` is a plural that takes more than an s."""
    return f"{number} {one if number == 1 else many or one + 's'}"
