"""What a file is held to: the standards that it names, or our house rules as well."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from layouts.terms.values import frozen
from render.preflight.report import Point, Verdict

USUAL_INK_LIMIT = 320.0  # percent; coated stock takes 300 to 330 (common practice, no source)


@frozen
class Rules:
    """House rules are faults where ``house`` says so, and warnings where it does not.

    With ``live_text`` fonts are allowed, as in papers, and none may be missing from the file.
    ``ink_limit`` is the most process ink that may lie on one spot, in percent.
    """

    house: bool = True
    ink_limit: float = USUAL_INK_LIMIT
    live_text: bool = False

    @property
    def name(self) -> str:
        """The name that commands and reports give the rules."""
        return "house" if self.house else "standard"

    def applied(self, points: Iterable[Point]) -> tuple[Point, ...]:
        """The points as these rules judge them."""
        return tuple(
            replace(point, verdict=Verdict.WARNING)
            if point.house and point.verdict is Verdict.FAIL and not self.house
            else point
            for point in points
        )


HOUSE, STANDARD, PAPERS = Rules(), Rules(house=False), Rules(live_text=True)
