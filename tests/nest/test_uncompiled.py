"""The inner loops give the same nest compiled and as plain Python, and are compiled before it."""

import subprocess
import sys

import pytest

from layouts.nest import Cutting, NestRequest, SheetStock, compiles, warm
from layouts.nest.patterns import bounded_kernels, kernels
from tests.nest.orders import request

ORDER = """
import sys
if "{numba}" == "hidden":
    sys.modules["numba"] = None
from layouts.nest import Cutting, NestRequest, Piece, SheetStock, nest
pieces = (Piece("a", 50, 30, 270), Piece("b", 40, 20, 210), Piece("c", 30, 70, 240))
sheet = SheetStock("s", 100, 120)
print(nest(NestRequest(pieces, (sheet,), 1, Cutting.GUILLOTINE, effort=100)))
print("numba.core" in sys.modules)
"""


@pytest.mark.slow
def test_the_nest_is_the_same_without_a_compiler() -> None:
    answers = []
    for numba in ("shown", "hidden"):
        code = ORDER.format(numba=numba)
        done = subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, check=True
        )
        answers.append(done.stdout.splitlines())
    (shown, loaded), (hidden, absent) = answers
    assert shown == hidden
    assert (loaded, absent) == ("True", "False")


def test_warming_compiles_every_loop() -> None:
    pytest.importorskip("numba")
    warm(every=False)
    # Those that Python calls; they hold the others.
    loops = (
        kernels.price_table,
        kernels.trace_price,
        kernels.bar_table,
        bounded_kernels.bounded_table,
        bounded_kernels.trace_bounded,
    )
    assert [str(loop) for loop in loops if not getattr(loop, "signatures", ())] == []


def _strips(kinds: int, each: int, cutting: Cutting, effort: int = 100) -> NestRequest:
    """So many sizes, so many of each, on a large sheet; sizes our own."""
    sizes = [(40 + 7 * n, 30 + 3 * n, each) for n in range(kinds)]
    return request(sizes, SheetStock("s", 600, 900), cutting=cutting, effort=effort)


def test_large_orders_of_many_sizes_compile() -> None:
    assert compiles(_strips(3, 101, Cutting.GUILLOTINE))
    assert compiles(_strips(9, 40, Cutting.FREE))


def test_small_orders_contours_of_few_sizes_and_first_answers_may_not() -> None:
    assert not compiles(_strips(3, 100, Cutting.GUILLOTINE))
    assert not compiles(_strips(9, 30, Cutting.FREE))
    assert not compiles(_strips(3, 400, Cutting.FREE))
    assert not compiles(_strips(3, 101, Cutting.GUILLOTINE, effort=0))
