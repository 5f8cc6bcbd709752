"""The plain search: contour cutters get near the bound without a compiler or a solver."""

import random
import subprocess
import sys

import pytest

from layouts.nest import Cutting, Margins, NestRequest, RollStock, judge, nest
from layouts.nest.bars import bar_bound
from layouts.nest.job import make_job
from layouts.nest.rows import row_bound
from layouts.nest.skyline import dead_widths
from tests.nest.orders import berkey_wang, request


def _strips(seed: int) -> NestRequest:
    """Long strips on a wide roll, as pipe markers are; sizes our own."""
    chance = random.Random(seed)
    sizes = [(chance.randint(250, 1200), chance.choice((30, 44, 70, 95)), 24) for _ in range(12)]
    roll = RollStock("r", 1372, Margins(13, 13, 13, 13), 3048)
    return request(sizes, roll, gap=2, cutting=Cutting.FREE)


@pytest.mark.parametrize("seed", range(3))
def test_strips_on_a_roll_come_near_the_bound(seed: int) -> None:
    # Within 1.04 of the proven length: our own limit.
    order = _strips(seed)
    found = nest(order)
    assert judge(order, found) == ()
    assert found.length_um * 100 <= found.bound.length_um * 104


def test_contour_cutting_loads_no_compiler_and_no_solver() -> None:
    program = (
        "import sys\n"
        "from tests.nest.test_plain import _strips\n"
        "for name in ('numba', 'highspy', 'layouts.nest.bars', 'layouts.nest.kernels'):\n"
        "    for each in [m for m in sys.modules if m == name or m.startswith(name + '.')]:\n"
        "        del sys.modules[each]\n"
        "from layouts.nest import nest\n"
        "nest(_strips(0))\n"
        "print(sorted({'numba', 'highspy'} & set(sys.modules)))\n"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True)
    assert done.stdout.strip() == "[]", done.stderr


def test_rows_prove_no_more_than_the_linear_program() -> None:
    # The bar LP (Scheithauer 1999) is the best bound from rows; dual feasible functions are less.
    for kind in range(1, 7):
        job, _ = make_job(berkey_wang(kind, 30, kind))
        rows = row_bound(job)
        assert rows is not None
        assert 1 <= rows.cost <= bar_bound(job).cost


def test_dead_widths_by_hand() -> None:
    # Rows of 3 and 5 in 12 reach 3 5 6 8 9 10 11 12 (and not 1 2 4 7).
    dead, cell = dead_widths([3, 5], 12)
    assert cell == 1
    assert dead[:13] == [0, 1, 2, 0, 1, 0, 0, 1, 0, 0, 0, 0, 0]
