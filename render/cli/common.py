"""What every command shares: the app, exit codes, common options, and how faults are told."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from layouts.markers.content import Content
    from layouts.papers.materials import Prices
    from layouts.terms.findings import Finding
    from render.options import Options, Progress
    from render.read import Reading

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
PriceFile = Annotated[Path | None, typer.Option("--prices", help="gives the bill costs")]
ApprovalFile = Annotated[
    Path | None, typer.Option("--approval", help="says when the order is not what was approved")
]
AsJson = Annotated[bool, typer.Option("--json", help="print for machines")]
Quiet = Annotated[bool, typer.Option("--quiet", help="print errors alone")]
Force = Annotated[bool, typer.Option("--force", help="replace an old job folder")]


def option(name: str, help_text: str) -> Any:
    """A long option with its help."""
    return typer.Option(f"--{name}", help=help_text)


@contextmanager
def faults_told(as_json: bool = False) -> Iterator[None]:
    """Turn the program's own errors into clear sentences and an exit code."""
    from layouts.terms.errors import BlockedError, InputError, OutputError

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
    from render.cli.show import finding_lines, findings_json

    if as_json:
        typer.echo(findings_json(findings))
        return
    for line in finding_lines(findings):
        typer.echo(line, err=True)


def print_lines(text: str | Iterable[str]) -> None:
    """One text, or several lines."""
    for line in [text] if isinstance(text, str) else text:
        typer.echo(line)


def options_of(
    folder: Path,
    shop: Path | None = None,
    font: Path | None = None,
    profile: Path | None = None,
    prices: Path | None = None,
    approval: Path | None = None,
    progress: Progress = lambda _: None,
    previews: bool = False,
) -> Options:
    """The options of a job, their files read.

    Raises:
        InputError: one of the files cannot be used.
    """
    from render.options import Options
    from render.shop.shopfile import load_shop

    return Options(
        load_shop(shop),
        font=font,
        profile=profile,
        prices=_prices(prices),
        approved=_approved(approval),
        folder=folder,
        progress=progress,
        previews=previews,
    )


def _prices(path: Path | None) -> Prices | None:
    if path is None:
        return None
    from render.shop.prices import load_prices

    return load_prices(path)


def _approved(path: Path | None) -> Callable[[Content], tuple[Finding, ...]]:
    """What judges a proof's content against an approval, or says nothing where there is none."""
    if path is None:
        return lambda _: ()
    from render.folder.approval import approval_findings, read_approval

    return partial(approval_findings, read_approval(path))


def readable(file: Path, mapping: Path | None = None, also: Sequence[Path] = ()) -> Reading:
    """A file whose order can be made; every fault of it at once, the plan's findings included.

    Raises:
        InputError: something of it cannot be read.
        BlockedError: all of it can be read, and must not be printed as it is.
    """
    from layouts.terms.errors import BlockedError, InputError
    from layouts.terms.findings import Severity
    from render.decide import decide
    from render.read import read

    reading = read(file, mapping, also)
    if reading.order is not None and not any(finding.blocks for finding in reading.findings):
        return reading
    findings = list(reading.findings)
    if reading.judged is not None:
        judged = decide(reading.judged, options_of(file.parent), reading.listed)
        findings += reading.located(judged.gathered.findings)
    if any(finding.severity is Severity.UNREADABLE for finding in findings):
        raise InputError(findings)
    raise BlockedError(findings)
