"""From a layout to the straight cuts that part it, in the order in which they are made."""

from collections.abc import Sequence

from layouts.nest.model import CutStep, NestRequest, Slot

Rect = tuple[int, int, int, int]
"""Left, top, right, bottom in micrometers."""


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
    return (
        min(r[0] for r in rects),
        min(r[1] for r in rects),
        max(r[2] for r in rects),
        max(r[3] for r in rects),
    )


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


def _split(rects: list[Rect], gap: int) -> tuple[bool, list[list[Rect]]] | None:
    """Groups parted by straight gaps: across if that parts anything, else along."""
    best: tuple[bool, list[list[Rect]]] | None = None
    for vertical in (False, True):
        low, high = (0, 2) if vertical else (1, 3)
        groups: list[list[Rect]] = []
        end = 0
        for rect in sorted(rects, key=lambda r: (r[low], r)):
            if groups and rect[low] < end + gap:
                groups[-1].append(rect)
                end = max(end, rect[high])
            else:
                groups.append([rect])
                end = rect[high]
        if len(groups) > 1 and (best is None or len(groups) < len(best[1])):
            best = (vertical, groups)
    return best


def _part(
    panel: Rect, vertical: bool, groups: list[list[Rect]], depth: int, steps: list[CutStep]
) -> list[tuple[Rect, list[Rect], int]]:
    """Cut the groups off one after the other; the panels that come of it."""
    panels: list[tuple[Rect, list[Rect], int]] = []
    left, top, right, bottom = panel
    for n, group in enumerate(groups):
        edge = max(r[2 if vertical else 3] for r in group)
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
