"""The judge: checks a nest against its request without knowing how it was found.

Every layout is checked piece by piece, and the proven bound is recomputed from only its
whole-number prices.
"""

from collections import Counter
from collections.abc import Sequence

from layouts.nest.judge_bound import bound_faults
from layouts.nest.model import (
    Arrangement,
    Cutting,
    KeepOut,
    Nest,
    NestRequest,
    RollStock,
    SheetStock,
    Turn,
)

Box = tuple[int, int, int, int]
Placed = tuple[int, int, int, int, bool]
"""Left, top, right, bottom of a piece's box, and whether it is a disc."""


def judge_nest(request: NestRequest, nest: Nest) -> tuple[str, ...]:
    """All faults of the nest, in plain sentences; empty when there is none."""
    faults: list[str] = []
    stocks = {stock.key: stock for stock in request.stocks}
    used: Counter[str] = Counter()
    for number, arrangement in enumerate(nest.arrangements, start=1):
        where = f"arrangement {number}"
        stock = stocks.get(arrangement.stock)
        if stock is None:
            faults.append(f"{where}: stock {arrangement.stock} was not offered")
            continue
        used[arrangement.stock] += arrangement.copies
        faults.extend(f"{where}: {fault}" for fault in _layout(request, stock, arrangement))
    for key, count in used.items():
        limit = stocks[key].limit
        if limit is not None and count > limit:
            faults.append(f"stock {key}: {count} used of {limit}")
    faults.extend(_count_faults(request, nest))
    if not faults:
        faults.extend(bound_faults(request, nest))
    return tuple(faults)


def _count_faults(request: NestRequest, nest: Nest) -> list[str]:
    made: Counter[int] = Counter()
    for arrangement in nest.arrangements:
        for slot in arrangement.slots:
            made[slot.piece] += arrangement.copies
    for rest in nest.unplaced:
        made[rest.piece] += rest.count
    return [
        f"piece {piece.key}: {made[i]} accounted for, {piece.demand} wanted"
        for i, piece in enumerate(request.pieces)
        if made[i] != piece.demand
    ]


def _layout(
    request: NestRequest, stock: SheetStock | RollStock, arrangement: Arrangement
) -> list[str]:
    faults: list[str] = []
    if arrangement.copies < 1 or not arrangement.slots:
        faults.append("no copies or nothing on it")
    if any(not 0 <= slot.piece < len(request.pieces) for slot in arrangement.slots):
        return [*faults, "an unknown piece"]
    placed: list[Placed] = []
    for slot in arrangement.slots:
        piece = request.pieces[slot.piece]
        if slot.turned and piece.turn is not Turn.FREE:
            faults.append(f"piece {piece.key} turned, though it may not be")
        width, height = piece.width_um, piece.height_um
        if slot.turned:
            width, height = height, width
        right, bottom = slot.x_um + width, slot.y_um + height
        placed.append((slot.x_um, slot.y_um, right, bottom, piece.round))
    faults.extend(_edge_faults(request, stock, arrangement, placed))
    faults.extend(_gap_faults(request, arrangement, placed))
    if request.cutting is Cutting.GUILLOTINE:
        if not _cuttable([p[:4] for p in placed], request.gap_um):
            faults.append("cannot be parted by straight cuts from edge to edge")
        else:
            faults.extend(_cut_faults(arrangement, [p[:4] for p in placed]))
    return faults


def _edge_faults(
    request: NestRequest,
    stock: SheetStock | RollStock,
    arrangement: Arrangement,
    placed: Sequence[Placed],
) -> list[str]:
    m = stock.margins
    top, bottom = m.top_um, m.bottom_um
    if isinstance(stock, RollStock):
        top, bottom = top + stock.leader_um, bottom + stock.trailer_um
        longest = stock.frame_um
    else:
        longest = stock.height_um
    faults = []
    if arrangement.width_um != stock.width_um:
        faults.append(f"width {arrangement.width_um} is not that of stock {stock.key}")
    if isinstance(stock, SheetStock) and arrangement.length_um != longest:
        faults.append(f"length {arrangement.length_um} is not that of stock {stock.key}")
    if arrangement.length_um > longest:
        faults.append(f"length {arrangement.length_um} above {longest}")
    room = (m.left_um, top, stock.width_um - m.right_um, arrangement.length_um - bottom)
    for slot, box in zip(arrangement.slots, placed, strict=True):
        key = request.pieces[slot.piece].key
        if box[0] < room[0] or box[1] < room[1] or box[2] > room[2] or box[3] > room[3]:
            faults.append(f"piece {key} at {slot.x_um}, {slot.y_um} is over the edge")
        if any(_touches(box, out) for out in stock.keep_outs):
            faults.append(f"piece {key} at {slot.x_um}, {slot.y_um} is on a keep-out zone")
    return faults


