"""Commands that keep markers true: survey, what was found, register, rounds, audit record."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from render.cli.common import (
    KEEPING,
    OUTPUT,
    AsJson,
    FontFile,
    Force,
    ForceFile,
    Out,
    PriceFile,
    Quiet,
    ShopFile,
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
    """Make survey sheets of what hangs, to print and to fill."""
    from layouts.terms.counts import counted
    from render.cli.findings import dump
    from render.cli.terminal import print_findings, print_lines
    from render.files.atomic import write_folder
    from render.files.overwrite import refuse_taken
    from render.lists import Given, Lists
    from render.survey import survey_files as made
    from render.survey.walkdown import walkdown_files

    findings: tuple[Finding, ...] = ()
    with faults_told(as_json):
        refuse_taken(output, force, (file, mapping, *(also or ()), font))
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
        refuse_taken(output, force, (*files, mapping, *(also or ()), font))
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
        InputError: it is not a date.
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


@app.command(
    rich_help_panel=KEEPING,
    epilog=examples(
        'pipelegend register register --job job --area Roof --by "C. Fitter" --date 2026-04-02',
        "pipelegend register register --found found",
        'pipelegend register register --removed K7M2Q9D --by "C. Fitter" --date 2026-04-02',
    ),
)
def register(
    folder: Annotated[Path, typer.Argument(help="Folder of the register; made where it is new.")],
    job: Annotated[
        Path | None, option("job", "Job folder whose pack was signed.", KEEPING, metavar="FOLDER")
    ] = None,
    area: Annotated[
        str, option("area", "Area of the pack. Default: all of the job.", KEEPING, metavar="AREA")
    ] = "",
    without: Annotated[
        list[str] | None,
        option("without", "A piece of the pack that was not installed.", KEEPING, metavar="ID"),
    ] = None,
    approval: Annotated[
        Path | None,
        option("approval", "Approval of the job's proof, to keep.", KEEPING, metavar="FILE"),
    ] = None,
    survey_folder: Annotated[
        Path | None,
        option("found", "A survey that `pipelegend found` read.", KEEPING, metavar="FOLDER"),
    ] = None,
    removed: Annotated[
        list[str] | None, option("removed", "A piece taken down.", KEEPING, metavar="ID")
    ] = None,
    by: Annotated[str, option("by", "Who signed.", KEEPING, metavar="NAME")] = "",
    date: Annotated[str, option("date", "When.", KEEPING, metavar="YYYY-MM-DD")] = "",
    lifetimes: Annotated[
        Path | None,
        option("lifetimes", "The plant's own lifetimes (.toml), to keep.", KEEPING, metavar="FILE"),
    ] = None,
    font: FontFile = None,
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> None:
    """Register what was installed, surveyed or taken down."""
    from layouts.register.entries import Signed
    from render.cli.findings import dump, finding_table
    from render.cli.terminal import print_findings, print_lines
    from render.lists import Given
    from render.register import signing
    from render.register.register_folder import open_or_new, write_register

    findings: tuple[Finding, ...] = ()
    with faults_told(as_json):
        _one_deed(job, survey_folder, removed)
        stored = open_or_new(folder, lifetimes)
        if survey_folder is not None:
            options = Given(font=font).options(survey_folder)
            made, kept, day = signing.apply_survey(stored, survey_folder, options)
            write_register(stored, made, kept, day)
        else:
            day = _signed_day(by, date)
            if job is not None:
                signed = Signed(by, day, f"job {job.name}, {area or 'all areas'}")
                options = Given(font=font).options(job)
                left = without or ()
                made, kept, findings = signing.sign_job(
                    stored, job, area, signed, options, left, approval
                )
            else:
                signed = Signed(by, day, "taken down")
                made, kept = signing.remove_pieces(stored, removed or (), signed), {}
            write_register(stored, made, kept, day)
    findings = (*stored.findings, *findings)
    changed = len(made.history) - len(stored.register.history)
    if as_json:
        table = {"pieces": len(made.entries), "changes": changed}
        typer.echo(dump({**table, "findings": [finding_table(each) for each in findings]}))
    elif not quiet:
        print_findings(findings)
        print_lines(f"{folder}: {len(made.entries)} pieces, {changed} changes")


def _one_deed(job: Path | None, found_folder: Path | None, removed: list[str] | None) -> None:
    """One thing at a time, so that the history says who did which.

    Raises:
        InputError: none or several are given.
    """
    from layouts.terms.errors import InputError
    from layouts.terms.findings import Finding, Severity

    if sum(each is not None for each in (job, found_folder, removed)) != 1:
        right = "give one of --job, --found and --removed"
        what = "a register takes one thing at a time"
        raise InputError([Finding("register-deed", Severity.UNREADABLE, what, right)])


def _signed_day(by: str, date: str) -> str:
    """The day of a signature.

    Raises:
        InputError: the name or the day is missing or wrong.
    """
    from layouts.terms.errors import InputError
    from layouts.terms.findings import Finding, Place, Severity

    if not by.strip():
        what, place = "nobody signed", Place(field="--by")
        right = "give the name on the pack"
        raise InputError(
            [Finding("register-unsigned", Severity.UNREADABLE, what, right, place=place)]
        )
    return _day(date)


RegisterFolder = Annotated[
    Path, typer.Argument(help="Folder of the register, or the register.csv in it.")
]


@app.command(
    rich_help_panel=KEEPING,
    epilog=examples(
        "pipelegend rounds register --until 2027-12-31 -o round",
        "pipelegend rounds register --until 2027-12-31 -o round --prices prices.toml",
    ),
)
def rounds(
    folder: RegisterFolder,
    output: Out,
    until: Annotated[str, option("until", "Last day of the round.", KEEPING, metavar="DATE")],
    shop: ShopFile = None,
    font: FontFile = None,
    prices: PriceFile = None,
    force: Force = False,
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> None:
    """What to inspect and replace until a day, with the order for it."""
    from render.cli.terminal import print_findings, print_lines
    from render.files.atomic import write_folder
    from render.files.overwrite import refuse_taken
    from render.lists import Given
    from render.register.register_folder import read_register
    from render.register.round_files import make_round, round_json, round_lines

    with faults_told(as_json):
        refuse_taken(output, force, (folder, shop, font, prices))
        day = _day(until)
        stored = read_register(folder)
        made = make_round(stored, day, Given(shop, font, prices=prices).options(folder))
        write_folder(output, made.files, force)
    if as_json:
        typer.echo(round_json(made))
    elif not quiet:
        print_findings((*stored.findings, *made.findings))
        print_lines(round_lines(made))
        if made.order is not None:
            print_lines(f"next: pipelegend order {output / 'order.json'} -o job")


@app.command(
    rich_help_panel=KEEPING,
    epilog=examples(
        "pipelegend audit register --date 2027-12-31 -o audit.pdf",
        "pipelegend audit register --date 2027-12-31 --since 2027-01-01 -o audit.pdf",
    ),
)
def audit(
    folder: RegisterFolder,
    date: Annotated[str, option("date", "The day of the record.", KEEPING, metavar="DATE")],
    since: Annotated[
        str, option("since", "List changes from this day on.", KEEPING, metavar="DATE")
    ] = "",
    output: Annotated[
        Path,
        typer.Option(
            "-o", "--output", help="File to write.", rich_help_panel=OUTPUT, metavar="FILE"
        ),
    ] = Path("audit.pdf"),
    font: FontFile = None,
    force: ForceFile = False,
    as_json: AsJson = False,
) -> None:
    """Audit record: edition, states, findings, approvals, who signed."""
    from render.cli.findings import dump
    from render.cli.terminal import print_findings
    from render.files.atomic import write_file
    from render.files.overwrite import refuse_existing
    from render.lists import Given
    from render.register.audit import audit_pdf
    from render.register.register_folder import read_register

    with faults_told(as_json):
        refuse_existing(output, force, (".pdf",))
        day, first = _day(date), _day(since) if since else ""
        stored = read_register(folder)
        write_file(output, audit_pdf(stored, first, day, Given(font=font).options(folder)))
    if as_json:
        typer.echo(dump({"file": str(output)}))
        return
    print_findings(stored.findings)
    typer.echo(f"{output} written")
