"""Commands for a shop and for whoever sets a list up: what there is, and what a file is worth."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from render.cli.common import (
    BLOCKED,
    DONE,
    IMPOSSIBLE,
    AsJson,
    ProfileFile,
    ShopFile,
    app,
    faults_told,
    print_lines,
)


@app.command()
def preflight(
    file: Annotated[Path, typer.Argument(help="any PDF")],
    plates: Annotated[bool, typer.Option("--plates", help="measure plates by Ghostscript")] = False,
    as_json: AsJson = False,
) -> None:
    """Judge a PDF as a print file, point by point; the exit code says the verdict."""
    import json

    from render.preflight import Verdict, as_dict, as_text, inspect

    try:
        report = inspect(file, with_plates=plates)
    except OSError as error:
        typer.echo(f"pipelegend: {file} cannot be read: {error.strerror or error}", err=True)
        raise typer.Exit(IMPOSSIBLE) from None
    typer.echo(json.dumps(as_dict(report), indent=1) if as_json else as_text(report))
    codes = {Verdict.FAIL: BLOCKED, Verdict.UNREADABLE: IMPOSSIBLE}
    raise typer.Exit(codes.get(report.verdict, DONE))


class IntentWord(StrEnum):
    """``--intent``."""

    ABSOLUTE = "absolute"
    RELATIVE = "relative"


@app.command()
def colors(
    scheme: Annotated[str, typer.Argument(help="see `pipelegend schemes`")] = "ammonia-2014",
    profile: ProfileFile = None,
    intent: Annotated[
        IntentWord, typer.Option("--intent", help="how colors meet the film's white")
    ] = IntentWord.ABSOLUTE,
    target: Annotated[
        Path | None, typer.Option("--target", help="write the sheet of patches to measure (.pdf)")
    ] = None,
    readings: Annotated[
        Path | None, typer.Option("--readings", help="measured patches, CGATS text or CSV")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Each ink of a scheme: its color, what a printer makes of it, and what was measured."""
    from layouts.drawing.ink_report import Intent
    from render.cli.show import color_lines, finding_lines
    from render.color import colors_of
    from render.color import target as target_of
    from render.files.atomic import write_file
    from render.read.fonts import default_typefaces
    from render.read.schemes import find_scheme
    from render.write import pdf

    with faults_told(as_json):
        chosen = find_scheme(scheme, Path())
        found = colors_of(chosen, profile, Intent[intent.name], readings)
        if target is not None:
            write_file(target, pdf.write(target_of(chosen, default_typefaces().text)))
    if as_json:
        typer.echo(found.json())
    else:
        print_lines([*color_lines(found.table()), *finding_lines(found.findings)])
    if not found.passed:
        raise typer.Exit(BLOCKED)


@app.command()
def template(
    output: Annotated[Path, typer.Argument(help="where to write it (.xlsx)")],
) -> None:
    """Write an empty line list with headings, help, dropdowns and an example."""
    from render.read.template import template as write_template

    with faults_told():
        write_template(output)


@app.command()
def schema() -> None:
    """Print the JSON Schema of the order file, for editors."""
    import json

    from render.read import order_schema

    typer.echo(json.dumps(order_schema(), indent=2))


@app.command()
def schemes(as_json: AsJson = False) -> None:
    """List the conventions that markers can follow, with edition and what is missing."""
    from render.cli.show import scheme_lines, schemes_json

    print_lines(schemes_json() if as_json else scheme_lines())


@app.command()
def stocks(shop: ShopFile = None, as_json: AsJson = False) -> None:
    """List the stocks that markers can be nested on."""
    from render.cli.show import stock_lines, stocks_json
    from render.shop.shopfile import load_shop

    with faults_told(as_json):
        shelf = load_shop(shop)
    print_lines(stocks_json(shelf) if as_json else stock_lines(shelf))
