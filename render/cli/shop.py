"""Commands for a shop and for whoever sets a list up: what there is, and what a file is worth."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from render.cli.common import (
    BLOCKED,
    HELP,
    SHOP,
    WHOLE,
    AsJson,
    ForceFile,
    ProfileFile,
    ShopFile,
    app,
    examples,
    faults_told,
)
from render.cli.terminal import print_lines


class RulesWord(StrEnum):
    """``--rules``."""

    HOUSE = "house"
    STANDARD = "standard"


@app.command(
    rich_help_panel=SHOP,
    epilog=examples(
        "pipelegend preflight job", "pipelegend preflight any.pdf --rules standard --plates"
    ),
)
def preflight(
    files: Annotated[list[Path], typer.Argument(help="PDF files or job folders.")],
    rules: Annotated[
        RulesWord, typer.Option("--rules", help="standard: breaks of house rules are warnings.")
    ] = RulesWord.HOUSE,
    ink_limit: Annotated[
        float, typer.Option("--ink-limit", help="Most process ink on one spot, in percent.", min=0)
    ] = 320.0,
    plates: Annotated[
        bool, typer.Option("--plates", help="Measure the plates with Ghostscript.")
    ] = False,
    all_points: Annotated[
        bool, typer.Option("--all", help="List what is in order as well.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Judge PDFs as print files: passed, failed or not judged."""
    from render.cli.findings import dump
    from render.preflight import Rules, inspect_all

    held_to = Rules(rules is RulesWord.HOUSE, ink_limit)
    batch = inspect_all(files, held_to, with_plates=plates)
    print_lines(dump(batch.as_dict()) if as_json else batch.text(all_points))
    raise typer.Exit(batch.exit_code)


class IntentWord(StrEnum):
    """``--intent``."""

    ABSOLUTE = "absolute"
    RELATIVE = "relative"


@app.command(
    rich_help_panel=SHOP,
    epilog=examples(
        "pipelegend colors --profile press.icc --target target.pdf",
        "pipelegend colors --profile press.icc --readings measured.txt",
    ),
)
def colors(
    scheme: Annotated[str, typer.Argument(help="See pipelegend schemes.")] = "ammonia-2014",
    profile: ProfileFile = None,
    shop: ShopFile = None,
    intent: Annotated[
        IntentWord | None,
        typer.Option("--intent", help="How colors meet the film's white. Default: the printer's."),
    ] = None,
    target: Annotated[
        Path | None, typer.Option("--target", help="Write the sheet of patches to measure (.pdf).")
    ] = None,
    readings: Annotated[
        Path | None, typer.Option("--readings", help="Measured patches: CGATS, CSV or CxF.")
    ] = None,
    force: ForceFile = False,
    as_json: AsJson = False,
) -> None:
    """Compare a scheme's inks with a printer and its measurements."""
    from layouts.drawing.ink_report import Intent
    from layouts.terms.words import PartRole
    from render.cli.findings import safe_json
    from render.cli.show import color_lines
    from render.cli.terminal import print_findings
    from render.color.ink_comparison import colors_of
    from render.color.ink_comparison import target as target_of
    from render.files.atomic import write_file
    from render.files.overwrite import refuse_existing
    from render.options import Options
    from render.read.fonts import default_typefaces
    from render.read.schemes import find_scheme
    from render.shop.shopfile import load_shop
    from render.write import pdf
    from render.write.pdf.press import intent_of, press_of

    with faults_told(as_json):
        if target is not None:
            refuse_existing(target, force, (".pdf",))
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
        typer.echo(safe_json(found.json()))
    else:
        print_lines(color_lines(found.table()))
        print_findings(found.findings)
        if target is not None:
            print_lines(f"{target} written")
    if not found.passed:
        raise typer.Exit(BLOCKED)


@app.command(
    rich_help_panel=WHOLE,
    epilog=examples("pipelegend template list.xlsx", "pipelegend template list.xlsx --force"),
)
def template(
    output: Annotated[
        Path, typer.Argument(help="A list (.xlsx), or shop.toml, prices.toml, scheme.toml.")
    ],
    force: ForceFile = False,
    as_json: AsJson = False,
) -> None:
    """Write a file to start from: a list, or a shop's own files."""
    from render.cli.findings import dump
    from render.files.atomic import write_file
    from render.files.overwrite import refuse_existing
    from render.read.template import template as write_template
    from render.shop.templates import SAMPLES, sample

    with faults_told(as_json):
        if output.name in SAMPLES:
            refuse_existing(output, force, (".toml",))
            write_file(output, sample(output.name))
        else:
            refuse_existing(output, force, (".xlsx",))
            write_template(output)
    if as_json:
        typer.echo(dump({"file": str(output)}))
        return
    print_lines(f"{output} written")
    if output.name not in SAMPLES:
        print_lines(f"next: fill it in, then pipelegend check {output}")


class SchemaOf(StrEnum):
    """The files that have a schema."""

    ORDER = "order"
    SHOP = "shop"
    PRICES = "prices"
    SCHEME = "scheme"


@app.command(
    rich_help_panel=HELP,
    epilog=examples("pipelegend schema", "pipelegend schema shop > shop.schema.json"),
)
def schema(
    of: Annotated[SchemaOf, typer.Argument(help="Which file.")] = SchemaOf.ORDER,
) -> None:
    """Print the JSON Schema of a file, for editors."""
    import json

    from render.read import order_schema
    from render.shop.templates import schema_of

    found = order_schema() if of is SchemaOf.ORDER else schema_of(of)
    typer.echo(json.dumps(found, indent=2))


@app.command(
    rich_help_panel=HELP,
    epilog=examples("pipelegend schemes", "pipelegend schemes --json"),
)
def schemes(as_json: AsJson = False) -> None:
    """List the conventions that markers can follow."""
    from render.cli.show import scheme_lines, schemes_json

    print_lines(schemes_json() if as_json else scheme_lines())


@app.command(
    rich_help_panel=HELP,
    epilog=examples("pipelegend stocks", "pipelegend stocks --shop shop.toml"),
)
def stocks(shop: ShopFile = None, as_json: AsJson = False) -> None:
    """List the stocks, offcuts and machines of a shop."""
    from render.shop.listing import shelf, shelf_json, shelf_lines

    with faults_told(as_json):
        tables = shelf(shop)
    print_lines(shelf_json(tables) if as_json else shelf_lines(tables))
