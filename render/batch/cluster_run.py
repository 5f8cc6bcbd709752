"""Work on the workers of a Dask scheduler, which sees the same files under the same paths.

Work whose worker is lost is done again by another. The scheduler gives up on it after it has lost
more workers than ``distributed.scheduler.allowed-failures`` (3 unless configured), and the order is
then reported by name. A ``tls://`` address takes the certificates of Dask's own configuration.
"""

from __future__ import annotations

import os
import time
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from layouts.terms.counts import counted
from layouts.terms.errors import OutputError
from render.batch.apart import ChildEndedError, Children, packed, unpacked
from render.batch.one_order import Outcome, State, Work
from render.files.overwrite import is_as_made

if TYPE_CHECKING:
    from distributed import Client, Future

_CODE = "cluster"
_ANSWER = 10.0  # seconds that a scheduler has to answer
_WORKERS = 30.0  # seconds to wait for a worker, at the start and after the last one is lost
_LOOK = 0.2  # seconds between two looks at the workers
_RETRIES = 1  # of a task whose own process ended on a worker that lives on


def run_cluster(works: Sequence[Work], address: str) -> Iterator[tuple[Work, tuple[Outcome, ...]]]:
    """The outcomes of each piece as they come.

    Raises:
        OutputError: Dask is not installed, or no scheduler or no worker answers.
    """
    client = _client(address)
    try:
        epoch = os.environ.get("SOURCE_DATE_EPOCH")
        waiting = {
            client.submit(run_on_worker, packed(work), epoch, pure=False, retries=_RETRIES): work
            for work in works
        }
        yield from _collected(client, waiting)
    finally:
        client.close(timeout=_ANSWER)


def run_on_worker(work: bytes, epoch: str | None) -> bytes:
    """Work in a process beside the worker; the worker goes on if that process ends."""
    return Children().run(work, 1, epoch)


def _client(address: str) -> Client:
    try:
        from distributed import Client
    except ImportError as error:
        what = "--cluster needs Dask, which is not installed; install pipelegend[cluster]"
        raise OutputError(what, _CODE) from error
    try:
        client = Client(address, timeout=_ANSWER, set_as_default=False)
    except (OSError, ValueError, TypeError) as error:
        what = f"no Dask scheduler answers at {address}; check the address and that it runs"
        raise OutputError(what, _CODE) from error
    try:
        client.wait_for_workers(1, timeout=_WORKERS)
    except TimeoutError as error:
        client.close(timeout=_ANSWER)
        what = f"the scheduler at {address} has no worker; start dask worker {address}"
        raise OutputError(what, _CODE) from error
    return client


def _collected(
    client: Client, waiting: dict[Future, Work]
) -> Iterator[tuple[Work, tuple[Outcome, ...]]]:
    """Outcomes as they come, while there is a scheduler and a worker."""
    seen = time.monotonic()
    while waiting:
        done = [each for each in waiting if each.done()]
        for each in done:
            work = waiting.pop(each)
            yield work, _outcomes(each, work)
        if done or _has_workers(client):
            seen = time.monotonic()
        elif time.monotonic() - seen > _WORKERS:
            for work in waiting.values():
                yield work, work.failed("no worker of the cluster is left")
            return
        if not done:
            time.sleep(_LOOK)


def _has_workers(client: Client) -> bool:
    try:
        return client.status == "running" and bool(client.nthreads())
    except (OSError, TimeoutError):
        return False


def _outcomes(future: Future, work: Work) -> tuple[Outcome, ...]:
    """What a worker gave back; a folder that this machine does not see is no folder."""
    from distributed import KilledWorker

    try:
        outcomes = unpacked(future.result(timeout=_ANSWER))
    except KilledWorker as error:
        lost = counted(error.allowed_failures + 1, "worker")
        return work.failed(f"{lost} ended while it made the order")
    except ChildEndedError as error:
        return work.failed(str(error))
    except Exception as error:  # whatever a foreign worker raises, such as a missing package
        return work.failed(f"the worker could not make it: {type(error).__name__}: {error}")
    return tuple(_seen(each, work.folder.parent / each.name) for each in outcomes)


def _seen(outcome: Outcome, folder: Path) -> Outcome:
    if outcome.state is not State.MADE or is_as_made(folder):
        return outcome
    what = f"this machine does not see {folder}, which a worker wrote; share it under one path"
    return replace(outcome, state=State.FAILED, remark=what)
