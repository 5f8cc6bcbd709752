"""What every command shares: the app, exit codes, common options, and how faults are reported."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from layouts.terms.findings import Finding

app = typer.Typer(
    name="pipelegend",
    help="Print-ready markers for pipes, equipment and valves of ammonia refrigeration plants.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode="rich",
    context_settings={"help_option_names": ["-h", "--help"]},
)

DONE, BLOCKED, IMPOSSIBLE, CRASHED = 0, 1, 2, 3

# Groups of commands, and of options.
ONE, WHOLE, FOLDER, KEEPING, SHOP, HELP = (
    "One marker",
    "A line list or an order",
    "A job folder",
    "What hangs",
    "The sign shop",
    "What there is to choose from",
)
OUTPUT, FILES, STOCK, LISTS = "Output", "The shop's files", "Stock", "The plant's lists"


def option(name: str, help_text: str, panel: str, *more: str, metavar: str | None = None) -> Any:
    """A long option with its help, its group and its other spellings."""
    return typer.Option(f"--{name}", *more, help=help_text, rich_help_panel=panel, metavar=metavar)


def examples(*lines: str) -> str:
    """The text below the options of a command's help."""
    return "\n\n".join(("Examples:", *(f"  {line}" for line in lines)))


Out = Annotated[
    Path, typer.Option("-o", "--output", help="Folder to write.", rich_help_panel=OUTPUT)
]
ShopFile = Annotated[
    Path | None, option("shop", "Stocks and printer of the shop (.toml).", FILES, metavar="FILE")
]
FontFile = Annotated[
    Path | None, option("font", "The shop's own lettering (.ttf, .otf).", FILES, metavar="FILE")
]
ProfileFile = Annotated[
    Path | None,
    option("profile", "The printer's ICC profile, for PDF/X-4.", FILES, metavar="FILE"),
]
PriceFile = Annotated[
    Path | None,
    option("prices", "Price list for the bill of materials (.toml).", FILES, metavar="FILE"),
]
ApprovalFile = Annotated[
    Path | None,
    option("approval", "Approval to check the order against (.json).", FILES, metavar="FILE"),
]
AsJson = Annotated[bool, typer.Option("--json", help="Print JSON.", rich_help_panel=OUTPUT)]
Quiet = Annotated[bool, typer.Option("--quiet", help="Print errors only.", rich_help_panel=OUTPUT)]
Force = Annotated[
    bool, typer.Option("--force", help="Replace an old job folder.", rich_help_panel=OUTPUT)
]
ForceFile = Annotated[
    bool, typer.Option("--force", help="Replace a file of that name.", rich_help_panel=OUTPUT)
]


@contextmanager
def faults_told(as_json: bool = False) -> Iterator[None]:
    """Turn the program's own errors into findings on the terminal and an exit code."""
    from layouts.terms.errors import BlockedError, InputError, OutputError
    from layouts.terms.findings import Finding, Severity

    try:
        yield
    except InputError as error:
        show_faults(error.findings, as_json)
        raise typer.Exit(IMPOSSIBLE) from None
    except BlockedError as error:
        show_faults(error.findings, as_json)
        raise typer.Exit(BLOCKED) from None
    except OutputError as error:
        if as_json:
            what, _, right = str(error).partition("; ")
            show_faults((Finding(error.code, Severity.UNREADABLE, what, right),), as_json)
        else:
            from render.cli.terminal import print_lines

            print_lines(f"pipelegend: {error}", err=True)
        raise typer.Exit(IMPOSSIBLE) from None


def show_faults(findings: Sequence[Finding], as_json: bool) -> None:
    """Findings that end a command: JSON on standard output, or text on standard error."""
    from render.cli.findings import findings_json, tally
    from render.cli.terminal import print_findings, print_lines

    if as_json:
        typer.echo(findings_json(findings))
        return
    print_findings(findings, err=True)
    if _on_terminal():
        print_lines(f"Nothing was written: {tally(findings)}.", err=True)


def _on_terminal() -> bool:
    import sys

    return sys.stderr.isatty()
