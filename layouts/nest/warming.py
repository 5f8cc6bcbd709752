"""Fill the compiler's cache, so that no order ever waits for it."""

import numpy as np

from layouts.nest.emptying import emptied
from layouts.nest.engine import nest
from layouts.nest.job import make_job
from layouts.nest.model import Cutting, Margins, NestRequest, Piece, RollStock, SheetStock
from layouts.nest.pricing import Pricer
from layouts.nest.quick import quick_plan


def warm() -> None:
    """Nest small orders that call every compiled kernel; a set-up runs this once.

    Compiled code is kept beside the package, or in the user's cache where that is read-only.
    """
    pieces = (Piece("a", 50, 30, 9), Piece("b", 40, 20, 7), Piece("c", 30, 70, 8))
    for cutting in Cutting:
        nest(NestRequest(pieces, (SheetStock("s", 100, 120),), 1, cutting, effort=1))
    nest(NestRequest(pieces, (RollStock("r", 100, Margins(), 500),), 1, Cutting.FREE, effort=1))
    nest(NestRequest(pieces, (RollStock("r", 100, Margins(), 500),), 1, Cutting.FREE, effort=101))
    job, _ = make_job(NestRequest(pieces, (SheetStock("s", 100, 120),), 1, Cutting.FREE, effort=1))
    emptied(job, quick_plan(job)[0], 0)
    # Prices too large for the narrow tables, as stock in short supply makes them.
    pricer, large = Pricer(job, job.plates[0], 1), np.full(len(pieces), 1 << 40)
    pricer.worth(large)
    pricer.demand_column(large, np.array(job.demands))
