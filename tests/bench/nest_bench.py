"""Nesting measured: our sheets, bounds and seconds beside rectpack's, in the same run.

    python -m tests.bench.nest_bench [--instances FOLDER] [--rows faces markers roll cold bpp ...]

The folder holds the instances (marker_orders.json, bpp500.json, csp_cintra2008.json,
csp_imahori2005.json, strip_hopper_C.json); none are kept in this repository, and without them
row `faces` alone is run: our own film markers of the lists of `lists`. Compiled kernels are warmed
first; row `cold` times whole processes instead.
"""

import argparse
import json
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import rectpack

from layouts.nest import (
    Cutting,
    Margins,
    Nest,
    NestRequest,
    Piece,
    RollStock,
    SheetStock,
    Turn,
    judge_nest,
    nest,
    warm,
)

UM_PER_MIL = 25.4
ROLL_IN, FRAME_IN = 54, 600
OWN = "faces"
OWN_COUNTS = (200, 2_000, 20_000, 200_000)
PEER_SLOW_PARTS = 2_000  # above, its other settings take many minutes
PEER_MOST_PARTS = 20_000
Instance = dict[str, Any]


def main() -> None:
    """Print the rows asked for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--instances", type=Path)
    parser.add_argument("--rows", nargs="*", choices=ROWS)
    parser.add_argument("--every", type=int, default=1, help="take each n-th instance of a set")
    parser.add_argument("--effort", type=int, default=100, help="0 to 100, what users run")
    asked = parser.parse_args()
    warm()
    for row in asked.rows or (ROWS if asked.instances else [OWN]):
        if row != OWN and asked.instances is None:
            parser.error(f"row {row} needs --instances")
        print(f"\n## {row}", flush=True)
        for line in ROWS[row](asked.instances or Path(), asked.every, asked.effort):
            print(line, flush=True)


def _stages(found: Nest) -> str:
    """What each stage brought, in percent of the cost before it; those that brought something."""
    gains = []
    for run in found.stages:
        if run.cost_before is not None and run.cost_after < run.cost_before:
            gain = 100 * (1 - run.cost_after / run.cost_before)
            gains.append(f"{run.name} -{gain:.1f} %")
    return ", ".join(gains) or "none"


def _load(folder: Path, name: str, every: int = 1) -> list[Instance]:
    instances: list[Instance] = json.loads((folder / name).read_text())
    return instances[::every]


def _timed(request: NestRequest) -> tuple[Nest, float, float]:
    """The nest, wall seconds and processor seconds; raises if the judge finds a fault."""
    wall, processor = time.perf_counter(), time.process_time()
    found = nest(request)
    wall, processor = time.perf_counter() - wall, time.process_time() - processor
    faults = judge_nest(request, found)
    if faults:
        raise RuntimeError(faults[0])
    return found, wall, processor


def marker_request(order: Instance, stock_in: tuple[int, int] | int, effort: int) -> NestRequest:
    """A marker order, sizes in thousandths of an inch, on sheets or on a roll."""
    pieces = tuple(Piece(f"{w}x{h}", _um(w), _um(h), demand) for w, h, demand in order["items"])
    margins = Margins(*[_um(order["margin"])] * 4)
    stock: SheetStock | RollStock
    if isinstance(stock_in, tuple):
        stock = SheetStock("sheet", _um(1000 * stock_in[0]), _um(1000 * stock_in[1]), margins)
    else:
        stock = RollStock("roll", _um(1000 * stock_in), margins, _um(1000 * FRAME_IN))
    return NestRequest(pieces, (stock,), _um(order["gap"]), Cutting.GUILLOTINE, effort)


def _um(mil: float) -> int:
    return round(mil * UM_PER_MIL)


def marker_rows(folder: Path, every: int, effort: int) -> Iterator[str]:
    """Sheets of markers, every sheet strictly guillotine."""
    yield (
        "order | sheets | bound | wall s | cpu s | distinct | rectpack sheets | cpu s | ratio | "
        "stages that gained"
    )
    for order in _with_million(_load(folder, "marker_orders.json")):
        for size in ((24, 48), (48, 96)):
            request = marker_request(order, size, effort)
            found, wall, processor = _timed(request)
            peer = _peer_cells(request, processor)
            yield (
                f"{order['profile']} {order['parts']} {size[0]}x{size[1]} | {found.sheets} | "
                f"{found.bound.sheets} {found.bound.kind} | {wall:.2f} | {processor:.2f} | "
                f"{found.distinct} | {peer} | {_stages(found)}"
            )


def _with_million(orders: list[Instance]) -> list[Instance]:
    largest = [o for o in orders if o["parts"] == 200_000]
    grown = [
        {**o, "parts": 1_000_000, "items": [[w, h, 5 * n] for w, h, n in o["items"]]}
        for o in largest
    ]
    return orders + grown


def _peer_cells(request: NestRequest, processor: float) -> str:
    """The peer's sheets, its CPU seconds and how many times ours those are, where it ends."""
    if sum(piece.demand for piece in request.pieces) > PEER_MOST_PARTS:
        return "- | - | -"
    sheets, seconds = _peer_sheets(request)
    return f"{sheets} | {seconds:.2f} | {seconds / processor:.1f}"


