"""Commands that look things up: the job that made a piece, a list beside its drawings."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from render.cli.common import (
    BLOCKED,
    FOLDER,
    LISTS,
    OUTPUT,
    WHOLE,
    AsJson,
    Quiet,
    app,
    examples,
    faults_told,
    option,
)


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
    from render.cli.show import quote_path
    from render.folder.locate import job_folders, locate

    with faults_told(as_json):
        found = locate(name, job_folders(folders))
    if as_json:
        typer.echo(dump([{**asdict(each), "folder": str(each.folder)} for each in found]))
    for each in found if not as_json else ():
        words = f", {each.words}" if each.words else ""
        typer.echo(f"{each.folder}: {each.is_a} {each.name}{words}")
        again = f"pipelegend reprint {quote_path(each.folder)} {shlex.quote(each.name)} -o again"
        typer.echo(f"  again: {again}")
    if not found:
        if not as_json:
            typer.echo(f"{name}: no job made a piece of this name", err=True)
        raise typer.Exit(BLOCKED)


@app.command(
    rich_help_panel=WHOLE,
    epilog=examples(
        "pipelegend crosscheck list.xlsx pids.pdf",
        "pipelegend crosscheck list.xlsx plant.xml tags.csv -o crosscheck.csv",
    ),
)
def crosscheck(
    file: Annotated[Path, typer.Argument(help="A line list, an order or a job folder.")],
    drawings: Annotated[
        list[Path], typer.Argument(help="P&IDs: .pdf, .dxf, DEXPI .xml, or a table .csv.")
    ],
    mapping: Annotated[
        Path | None,
        option("mapping", "How the plant writes its lists (.toml).", LISTS, metavar="FILE"),
    ] = None,
    tag_form: Annotated[
        list[str] | None,
        option("tag-form", "Tags that the list has none of yet, as XV-###.", LISTS, metavar="FORM"),
    ] = None,
    output: Annotated[
        Path | None,
        typer.Option("-o", "--output", help="Table of all names (.csv).", rich_help_panel=OUTPUT),
    ] = None,
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> None:
    """Hold a list against its P&IDs: what is on one and not the other."""
    from render.cli.findings import dump, finding_table
    from render.cli.terminal import print_findings
    from render.drawings.cross import crosscheck as crossed
    from render.files.atomic import write_file
    from render.files.overwrite import refuse_existing

    with faults_told(as_json):
        if output is not None:
            refuse_existing(output, False, (".csv",))
        told = crossed(file, drawings, mapping, tuple(tag_form or ()))
        if output is not None:
            write_file(output, told.table)
    if as_json:
        typer.echo(dump({**told.counts, "findings": [finding_table(f) for f in told.findings]}))
    elif not quiet or not told.passed:
        print_findings(told.findings)
        typer.echo(told.summary)
    if not told.passed:
        raise typer.Exit(BLOCKED)
