"""The typefaces of a job, each with its use."""

from __future__ import annotations

from layouts.drawing.inks import Ink, InkRole
from layouts.drawing.lettering import Typeface
from layouts.terms.values import frozen


@frozen
class Typefaces:
    """The typefaces of a job: for black on color, for white on dark, and for body text."""

    dark: Typeface
    light: Typeface
    text: Typeface

    def for_ink(self, ink: Ink) -> Typeface:
        """The lighter weight for white letters, which spread; the heavier for dark ones."""
        return self.light if ink.role is InkRole.PAPER else self.dark
