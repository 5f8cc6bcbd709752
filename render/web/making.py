"""Jobs in their child process: the job folder, and the files that the page shows."""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Iterator, Mapping
from pathlib import Path

from layouts.markers.revision import Action
from layouts.papers.amounts import (
    amount_text,
    counts_text,
    least_text,
    mix_text,
    price_text,
    shelf_text,
)
from layouts.papers.changes import place_text, thing_text, why
from render.cli.findings import finding_table, in_order
from render.files.atomic import StagedFiles, write_file, write_folder
from render.job import JobFolder
from render.lists import Given, Lists, make_job
from render.options import Progress
from render.shop.offcuts import Choices
from render.web.checking import area_counts, draw_faces, pictures, refuse_outside
from render.web.tasks import Task

JOB, MADE, SHEETS, ZIP = "job", "made.json", "sheets", "job.zip"
_ZIP_DAY = (1980, 1, 1, 0, 0, 0)


def make_order(folder: Path, task: Task, progress: Progress) -> None:
    """The job folder of a list or an order."""
    given = folder / "given"
    also = tuple(given / each for each in task.texts("also"))
    mapping = folder / task.text("mapping") if task.text("mapping") else None
    main = given / task.text("main")
    refuse_outside(main)
    choices = Choices(
        task.text("film"),
        task.text("plate"),
        task.text("tag"),
        task.text("keep_together"),
        task.text("long_parts"),
        task.texts("offcut"),
    )
    wanted = Given(
        shop=task.path("shop"),
        choices=choices,
        pictures=_sheet_pictures(folder),
        progress=progress,
    )
    with StagedFiles(folder / JOB, False) as files:
        _keep(folder, make_job(Lists(main, mapping, also), wanted, files), files, progress)


def make_reprint(folder: Path, task: Task, progress: Progress) -> None:
    """Some markers of an earlier job again."""
    from render.folder.reprint import reprint

    old = Path(task.text("old"))
    pictures = _sheet_pictures(folder)
    options = Given(shop=task.path("shop"), pictures=pictures, progress=progress).options(old)
    with StagedFiles(folder / JOB, False) as files:
        made = reprint(old, task.texts("ids"), options, task.text("stock") or None, files)
        _keep(folder, made, files, progress)


def make_diff(folder: Path, task: Task, progress: Progress) -> None:
    """The differences between an earlier job and a list or another job, with pictures of both."""
    from render.folder.compare import compare, revision_files

    progress("planning")
    old = Path(task.text("old"))
    new = Path(task.text("new")) if task.text("new") else folder / "given" / task.text("main")
    refuse_outside(new)
    revision = compare(old, new, Given(shop=task.path("shop")).options(new.parent))
    progress("writing")
    files = revision_files(revision)
    write_folder(folder / JOB, files, False)
    write_file(folder / ZIP, zipped(files))
    shown = [each for each in revision.changes if each.action is not Action.UNCHANGED]
    sides = {side.marker.id: side.marker for each in shown for side in (each.old, each.new) if side}
    draw_faces(folder, list(sides.values()), progress)
    told = {
        "counts": {str(action): revision.count(action) for action in Action},
        "changes": [
            {
                "action": str(each.action),
                "count": each.count,
                "thing": thing_text(each.at),
                "place": place_text(each.at.placing.position),
                "old": each.old.marker.id if each.old else "",
                "old_words": each.old.marker.face.words if each.old else "",
                "new": each.new.marker.id if each.new else "",
                "new_words": each.new.marker.face.words if each.new else "",
                "why": why(each),
            }
            for each in shown
        ],
        "findings": [finding_table(each) for each in in_order(revision.findings)],
        "files": sorted((name, len(data)) for name, data in files.items()),
    }
    write_file(folder / MADE, json.dumps(told).encode())


def judge_print_file(folder: Path, task: Task, progress: Progress) -> None:
    """The inspection of a PDF."""
    from render.preflight import Rules, as_dict, inspect

    progress("preflight")
    (name,) = task.texts("files")
    rules = Rules(task.text("rules") != "standard")
    report = inspect(folder / "given" / name, bool(task.words.get("plates")), rules)
    write_file(folder / "answer.json", json.dumps(as_dict(report)).encode())


def zipped(files: Mapping[str, bytes]) -> bytes:
    """Files as a ZIP archive, the same bytes for the same files."""
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as target:
        for name in sorted(files):
            entry = zipfile.ZipInfo(name, _ZIP_DAY)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            target.writestr(entry, files[name], compresslevel=1)
    return made.getvalue()


def _sheet_pictures(folder: Path) -> Path:
    """The folder of the pictures of sheets, which are drawn as the sheets are written."""
    pictures = folder / SHEETS
    pictures.mkdir(exist_ok=True)
    return pictures


def _keep(folder: Path, job: JobFolder, files: StagedFiles, progress: Progress) -> None:
    """The job folder, its archive, and pictures of its markers."""
    files.move()
    write_file(folder / ZIP, zipped(job.files))
    draw_faces(folder, job.markers, progress)
    told = {
        "markers": sum(marker.quantity for marker in job.markers),
        "findings": [finding_table(each) for each in in_order(job.findings)],
        "areas": area_counts(job.markers),
        "pictures": pictures(job.markers),
        "groups": list(_groups(job)),
        "files": sorted(job.files.sizes.items()),
    }
    write_file(folder / MADE, json.dumps(told).encode())


def _groups(job: JobFolder) -> Iterator[dict[str, object]]:
    """Each group of sheets in words, with the names of its sheets' pictures."""
    from layouts.papers.materials import group_waste

    by_id = {marker.id: marker for marker in job.markers}
    for group in job.groups:
        sheets = []
        for sheet in group.sheets:
            name = f"{group.key}-{sheet.number}"
            size = {"width": round(sheet.width, 1), "length": round(sheet.length, 1)}
            sheets.append({"name": name, "copies": sheet.copies, **size})
        notes = (mix_text(group), price_text(group), shelf_text(group))
        yield {
            "key": group.key,
            "title": group.title,
            "build": group.build,
            "amount": amount_text(group),
            "least": least_text(group),
            "counts": counts_text(group),
            "waste": round(group_waste(group, by_id).percent, 1) if group.sheets else 0.0,
            "notes": [each for each in notes if each],
            "sheets": sheets,
        }
