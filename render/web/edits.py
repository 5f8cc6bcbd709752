"""A person's changes to a list (cells, headings, accepted findings), kept in a small file."""

from __future__ import annotations

import json
import shutil
from collections.abc import Mapping
from dataclasses import asdict, field, replace
from pathlib import Path

from layouts.order.order import Acceptance
from layouts.terms.values import frozen
from render.files.atomic import write_file
from render.lists import Lists
from render.read import PlantMapping, read_mapping
from render.read.codes import FileError
from render.read.corrected import Correction, corrected_list, corrected_name
from render.read.mapping import mapping_toml
from render.web.tasks import Task

EDITS = "edits.json"


@frozen
class Edits:
    """Changes to an uploaded list.

    ``cells`` holds file, sheet, address and new text; ``accepted`` code, reason and marker;
    ``columns`` the column chosen for each heading of a sheet, and ``kinds`` the kind of its rows.
    """

    cells: tuple[tuple[str, str, str, str], ...] = ()
    accepted: tuple[tuple[str, str, str], ...] = ()
    columns: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    kinds: Mapping[str, str] = field(default_factory=dict)

    def with_cells(self, changed: Mapping[tuple[str, str, str], str]) -> Edits:
        """These edits and further cells; a cell changed before gets the new text."""
        kept = {(file, sheet, cell): text for file, sheet, cell, text in self.cells}
        return replace(self, cells=tuple((*at, text) for at, text in {**kept, **changed}.items()))

    def with_accepted(self, code: str, reason: str, marker: str) -> Edits:
        """These edits with one more finding accepted."""
        rest = tuple(each for each in self.accepted if (each[0], each[2]) != (code, marker))
        return replace(self, accepted=(*rest, (code, reason, marker)))

    @property
    def acceptances(self) -> tuple[Acceptance, ...]:
        """The accepted findings, in the form of an order."""
        return tuple(Acceptance(code=c, reason=r, marker=m) for c, r, m in self.accepted)


def read_edits(folder: Path) -> Edits:
    """The edits of a list; empty if nothing was changed."""
    try:
        said = json.loads((folder / EDITS).read_bytes())
    except FileNotFoundError:
        return Edits()
    return Edits(
        tuple(map(tuple, said["cells"])),
        tuple(map(tuple, said["accepted"])),
        said["columns"],
        said["kinds"],
    )


def write_edits(folder: Path, edits: Edits) -> None:
    """Keep the edits of a list."""
    write_file(folder / EDITS, json.dumps(asdict(edits)).encode())


def prepared(folder: Path, task: Task) -> Lists:
    """The list as uploaded, or an edited copy written beside it.

    Raises:
        OutputError: a file cannot hold the changes.
    """
    edits, given = read_edits(folder), folder / "given"
    main, also = task.text("main"), task.texts("also")
    mapping = task.path("mapping") and folder / task.text("mapping")
    chosen = _chosen_mapping(folder, edits, mapping)
    if not edits.cells and not edits.accepted:
        return Lists(given / main, chosen, tuple(given / each for each in also))
    made = folder / "corrected"
    shutil.copytree(given, made)
    for name in (main, *also, *(p.name for p in given.iterdir() if p.name not in (main, *also))):
        cells = [Correction(s, c, text) for file, s, c, text in edits.cells if _same(file, name)]
        accepted = edits.acceptances if name == main and _is_book(name) else ()
        if cells or accepted:
            data = corrected_list(given / name, cells, accepted)
            (made / name).unlink()
            (made / corrected_name(name)).write_bytes(data)
    path = made / (corrected_name(main) if (made / corrected_name(main)).exists() else main)
    if edits.accepted and not _is_book(main):
        path = _with_order_file(made, path, also, edits)
        also = ()
    return Lists(path, chosen, tuple(made / _there(made, each) for each in also))


def _same(file: str, name: str) -> bool:
    return file in (name, corrected_name(name))


def _there(folder: Path, name: str) -> str:
    return name if (folder / name).exists() else corrected_name(name)


def _is_book(name: str) -> bool:
    return name.lower().endswith((".xlsx", ".xlsm", ".xls", ".ods"))


def _with_order_file(folder: Path, path: Path, also: tuple[str, ...], edits: Edits) -> Path:
    """An order file with the accepted findings, since a CSV file cannot hold them."""
    named = [path.name, *(_there(folder, each) for each in also)]
    order = {
        "title": path.stem.replace("_", " ")[:120],
        "line_list": named,
        "accept": [each.model_dump(mode="json") for each in edits.acceptances],
    }
    made = folder / f"{path.stem}.order.json"
    made.write_text(json.dumps(order, indent=1, ensure_ascii=False), "utf-8")
    return made


def _chosen_mapping(folder: Path, edits: Edits, given: Path | None) -> Path | None:
    """The plant's mapping, overridden by the choices on the page."""
    if not edits.columns and not edits.kinds:
        return given
    try:
        said = read_mapping(given) if given else PlantMapping()
    except FileError:
        return given  # the reader reports what is wrong with it
    sheets = {sheet: dict(each) for sheet, each in edits.columns.items() if sheet}
    columns: dict[str, str | Mapping[str, str]] = {**edits.columns.get("", {}), **sheets}
    chosen = PlantMapping(columns=columns, sheets=edits.kinds).over(said)
    for sheet, own in said.columns.items():
        if isinstance(own, Mapping) and sheet in sheets:
            columns[sheet] = {**own, **sheets[sheet]}
    made = folder / "chosen.toml"
    made.write_text(mapping_toml(replace(chosen, columns={**said.columns, **columns})), "utf-8")
    return made