def _peer_sheets(request: NestRequest) -> tuple[int, float]:
    """Sheets and CPU seconds of rectpack's better setting, of those that end in minutes."""
    stock = request.stocks[0]
    assert isinstance(stock, SheetStock)
    gap, m = request.gap_um, stock.margins
    room = (
        stock.width_um - m.left_um - m.right_um + gap,
        stock.height_um - m.top_um - m.bottom_um + gap,
    )
    settings = [
        (rectpack.MaxRectsBl, rectpack.SORT_LSIDE),
        (rectpack.GuillotineBafMaxas, rectpack.SORT_SSIDE),
    ]
    if sum(piece.demand for piece in request.pieces) <= PEER_SLOW_PARTS:
        slow = (rectpack.MaxRectsBssf, rectpack.SkylineMwfl)
        settings += [(each, rectpack.SORT_LSIDE) for each in slow]
    found: list[tuple[int, float]] = []
    for algorithm, order in settings:
        started = time.process_time()
        packer = rectpack.newPacker(
            bin_algo=rectpack.PackingBin.BFF,
            pack_algo=algorithm,
            sort_algo=order,
            rotation=True,
        )
        for piece in request.pieces:
            for _ in range(piece.demand):
                packer.add_rect(piece.width_um + gap, piece.height_um + gap)
        packer.add_bin(*room, count=float("inf"))
        packer.pack()
        found.append((len(packer), time.process_time() - started))
    return min(found)


def face_rows(folder: Path, every: int, effort: int) -> Iterator[str]:
    """Our own film markers, as long as their legends are, on sheets of 48 x 96 in and the roll."""
    yield (
        "order | pieces, sizes | stock, cutting | sheets or in | bound | over | cpu s | "
        "rectpack | cpu s | ratio | stages that gained"
    )
    for count in OWN_COUNTS[::every]:
        order = own_order(count)
        parts = f"{order['parts']}, {len(order['items'])}"
        for cutting in Cutting:
            request = replace(marker_request(order, (48, 96), effort), cutting=cutting)
            found, _, processor = _timed(request)
            peer = _peer_cells(request, processor)
            yield (
                f"{count} | {parts} | 48x96 {cutting.value} | {found.sheets} | "
                f"{found.bound.sheets} | {found.sheets / found.bound.sheets:.4f} | "
                f"{processor:.2f} | {peer} | {_stages(found)}"
            )
            request = replace(marker_request(order, ROLL_IN, effort), cutting=cutting)
            found, _, processor = _timed(request)
            length, bound = found.length_um, found.bound.length_um
            yield (
                f"{count} | {parts} | roll {cutting.value} | {length / 25400:.1f} | "
                f"{bound / 25400:.1f} | {length / bound:.4f} | {processor:.2f} | - | - | - | "
                f"{_stages(found)}"
            )


