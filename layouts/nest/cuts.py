"""From a layout to the straight cuts that part it, in the order in which they are made."""

from collections.abc import Sequence
from operator import itemgetter

from layouts.nest.model import CutStep, NestRequest, Slot

Rect = tuple[int, int, int, int]
"""Left, top, right, bottom in micrometers."""
Group = tuple[int, list[Rect]]
"""Where it ends, and what is in it."""


def slot_rects(request: NestRequest, slots: Sequence[Slot]) -> list[Rect]:
    """The boxes of the pieces where they lie, without the gap."""
    rects = []
    for slot in slots:
        piece = request.pieces[slot.piece]
        width, height = piece.width_um, piece.height_um
        if slot.turned:
            width, height = height, width
        rects.append((slot.x_um, slot.y_um, slot.x_um + width, slot.y_um + height))
    return rects


def cut_steps(panel: Rect, rects: Sequence[Rect], gap: int) -> tuple[CutStep, ...] | None:
    """The cuts that free every rectangle exactly, or None if edge-to-edge cuts cannot.

    Blocks are parted along the near edge of the gap; the gap itself falls off as a trim.
    """
    steps: list[CutStep] = []
    work: list[tuple[Rect, list[Rect], int]] = [(panel, list(rects), 0)]
    while work:
        panel, inside, depth = work.pop()
        if not inside:
            continue
        if len(inside) == 1 and inside[0] == panel:
            continue
        edges = _bounds(inside)
        if edges != panel:
            depth = _trim(panel, edges, depth, steps)
            panel = edges
        if len(inside) == 1:
            continue
        split = _split(inside, gap)
        if split is None:
            return None
        vertical, groups = split
        work.extend(reversed(_part(panel, vertical, groups, depth, steps)))
    return tuple(steps)


def _bounds(rects: Sequence[Rect]) -> Rect:
    lefts, tops, rights, bottoms = zip(*rects, strict=True)
    return min(lefts), min(tops), max(rights), max(bottoms)


def _trim(panel: Rect, to: Rect, depth: int, steps: list[CutStep]) -> int:
    """Cut the panel's blank edges off; the depth after it."""
    left, top, right, bottom = panel
    for vertical, side in ((True, 0), (False, 1), (True, 2), (False, 3)):
        if panel[side] == to[side]:
            continue
        start, end = (top, bottom) if vertical else (left, right)
        steps.append(CutStep(depth, vertical, to[side], start, end))
        depth += 1
        if side == 0:
            left = to[0]
        elif side == 1:
            top = to[1]
        elif side == 2:
            right = to[2]
    return depth


def _split(rects: list[Rect], gap: int) -> tuple[bool, list[Group]] | None:
    """Groups parted by straight gaps: across if that parts anything, else along."""
    across = _groups(rects, 1, gap)
    along = _groups(rects, 0, gap)
    if len(along) > 1 and (len(across) == 1 or len(along) < len(across)):
        return True, along
    return (False, across) if len(across) > 1 else None


def _groups(rects: list[Rect], side: int, gap: int) -> list[Group]:
    """Rectangles between which no straight gap runs, from the left or the top on."""
    groups: list[Group] = []
    group: list[Rect] = []
    end = 0
    for rect in sorted(rects, key=itemgetter(side)):
        if group and rect[side] >= end + gap:
            groups.append((end, group))
            group = []
        end = max(end, rect[side + 2]) if group else rect[side + 2]
        group.append(rect)
    return [*groups, (end, group)]


def _part(
    panel: Rect, vertical: bool, groups: list[Group], depth: int, steps: list[CutStep]
) -> list[tuple[Rect, list[Rect], int]]:
    """Cut the groups off one after the other; the panels that come of it."""
    panels: list[tuple[Rect, list[Rect], int]] = []
    left, top, right, bottom = panel
    for n, (edge, group) in enumerate(groups):
        if n < len(groups) - 1:
            start, end = (top, bottom) if vertical else (left, right)
            steps.append(CutStep(depth, vertical, edge, start, end))
            depth += 1
        if vertical:
            panels.append(((left, top, edge, bottom), group, depth))
            left = edge
        else:
            panels.append(((left, top, right, edge), group, depth))
            top = edge
    return panels
