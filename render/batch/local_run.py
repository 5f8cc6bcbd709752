"""Work on this machine, as many pieces at once as fit; a killed one is run again by itself."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor, as_completed

from render.batch.apart import ChildEndedError, Children, packed, unpacked
from render.batch.one_order import Outcome, Work
from render.processes import core_count


def run_local(works: Sequence[Work], processes: int) -> Iterator[tuple[Work, tuple[Outcome, ...]]]:
    """The outcomes of each piece as they come, ``processes`` at once, which share the cores."""
    children, again = Children(), list[Work]()
    each = max(1, core_count() // processes)
    pool = ThreadPoolExecutor(processes)

    def run(work: Work, cores: int = each) -> tuple[Outcome, ...]:
        return unpacked(children.run(packed(work), cores, os.environ.get("SOURCE_DATE_EPOCH")))

    try:
        waiting = {pool.submit(run, work): work for work in works}
        for done in as_completed(waiting):
            try:
                yield waiting[done], done.result()
            except ChildEndedError:
                again.append(waiting[done])
        for work in again:  # with the whole machine to itself
            try:
                yield work, run(work, core_count())
            except ChildEndedError as error:
                yield work, work.failed(str(error))
    finally:
        children.stop()
        pool.shutdown(cancel_futures=True)