def own_order(count: int) -> Instance:
    """The film of a list of so many markers, as an order of sizes in thousandths of an inch."""
    # Here, since row `cold` times what this module loads.
    from layouts.sheets.pieces import size_of
    from layouts.terms.words import PartRole
    from render.decide import decide as judge_order
    from render.options import Options
    from render.read import read
    from render.shop.shopfile import load_shop
    from tests.bench.lists import write_list

    shop = load_shop()
    film = shop.stocks["roll-54in"]
    with tempfile.TemporaryDirectory() as folder:
        order = read(write_list(Path(folder) / "list.csv", count)).order
    assert order is not None
    demands: Counter[tuple[int, int]] = Counter()
    for marker in judge_order(order, Options(shop), "").gathered.markers:
        for part in marker.face.parts:
            if part.role is PartRole.FILM:
                width, height, _ = size_of(part, film)
                demands[max(width, height), min(width, height)] += marker.quantity
    items = [[w / UM_PER_MIL, h / UM_PER_MIL, n] for (w, h), n in sorted(demands.items())]
    parts = sum(demands.values())
    return {"profile": OWN, "parts": parts, "gap": 250, "margin": 500, "items": items}


def roll_rows(folder: Path, every: int, effort: int) -> Iterator[str]:
    """Roll length over its bound, frames included."""
    yield "order | cutting | length in | bound in | ratio | wall s | cpu s | stages that gained"
    for order in _load(folder, "marker_orders.json")[::every]:
        for cutting in Cutting:
            request = replace(marker_request(order, ROLL_IN, effort), cutting=cutting)
            found, wall, processor = _timed(request)
            length, bound = found.length_um, found.bound.length_um
            yield (
                f"{order['profile']} {order['parts']} | {cutting.value} | {length / 25400:.2f} | "
                f"{bound / 25400:.2f} | {length / bound:.4f} | {wall:.2f} | {processor:.2f} | "
                f"{_stages(found)}"
            )


def cold_rows(folder: Path, every: int, effort: int) -> Iterator[str]:
    """Whole processes without any compiled code, to the first answer and to the last."""
    program = (
        "import json, sys\n"
        "from tests.bench.nest_bench import marker_request\n"
        "from layouts.nest import nest\n"
        "order = json.loads(sys.argv[1])\n"
        "print(nest(marker_request(order, (24, 48), int(sys.argv[2]))).sheets)\n"
    )
    yield "order | effort | sheets | wall s of the process"
    for order in _load(folder, "marker_orders.json"):
        if order["parts"] > 200:
            continue
        for work in (0, effort):
            with tempfile.TemporaryDirectory() as cache:
                started = time.perf_counter()
                done = subprocess.run(
                    [sys.executable, "-c", program, json.dumps(order), str(work)],
                    capture_output=True,
                    text=True,
                    check=True,
                    env={"NUMBA_CACHE_DIR": cache, "PYTHONPATH": str(Path.cwd())},
                )
                wall = time.perf_counter() - started
            yield f"{order['profile']} 200 | {work} | {done.stdout.strip()} | {wall:.2f}"


def plain_request(
    items: list[list[int]], stock: SheetStock | RollStock, turn: Turn, cutting: Cutting, effort: int
) -> NestRequest:
    """An instance from the literature: no gap, no margins. Equal sizes become one piece."""
    demands: dict[tuple[int, int], int] = {}
    for width, height, demand in (item[:3] for item in items):
        size = (width, height)
        if turn is Turn.FREE:
            size = (max(size), min(size))
        demands[size] = demands.get(size, 0) + demand
    pieces = tuple(Piece(f"{w}x{h}", w, h, n, turn) for (w, h), n in demands.items())
    return NestRequest(pieces, (stock,), 0, cutting, effort)


