"""Runs a batch: what is finished is kept, the rest is made, and one table lists all of it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from layouts.terms.errors import OutputError
from layouts.terms.values import frozen
from render.batch.batch_table import batch_csv, is_batch_table
from render.batch.fitting import fitting_processes
from render.batch.one_order import OrderWork, Outcome, State, Work
from render.batch.orders_found import GANG, TABLE, find_orders
from render.files.atomic import write_file
from render.files.overwrite import refuse_existing
from render.lists import Given, Lists


@frozen
class BatchOptions:
    """What a batch is asked for beside its orders and their options.

    ``cluster`` is the address of a Dask scheduler; ``processes`` is the number of orders to run
    at once on this machine, zero for as many as fit. ``gang`` nests the orders on shared sheets.
    """

    force: bool = False
    processes: int = 0
    cluster: str = ""
    gang: bool = False


@frozen
class BatchStep:
    """How far a batch is: orders, and their share of the work from 0 to 1."""

    done: int
    total: int
    share: float
    last: Outcome | None = None


OnStep = Callable[[BatchStep], None]


def ignore_steps(_: BatchStep) -> None:
    """Ignores how far a batch is."""


@frozen
class Batch:
    """The outcome of every order, by name."""

    folder: Path
    outcomes: tuple[Outcome, ...]

    @property
    def exit_code(self) -> int:
        """The worst of all: 0 made or kept, 1 blocked, 2 not readable or not written."""
        codes = {State.MADE: 0, State.KEPT: 0, State.BLOCKED: 1}
        return max(codes.get(each.state, 2) for each in self.outcomes)


def run_batch(
    paths: Sequence[Path],
    folder: Path,
    mapping: Path | None,
    given: Given,
    asked: BatchOptions,
    on_step: OnStep = ignore_steps,
) -> Batch:
    """Make every order among files and folders, each into its own folder in ``folder``.

    An order that cannot be made does not stop the others. The table ``batch.csv`` is written last.

    Raises:
        InputError: a file is missing, or an option's file cannot be used.
        OutputError: the folder cannot be written, or the cluster cannot be reached.
    """
    given.options(folder)  # a faulty shop's file is one fault, not one for each order
    files = [path for path in (*given.files, mapping) if path is not None]
    listed = find_orders(paths, folder, files)
    table = folder / TABLE
    if table.exists():
        refuse_existing(table, True, (".csv",), is_batch_table)
    _make_folder(folder)
    absolute = _from_root(given)
    orders = tuple(
        OrderWork(
            each.name,
            Lists(each.path, None if mapping is None else mapping.absolute()),
            absolute,
            folder.absolute() / each.name,
            asked.force,
        )
        for each in listed
    )
    works: Sequence[Work] = orders
    if asked.gang:
        from render.batch.gang_work import GangWork

        works = [GangWork(orders, folder.absolute() / GANG, asked.force)]
    outcomes = sorted(_run(works, len(orders), asked, on_step), key=lambda each: each.name)
    write_file(table, batch_csv(outcomes))
    return Batch(folder, tuple(outcomes))


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        what = f"{folder} cannot be written: {error.strerror or error}"
        raise OutputError(what, "cannot-write") from error


def _from_root(given: Given) -> Given:
    """The same files by their whole paths, for a process in another folder."""
    shop, font, profile, prices, approval = (
        None if path is None else path.absolute() for path in given.files
    )
    return replace(given, shop=shop, font=font, profile=profile, prices=prices, approval=approval)


def _run(
    works: Sequence[Work], total: int, asked: BatchOptions, on_step: OnStep
) -> Iterator[Outcome]:
    """Every outcome, reported as it comes: first of what is kept, then of the largest orders."""
    todo: list[Work] = []
    done = 0
    for work in works:
        kept = work.kept()
        done += _of_orders(kept)
        if not kept:
            todo.append(work)
        for outcome in kept:
            on_step(BatchStep(done, total, 0.0, outcome))
            yield outcome
    if not todo:
        return
    todo.sort(key=lambda work: -_size(work))
    size, made = sum(map(_size, todo)), 0
    for work, outcomes in _outcomes(todo, asked):
        made += _size(work)
        for outcome in outcomes:
            done += _of_orders([outcome])
            on_step(BatchStep(done, total, made / size, outcome))
            yield outcome


def _of_orders(outcomes: Iterable[Outcome]) -> int:
    """How many are of orders, and not of what orders share."""
    return sum(each.name != GANG for each in outcomes)


def _size(work: Work) -> int:
    """A measure of the work: the bytes of the orders' files."""
    return sum(max(1, path.stat().st_size) if path.is_file() else 1 for path in work.paths)


def _outcomes(
    todo: Sequence[Work], asked: BatchOptions
) -> Iterator[tuple[Work, tuple[Outcome, ...]]]:
    if asked.cluster:
        from render.batch.cluster_run import run_cluster

        return run_cluster(todo, asked.cluster)
    from render.batch.local_run import run_local

    fitting = asked.processes or fitting_processes([work.paths for work in todo])
    return run_local(todo, min(fitting, len(todo)))
