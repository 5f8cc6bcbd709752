"""Panels: a plate parted by straight cuts, each from edge to edge of the panel that it cuts.

Sides are whole units of a search, y runs down.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

STACK, ROW, PIECE, BLANK, GONE = range(5)
"""Parts one below the other, parts side by side, one piece, nothing; no longer in use."""

Pool = dict[int, int]
"""Pieces not placed, with their count; none stands with 0."""


@dataclass(slots=True, eq=False)
class Panel:
    """A panel: cut into parts (`STACK`, `ROW`), or a piece that fills it, or blank."""

    width: int
    height: int
    kind: int
    parts: list["Panel"] = field(default_factory=list)
    piece: int = -1
    turned: bool = False

    def take(self, other: "Panel") -> None:
        """Become the other panel, which is not to be used any more."""
        self.kind, self.parts = other.kind, other.parts
        self.piece, self.turned = other.piece, other.turned
        other.kind = GONE

    def cut_panels(self) -> list["Panel"]:
        """This panel and all within that are cut."""
        found = [self] if self.kind < PIECE else []
        for panel in found:
            found.extend(part for part in panel.parts if part.kind < PIECE)
        return found

    def empty_into(self, pool: Pool) -> None:
        """Count the panel's pieces into the pool; the panel itself stays."""
        waiting = [self]
        while waiting:
            panel = waiting.pop()
            if panel.kind == PIECE:
                pool[panel.piece] = pool.get(panel.piece, 0) + 1
            else:
                waiting += panel.parts

    def put(self, chosen: Sequence["Panel"], new: "Panel", root: bool) -> None:
        """Lay a new part in the place of some; a root stays cut, whatever it holds."""
        gone = {id(part) for part in chosen}
        parts = [part for part in self.parts if id(part) not in gone]
        for part in chosen:
            for each in part.cut_panels():
                each.kind = GONE
        parts.append(new)
        whole = joined(self.kind, self.width, self.height, parts)
        for part in parts:
            if part.kind == self.kind:
                part.kind = GONE
        self.take(rooted(whole) if root else whole)


def joined(kind: int, width: int, height: int, parts: Sequence[Panel]) -> Panel:
    """A panel of these parts: parts cut the same way are let in, blank ones become one, last."""
    whole: list[Panel] = []
    blank = 0
    for part in parts:
        for each in part.parts if part.kind == kind else (part,):
            if each.kind != BLANK:
                whole.append(each)
            else:
                blank += each.height if kind == STACK else each.width
    if not whole:
        return Panel(width, height, BLANK)
    if blank:
        sides = (width, blank) if kind == STACK else (blank, height)
        whole.append(Panel(*sides, BLANK))
    elif len(whole) == 1:
        return whole[0]
    return Panel(width, height, kind, whole)


def rooted(panel: Panel) -> Panel:
    """A whole plate: cut, whatever it holds, so that it can be chosen."""
    if panel.kind < PIECE:
        return panel
    return Panel(panel.width, panel.height, STACK, [panel])


def longer(panel: Panel, height: int) -> Panel:
    """A whole plate with more room below."""
    rest = Panel(panel.width, height - panel.height, BLANK)
    return rooted(joined(STACK, panel.width, height, (panel, rest)))
