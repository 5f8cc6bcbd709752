"""Tasks on this machine, as many at once as fit; a killed one is run again by itself."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor, as_completed

from render.batch.apart import ChildEndedError, Children, packed, unpacked
from render.batch.one_order import Outcome, Task, failed
from render.processes import core_count


def run_local(tasks: Sequence[Task], processes: int) -> Iterator[Outcome]:
    """The outcome of each task as it comes, ``processes`` at once, which share the cores."""
    children, again = Children(), []
    each = max(1, core_count() // processes)
    pool = ThreadPoolExecutor(processes)

    def run(task: Task, cores: int = each) -> Outcome:
        return unpacked(children.run(packed(task), cores, os.environ.get("SOURCE_DATE_EPOCH")))

    try:
        waiting = {pool.submit(run, task): task for task in tasks}
        for done in as_completed(waiting):
            try:
                yield done.result()
            except ChildEndedError:
                again.append(waiting[done])
        for task in again:  # with the whole machine to itself
            try:
                yield run(task, core_count())
            except ChildEndedError as error:
                yield failed(task, str(error))
    finally:
        children.stop()
        pool.shutdown(cancel_futures=True)