def _touches(box: Placed, out: KeepOut) -> bool:
    return (
        box[0] < out.x_um + out.width_um
        and box[2] > out.x_um
        and box[1] < out.y_um + out.height_um
        and box[3] > out.y_um
    )


def _gap_faults(
    request: NestRequest, arrangement: Arrangement, placed: Sequence[Placed]
) -> list[str]:
    order = sorted(range(len(placed)), key=lambda i: placed[i][0])
    faults = []
    for n, i in enumerate(order):
        for j in order[n + 1 :]:
            if placed[j][0] >= placed[i][2] + request.gap_um:
                break
            if _too_near(placed[i], placed[j], request.gap_um):
                first = request.pieces[arrangement.slots[i].piece].key
                second = request.pieces[arrangement.slots[j].piece].key
                faults.append(f"pieces {first} and {second} overlap or lie nearer than the gap")
    return faults


def _too_near(a: Placed, b: Placed, gap: int) -> bool:
    if a[4] and b[4]:
        # Twice the centers' distance against the sum of diameters and two gaps.
        dx = a[0] + a[2] - b[0] - b[2]
        dy = a[1] + a[3] - b[1] - b[3]
        need = (a[2] - a[0]) + (b[2] - b[0]) + 2 * gap
        return dx * dx + dy * dy < need * need
    apart_x = a[2] + gap <= b[0] or b[2] + gap <= a[0]
    apart_y = a[3] + gap <= b[1] or b[3] + gap <= a[1]
    return not (apart_x or apart_y)


def _cuttable(boxes: list[Box], gap: int) -> bool:
    """Whether straight gaps part the boxes all the way down to single ones."""
    pending = [boxes]
    while pending:
        group = pending.pop()
        if len(group) < 2:
            continue
        for low, high in ((0, 2), (1, 3)):
            group.sort(key=lambda box: box[low])
            reach = group[0][high]
            at = 0
            for n, box in enumerate(group[1:], start=1):
                if box[low] >= reach + gap:
                    at = n
                    break
                reach = max(reach, box[high])
            if at:
                pending += [group[:at], group[at:]]
                break
        else:
            return False
    return True


def _cut_faults(arrangement: Arrangement, boxes: list[Box]) -> list[str]:
    """Make the cuts, one after the other, on a blank sheet: each box must come out exactly."""
    # Panels by the two edges a cut would run between, for either way of cutting.
    by_edges: dict[tuple[bool, int, int], list[Box]] = {}
    panels: Counter[Box] = Counter()

    def lay(panel: Box) -> None:
        left, top, right, bottom = panel
        panels[panel] += 1
        by_edges.setdefault((True, top, bottom), []).append(panel)
        by_edges.setdefault((False, left, right), []).append(panel)

    lay((0, 0, arrangement.width_um, arrangement.length_um))
    for step in arrangement.cuts:
        near, far = (0, 2) if step.vertical else (1, 3)
        for panel in by_edges.get((step.vertical, step.start_um, step.end_um), ()):
            if panels[panel] and panel[near] < step.at_um < panel[far]:
                break
        else:
            return ["a cut of the sequence does not run from edge to edge of a panel"]
        panels[panel] -= 1
        left, top, right, bottom = panel
        if step.vertical:
            lay((left, top, step.at_um, bottom))
            lay((step.at_um, top, right, bottom))
        else:
            lay((left, top, right, step.at_um))
            lay((left, step.at_um, right, bottom))
    missing = Counter(boxes) - panels
    return [f"the cut sequence does not free {missing.total()} pieces"] if missing else []