def bpp_rows(folder: Path, every: int, effort: int) -> Iterator[str]:
    """Bin packing, classes 1 to 10, with and without turning."""
    yield "class | turning | bins | best known | cpu s in all | worst"
    instances = _load(folder, "bpp500.json", every)
    for turn, known in ((Turn.FREE, "bks_rotation"), (Turn.LOCKED, "bks_oriented")):
        total = [0, 0, 0.0]
        for kind in range(1, 11):
            sums, worst = [0, 0, 0.0], 0.0
            for one in (i for i in instances if i["class"] == kind):
                stock = SheetStock("bin", *one["bin"])
                request = plain_request(one["items"], stock, turn, Cutting.FREE, effort)
                found, _, processor = _timed(request)
                worst = max(worst, processor)
                sums = [sums[0] + found.sheets, sums[1] + one[known], sums[2] + processor]
            total = [a + b for a, b in zip(total, sums, strict=True)]
            yield f"{kind} | {turn.value} | {sums[0]} | {sums[1]} | {sums[2]:.1f} | {worst:.2f}"
        yield f"all | {turn.value} | {total[0]} | {total[1]} | {total[2]:.1f} |"


def cutting_stock_rows(name: str) -> Callable[[Path, int, int], Iterator[str]]:
    """Cutting stock instances of one file."""

    def rows(folder: Path, every: int, effort: int) -> Iterator[str]:
        yield "instance | sheets | bound | best known | wall s | cpu s"
        total = [0, 0, 0, 0.0]
        for one in _load(folder, name, every):
            stock = SheetStock("sheet", *one["bins"][0][:2])
            turn = Turn.FREE if "Rotation" in one["name"] else Turn.LOCKED
            request = plain_request(one["items"], stock, turn, Cutting.GUILLOTINE, effort)
            found, wall, processor = _timed(request)
            known = one["known"].get("Best known solution value", 0)
            row = [found.sheets, found.bound.sheets, known, processor]
            total = [a + b for a, b in zip(total, row, strict=True)]
            label = one["name"].rsplit("/", 1)[-1]
            yield f"{label} | {row[0]} | {row[1]} | {known} | {wall:.2f} | {processor:.2f}"
        yield f"all | {total[0]} | {total[1]} | {total[2]} | | {total[3]:.1f}"

    return rows


def strip_rows(folder: Path, every: int, effort: int) -> Iterator[str]:
    """Strip packing of zero-waste sets: height over the optimum."""
    yield "turning | mean height over optimum | worst | worst cpu s"
    for turn in (Turn.FREE, Turn.LOCKED):
        ratios, seconds = [], []
        for one in _load(folder, "strip_hopper_C.json", every):
            width = one["bins"][0][0]
            area = sum(w * h * n for w, h, n in (item[:3] for item in one["items"]))
            optimum = -(-area // width)
            stock = RollStock("strip", width, Margins(), frame_um=4 * optimum)
            request = plain_request(one["items"], stock, turn, Cutting.FREE, effort)
            found, _, processor = _timed(request)
            ratios.append(found.length_um / optimum)
            seconds.append(processor)
        mean = sum(ratios) / len(ratios)
        yield f"{turn.value} | {mean:.4f} | {max(ratios):.4f} | {max(seconds):.2f}"


ROWS: dict[str, Callable[[Path, int, int], Iterator[str]]] = {
    OWN: face_rows,
    "markers": marker_rows,
    "roll": roll_rows,
    "cold": cold_rows,
    "bpp": bpp_rows,
    "cintra": cutting_stock_rows("csp_cintra2008.json"),
    "imahori": cutting_stock_rows("csp_imahori2005.json"),
    "strip": strip_rows,
}

if __name__ == "__main__":
    main()
