"""Finds the orders that a batch is given, and names their folders."""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from pathlib import Path

from layouts.papers.packs import file_names
from layouts.terms.errors import InputError, OutputError
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.values import frozen
from render.files.intake import RECORDS, text_of
from render.files.missing import missing_file
from render.files.overwrite import MANIFEST
from render.read.codes import FileError
from render.read.orderfile import LIST_SUFFIXES, parse_order

TABLE = "batch.csv"
GANG = "gang"
_ORDER_SUFFIXES = (".toml", ".json")
# Keys that only an order has: its own markers, or the list that it names.
_ORDER_KEYS = frozenset({"markers", "line_list"})
_LOCKS = ("~$", ".")  # begins what an office program or the system leaves beside a list


@frozen
class Listed:
    """One order of a batch: its file, and the name of its folder."""

    name: str
    path: Path


def find_orders(
    given: Sequence[Path], output: Path, beside: Collection[Path] = ()
) -> tuple[Listed, ...]:
    """Every order among files and folders, by the name of its folder.

    A folder gives the lists and order files in it and in its folders, without those that an order
    file names as its list. ``beside`` are files that the command reads for other purposes.

    Raises:
        InputError: a file is missing, a folder holds no order, or it is a job folder.
        OutputError: the folder to write is a file.
    """
    if output.exists() and not output.is_dir():
        raise OutputError(f"{output} is a file; give another folder with -o", "folder-taken")
    known = {path.resolve() for path in (*beside, output / TABLE)}
    faults: list[Finding] = []
    found: dict[Path, Path] = {}
    for path in given:
        if not path.exists():
            faults.append(missing_file(path))
        elif not path.is_dir():
            found.setdefault(path.resolve(), path.absolute())
        elif (path / MANIFEST).is_file():
            what, right = "it is a job folder", "name its list, or the order.json in it"
            faults.append(_fault("batch-job-folder", what, right, path))
        else:
            within = list(_orders_in(path, known))
            if not within:
                what, right = "the folder holds no list and no order", "check the name"
                faults.append(_fault("batch-empty", what, right, path))
            found.update((each.resolve(), found.get(each.resolve(), each)) for each in within)
    if faults:
        raise InputError(faults)
    names = _names(found.values())
    return tuple(sorted((Listed(names[path], path) for path in found.values()), key=_by_name))


def _by_name(listed: Listed) -> str:
    return listed.name


def _fault(code: str, what: str, right: str, path: Path) -> Finding:
    return Finding(code, Severity.UNREADABLE, what, right, place=Place(path.name or str(path)))


def _orders_in(folder: Path, known: Collection[Path]) -> Iterator[Path]:
    """Lists and orders below a folder, in the order of their names; no job folder is entered."""
    paths: list[Path] = []
    for place, folders, files in os.walk(folder.absolute()):
        if MANIFEST in files:
            folders.clear()
            continue
        folders[:] = sorted(each for each in folders if not each.startswith(_LOCKS))
        paths += (Path(place) / name for name in sorted(files) if not name.startswith(_LOCKS))
    orders = {path: tables for path in paths if (tables := _order_tables(path)) is not None}
    named = {(path.parent / name).resolve() for path, each in orders.items() for name in each}
    for path in paths:
        listed = path.suffix.lower() in LIST_SUFFIXES or path in orders
        if listed and path.resolve() not in named | set(known):
            yield path


def _order_tables(path: Path) -> Sequence[str] | None:
    """The lists that an order file names; None for another file, such as a shop's or a scheme.

    A file that cannot be read counts as an order, so that its fault is reported.
    """
    if path.suffix.lower() not in _ORDER_SUFFIXES:
        return None
    try:
        tables = parse_order(path.name, text_of(path, RECORDS), path.suffix.lower())
    except (OSError, FileError):
        return ()
    if not _ORDER_KEYS & tables.keys():
        return None
    named = tables.get("line_list", ())
    return (
        [named]
        if isinstance(named, str)
        else [str(each) for each in named]
        if isinstance(named, list)
        else []
    )


def _names(paths: Iterable[Path]) -> Mapping[Path, str]:
    """A folder's name for each file: its stem, with folder and suffix where others share it."""
    ordered = sorted(paths)
    names: dict[Path, str] = {}
    for form in _FORMS:
        rest = {path: _safe(form(path)) for path in ordered if path not in names}
        counts = Counter((*rest.values(), *names.values(), GANG))
        names |= {path: name for path, name in rest.items() if counts[name] == 1}
    for path in ordered:
        name, number = names.get(path, ""), 2
        while not name or (path not in names and name in names.values()):
            name, number = f"{_safe(path.stem)}-{number}", number + 1
        names[path] = name
    return names


# From the shortest name to the one that says most.
_FORMS: tuple[Callable[[Path], str], ...] = (
    lambda path: path.stem,
    lambda path: f"{path.parent.name} {path.stem}",
    lambda path: f"{path.parent.name} {path.stem} {path.suffix[1:]}",
)


def _safe(text: str) -> str:
    """The text as a name that every system takes."""
    return file_names([text], "order")[text]
