"""Commands on a whole order: make it, check it, compare it, approve it, make parts of it again."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from render.cli.common import (
    BLOCKED,
    IMPOSSIBLE,
    ApprovalFile,
    AsJson,
    FontFile,
    Force,
    Out,
    PriceFile,
    ProfileFile,
    Quiet,
    ShopFile,
    app,
    faults_told,
    option,
    options_of,
    print_lines,
    readable,
)

ListFile = Annotated[Path, typer.Argument(help="a line list (.xlsx, .csv) or order (.toml, .json)")]


class TogetherWord(StrEnum):
    """``--keep-together``."""

    NONE = "none"
    AREA = "area"


class LongPartsWord(StrEnum):
    """``--long-parts``."""

    REFUSE = "refuse"
    SPLIT = "split"


@app.command()
def order(
    file: ListFile,
    output: Out,
    shop: ShopFile = None,
    font: FontFile = None,
    profile: ProfileFile = None,
    prices: PriceFile = None,
    approval: ApprovalFile = None,
    film: Annotated[str, option("film", "stock or group of stocks, see `pipelegend stocks`")] = "",
    plate: Annotated[str, option("plate", "the same for plates")] = "",
    tag: Annotated[str, option("tag", "the same for tags")] = "",
    offcut: Annotated[
        list[str] | None,
        option("offcut", "use it first: 300x600mm, plate 12x24in, 300x600mm of vinyl film"),
    ] = None,
    remnants: Annotated[
        Path | None,
        typer.Option("--remnants", help="inventory (.csv) that the job takes from and returns to"),
    ] = None,
    keep_together: Annotated[
        TogetherWord | None, option("keep-together", "markers of each area on sheets of their own")
    ] = None,
    long_parts: Annotated[
        LongPartsWord | None, option("long-parts", "film longer than its stock: refuse or split")
    ] = None,
    force: Force = False,
    previews: Annotated[bool, typer.Option("--previews", help="add a PNG of every sheet")] = False,
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> None:
    """Make the job folder: print and cut files, proof, ticket, chart, packs and tables."""
    from dataclasses import replace

    from render.cli.show import job_json, job_lines, progress
    from render.files.atomic import refuse_taken, write_file, write_folder
    from render.job import build
    from render.shop.offcuts import Choices, with_choices
    from render.shop.remnants import Remnants, read_remnants

    with faults_told(as_json):
        refuse_taken(output, force)
        reading = readable(file)
        assert reading.order is not None
        with progress(quiet or as_json) as step:
            options = options_of(file.parent, shop, font, profile, prices, approval, step, previews)
            choices = Choices(
                film, plate, tag, keep_together or "", long_parts or "", tuple(offcut or ())
            )
            wanted, stocked = with_choices(reading.order, options.shop, choices)
            kept = read_remnants(remnants, stocked) if remnants else Remnants(())
            stocked = kept.added_to(stocked)
            job = build(wanted, replace(options, shop=stocked), reading.listed, reading.findings)
            write_folder(output, job.files, force)
            if remnants is not None:
                write_file(remnants, kept.after(job.groups))
    if as_json:
        typer.echo(job_json(job, output))
    elif not quiet:
        print_lines(job_lines(job, output))


@app.command()
def check(
    file: ListFile,
    font: FontFile = None,
    approval: ApprovalFile = None,
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> None:
    """Say everything that is wrong or worth knowing, and write nothing."""
    from layouts.markers.content import content_of
    from layouts.review.acceptances import idle_acceptances
    from layouts.terms.findings import Severity
    from render.cli.show import check_json, check_lines
    from render.decide import decide
    from render.read import read

    with faults_told(as_json):
        reading = read(file)
        findings = list(reading.findings)
        total = 0
        if reading.order is not None:
            options = options_of(file.parent, font=font, approval=approval)
            judged = decide(reading.order, options, reading.listed)
            findings += judged.gathered.findings
            findings += idle_acceptances(reading.order, findings)
            content = content_of(judged.gathered.markers, judged.gathered.findings, judged.schemes)
            findings += options.approved(content)
            total = reading.order.quantity
    if as_json:
        typer.echo(check_json(findings, total))
    elif not quiet or any(finding.blocks for finding in findings):
        print_lines(check_lines(findings, total))
    if any(finding.severity is Severity.UNREADABLE for finding in findings):
        raise typer.Exit(IMPOSSIBLE)
    if any(finding.blocks for finding in findings):
        raise typer.Exit(BLOCKED)


@app.command()
def diff(
    old: Annotated[Path, typer.Argument(help="a list, an order or a job folder")],
    new: Annotated[Path, typer.Argument(help="the newer one")],
    output: Out,
    font: FontFile = None,
    force: Force = False,
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> None:
    """Two revisions of a list: what to add, replace, remove and leave, and an order for it."""
    from render.cli.show import finding_lines
    from render.files.atomic import refuse_taken, write_folder
    from render.folder.compare import compare, revision_files, revision_json, revision_lines

    with faults_told(as_json):
        refuse_taken(output, force)
        revision = compare(old, new, options_of(new.parent, font=font))
        write_folder(output, revision_files(revision), force)
    if as_json:
        typer.echo(revision_json(revision))
    elif not quiet:
        print_lines([*finding_lines(revision.findings), *revision_lines(revision)])


@app.command()
def reprint(
    job: Annotated[Path, typer.Argument(help="an old job folder")],
    ids: Annotated[list[str], typer.Argument(help="markers by their id; ID=3 for three of it")],
    output: Out,
    stock: Annotated[
        str | None, typer.Option("--stock", help="an offcut, such as 300x600mm")
    ] = None,
    shop: ShopFile = None,
    font: FontFile = None,
    profile: ProfileFile = None,
    force: Force = False,
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> None:
    """The same markers again from an old job folder, on its stock or an offcut."""
    from render.cli.show import job_json, job_lines
    from render.files.atomic import refuse_taken, write_folder
    from render.folder.reprint import reprint as again

    with faults_told(as_json):
        refuse_taken(output, force)
        made = again(job, ids, options_of(job, shop, font, profile), stock)
        write_folder(output, made.files, force)
    if as_json:
        typer.echo(job_json(made, output))
    elif not quiet:
        print_lines(job_lines(made, output))


@app.command()
def approve(
    job: Annotated[Path, typer.Argument(help="the job folder whose proof was looked at")],
    by: Annotated[str, typer.Option("--by", help="who approves it")],
    date: Annotated[str, typer.Option("--date", help="when, YYYY-MM-DD")],
    note: Annotated[str, typer.Option("--note", help="what else to record")] = "",
    output: Annotated[Path, typer.Option("-o", "--output", help="where to write")] = Path(
        "approval.json"
    ),
) -> None:
    """Record who approved a job's proof, and when."""
    from render.files.atomic import write_file
    from render.folder.approval import approve as approval_of

    with faults_told():
        write_file(output, approval_of(job, by, date, note))
    typer.echo(f"{output} written")
