"""The covering linear program over patterns. The only module that talks to HiGHS.

Single-threaded, without a time limit. It loads in milliseconds.
"""

from collections.abc import Sequence

import highspy
import numpy as np

from layouts.nest.patterns.grid import Floats, Ints

_DUAL, _PRIMAL = 1, 4
"""HiGHS's numbers for the dual and the primal simplex method."""


class QuietModel(highspy.Highs):
    """HiGHS without its banner, which turning the callbacks on would print."""

    def enableCallbacks(self) -> None:  # noqa: N802  # highspy's own name
        """Callbacks stay off: nothing here uses them."""


def new_model() -> QuietModel:
    """An empty model: no output, one thread, no time limit, a fixed seed."""
    model: QuietModel = QuietModel()  # type: ignore[no-untyped-call]  # highspy's constructor
    for option, value in (
        ("output_flag", False),
        ("threads", 1),
        ("presolve", "off"),
        ("solver", "simplex"),
        ("random_seed", 0),
    ):
        model.setOptionValue(option, value)
    return model


class Master:
    """A covering LP with one row a piece, grown column by column."""

    def __init__(self, demands: Ints, limits: Sequence[int | None]) -> None:
        """Rows for the pieces' demands, then one for each stock's limit."""
        self._lp = new_model()
        # New columns leave the latest solution feasible: the primal simplex goes on from it.
        self._lp.setOptionValue("simplex_strategy", _PRIMAL)
        self._pieces = len(demands)
        self._columns = 0
        none: list[int] = []
        factors = np.empty(0)
        for demand in demands:
            self._lp.addRow(float(demand), highspy.kHighsInf, 0, none, factors)
        for limit in limits:
            most = highspy.kHighsInf if limit is None else float(limit)
            self._lp.addRow(-highspy.kHighsInf, most, 0, none, factors)

    def add(self, cost: float, counts: Ints, stock: int | None) -> None:
        """A column: its cost, the pieces it makes, and the stock it uses."""
        index = np.flatnonzero(counts)
        values = counts[index].astype(np.float64)
        if stock is not None:
            index = np.append(index, self._pieces + stock)
            values = np.append(values, 1.0)
        self._lp.addCol(cost, 0.0, highspy.kHighsInf, len(index), index.astype(np.int32), values)
        self._columns += 1

    def demand(self, demands: Ints, limits: Sequence[int | None]) -> None:
        """Change the demand and the stock that is left.

        The latest prices stay feasible, so the dual simplex continues from them.
        """
        self._lp.setOptionValue("simplex_strategy", _DUAL)
        for row, demand in enumerate(demands):
            self._lp.changeRowBounds(row, float(demand), highspy.kHighsInf)
        for n, limit in enumerate(limits):
            most = highspy.kHighsInf if limit is None else float(limit)
            self._lp.changeRowBounds(self._pieces + n, -highspy.kHighsInf, most)

    def solve(self) -> tuple[float, Floats, Floats, Floats]:
        """Cost, column values, piece prices (at least 0), limit prices (at most 0)."""
        self._lp.run()
        solution = self._lp.getSolution()
        duals = np.array(solution.row_dual)
        return (
            float(self._lp.getObjectiveValue()),
            np.array(solution.col_value),
            np.maximum(duals[: self._pieces], 0.0),
            np.minimum(duals[self._pieces :], 0.0),
        )
