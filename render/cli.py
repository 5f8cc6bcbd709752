"""The command line: reads options, calls ``render.job``, prints what came of it.

Heavy modules are imported inside the commands, so that ``--help`` stays quick.
"""

from __future__ import annotations

import gc
import os
from collections.abc import Iterator
from contextlib import contextmanager
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

# Nothing here uses pydantic's plugins, and looking for them costs a twentieth of a second.
os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")

if TYPE_CHECKING:
    from layouts.findings import Finding
    from layouts.materials import Prices
    from layouts.spec import Order
    from render.judge import Options

app = typer.Typer(
    name="pipelegend",
    help="Print-ready markers for the pipes, equipment and valves of ammonia refrigeration plants.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)

DONE, BLOCKED, IMPOSSIBLE = 0, 1, 2

Out = Annotated[Path, typer.Option("-o", "--output", help="where to write")]
ShopFile = Annotated[Path | None, typer.Option("--shop", help="the shop's stocks and printer")]
FontFile = Annotated[Path | None, typer.Option("--font", help="the shop's own lettering")]
ProfileFile = Annotated[
    Path | None, typer.Option("--profile", help="the printer's ICC profile, for PDF/X-4")
]
AsJson = Annotated[bool, typer.Option("--json", help="print for machines")]
Quiet = Annotated[bool, typer.Option("--quiet", help="print errors alone")]
Force = Annotated[bool, typer.Option("--force", help="replace an old job folder")]


def main() -> None:
    """Entry point of the ``pipelegend`` command."""
    # The values of a job hold no cycles, and looking for them costs a fifth of its time.
    gc.disable()
    app()


@contextmanager
def _faults_told(as_json: bool = False) -> Iterator[None]:
    """Turn the program's own errors into clear sentences and an exit code."""
    from layouts.errors import BlockedError, InputError, OutputError

    try:
        yield
    except InputError as error:
        _show_findings(error.findings, as_json)
        raise typer.Exit(IMPOSSIBLE) from None
    except BlockedError as error:
        _show_findings(error.findings, as_json)
        raise typer.Exit(BLOCKED) from None
    except OutputError as error:
        typer.echo(f"pipelegend: {error}", err=True)
        raise typer.Exit(IMPOSSIBLE) from None


def _show_findings(findings: tuple[Finding, ...], as_json: bool) -> None:
    if as_json:
        from render.report import findings_json

        typer.echo(findings_json(findings))
        return
    from render.report import finding_lines

    for line in finding_lines(findings):
        typer.echo(line, err=True)


@app.command()
def order(
    file: Annotated[Path, typer.Argument(help="a line list (.xlsx, .csv) or order (.toml, .json)")],
    output: Out,
    shop: ShopFile = None,
    font: FontFile = None,
    profile: ProfileFile = None,
    prices: Annotated[Path | None, typer.Option("--prices", help="gives the bill costs")] = None,
    force: Force = False,
    previews: Annotated[bool, typer.Option("--previews", help="add a PNG of every sheet")] = False,
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> None:
    """Make the job folder: print and cut files, proof, ticket and tables."""
    from render.job import build
    from render.output import refuse_taken, write_folder
    from render.report import job_json, job_lines, progress

    with _faults_told(as_json):
        refuse_taken(output, force)
        read = _read_order(file)
        with progress(quiet or as_json) as step:
            options = _options(shop, font, file.parent, step, previews=previews, profile=profile)
            job = build(read, options, file.name)
            write_folder(output, job.files, force)
    if as_json:
        typer.echo(job_json(job, output))
    elif not quiet:
        for line in job_lines(job, output):
            typer.echo(line)


@app.command()
def check(
    file: Annotated[Path, typer.Argument(help="a line list (.xlsx, .csv) or order (.toml, .json)")],
    font: FontFile = None,
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> None:
    """Say everything that is wrong or worth knowing, and write nothing."""
    from layouts.findings import Severity
    from render.judge import judge
    from render.report import check_json, check_lines
    from render.specfile import read

    with _faults_told(as_json):
        reading = read(file)
        findings = list(reading.findings)
        total = 0
        if reading.order is not None:
            options = _options(None, font, file.parent)
            findings += judge(reading.order, options, file.name).gathered.findings
            total = reading.order.quantity
    if as_json:
        typer.echo(check_json(findings, total))
    elif not quiet or any(finding.blocks for finding in findings):
        for line in check_lines(findings, total):
            typer.echo(line)
    if any(finding.severity is Severity.UNREADABLE for finding in findings):
        raise typer.Exit(IMPOSSIBLE)
    if any(finding.blocks for finding in findings):
        raise typer.Exit(BLOCKED)


class StateWord(StrEnum):
    """``--state``."""

    LIQUID = "liquid"
    VAPOR = "vapor"
    BOTH = "both"


class FlowWord(StrEnum):
    """``--flow``."""

    RIGHT = "right"
    LEFT = "left"
    UP = "up"
    DOWN = "down"
    REVERSING = "reversing"
    NONE = "none"


class PaperWord(StrEnum):
    """``--paper``."""

    LETTER = "letter"
    A4 = "a4"


def _option(name: str, help_text: str) -> Any:
    return typer.Option(f"--{name}", help=help_text)


@app.command()
def marker(
    output: Out,
    service: Annotated[str, typer.Argument(help="service abbreviation, such as HTRS")] = "",
    state: Annotated[StateWord | None, _option("state", "physical state")] = None,
    psig: Annotated[
        str, _option("psig", "highest pressure in normal operation, defrost left out")
    ] = "",
    level: Annotated[str, _option("level", "high or low, where no pressure is known")] = "",
    flow: Annotated[FlowWord | None, _option("flow", "as you stand before it")] = None,
    pipe: Annotated[str, _option("pipe", "NPS 4, DN100, 114.3 mm, tube 7/8 in")] = "",
    covering: Annotated[str, _option("covering", "thickness, such as 1.5in; 0 if bare")] = "",
    girth: Annotated[str, _option("girth", "a tape round the covering, such as 31in")] = "",
    od: Annotated[str, _option("od", "outside diameter over the covering")] = "",
    vertical: Annotated[bool, _option("vertical", "the pipe rises; flow is up or down")] = False,
    both_sides: Annotated[bool, _option("both-sides", "one marker for each side")] = False,
    contents: Annotated[str, _option("contents", "if not the scheme's own")] = "",
    legend: Annotated[str, _option("legend", "words in place of the contents")] = "",
    meaning: Annotated[str, _option("meaning", "of a local abbreviation")] = "",
    surface: Annotated[str, _option("surface", "peak surface temperature, such as 200F")] = "",
    frost: Annotated[str, _option("frost", "thickest frost expected")] = "",
    outdoor: Annotated[bool, _option("outdoor", "lives outdoors")] = False,
    washdown: Annotated[bool, _option("washdown", "is washed down")] = False,
    applied_at: Annotated[str, _option("applied-at", "temperature when it is put on")] = "",
    viewing: Annotated[str, _option("viewing", "reading distance, such as 20ft")] = "",
    straight: Annotated[str, _option("straight", "straight run that it must fit on")] = "",
    paint: Annotated[str, _option("paint", "color of the pipe's paint or jacket")] = "",
    wrap: Annotated[bool, _option("wrap", "go round a small pipe")] = False,
    two_lines: Annotated[bool, _option("two-lines", "set it on two lines")] = False,
    letter: Annotated[str, _option("letter", "letter height, not below the row")] = "",
    length: Annotated[str, _option("length", "length, not below the row")] = "",
    same_letter: Annotated[str, _option("same-letter", "letters of the neighbor")] = "",
    same_height: Annotated[str, _option("same-height", "height of the neighbor")] = "",
    same_length: Annotated[str, _option("same-length", "length of the neighbor")] = "",
    scheme: Annotated[str, _option("scheme", "see `pipelegend schemes`")] = "",
    paper: Annotated[
        PaperWord | None, _option("paper", "print it tonight, over pages of an office printer")
    ] = None,
    shop: ShopFile = None,
    font: FontFile = None,
    profile: ProfileFile = None,
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> None:
    """One marker for a pipe, at true size; the format follows the file's suffix."""
    fields = {
        "kind": "pipe",
        "service": service,
        "state": state,
        "pressure": psig,
        "level": level,
        "flow": flow,
        "run": "vertical" if vertical else "",
        "side": "both" if both_sides else "",
        "pipe": pipe,
        "covering": covering,
        "girth": girth,
        "od": od,
        "contents": contents,
        "legend": legend,
        "meaning": meaning,
        "viewing_distance": viewing,
        "straight": straight,
        "paint": paint,
        "wrap": wrap,
        "lines": 2 if two_lines else "",
        "letter_height": letter,
        "length": length,
        "environment": _filled(
            setting="outdoor" if outdoor else "",
            surface=surface,
            frost=frost,
            washdown=washdown,
            applied_at=applied_at,
        ),
        "neighbor": _filled(
            letter_height=same_letter, marker_height=same_height, length=same_length
        ),
    }
    _draw_one(_filled(**fields), scheme, output, shop, font, as_json, quiet, paper or "", profile)


@app.command()
def equipment(
    output: Out,
    name: Annotated[str, typer.Argument(help="such as 'High pressure receiver'")] = "",
    tag: Annotated[str, _option("tag", "number, such as HPR-1")] = "",
    psig: Annotated[str, _option("psig", "pressure, where the scheme shows a level")] = "",
    level: Annotated[str, _option("level", "high or low, where no pressure is known")] = "",
    small: Annotated[bool, _option("small", "a small part, sized by reading distance")] = False,
    viewing: Annotated[str, _option("viewing", "reading distance, such as 20ft")] = "",
    outdoor: Annotated[bool, _option("outdoor", "lives outdoors")] = False,
    surface: Annotated[str, _option("surface", "peak surface temperature, such as 200F")] = "",
    scheme: Annotated[str, _option("scheme", "see `pipelegend schemes`")] = "",
    shop: ShopFile = None,
    font: FontFile = None,
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> None:
    """One marker for a vessel or a machine."""
    fields = _filled(
        kind="equipment",
        name=name,
        tag=tag,
        pressure=psig,
        level=level,
        small=small,
        viewing_distance=viewing,
        environment=_filled(setting="outdoor" if outdoor else "", surface=surface),
    )
    _draw_one(fields, scheme, output, shop, font, as_json, quiet)


@app.command()
def valve(
    output: Out,
    tag: Annotated[str, typer.Argument(help="valve number, such as HV-101")],
    service: Annotated[str, _option("service", "service abbreviation")] = "",
    function: Annotated[str, _option("function", "such as 'Liquid stop'")] = "",
    size: Annotated[str, _option("size", "valve size, such as 'NPS 3'")] = "",
    normal: Annotated[str, _option("normal", "normal position, open or closed")] = "",
    emergency: Annotated[bool, _option("emergency", "an emergency valve")] = False,
    round_tag: Annotated[bool, _option("round", "a round tag")] = False,
    outdoor: Annotated[bool, _option("outdoor", "lives outdoors")] = False,
    viewing: Annotated[str, _option("viewing", "reading distance, such as 5ft")] = "",
    scheme: Annotated[str, _option("scheme", "see `pipelegend schemes`")] = "",
    shop: ShopFile = None,
    font: FontFile = None,
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> None:
    """One tag for a valve."""
    fields = _filled(
        kind="valve",
        tag=tag,
        service=service,
        function=function,
        valve_size=size,
        normal_position=normal,
        emergency=emergency,
        shape="round" if round_tag else "",
        viewing_distance=viewing,
        environment=_filled(setting="outdoor" if outdoor else ""),
    )
    _draw_one(fields, scheme, output, shop, font, as_json, quiet)


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
    from render import pdf
    from render.color.engine import Intent
    from render.colors import colors_of
    from render.colors import target as target_of
    from render.judge import find_scheme
    from render.output import write_file
    from render.report import color_lines, finding_lines

    with _faults_told(as_json):
        chosen = find_scheme(scheme, Path())
        found = colors_of(chosen, profile, Intent[intent.name], readings)
        if target is not None:
            write_file(target, pdf.write(target_of(chosen)))
    if as_json:
        typer.echo(found.json())
    else:
        _print_lines([*color_lines(found.table()), *finding_lines(found.findings)])
    if not found.passed:
        raise typer.Exit(BLOCKED)


@app.command()
def template(
    output: Annotated[Path, typer.Argument(help="where to write it (.xlsx)")],
) -> None:
    """Write an empty line list with headings, help, dropdowns and an example."""
    from render.template import template as write_template

    with _faults_told():
        write_template(output)


@app.command()
def schema() -> None:
    """Print the JSON Schema of the order file, for editors."""
    import json

    from render.specfile import order_schema

    typer.echo(json.dumps(order_schema(), indent=2))


@app.command()
def schemes(as_json: AsJson = False) -> None:
    """List the conventions that markers can follow, with edition and what is missing."""
    from render.report import scheme_lines, schemes_json

    _print_lines(schemes_json() if as_json else scheme_lines())


@app.command()
def stocks(shop: ShopFile = None, as_json: AsJson = False) -> None:
    """List the stocks that markers can be nested on."""
    from render.report import stock_lines, stocks_json
    from render.shop import load_shop

    with _faults_told(as_json):
        shelf = load_shop(shop)
    _print_lines(stocks_json(shelf) if as_json else stock_lines(shelf))


def _print_lines(text: str | list[str]) -> None:
    for line in [text] if isinstance(text, str) else text:
        typer.echo(line)


def _filled(**fields: object) -> dict[str, object]:
    """The fields that were given."""
    return {key: value for key, value in fields.items() if value not in ("", None, False, {})}


def _options(
    shop: Path | None,
    font: Path | None,
    folder: Path,
    progress: Any = lambda _: None,
    previews: bool = False,
    profile: Path | None = None,
    prices: Path | None = None,
) -> Options:
    from render.judge import Options
    from render.shop import load_shop

    return Options(
        load_shop(shop),
        font=font,
        folder=folder,
        progress=progress,
        previews=previews,
        profile=profile,
    )


def _prices(path: Path | None) -> Prices | None:
    if path is None:
        return None
    from render.bill import load_prices

    return load_prices(path)


def _read_order(file: Path) -> Order:
    """The order of a file; every fault of the file at once, the plan's findings included."""
    from layouts.errors import InputError
    from render.judge import judge
    from render.specfile import read

    reading = read(file)
    unreadable = [finding for finding in reading.findings if finding.blocks]
    if reading.order is not None and not unreadable:
        return reading.order
    findings = list(reading.findings)
    if reading.order is not None:
        options = _options(None, None, file.parent)
        findings += judge(reading.order, options, file.name).gathered.findings
    raise InputError(findings)


def _draw_one(
    fields: dict[str, object],
    scheme: str,
    output: Path,
    shop: Path | None,
    font: Path | None,
    as_json: bool,
    quiet: bool,
    paper: str = "",
    profile: Path | None = None,
) -> None:
    """Draw one marker and write it; its findings go to the terminal."""
    from render.draw import draw, drawn_bytes
    from render.output import write_file
    from render.report import single_json, single_lines
    from render.specfile import one_marker

    with _faults_told(as_json):
        wanted = one_marker(fields, scheme)
        options = _options(shop, font, Path(), profile=profile)
        document, markers, findings = draw(wanted, options, paper)
        data = drawn_bytes(document, output.suffix, options)
        write_file(output, data)
    if as_json:
        typer.echo(single_json(markers, findings, output))
    elif not quiet:
        for line in single_lines(markers, findings, output):
            typer.echo(line)
