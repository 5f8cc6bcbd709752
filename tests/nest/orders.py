"""Orders for the nesting tests: random ones, published recipes and ones with a known best."""

import random
from collections import Counter

from layouts.nest import (
    Cutting,
    KeepOut,
    Margins,
    NestRequest,
    Piece,
    RollStock,
    SheetStock,
    Turn,
)


def sheet(width: int, height: int, **more: object) -> SheetStock:
    return SheetStock("sheet", width, height, **more)  # type: ignore[arg-type]


def request(
    sizes: list[tuple[int, int, int]],
    stock: SheetStock | RollStock,
    *,
    gap: int = 0,
    cutting: Cutting = Cutting.GUILLOTINE,
    turn: Turn = Turn.FREE,
    effort: int = 100,
) -> NestRequest:
    """Sizes as width, height, demand."""
    pieces = tuple(
        Piece(f"{w}x{h}#{n}", w, h, demand, turn) for n, (w, h, demand) in enumerate(sizes)
    )
    return NestRequest(pieces, (stock,), gap, cutting, effort)


def any_order(seed: int, effort: int) -> NestRequest:
    """A random order with everything that may occur in one."""
    rng = random.Random(seed)
    turns = (Turn.FREE, Turn.FREE, Turn.LOCKED, Turn.HALF)
    step = 1 if seed % 10 == 0 else rng.choice((5, 10))
    pieces = []
    for n in range(rng.randint(1, 12)):
        width, height = step * rng.randint(1, 70), step * rng.randint(1, 40)
        disc = rng.random() < 0.15
        pieces.append(
            Piece(
                f"p{n}",
                width,
                width if disc else height,
                rng.choice((0, 1, 2, 5, 30)),
                rng.choice(turns),
                disc,
            )
        )
    margins = Margins(*(rng.randint(0, 15) for _ in range(4)))
    stocks: list[SheetStock | RollStock] = []
    for n in range(rng.choice((1, 1, 2))):
        width, length = step * rng.randint(30, 100), step * rng.randint(30, 100)
        outs = tuple(
            KeepOut(rng.randint(0, width), rng.randint(0, length), rng.randint(1, 80), 30)
            for _ in range(rng.choice((0, 0, 1, 2)))
        )
        limit = rng.choice((None, None, 0, 1, 3))
        cost = rng.randint(1, 4)
        if seed % 3:
            stocks.append(SheetStock(f"s{n}", width, length, margins, outs, cost, limit))
        else:
            leader = rng.choice((0, 7))
            stocks.append(
                RollStock(f"r{n}", width, margins, 3 * length, leader, 2, outs, cost, limit)
            )
    cutting = rng.choice((Cutting.GUILLOTINE, Cutting.FREE))
    gap = rng.choice((0, 1, 6))
    return NestRequest(tuple(pieces), tuple(stocks), gap, cutting, effort, seed)


def berkey_wang(kind: int, count: int, seed: int) -> NestRequest:
    """Classes 1 to 6 of Berkey and Wang, "Two-dimensional finite bin-packing algorithms", 1987.

    Sizes are uniform in [1, top] in both directions; the sheet is square.
    """
    side, top = {1: (10, 10), 2: (30, 10), 3: (40, 35), 4: (100, 35), 5: (100, 100), 6: (300, 100)}[
        kind
    ]
    rng = random.Random(seed)
    sizes = [(rng.randint(1, top), rng.randint(1, top), 1) for _ in range(count)]
    return request(sizes, sheet(side, side), cutting=Cutting.FREE, effort=20)


def zero_waste(seed: int, sheets: int, side: int = 60) -> NestRequest:
    """Whole sheets cut at random by straight cuts: the best answer is `sheets`, with no waste."""
    rng = random.Random(seed)
    panels = [(side, side)]
    while len(panels) < 7:
        panels.sort(key=lambda p: p[0] * p[1])
        width, height = panels.pop()
        if width >= height:
            at = rng.randint(width // 4, width - width // 4)
            panels += [(at, height), (width - at, height)]
        else:
            at = rng.randint(height // 4, height - height // 4)
            panels += [(width, at), (width, height - at)]
    sizes = Counter((max(panel), min(panel)) for panel in panels)
    return request([(w, h, n * sheets) for (w, h), n in sizes.items()], sheet(side, side))
