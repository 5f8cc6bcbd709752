"""Rows of whole orders: the demo plant, long lists, their hops, the peer, and the first run."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

from tests.bench.job_check import CheckError, Made, looked_over
from tests.bench.lists import tags_of, write_list
from tests.bench.processes import TOP, Budget, Run
from tests.bench.rows import Goal, Outcome, Place, Row, RunError, program

COMMAND = ("-c", "from render.cli import main; main()")
DEMO_MARKERS = 970
_SIZE = re.compile(r"(list|own|hops-list|hops-own|peer-list|peer-own)(\d+)([km]?)(-xlsx)?")
_GOALS = {
    "demo": Goal(cpu=5, seconds=3),
    "list2k": Goal(cpu=5.5, seconds=3, megabytes=150),
    "list1m": Goal(seconds=20, megabytes=600),
    "own20k": Goal(cpu=9, seconds=5, megabytes=250),
    "own200k": Goal(cpu=55, seconds=30, megabytes=500),
    "own1m": Goal(cpu=330, seconds=180, megabytes=1500),
}
_ORDERS, _ORDER = 8, 250
_FIRST_OVER_SECOND = 2.0  # s
_STRAIGHT = """[[stocks]]
key = "straight"
title = "54 in roll"
roles = ["film"]
form = "roll"
width = "54 in"
length = "150 ft"
knife = "straight"
"""
_FONTS = """<?xml version="1.0"?><!DOCTYPE fontconfig SYSTEM "fonts.dtd">
<fontconfig><dir>{fonts}</dir><cachedir>{cache}</cachedir></fontconfig>
"""


@dataclass(frozen=True, slots=True)
class Listed:
    """A list of the benchmark: so many markers, with names of their own or those of one plant."""

    markers: int
    own: bool = False
    suffix: str = ".csv"

    def written(self, place: Place) -> Path:
        """The list's file, written once."""
        path = place.work / f"{'own' if self.own else 'list'}{self.markers}{self.suffix}"
        return path if path.exists() else write_list(path, self.markers, self.own)

    def checked(self, folder: Path) -> Made:
        """What its job folder holds; the folder is removed.

        Raises:
            CheckError: the folder is not what the list orders.
        """
        made = looked_over(folder, self.markers, tags_of(self.markers, self.own))
        shutil.rmtree(folder)
        return made


def order_rows() -> Iterator[Row]:
    """The rows of `make bench`, in their order."""
    yield Row("demo", "the demo plant", 8, _demo)
    for name in ("list2k", "list20k", "list200k", "list200k-xlsx", "list1m"):
        yield sized(name)
    for name in ("own2k", "own20k", "own200k", "own1m"):
        yield sized(name)
    for processes in (1, 2):
        about = f"{_ORDERS} orders of {_ORDER} markers, {processes} at once"
        yield Row(f"batch-{processes}", about, 16, partial(_batch, processes))
    yield Row(
        "first-run", "20,000 markers cut straight, with an empty store of kernels", 60, _first_run
    )
    for name in ("hops-list2k", "hops-own2k", "hops-own20k", "hops-own200k", "hops-list1m"):
        yield sized(name)
    for name in ("peer-list2k", "peer-own2k", "peer-own20k"):
        yield sized(name)


def sized(name: str) -> Row:
    """The row of a list of any length: ``own20k``, ``list500``, ``hops-own2k``, ``peer-list2k``.

    Raises:
        ValueError: no row is named so.
    """
    found = _SIZE.fullmatch(name)
    if found is None:
        raise ValueError(name)
    kind, count, unit, book = found.groups()
    markers = int(count) * {"": 1, "k": 1_000, "m": 1_000_000}[unit]
    listed = Listed(markers, kind.endswith("own"), ".xlsx" if book else ".csv")
    about = f"{markers:,} markers, {'names of their own' if listed.own else 'names of one plant'}"
    seconds = 6 + markers * (4e-4 if listed.own else 4e-5)
    if kind.startswith("hops"):
        return Row(name, f"{about}: profile by hop", seconds, partial(_by_hop, listed))
    if kind.startswith("peer"):
        peer = 2 * seconds + 6 + markers * 4e-3
        return Row(name, f"{about}: beside ready libraries", peer, partial(_beside_peer, listed))
    return Row(name, about, seconds, partial(_one_list, name, listed))


def ordered(
    path: Path,
    folder: Path,
    place: Place,
    budget: Budget,
    options: Sequence[str] = (),
    **more: object,
) -> Run:
    """The command ``order`` on a list."""
    arguments = (*COMMAND, "order", str(path), "-o", str(folder), "--quiet", *options)
    return program(arguments, place, budget, **more)  # type: ignore[arg-type]


def _in_words(made: Made) -> str:
    return (
        f"{made.markers:,} markers, {made.distinct:,} distinct: {made.files:,} files of "
        f"{made.megabytes:,.1f} MB, {made.sheets:,} sheets, {made.meters:,.1f} m of film"
    )


def _demo(place: Place, budget: Budget) -> Outcome:
    folder = place.work / "job-demo"
    took = ordered(TOP / "output_samples" / "demo_plant.xlsx", folder, place, budget)
    made = looked_over(folder, DEMO_MARKERS, twins=False)
    shutil.rmtree(folder)
    return Outcome(took, _in_words(made), _GOALS["demo"].told(took), made)


def _one_list(name: str, listed: Listed, place: Place, budget: Budget) -> Outcome:
    folder = place.work / f"job-{name}"
    took = ordered(listed.written(place), folder, place, budget)
    made = listed.checked(folder)
    return Outcome(took, _in_words(made), _GOALS.get(name, Goal()).told(took), made)


