"""Commands that keep markers true: survey, what was found, register, rounds, audit record."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from render.cli.common import (
    KEEPING,
    AsJson,
    FontFile,
    Force,
    Out,
    Quiet,
    app,
    examples,
    faults_told,
    option,
)
from render.cli.orders import MappingFile, MoreLists

if TYPE_CHECKING:
    from layouts.terms.findings import Finding

MaybeList = Annotated[
    Path | None, typer.Argument(help="A line list, an order or a job folder.", metavar="[LIST]")
]
Areas = Annotated[
    list[str] | None, option("area", "An area; give it once for each.", KEEPING, metavar="AREA")
]


@app.command(
    rich_help_panel=KEEPING,
    epilog=examples(
        "pipelegend survey list.xlsx -o survey",
        'pipelegend survey --walk-down --area "Engine room" --area Roof -o survey',
    ),
)
def survey(
    output: Out,
    file: MaybeList = None,
    walk_down: Annotated[
        bool, option("walk-down", "Start from nothing: empty sheets, no list.", KEEPING)
    ] = False,
    area: Areas = None,
    mapping: MappingFile = None,
    also: MoreLists = None,
    font: FontFile = None,
    force: Force = False,
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> None:
    """Survey sheets of what hangs: to print and to fill, one area each."""
    from render.cli.findings import counted, dump
    from render.cli.terminal import print_findings, print_lines
    from render.files.atomic import write_folder
    from render.files.overwrite import refuse_taken
    from render.lists import Given, Lists
    from render.survey import survey_files as made
    from render.survey.walkdown import walkdown_files

    findings: tuple[Finding, ...] = ()
    with faults_told(as_json):
        refuse_taken(output, force)
        _one_of(file, walk_down)
        if file is None:
            files = walkdown_files(area or ())
        else:
            order = Lists(file, mapping, tuple(also or ())).order()
            options = Given(font=font).options(file if file.is_dir() else file.parent)
            planned = made.plan_pieces(order, options, file.name)
            files = made.survey_files(made.chosen_areas(planned, area or ()))
            findings = made.survey_findings(planned)
        write_folder(output, files, force)
    sheets = sorted(name for name in files if name.endswith(".xlsx"))
    if as_json:
        typer.echo(dump({"folder": str(output), "sheets": sheets}))
    elif not quiet:
        print_findings(findings)
        areas = counted(len(sheets), "area")
        print_lines(f"{output} written: {areas}, a workbook and a paper each")


def _one_of(file: Path | None, walk_down: bool) -> None:
    """Either a list or none.

    Raises:
        InputError: both are given, or neither.
    """
    from layouts.terms.errors import InputError
    from layouts.terms.findings import Finding, Severity

    if (file is None) != walk_down:
        what = "a walk-down has no list" if walk_down else "no list is given"
        right = "give a list, or --walk-down to start from nothing"
        raise InputError([Finding("survey-list", Severity.UNREADABLE, what, right)])


@app.command(
    rich_help_panel=KEEPING,
    epilog=examples(
        "pipelegend found list.xlsx survey/*.xlsx --date 2026-03-31 -o found",
        "pipelegend found --walk-down survey/*.xlsx --date 2026-03-31 -o found",
    ),
)
def found(
    files: Annotated[
        list[Path],
        typer.Argument(help="The list, then the filled sheets; sheets only with --walk-down."),
    ],
    output: Out,
    date: Annotated[
        str, option("date", "The day of reading; later days are told.", KEEPING, metavar="DATE")
    ],
    walk_down: Annotated[
        bool, option("walk-down", "The sheets started from nothing: make a list.", KEEPING)
    ] = False,
    mapping: MappingFile = None,
    also: MoreLists = None,
    font: FontFile = None,
    force: Force = False,
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> None:
    """Read a filled survey: what to leave, replace, add and remove."""
    from render.cli.terminal import print_findings, print_lines
    from render.files.atomic import write_folder
    from render.files.overwrite import refuse_taken
    from render.lists import Given, Lists
    from render.survey.found import compare_survey, found_files, found_json, found_lines

    with faults_told(as_json):
        refuse_taken(output, force)
        day = _day(date)
        if walk_down:
            _write_walked(files, output, force, as_json, quiet)
            return
        listed, *filled = files
        order = Lists(listed, mapping, tuple(also or ())).order()
        options = Given(font=font).options(listed if listed.is_dir() else listed.parent)
        compared = compare_survey(order, filled, day, options, listed.name)
        write_folder(output, found_files(compared), force)
    if as_json:
        typer.echo(found_json(compared))
    elif not quiet:
        print_findings(compared.findings)
        print_lines(found_lines(compared))
        if compared.order is not None:
            print_lines(f"next: pipelegend order {output / 'order.json'} -o job")


def _write_walked(files: list[Path], output: Path, force: bool, as_json: bool, quiet: bool) -> None:
    from render.cli.findings import dump
    from render.cli.terminal import print_lines
    from render.files.atomic import manifest, write_folder
    from render.survey.walkdown import WALKED, walked_list

    made = {WALKED: walked_list(files)}
    made["manifest.json"] = manifest(made)
    write_folder(output, made, force)
    if as_json:
        typer.echo(dump({"list": str(output / WALKED)}))
    elif not quiet:
        print_lines([f"{output / WALKED} written", f"next: pipelegend check {output / WALKED}"])


def _day(text: str) -> str:
    """A day given on the command line.

    Raises:
        InputError: it is no day.
    """
    import datetime

    from layouts.terms.errors import InputError
    from layouts.terms.findings import Finding, Place, Severity

    try:
        return datetime.date.fromisoformat(text).isoformat()
    except ValueError:
        what, right = f"{text!r} is no day", "write it as in 2026-03-01"
        place = Place(field="--date")
        fault = Finding("bad-date", Severity.UNREADABLE, what, right, place=place)
        raise InputError([fault]) from None
