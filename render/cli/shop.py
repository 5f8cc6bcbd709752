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
    shop: ShopFile = None,
    intent: Annotated[
        IntentWord | None, typer.Option("--intent", help="how colors meet the film's white")
    ] = None,
    target: Annotated[
        Path | None, typer.Option("--target", help="write the sheet of patches to measure (.pdf)")
    ] = None,
    readings: Annotated[
        Path | None, typer.Option("--readings", help="measured patches: CGATS, CSV or CxF")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Each ink of a scheme: its color, what a printer makes of it, and what was measured."""
    from layouts.drawing.ink_report import Intent
    from layouts.terms.words import PartRole
    from render.cli.show import color_lines, finding_lines
    from render.color import colors_of
    from render.color import target as target_of
    from render.files.atomic import write_file
    from render.options import Options
    from render.read.fonts import default_typefaces
    from render.read.schemes import find_scheme
    from render.shop.shopfile import load_shop
    from render.write import pdf
    from render.write.pdf.press import intent_of, press_of

    with faults_told(as_json):
        chosen = find_scheme(scheme, Path())
        options = Options(load_shop(shop), profile=profile)
        printer = options.shop.printer_for(PartRole.FILM)
        pressed = options.output_profile(printer)
        way = Intent[intent.name] if intent else intent_of(printer)
        found = colors_of(chosen, pressed, way, readings)
        if target is not None:
            document = target_of(chosen, default_typefaces().text)
            press = press_of(printer, pressed, document.inks())
            write_file(target, pdf.write(document, press))
    if as_json:
        typer.echo(found.json())
    else:
        print_lines([*color_lines(found.table()), *finding_lines(found.findings)])
    if not found.passed:
        raise typer.Exit(BLOCKED)


@app.command()
def template(
    output: Annotated[
        Path, typer.Argument(help="a list (.xlsx), or shop.toml, prices.toml, scheme.toml")
    ],
) -> None:
    """Write a file to start from: a line list, or a shop's, price or scheme file with comments."""
    from render.files.atomic import write_file
    from render.read.template import template as write_template
    from render.shop.templates import SAMPLES, sample

    with faults_told():
        if output.name in SAMPLES:
            write_file(output, sample(output.name))
        else:
            write_template(output)


class SchemaOf(StrEnum):
    """The files that have a schema."""

    ORDER = "order"
    SHOP = "shop"
    PRICES = "prices"
    SCHEME = "scheme"


@app.command()
def schema(
    of: Annotated[SchemaOf, typer.Argument(help="which file")] = SchemaOf.ORDER,
) -> None:
    """Print the JSON Schema of an order, shop, price or scheme file, for editors."""
    import json

    from render.read import order_schema
    from render.shop.templates import schema_of

    found = order_schema() if of is SchemaOf.ORDER else schema_of(of)
    typer.echo(json.dumps(found, indent=2))


@app.command()
def schemes(as_json: AsJson = False) -> None:
    """List the conventions that markers can follow, with edition and what is missing."""
    from render.cli.show import scheme_lines, schemes_json

    print_lines(schemes_json() if as_json else scheme_lines())


@app.command()
def stocks(shop: ShopFile = None, as_json: AsJson = False) -> None:
    """List stocks, offcuts and machines with every key; --json reads back as a shop's file."""
    from render.shop.listing import shelf, shelf_json, shelf_lines

    with faults_told(as_json):
        tables = shelf(shop)
    print_lines(shelf_json(tables) if as_json else shelf_lines(tables))
