"""A panel filled by straight cuts: sections of lanes side by side, items end to end in a lane.

A panel is divided by cuts that run from edge to edge: into a stack of parts, or a row of them.
Lanes as long as their section, and together as wide as the panel, leave no waste; sums of sizes
tell which there are, as bits of one long integer (subset sums). What stays beside is filled the
same way. Sides are whole units of a search, y runs down. The method is our own.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from random import Random

STACK, ROW, PIECE, BLANK, GONE = range(5)
"""Parts one below the other, parts side by side, one piece, nothing; no longer in use."""

Pool = dict[int, int]
"""Pieces not placed, with their count; none stands with 0."""

_TRIES = 3
"""Sections tried of which the fullest is taken."""
_FULL = 0.999
"""A section this full ends the trying."""
_SLACK = 1000
"""A row that misses its length by no more than this part of it is full."""
_THROUGH = 0.6
"""How often a section is tried that is as long as the panel."""
_NOISES = (0.0, 0.2, 0.6, 2.0)
"""How far the order of lanes may stray from the widest first."""
_DENSE = (0.9, 0.95, 0.98, 0.99)
"""How full a lane must be, in parts of its length."""
_BOX_WORK = 2
"""What a panel costs besides, in probes at orientations."""

Orientation = tuple[int, int, int, bool]
"""Width and height as a piece lies, piece, turned."""

LaneItem = tuple[int, int, bool]
"""Length along the lane, piece, turned."""

Lane = tuple[int, list[LaneItem], int]
"""Width, pieces, and the length that they fill."""

Section = tuple[bool, int, list[Lane], int]
"""Whether its lanes lie along x, their length, the lanes, and their width together."""


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
        whole = join_parts(self.kind, self.width, self.height, parts)
        for part in parts:
            if part.kind == self.kind:
                part.kind = GONE
        self.take(as_root(whole) if root else whole)


def join_parts(kind: int, width: int, height: int, parts: Sequence[Panel]) -> Panel:
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


def as_root(panel: Panel) -> Panel:
    """A whole bin: cut, whatever it holds, so that it can be chosen."""
    if panel.kind < PIECE:
        return panel
    return Panel(panel.width, panel.height, STACK, [panel])


def longer(panel: Panel, height: int) -> Panel:
    """A whole bin with more room below."""
    rest = Panel(panel.width, height - panel.height, BLANK)
    return as_root(join_parts(STACK, panel.width, height, (panel, rest)))


class LanePacker:
    """Fills panels from a pool of pieces, at random, and counts the work."""

    def __init__(self, orientations: Sequence[Sequence[Orientation]], random: Random) -> None:
        """`ways` are each piece's orientations, hard pieces first: lanes take them first."""
        self.orientations = orientations
        self.random = random.random
        self.least = min(min(way[:2]) for piece in orientations for way in piece)
        self.work = 0

    def fill(self, width: int, height: int, pool: Pool) -> Panel:
        """A panel with pieces of the pool, which is counted down."""
        section = None
        if width >= self.least and height >= self.least:
            section = self._best_section(width, height, pool)
        if section is None:
            return Panel(width, height, BLANK)
        orientations_in, length, lanes, wide = section
        for _, items, _ in lanes:
            for _, i, _ in items:
                if pool[i] == 1:
                    del pool[i]
                else:
                    pool[i] -= 1
        parts = [self._lane_panel(orientations_in, length, lane, pool) for lane in lanes]
        if orientations_in:
            first = self._beside(parts, length, height, wide, STACK, pool)
            return self._beside([first], width, height, length, ROW, pool)
        first = self._beside(parts, width, length, wide, ROW, pool)
        return self._beside([first], width, height, length, STACK, pool)

    def _beside(
        self, parts: list[Panel], width: int, height: int, used: int, kind: int, pool: Pool
    ) -> Panel:
        """Parts that use a given share of a panel, joined with parts that fill the rest."""
        rest = (height if kind == STACK else width) - used
        if rest:
            sides = (width, rest) if kind == STACK else (rest, height)
            parts.append(self.fill(*sides, pool))
        return join_parts(kind, width, height, parts)

    def _lane_panel(self, orientations_in: bool, length: int, lane: Lane, pool: Pool) -> Panel:
        """The lane as a panel, its end filled too."""
        wide, items, end = lane
        if orientations_in:
            parts = [Panel(b, wide, PIECE, [], i, turned) for b, i, turned in items]
            return self._beside(parts, length, wide, end, ROW, pool)
        parts = [Panel(wide, b, PIECE, [], i, turned) for b, i, turned in items]
        return self._beside(parts, wide, length, end, STACK, pool)

    def _best_section(self, width: int, height: int, pool: Pool) -> Section | None:
        """The fullest of some sections at random, None where no piece fits."""
        self.work += _BOX_WORK + len(pool) // 4
        orientations = [
            w for i in pool for w in self.orientations[i] if w[0] <= width and w[1] <= height
        ]
        best: Section | None = None
        top = 0.0
        for _ in range(_TRIES if len(orientations) > 1 else len(orientations)):
            orientations_in = self.random() < 0.5
            wide, longest = (height, width) if orientations_in else (width, height)
            length = self._length(orientations, orientations_in, longest)
            groups = _by_width(orientations, orientations_in, length)
            dense = _DENSE[int(self.random() * len(_DENSE))]
            order = self._order(groups)
            section = self._section(groups, order, wide, length, dict(pool), int(dense * length))
            lanes, used, area = section
            share = area / (wide * length)
            if share > top:
                top, best = share, (orientations_in, length, lanes, used)
                if share > _FULL:
                    break
        return best

    def _length(
        self, orientations: Sequence[Orientation], orientations_in: bool, longest: int
    ) -> int:
        """A length of section: the panel's, or that of one to three pieces."""
        random = self.random
        if random() < _THROUGH:
            return longest
        side = 0 if orientations_in else 1
        length = 0
        for _ in range(3):
            more = length + orientations[int(random() * len(orientations))][side]
            if more <= longest:
                length = more
            if random() < 0.5:
                break
        return length

    def _order(self, groups: dict[int, list[LaneItem]]) -> list[int]:
        """Widths of lanes, more or less the widest first."""
        random = self.random
        noise = 2 * _NOISES[int(random() * len(_NOISES))]
        return sorted(groups, key=lambda wide: wide * (noise * (random() - 0.5) - 1))

    def _section(
        self,
        groups: dict[int, list[LaneItem]],
        order: Sequence[int],
        wide: int,
        length: int,
        left: Pool,
        least: int,
    ) -> tuple[list[Lane], int, int]:
        """Lanes that fill at least so much of the length: they, their width and their area.

        Where no lane fills as much, the first that holds anything does.
        """
        full, enough = (1 << wide + 1) - 1, wide - wide // _SLACK
        reach = 1
        made: list[tuple[int, Lane]] = []
        for floor in (least, 1):
            for width in order:
                for _ in range(wide // width):
                    items, end = self._lane(groups[width], length, left, floor)
                    if not items:
                        break
                    made.append((reach, (width, items, end)))
                    reach |= (reach << width) & full
                    if reach >> enough:
                        break
                if reach >> enough or (floor < least and made):
                    break
            if made:
                break
        at = used = reach.bit_length() - 1
        lanes: list[Lane] = []
        while at:
            before, lane = made.pop()
            if not before >> at & 1:
                at -= lane[0]
                lanes.append(lane)
        return lanes, used, sum(lane[0] * lane[2] for lane in lanes)

    def _lane(
        self, items: Sequence[LaneItem], length: int, left: Pool, floor: int
    ) -> tuple[list[LaneItem], int]:
        """The longest row of pieces within the length, the first ones rather; none below a floor.

        `left` is counted down.
        """
        limit, enough = (1 << length + 1) - 1, length - length // _SLACK
        reach = 1
        layers: list[tuple[int, LaneItem]] = []
        for item in items:
            count = min(left[item[1]], length // item[0])
            if count:
                layers.append((reach, item))
                reach = with_sums(reach, item[0], count) & limit
                if reach >> enough:
                    break
        self.work += len(layers) + 1
        at = end = reach.bit_length() - 1
        if end < floor:
            return [], 0
        row: list[LaneItem] = []
        while at:
            before, item = layers.pop()
            while not before >> at & 1:
                at -= item[0]
                left[item[1]] -= 1
                row.append(item)
        return row, end


def with_sums(reach: int, size: int, count: int) -> int:
    """Reachable sums, one bit each, with up to `count` of one more size."""
    step = 1
    while count > 0:
        reach |= reach << min(step, count) * size
        count -= step
        step *= 2
    return reach


def _by_width(
    orientations: Sequence[Orientation], orientations_in: bool, length: int
) -> dict[int, list[LaneItem]]:
    """Pieces by the width of lane they make, those that are not too long for it."""
    groups: dict[int, list[LaneItem]] = {}
    for a, b, i, turned in orientations:
        wide, along = (b, a) if orientations_in else (a, b)
        if along <= length:
            if wide in groups:
                groups[wide].append((along, i, turned))
            else:
                groups[wide] = [(along, i, turned)]
    return groups
