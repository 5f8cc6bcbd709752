"""The process of one order: ``python -m render.batch.order_child PROCESSES PARENT``.

A pickled task comes by standard input, and its pickled outcome leaves by standard output.
"""

from __future__ import annotations

import gc
import os
import pickle
import sys

from render.cli.streams import end_cleanly_when_stopped
from render.processes import die_with_parent, use_at_most


def main() -> None:
    """Do the task and end."""
    gc.disable()  # the process ends before a collection would pay off
    end_cleanly_when_stopped()
    die_with_parent(int(sys.argv[2]))
    use_at_most(int(sys.argv[1]))
    with os.fdopen(os.dup(sys.stdout.fileno()), "wb") as out:
        os.dup2(sys.stderr.fileno(), sys.stdout.fileno())  # whatever else is printed
        task = pickle.load(sys.stdin.buffer)
        out.write(pickle.dumps(_outcome(task)))


def _outcome(task: object) -> object:
    from render.batch.one_order import Task, failed, make_order

    assert isinstance(task, Task)
    try:
        return make_order(task)
    except MemoryError:
        return failed(task, "not enough memory; split the list, or close programs")
    except Exception as error:  # last resort: any error becomes one sentence
        from render.cli.crash import report

        return failed(task, report(error, [str(task.lists.path)]))


if __name__ == "__main__":
    main()