def _by_hop(listed: Listed, place: Place, budget: Budget) -> Outcome:
    folder = place.work / "job-hops"
    arguments = ("-m", "tests.bench.hops", str(listed.written(place)), str(folder))
    took = program(arguments, place, budget)
    made = listed.checked(folder)
    cpu, peak = took.told["cpu"], took.told["peak"]
    table = ["| hop | CPU s | share | peak MB so far |", "|---|---|---|---|"]
    for hop, seconds in cpu.items():
        told_peak = f"{peak[hop]:,.0f}" if hop in peak else ""
        share = 100 * seconds / sum(cpu.values())
        table.append(f"| {hop} | {seconds:.2f} | {share:.0f} % | {told_peak} |")
    return Outcome(took, _in_words(made), made=made, tables=("\n".join(table),))


def _batch(processes: int, place: Place, budget: Budget) -> Outcome:
    """Orders of several plants in one command, each folder checked."""
    lists, folder = place.work / "plants", place.work / "batch"
    for seed in range(1, _ORDERS + 1):
        write_list(lists / f"plant{seed}.csv", _ORDER, True, seed)
    arguments = ("batch", str(lists), "-o", str(folder), "--processes", str(processes))
    took = program((*COMMAND, *arguments, "--quiet"), place, budget)
    made = [
        looked_over(folder / f"plant{seed}", _ORDER, tags_of(_ORDER, True, seed))
        for seed in range(1, _ORDERS + 1)
    ]
    shutil.rmtree(folder)
    files, sheets = sum(each.files for each in made), sum(each.sheets for each in made)
    meters = sum(each.meters for each in made)
    what = f"{len(made)} orders of {_ORDER} markers: {files:,} files, {sheets} sheets"
    return Outcome(took, f"{what}, {meters:,.1f} m of film")


def _first_run(place: Place, budget: Budget) -> Outcome:
    """Twice the same order with an empty store of compiled kernels, which straight cuts need."""
    listed, kernels = Listed(20_000), place.work / "kernels"
    path, shop = listed.written(place), place.work / "straight.toml"
    shop.write_text(_STRAIGHT, "utf-8")
    runs = []
    for turn in ("first", "second"):
        folder = place.work / f"job-{turn}"
        more = {"NUMBA_CACHE_DIR": str(kernels)}
        options = ("--shop", str(shop), "--film", "straight")
        runs.append(ordered(path, folder, place, budget, options, more=more))
        listed.checked(folder)
    first, second = runs
    over = first.seconds - second.seconds
    kept = len(list(kernels.rglob("*.nbi")))
    what = (
        f"{listed.markers:,} markers cut straight: the first run, {over:.1f} s "
        f"({first.cpu - second.cpu:.1f} s CPU) over the second; {kept} kernels compiled"
    )
    met = "met" if over <= _FIRST_OVER_SECOND else "missed"
    return Outcome(first, what, f"{_FIRST_OVER_SECOND:g} s over the second: {met}")


def _beside_peer(listed: Listed, place: Place, budget: Budget) -> Outcome:
    """Ours with papers, ours without, and the peer, one after the other on the same list."""
    path, folder, plain = listed.written(place), place.work / "job", place.work / "plain"
    ours = ordered(path, folder, place, budget)
    prints = _prints(folder)
    made = listed.checked(folder)
    arguments = ("-m", "tests.bench.hops", str(path), str(plain), "--no-papers")
    without = program(arguments, place, budget)
    if _prints(plain) != prints or list(plain.glob("*.pdf")):
        raise CheckError("without papers other files are printed, or a paper is there")
    shutil.rmtree(plain)
    told: Mapping[str, Any] = {}
    try:
        theirs = _peer(listed, path, place, budget)
        told = theirs.told
        hops = ", ".join(f"{hop} {seconds:.1f}" for hop, seconds in told["hops"].items())
        name = f"peer ({hops}; {' '.join(told['setting'])})"
    except RunError as fault:
        theirs, name = fault.took, f"peer: {fault}"
    whole, plain_ones = (f"{theirs.cpu / each.cpu:.2f}" for each in (ours, without))
    table = (
        "| | CPU s | MB, all processes | m of film | the peer's CPU s over these |",
        "|---|---|---|---|---|",
        _against("ours", ours, made.meters, whole),
        _against("ours without papers", without, made.meters, plain_ones),
        _against(name, theirs, told.get("meters", 0), "1"),
    )
    return Outcome(ours, _in_words(made), made=made, tables=("\n".join(table),))


def _against(name: str, took: Run, meters: float, ratio: str) -> str:
    cells = (f"{took.cpu:.1f}", f"{took.together:,.0f}", f"{meters:,.1f}", ratio)
    return f"| {' | '.join((name, *cells))} |"


def _prints(folder: Path) -> Sequence[str]:
    return sorted(path.name for where in ("print", "cut") for path in (folder / where).iterdir())


def _peer(listed: Listed, path: Path, place: Place, budget: Budget) -> Run:
    """The peer's run, with our typeface among the fonts that it finds."""
    fonts = TOP / "render" / "read" / "typefaces"
    known = place.work / "fonts.conf"
    known.write_text(_FONTS.format(fonts=fonts, cache=place.work / "fontcache"), "utf-8")
    folder = place.work / "job-peer"
    arguments = ("-m", "tests.bench.peer", str(path), str(folder))
    took = program(arguments, place, budget, more={"FONTCONFIG_FILE": str(known)})
    files = list(folder.glob("*.pdf"))
    if took.told["placed"] != listed.markers or len(files) != took.told["sheets"]:
        raise CheckError(f"the peer placed {took.told['placed']} markers in {len(files)} files")
    shutil.rmtree(folder)
    return took
