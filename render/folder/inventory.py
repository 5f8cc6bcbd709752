"""Writes a job folder and the inventory of remnants that it takes from: both, or neither.

A job folder records what its job took and left. Before a run writes its folder, it leaves a note
beside the inventory. The next run checks whether the folder was written, and finishes the
inventory or drops the note. A job that replaces an older one in the same folder first returns what
that one took.
"""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from pydantic import BaseModel, ConfigDict, ValidationError

from layouts.sheets.sheetplan import SheetPlan
from layouts.sheets.stock import Shop
from layouts.terms.errors import InputError, OutputError
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.values import frozen
from render.files.atomic import StagedFiles, write_file
from render.files.exchange import claimed, is_claimed
from render.files.intake import bytes_of
from render.files.overwrite import MANIFEST
from render.shop.remnants import InventoryRow, Movement, Remnants, inventory_text, parsed_remnants

RECORD = "remnants.json"


class _Moved(BaseModel):
    """The record in a job folder: rows of the inventory, each with its number of pieces."""

    model_config = ConfigDict(extra="ignore")
    taken: tuple[tuple[str, str, float, float, int], ...]
    left: tuple[tuple[str, str, float, float, int], ...]


class _Begun(BaseModel):
    """The note of a run: its folder, the seal of what it writes there, the inventory after it."""

    folder: str
    seal: str
    inventory: str


@frozen
class Inventory:
    """An inventory as a job finds it, after an older job in the same folder is undone."""

    path: Path
    remnants: Remnants
    found: bytes  # content of the file when it was read

    def settle(self, groups: Sequence[SheetPlan], files: StagedFiles) -> None:
        """Move a job's folder to its place, and write the inventory after it.

        Raises:
            OutputError: one of them cannot be written; then neither of them is.
        """
        movement = self.remnants.movement(groups)
        counts = self.remnants.counts()
        counts.subtract(movement.taken)
        counts.update(movement.left)
        files.put(RECORD, _record(movement))
        text = inventory_text(counts)
        begun = _Begun(folder=str(files.target.resolve()), seal=files.seal(), inventory=text)
        if _bytes(self.path) != self.found:
            what = f"{self.path} was changed while the job was made; make the job again"
            raise OutputError(what, "remnants-changed")
        note = _note(self.path)
        write_file(note, begun.model_dump_json().encode())
        try:
            with claimed(note):
                files.move()
                write_file(self.path, text.encode())
        finally:
            note.unlink(missing_ok=True)


def open_inventory(path: Path, shop: Shop, folder: Path) -> Inventory:
    """The inventory for a job in ``folder``; a file that does not exist yet counts as empty.

    Raises:
        InputError: it cannot be read, some rows are invalid, or pieces left by an older job in the
        folder are gone; the error holds every fault. OutputError: another run is using it.
    """
    _finish(path)
    found = _bytes(path)
    try:
        text = found.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        what, right = "the remnants are not text in UTF-8", "export them as CSV"
        raise InputError([_fault(path.name, what, right)]) from error
    remnants = parsed_remnants(text, path.name, shop)
    moved = _moved_by(folder)
    if moved is not None:
        counts = _given_back(remnants.counts(), moved, path.name, folder)
        remnants = parsed_remnants(inventory_text(counts), path.name, shop)
    return Inventory(path, remnants, found)


def refuse_forgotten(folder: Path) -> None:
    """Refuse to replace a job that took remnants without its inventory.

    Raises:
        InputError: the folder holds such a job.
    """
    moved = _moved_by(folder)
    if moved is None or not (moved.taken or moved.left):
        return
    what = f"the job in {folder} took remnants or left some"
    right = "name its inventory with --remnants, so that they are given back first"
    raise InputError([_fault(RECORD, what, right)])


def _finish(path: Path) -> None:
    """The inventory of an interrupted run if its folder was written, otherwise nothing."""
    note = _note(path)
    if not note.exists():
        return
    if is_claimed(note):
        raise OutputError(f"another job is taking from {path}; wait for it", "remnants-in-use")
    try:
        begun = _Begun.model_validate_json(bytes_of(note))
        seal = hashlib.sha256(bytes_of(Path(begun.folder) / MANIFEST)).hexdigest()
    except (OSError, ValidationError):
        seal = ""
    else:
        if seal == begun.seal:
            write_file(path, begun.inventory.encode())
    note.unlink(missing_ok=True)


def _note(path: Path) -> Path:
    return path.with_name(f".{path.name}.begun")


def _bytes(path: Path) -> bytes:
    """The content of a file, empty if it does not exist.

    Raises:
        InputError: it cannot be opened.
    """
    try:
        return bytes_of(path)
    except FileNotFoundError:
        return b""
    except OSError as error:
        what = f"the remnants cannot be read ({error.strerror})"
        raise InputError([_fault(path.name, what, "name a CSV file")]) from error


def _record(movement: Movement) -> bytes:
    sides = {
        name: [[*row, count] for row, count in sorted(counts.items())]
        for name, counts in (("taken", movement.taken), ("left", movement.left))
    }
    return json.dumps({"version": 1, **sides}, indent=1).encode() + b"\n"


def _moved_by(folder: Path) -> _Moved | None:
    """What the job in a folder took and left; None if there is no job."""
    try:
        return _Moved.model_validate_json(bytes_of(folder / RECORD))
    except FileNotFoundError:
        return None
    except (OSError, ValidationError) as error:
        what, right = f"{RECORD} in {folder} cannot be read", "give another folder with -o"
        raise InputError([_fault(RECORD, what, right)]) from error


def _given_back(
    counts: Counter[InventoryRow], moved: _Moved, name: str, folder: Path
) -> Counter[InventoryRow]:
    """The rows without what a job left, and with what it took."""
    for of, material, width, length, count in moved.left:
        there = counts[of, material, width, length]
        if there < count:
            what = (
                f"the job in {folder} left {count} of {of}, {material}, {width:g} x {length:g} mm, "
                f"and {there} are there: another job took from them"
            )
            raise InputError([_fault(name, what, "make the job in another folder")])
        counts[of, material, width, length] -= count
    for of, material, width, length, count in moved.taken:
        counts[of, material, width, length] += count
    return counts


def _fault(file: str, what: str, right: str) -> Finding:
    return Finding("remnants", Severity.UNREADABLE, what, right, place=Place(file))
