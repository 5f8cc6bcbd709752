"""The command on many orders: a company's plants, each into its own job folder."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from render.cli.common import (
    OUTPUT,
    STOCK,
    WHOLE,
    AsJson,
    FontFile,
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
from render.cli.orders import (
    FaceOfPipes,
    FilmStock,
    KeepTogether,
    LongParts,
    MappingFile,
    PieceIds,
    PieceIdsPer,
    PlateStock,
    Previews,
    TagStock,
    choices_of,
)

if TYPE_CHECKING:
    from render.batch.batch_run import Batch

MACHINES = "Machines"


@app.command(
    rich_help_panel=WHOLE,
    epilog=examples(
        "pipelegend batch north.xlsx south.xlsx -o jobs",
        "pipelegend batch plants -o jobs --shop shop.toml",
        "pipelegend batch plants -o jobs --gang",
        "pipelegend batch plants -o jobs --cluster tcp://10.0.0.5:8786",
    ),
)
def batch(
    orders: Annotated[
        list[Path], typer.Argument(help="Line lists and orders, or folders of them.")
    ],
    output: Out,
    mapping: MappingFile = None,
    film: FilmStock = "",
    plate: PlateStock = "",
    tag: TagStock = "",
    keep_together: KeepTogether = None,
    long_parts: LongParts = None,
    piece_id: PieceIds = None,
    piece_id_per: PieceIdsPer = None,
    face: FaceOfPipes = None,
    shop: ShopFile = None,
    font: FontFile = None,
    profile: ProfileFile = None,
    prices: PriceFile = None,
    previews: Previews = False,
    processes: Annotated[
        int,
        typer.Option(
            "--processes",
            min=0,
            max=256,
            show_default=False,
            help="Orders to make at once. Default: as many as fit.",
            rich_help_panel=MACHINES,
        ),
    ] = 0,
    cluster: Annotated[
        str,
        option(
            "cluster", "A Dask scheduler of yours (tcp://, tls://).", MACHINES, metavar="ADDRESS"
        ),
    ] = "",
    gang: Annotated[
        bool, option("gang", "Nest all orders together on shared sheets.", STOCK)
    ] = False,
    force: Annotated[
        bool, option("force", "Replace folders made from older lists or options.", OUTPUT)
    ] = False,
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> None:
    """Make many orders, each into its own folder."""
    from render.files.missing import refuse_missing

    with faults_told(as_json):
        for path in orders:
            refuse_missing(path)
    from render.batch.batch_run import BatchOptions, run_batch
    from render.cli.batch_progress import batch_progress
    from render.lists import Given

    with faults_told(as_json), batch_progress(quiet or as_json) as on_step:
        choices = choices_of(
            film, plate, tag, keep_together, long_parts, None, (piece_id, piece_id_per), face
        )
        given = Given(shop, font, profile, prices, None, choices, previews)
        asked = BatchOptions(force, processes, cluster, gang)
        made = run_batch(orders, output, mapping, given, asked, on_step)
    _show(made, as_json, quiet)
    if made.exit_code:
        raise typer.Exit(made.exit_code)


def _show(made: Batch, as_json: bool, quiet: bool) -> None:
    from render.batch.batch_table import batch_lines, fault_lines
    from render.cli.show_batch import batch_json
    from render.cli.terminal import print_lines

    if as_json:
        typer.echo(batch_json(made))
        return
    print_lines(fault_lines(made.outcomes), err=True)
    if not quiet:
        print_lines(batch_lines(made.folder, made.outcomes))
