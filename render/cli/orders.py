"""Commands on a whole order: check it, make it, compare it, approve it, make parts of it again."""

from __future__ import annotations

from dataclasses import replace
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from render.cli.common import (
    BLOCKED,
    FOLDER,
    IMPOSSIBLE,
    LISTS,
    OUTPUT,
    STOCK,
    WHOLE,
    ApprovalFile,
    AsJson,
    FontFile,
    Force,
    ForceFile,
    Out,
    PriceFile,
    ProfileFile,
    Quiet,
    ShopFile,
    app,
    examples,
    faults_told,
    option,
)

if TYPE_CHECKING:
    from render.shop.offcuts import Choices

ListFile = Annotated[
    Path, typer.Argument(help="A line list (.xlsx, .ods, .csv ...) or an order (.toml, .json).")
]
MappingFile = Annotated[
    Path | None,
    option(
        "mapping", "How the plant writes its lists (.toml); see --propose.", LISTS, metavar="FILE"
    ),
]
MoreLists = Annotated[
    list[Path] | None, option("also", "A further list of the same order.", LISTS, metavar="FILE")
]


class TogetherWord(StrEnum):
    """``--keep-together``."""

    NONE = "none"
    AREA = "area"


class LongPartsWord(StrEnum):
    """``--long-parts``."""

    REFUSE = "refuse"
    SPLIT = "split"


class PieceIdWord(StrEnum):
    """``--piece-id``."""

    NONE = "none"
    TEXT = "text"
    QR = "qr"
    BOTH = "both"


class PieceIdPerWord(StrEnum):
    """``--piece-id-per``."""

    FACE = "face"
    POSITION = "position"


class FaceWord(StrEnum):
    """``--face``."""

    FULL = "full"
    COMPACT = "compact"


FilmStock = Annotated[
    str, option("film", "Stock or group of stocks. Default: roll-54in.", STOCK, metavar="STOCK")
]
PlateStock = Annotated[
    str, option("plate", "Stock of the plates. Default: plate-48x96in.", STOCK, metavar="STOCK")
]
TagStock = Annotated[
    str, option("tag", "Stock of the tags. Default: tag-24x48in.", STOCK, metavar="STOCK")
]
Offcut = Annotated[
    list[str] | None,
    option(
        "offcut",
        'Use it first: 300x600mm, "plate 12x24in", "300x600mm of vinyl film".',
        STOCK,
        metavar="SIZE",
    ),
]
KeepTogether = Annotated[
    TogetherWord | None,
    option("keep-together", "Put each area's markers on separate sheets.", STOCK),
]
LongParts = Annotated[
    LongPartsWord | None,
    option("long-parts", "Film longer than its stock. Default: refuse.", STOCK),
]
PieceIds = Annotated[
    PieceIdWord | None,
    option("piece-id", "Id on every piece: text, a QR code or both. Default: none.", OUTPUT),
]
Previews = Annotated[bool, option("previews", "Add a PNG of every sheet.", OUTPUT)]
PieceIdsPer = Annotated[
    PieceIdPerWord | None,
    option("piece-id-per", "One id per distinct face or per position. Default: face.", OUTPUT),
]

FaceOfPipes = Annotated[
    FaceWord | None,
    option("face", "Length of pipe markers. Default: full, or as the order says.", STOCK),
]


def choices_of(
    film: str,
    plate: str,
    tag: str,
    keep_together: str | None,
    long_parts: str | None,
    offcut: list[str] | None,
    ids: tuple[str | None, str | None],
    face: str | None,
) -> Choices:
    """The stocks and words of the command, for the order."""
    from render.shop.offcuts import Choices

    together, long, (id_word, id_per) = keep_together or "", long_parts or "", ids
    cut = tuple(offcut or ())
    asked = (face or "", id_word or "", id_per or "")
    return Choices(film, plate, tag, together, long, cut, *asked)


