"""All pieces into given plates by straight cuts: some panels at a time are emptied and refilled.

What lies beside the plates takes part in each refill, so that it comes in where waste has gathered.
"""

from collections.abc import Sequence
from math import isqrt
from random import Random

from layouts.nest.lanes import Laner, Way
from layouts.nest.panels import BLANK, PIECE, STACK, Panel, Pool, longer, rooted

_STARTS = 20
"""Fills of whole plates of which the best begins a search."""
_MORE = 0.5
"""Chance of one more neighbor among the panels that are emptied together."""
_WITH_BLANK = 0.7
"""Chance that the blank panel beside is taken too."""
_LOSSES = (0, 0, 0, 1, 1, 2, 3, 4, 6, 9)
"""What a refill may lose, drawn at random, in hundredths of a middling piece."""
_MOVE_WORK = 3
"""What a choice of panels costs, in looks."""


class Refiller:
    """Plates cut, and the pieces beside them; the budget counts looks at ways to lie."""

    def __init__(
        self, ways: Sequence[Sequence[Way]], demand: Pool, sheets: bool, seed: int
    ) -> None:
        """`ways` are each piece's ways to lie, hard pieces first.

        On sheets long pieces count for more than their area, since few sheets have room for them.
        """
        self.demand = demand
        self.areas = [w * h for (w, h, _, _), *_ in ways]
        self.total = sum(n * self.areas[i] for i, n in demand.items())
        self.worths = self.areas
        if sheets:
            self.worths = [w * h * isqrt(max(w, h) << 20) for (w, h, _, _), *_ in ways]
        self.middling = self._worth(demand) // sum(demand.values())
        self.random = Random(seed)
        self.laner = Laner(ways, self.random)
        self.roots: list[Panel] = []
        self.pool: Pool = {}
        self._moves = 0

    @property
    def work(self) -> int:
        """Looks spent so far."""
        return self.laner.work + _MOVE_WORK * self._moves

    @property
    def area_out(self) -> int:
        """Area of the pieces beside, in square units."""
        return sum(n * self.areas[i] for i, n in self.pool.items())

    def begin(self, width: int, heights: Sequence[int]) -> None:
        """Fill plates one after the other, the best of several times."""
        most = self._worth(self.demand)
        for n in range(_STARTS):
            pool = dict(self.demand)
            roots = [rooted(self.laner.fill(width, height, pool)) for height in heights]
            out = self._worth(pool)
            if out < most or not n:
                self.roots, self.pool, most = roots, pool, out
            if not out:
                break

    def lengthen(self, height: int) -> None:
        """The last plate made higher."""
        self.roots[-1] = longer(self.roots[-1], height)

    def refill(self, until: int) -> bool:
        """Whether all pieces are placed before so much work is spent."""
        out = self._worth(self.pool)
        random = self.random.random
        cut = [panel for root in self.roots for panel in root.cut_panels()]
        while out and self.work < until:
            at = int(random() * len(cut))
            panel = cut[at]
            if panel.kind >= PIECE:
                cut[at] = cut[-1]
                cut.pop()
                continue
            self._moves += 1
            chosen = self._neighbors(panel)
            new, left = self._refilled(panel, chosen)
            if new is None:
                continue
            now = self._worth(left)
            if (now - out) * 100 > _LOSSES[int(random() * len(_LOSSES))] * self.middling:
                continue
            out, self.pool = now, left
            cut += new.cut_panels()
            panel.put(chosen, new, any(panel is root for root in self.roots))
        return not out

    def _neighbors(self, panel: Panel) -> list[Panel]:
        """Some parts of a panel at random, mostly with its blank one."""
        random, parts = self.random.random, panel.parts
        many = 1
        while random() < _MORE:
            many += 1
        if many >= len(parts):
            return parts[:]
        chosen = self.random.sample(parts, many)
        if parts[-1].kind == BLANK and parts[-1] not in chosen and random() < _WITH_BLANK:
            chosen.append(parts[-1])
        return chosen

    def _refilled(self, panel: Panel, chosen: Sequence[Panel]) -> tuple[Panel | None, Pool]:
        """The chosen parts as one, filled anew, and what then lies beside; None if not worth it."""
        left = dict(self.pool)
        if len(chosen) == 1 and chosen[0].kind >= PIECE:
            return None, left
        for part in chosen:
            part.empty_into(left)
        width, height = panel.width, panel.height
        if panel.kind == STACK:
            height = sum(part.height for part in chosen)
        else:
            width = sum(part.width for part in chosen)
        if not any(_has_blank(part) for part in chosen):
            return None, left
        return self.laner.fill(width, height, left), left

    def _worth(self, pool: Pool) -> int:
        return sum(n * self.worths[i] for i, n in pool.items())


def _has_blank(panel: Panel) -> bool:
    return panel.kind == BLANK or any(_has_blank(part) for part in panel.parts)
