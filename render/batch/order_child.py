"""The process of a piece of work: ``python -m render.batch.order_child PROCESSES PARENT``.

Pickled work comes by standard input, and its pickled outcomes leave by standard output.
"""

from __future__ import annotations

import os
import pickle
import sys
from typing import TYPE_CHECKING

from pipelegend import __version__
from render.cli.streams import end_cleanly_when_stopped
from render.processes import collect_nothing, die_with_parent, use_at_most

if TYPE_CHECKING:
    from render.batch.one_order import Outcome, Work


def main() -> None:
    """Do the work and end."""
    collect_nothing()
    end_cleanly_when_stopped()
    die_with_parent(int(sys.argv[2]))
    use_at_most(int(sys.argv[1]))
    with os.fdopen(os.dup(sys.stdout.fileno()), "wb") as out:
        os.dup2(sys.stderr.fileno(), sys.stdout.fileno())  # whatever else is printed
        version, packed = pickle.load(sys.stdin.buffer)  # noqa: S301  its parent wrote it
        if version != __version__:
            sys.exit(f"it has pipelegend {__version__}, and the command is of {version}")
        work: Work = pickle.loads(packed)  # noqa: S301
        out.write(pickle.dumps(_outcomes(work)))


def _outcomes(work: Work) -> tuple[Outcome, ...]:
    try:
        return work.run()
    except MemoryError:
        return work.failed("not enough memory; split the list, or close programs")
    except Exception as error:  # last resort: any error becomes one sentence
        from render.cli.crash import report

        return work.failed(report(error, [str(path) for path in work.paths]))


if __name__ == "__main__":
    main()