@app.command(
    rich_help_panel=WHOLE,
    epilog=examples(
        "pipelegend check list.xlsx", "pipelegend check list.csv --film sheet-24x48in --json"
    ),
)
def check(
    file: ListFile,
    mapping: MappingFile = None,
    also: MoreLists = None,
    propose: Annotated[
        Path | None,
        option("propose", "Write a mapping of this list's headings.", LISTS, metavar="FILE"),
    ] = None,
    marked: Annotated[
        Path | None,
        option(
            "marked", "Write the list back with every finding in its cell.", LISTS, metavar="FILE"
        ),
    ] = None,
    film: FilmStock = "",
    plate: PlateStock = "",
    tag: TagStock = "",
    offcut: Offcut = None,
    keep_together: KeepTogether = None,
    long_parts: LongParts = None,
    piece_id: PieceIds = None,
    piece_id_per: PieceIdsPer = None,
    face: FaceOfPipes = None,
    shop: ShopFile = None,
    font: FontFile = None,
    profile: ProfileFile = None,
    approval: ApprovalFile = None,
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> None:
    """Check a list and report every finding."""
    from layouts.terms.findings import Severity
    from render.cli.show import check_json, check_lines
    from render.cli.terminal import print_findings, print_lines, progress
    from render.files.atomic import write_file
    from render.files.overwrite import refuse_existing
    from render.lists import Given, Lists, check_lists

    with faults_told(as_json), progress(quiet or as_json) as step:
        choices = choices_of(
            film, plate, tag, keep_together, long_parts, offcut, (piece_id, piece_id_per), face
        )
        lists = Lists(file, mapping, tuple(also or ()))
        given = Given(shop, font, profile, None, approval, choices, progress=step)
        if propose is not None:
            refuse_existing(propose, False, (".toml",))
        if marked is not None:
            refuse_existing(marked, False, (".xlsx", ".xlsm"))
        checked = check_lists(lists, given)
        if propose is not None:
            write_file(propose, checked.proposal())
        if marked is not None:
            write_file(marked, checked.marked())
    if as_json:
        typer.echo(check_json(checked))
    elif not quiet or not checked.passed:
        print_findings(checked.findings)
        print_lines(f"{each} written" for each in (propose, marked) if each is not None)
        print_lines(check_lines(checked, file))
    if any(finding.severity is Severity.UNREADABLE for finding in checked.findings):
        raise typer.Exit(IMPOSSIBLE)
    if not checked.passed:
        raise typer.Exit(BLOCKED)


@app.command(
    rich_help_panel=WHOLE,
    epilog=examples(
        "pipelegend order list.xlsx -o job",
        "pipelegend order list.xlsx -o job --shop shop.toml --profile press.icc",
    ),
)
def order(
    file: ListFile,
    output: Out,
    mapping: MappingFile = None,
    also: MoreLists = None,
    film: FilmStock = "",
    plate: PlateStock = "",
    tag: TagStock = "",
    offcut: Offcut = None,
    remnants: Annotated[
        Path | None,
        option(
            "remnants",
            "Inventory (.csv) that the job takes from and returns to.",
            STOCK,
            metavar="FILE",
        ),
    ] = None,
    keep_together: KeepTogether = None,
    long_parts: LongParts = None,
    piece_id: PieceIds = None,
    piece_id_per: PieceIdsPer = None,
    face: FaceOfPipes = None,
    shop: ShopFile = None,
    font: FontFile = None,
    profile: ProfileFile = None,
    prices: PriceFile = None,
    approval: ApprovalFile = None,
    previews: Previews = False,
    force: Force = False,
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> None:
    """Make the job folder: print and cut files, proof, ticket, packs."""
    from render.files.missing import refuse_missing

    with faults_told(as_json):
        refuse_missing(file)
    from layouts.terms.findings import Severity
    from render.cli.show import job_json, job_lines, quote_path
    from render.cli.terminal import print_findings, print_lines, progress
    from render.files.atomic import StagedFiles
    from render.files.overwrite import refuse_existing, refuse_taken
    from render.folder.inventory import open_inventory, refuse_forgotten
    from render.lists import Given, Lists, make_job
    from render.shop.shopfile import load_shop

    with faults_told(as_json):
        lists = Lists(file, mapping, tuple(also or ()))
        with progress(quiet or as_json) as step:
            choices = choices_of(
                film, plate, tag, keep_together, long_parts, offcut, (piece_id, piece_id_per), face
            )
            given = Given(shop, font, profile, prices, approval, choices, previews, step)
            refuse_taken(output, force, (*lists.files, *given.files, remnants))
            if remnants is None:
                refuse_forgotten(output)
                with StagedFiles(output, force) as files:
                    job = make_job(lists, given, files)
                    files.move()
            else:
                refuse_existing(remnants, True, (".csv",))
                inventory = open_inventory(remnants, load_shop(shop), output)
                with StagedFiles(output, force) as files:
                    job = make_job(lists, replace(given, remnants=inventory), files)
                    inventory.settle(job.groups, files)
    if as_json:
        typer.echo(job_json(job, output))
    elif not quiet:
        print_findings(each for each in job.findings if each.severity >= Severity.WARNING)
        approve_it = f"pipelegend approve {quote_path(output)} --by NAME --date YYYY-MM-DD"
        after = f"read {output / 'proof.pdf'}, then {approve_it}"
        print_lines(job_lines(job, output, after))


@app.command(
    rich_help_panel=FOLDER,
    epilog=examples(
        "pipelegend diff job new_list.xlsx -o changes", "pipelegend diff old.csv new.csv -o changes"
    ),
)
def diff(
    old: Annotated[Path, typer.Argument(help="A list, an order or a job folder.")],
    new: Annotated[Path, typer.Argument(help="The newer one.")],
    output: Out,
    mapping: MappingFile = None,
    font: FontFile = None,
    force: Force = False,
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> None:
    """Compare two revisions: what to add, replace, remove and leave."""
    from render.cli.terminal import print_findings, print_lines
    from render.files.atomic import write_folder
    from render.files.overwrite import refuse_taken
    from render.folder.compare import compare, revision_files, revision_json, revision_lines
    from render.lists import Given

    with faults_told(as_json):
        refuse_taken(output, force, (old, new, font, mapping))
        revision = compare(old, new, Given(font=font).options(new.parent), mapping)
        write_folder(output, revision_files(revision), force)
    if as_json:
        typer.echo(revision_json(revision))
    elif not quiet:
        print_findings(revision.findings)
        print_lines(revision_lines(revision))


@app.command(
    rich_help_panel=FOLDER,
    epilog=examples(
        "pipelegend reprint job HV-118 -o again",
        "pipelegend reprint job 1A2B3C4D=3 -o again --stock 300x1600mm",
        "pipelegend reprint jobs 3F9A21BC/7C1D -o again",
    ),
)
def reprint(
    job: Annotated[Path, typer.Argument(help="A job folder, or a folder of job folders.")],
    ids: Annotated[
        list[str],
        typer.Argument(
            help="Markers by id, tag, line number or scanned text; ID=3 for three of it."
        ),
    ],
    output: Out,
    stock: Annotated[
        str | None, option("stock", "An offcut, such as 300x600mm.", STOCK, metavar="SIZE")
    ] = None,
    shop: ShopFile = None,
    font: FontFile = None,
    profile: ProfileFile = None,
    force: Force = False,
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> None:
    """Reprint markers from an existing job folder."""
    from layouts.terms.findings import Severity
    from render.cli.show import job_json, job_lines
    from render.cli.terminal import print_findings, print_lines
    from render.files.atomic import StagedFiles
    from render.files.overwrite import refuse_taken
    from render.folder.locate import job_holding
    from render.folder.reprint import reprint as again
    from render.lists import Given

    with faults_told(as_json):
        given = Given(shop, font, profile)
        refuse_taken(output, force, (job, *given.files))
        folder = job_holding(job, ids)
        with StagedFiles(output, force) as files:
            made = again(folder, ids, given.options(folder), stock, files)
            files.move()
    if as_json:
        typer.echo(job_json(made, output))
    elif not quiet:
        print_findings(each for each in made.findings if each.severity >= Severity.WARNING)
        print_lines(job_lines(made, output, f"print the files in {output / 'print'}"))


@app.command(
    rich_help_panel=FOLDER,
    epilog=examples(
        'pipelegend approve job --by "A. Reader" --date 2026-01-31',
        'pipelegend approve job --by "A. Reader" --date 2026-01-31 -o approval-2.json',
    ),
)
def approve(
    job: Annotated[Path, typer.Argument(help="The job folder whose proof was read.")],
    by: Annotated[str, option("by", "Who approves it.", FOLDER, metavar="NAME")],
    date: Annotated[str, option("date", "When.", FOLDER, metavar="YYYY-MM-DD")],
    note: Annotated[str, option("note", "What else to record.", FOLDER, metavar="TEXT")] = "",
    output: Annotated[
        Path,
        typer.Option(
            "-o", "--output", help="File to write.", rich_help_panel=OUTPUT, metavar="FILE"
        ),
    ] = Path("approval.json"),
    force: ForceFile = False,
    as_json: AsJson = False,
) -> None:
    """Record who approved a job's proof, and when."""
    from render.cli.findings import dump
    from render.files.atomic import write_file
    from render.files.overwrite import refuse_existing
    from render.folder.approval import approve as approval_of
    from render.folder.approval import is_approval

    with faults_told(as_json):
        refuse_existing(output, force, (".json",), is_approval)
        write_file(output, approval_of(job, by, date, note))
    if as_json:
        typer.echo(dump({"file": str(output)}))
        return
    from render.cli.terminal import print_lines

    print_lines(f"{output} written")
    print_lines(f"next: give it to the shop, or check a list against it with --approval {output}")
