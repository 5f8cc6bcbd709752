"""The inner loops give the same nest compiled and as plain Python."""

import subprocess
import sys

import pytest

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
