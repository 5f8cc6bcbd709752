"""A panel filled by straight cuts: sections of lanes side by side, pieces end to end in a lane.

Lanes as long as their section, and together as wide as the panel, leave no waste; sums of sizes
tell which there are, as bits of one long number. What stays beside is filled the same way.
"""

from collections.abc import Sequence
from random import Random

from layouts.nest.panels import BLANK, PIECE, ROW, STACK, Panel, Pool, joined

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
"""What a panel costs besides, in looks at ways to lie."""

Way = tuple[int, int, int, bool]
"""Width and height as a piece lies, piece, turned."""

Stick = tuple[int, int, bool]
"""Length along the lane, piece, turned."""

Lane = tuple[int, list[Stick], int]
"""Width, pieces, and the length that they fill."""

Section = tuple[bool, int, list[Lane], int]
"""Whether its lanes lie along x, their length, the lanes, and their width together."""


class Laner:
    """Fills panels from a pool of pieces, at random, and counts the work."""

    def __init__(self, ways: Sequence[Sequence[Way]], random: Random) -> None:
        """`ways` are each piece's ways to lie, hard pieces first: lanes take them first."""
        self.ways = ways
        self.random = random.random
        self.least = min(min(way[:2]) for piece in ways for way in piece)
        self.work = 0

    def fill(self, width: int, height: int, pool: Pool) -> Panel:
        """A panel with pieces of the pool, which is counted down."""
        section = None
        if width >= self.least and height >= self.least:
            section = self._best_section(width, height, pool)
        if section is None:
            return Panel(width, height, BLANK)
        lying, length, lanes, wide = section
        for _, sticks, _ in lanes:
            for _, i, _ in sticks:
                if pool[i] == 1:
                    del pool[i]
                else:
                    pool[i] -= 1
        parts = [self._lane_panel(lying, length, lane, pool) for lane in lanes]
        if lying:
            first = self._beside(parts, length, height, wide, STACK, pool)
            return self._beside([first], width, height, length, ROW, pool)
        first = self._beside(parts, width, length, wide, ROW, pool)
        return self._beside([first], width, height, length, STACK, pool)

    def _beside(
        self, parts: list[Panel], width: int, height: int, used: int, kind: int, pool: Pool
    ) -> Panel:
        """Parts that use up so much of a panel, joined with what fills the rest."""
        rest = (height if kind == STACK else width) - used
        if rest:
            sides = (width, rest) if kind == STACK else (rest, height)
            parts.append(self.fill(*sides, pool))
        return joined(kind, width, height, parts)

    def _lane_panel(self, lying: bool, length: int, lane: Lane, pool: Pool) -> Panel:
        """The lane as a panel, its end filled too."""
        wide, sticks, end = lane
        if lying:
            parts = [Panel(b, wide, PIECE, [], i, turned) for b, i, turned in sticks]
            return self._beside(parts, length, wide, end, ROW, pool)
        parts = [Panel(wide, b, PIECE, [], i, turned) for b, i, turned in sticks]
        return self._beside(parts, wide, length, end, STACK, pool)

    def _best_section(self, width: int, height: int, pool: Pool) -> Section | None:
        """The fullest of some sections at random, None where no piece fits."""
        self.work += _BOX_WORK + len(pool) // 4
        ways = [w for i in pool for w in self.ways[i] if w[0] <= width and w[1] <= height]
        best: Section | None = None
        top = 0.0
        for _ in range(_TRIES if len(ways) > 1 else len(ways)):
            lying = self.random() < 0.5
            wide, longest = (height, width) if lying else (width, height)
            length = self._length(ways, lying, longest)
            groups = _by_width(ways, lying, length)
            dense = _DENSE[int(self.random() * len(_DENSE))]
            order = self._order(groups)
            section = self._section(groups, order, wide, length, dict(pool), int(dense * length))
            lanes, used, area = section
            share = area / (wide * length)
            if share > top:
                top, best = share, (lying, length, lanes, used)
                if share > _FULL:
                    break
        return best

    def _length(self, ways: Sequence[Way], lying: bool, longest: int) -> int:
        """A length of section: the panel's, or that of one to three pieces."""
        random = self.random
        if random() < _THROUGH:
            return longest
        side = 0 if lying else 1
        length = 0
        for _ in range(3):
            more = length + ways[int(random() * len(ways))][side]
            if more <= longest:
                length = more
            if random() < 0.5:
                break
        return length

    def _order(self, groups: dict[int, list[Stick]]) -> list[int]:
        """Widths of lanes, more or less the widest first."""
        random = self.random
        noise = 2 * _NOISES[int(random() * len(_NOISES))]
        return sorted(groups, key=lambda wide: wide * (noise * (random() - 0.5) - 1))

    def _section(
        self,
        groups: dict[int, list[Stick]],
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
                    sticks, end = self._lane(groups[width], length, left, floor)
                    if not sticks:
                        break
                    made.append((reach, (width, sticks, end)))
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
        self, sticks: Sequence[Stick], length: int, left: Pool, floor: int
    ) -> tuple[list[Stick], int]:
        """The longest row of pieces within the length, the first ones rather; none below a floor.

        `left` is counted down.
        """
        limit, enough = (1 << length + 1) - 1, length - length // _SLACK
        reach = 1
        layers: list[tuple[int, Stick]] = []
        for stick in sticks:
            count = min(left[stick[1]], length // stick[0])
            if count:
                layers.append((reach, stick))
                reach = with_sums(reach, stick[0], count) & limit
                if reach >> enough:
                    break
        self.work += len(layers) + 1
        at = end = reach.bit_length() - 1
        if end < floor:
            return [], 0
        row: list[Stick] = []
        while at:
            before, stick = layers.pop()
            while not before >> at & 1:
                at -= stick[0]
                left[stick[1]] -= 1
                row.append(stick)
        return row, end


def with_sums(reach: int, size: int, count: int) -> int:
    """Reachable sums, one bit each, with up to so many of one more size."""
    step = 1
    while count > 0:
        reach |= reach << min(step, count) * size
        count -= step
        step *= 2
    return reach


def _by_width(ways: Sequence[Way], lying: bool, length: int) -> dict[int, list[Stick]]:
    """Pieces by the width of lane they make, those that are not too long for it."""
    groups: dict[int, list[Stick]] = {}
    for a, b, i, turned in ways:
        wide, along = (b, a) if lying else (a, b)
        if along <= length:
            if wide in groups:
                groups[wide].append((along, i, turned))
            else:
                groups[wide] = [(along, i, turned)]
    return groups
