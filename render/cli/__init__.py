"""The command line: reads options, calls the packages behind it, prints the result.

Heavy modules are imported inside the commands, to keep ``--help`` quick.
"""

from __future__ import annotations

import os
import sys
from typing import Annotated

import typer
from typer.models import CommandInfo

# Nothing here uses pydantic's plugins, and looking for them costs a twentieth of a second.
os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")

from render.cli import single, orders, many_orders, lookup, keeping, shop, webpage  # noqa: F401, I001  each adds its commands, in help order
from render.cli.common import CRASHED, IMPOSSIBLE, app

__all__ = ["app", "main"]


def _version(asked: bool) -> None:
    if asked:
        from pipelegend import __version__

        typer.echo(f"pipelegend {__version__}")
        raise typer.Exit


@app.callback()
def root(
    _: Annotated[
        bool,
        typer.Option("--version", help="Print the version.", is_eager=True, callback=_version),
    ] = False,
) -> None:
    """Print-ready markers for pipes, equipment and valves of ammonia refrigeration plants."""


def _register_only(name: str) -> None:
    """Leave the other commands out: typer reads every option of each before it looks for one.

    Without a command of that name all stay, for the help and for what is near a misspelled one.
    """
    asked = [each for each in app.registered_commands if _name_of(each) == name]
    app.registered_commands = asked or app.registered_commands


def _name_of(command: CommandInfo) -> str:
    return command.name or str(getattr(command.callback, "__name__", ""))


def main() -> None:
    """Entry point of the ``pipelegend`` command; no error leaves it as a traceback."""
    from render.cli.streams import end_cleanly_when_stopped, hold_streams, undelivered
    from render.processes import collect_nothing

    collect_nothing()
    out = hold_streams()
    end_cleanly_when_stopped()
    _register_only(next(iter(sys.argv[1:]), ""))
    try:
        app(prog_name="pipelegend")
    except MemoryError:
        typer.echo("pipelegend: not enough memory; split the list, or close programs", err=True)
        sys.exit(IMPOSSIBLE)
    except Exception as error:  # last resort: any error becomes one sentence
        from render.cli.crash import report

        typer.echo(report(error, sys.argv[1:]), err=True)
        sys.exit(CRASHED)
    finally:
        if fault := undelivered(out):
            typer.echo(f"pipelegend: the output could not be written: {fault}", err=True)
            sys.exit(IMPOSSIBLE)
