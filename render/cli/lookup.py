"""Commands that look things up: the job that made a piece, a list beside its drawings."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from render.cli.common import BLOCKED, FOLDER, AsJson, app, examples, faults_told


@app.command(
    rich_help_panel=FOLDER,
    epilog=examples("pipelegend find 3F9A21BC/7C1D jobs", "pipelegend find HV-118 jobs old/job"),
)
def find(
    name: Annotated[str, typer.Argument(help="Id, tag, line number or scanned text.")],
    folders: Annotated[list[Path], typer.Argument(help="Job folders, or folders of job folders.")],
    as_json: AsJson = False,
) -> None:
    """Find the jobs that made a piece."""
    import shlex
    from dataclasses import asdict

    from render.cli.findings import dump
    from render.cli.show import quoted
    from render.folder.locate import job_folders, locate

    with faults_told(as_json):
        found = locate(name, job_folders(folders))
    if as_json:
        typer.echo(dump([{**asdict(each), "folder": str(each.folder)} for each in found]))
    for each in found if not as_json else ():
        words = f", {each.words}" if each.words else ""
        typer.echo(f"{each.folder}: {each.is_a} {each.name}{words}")
        again = f"pipelegend reprint {quoted(each.folder)} {shlex.quote(each.name)} -o again"
        typer.echo(f"  again: {again}")
    if not found:
        if not as_json:
            typer.echo(f"{name}: no job made a piece of this name", err=True)
        raise typer.Exit(BLOCKED)
