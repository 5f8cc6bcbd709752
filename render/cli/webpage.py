"""The command that serves the page."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from typing import Annotated

import typer

from render.cli.common import OUTPUT, app, examples, faults_told, option

PAGE, NETWORK = "The page", "The network"
_EXTRA = ("jinja2", "python_multipart", "starlette", "uvicorn")


@app.command(
    rich_help_panel=PAGE,
    epilog=examples("pipelegend web", "pipelegend web --lan --port 8080"),
)
def web(
    lan: Annotated[
        bool, option("lan", "Let phones in this network in; prints a QR code.", NETWORK)
    ] = False,
    port: Annotated[
        int, typer.Option("--port", help="Default: a free one.", rich_help_panel=NETWORK)
    ] = 0,
    base_path: Annotated[
        str, option("base-path", "Path behind a reverse proxy.", NETWORK, metavar="PATH")
    ] = "",
    allow_host: Annotated[
        list[str] | None,
        option("allow-host", "Another name of this server.", NETWORK, metavar="NAME"),
    ] = None,
    folder: Annotated[
        Path | None,
        option("folder", "Where jobs and the shop's file are kept.", OUTPUT, metavar="FOLDER"),
    ] = None,
    no_browser: Annotated[bool, option("no-browser", "Open no browser.", OUTPUT)] = False,
    install: Annotated[
        bool,
        option("install-shortcut", "Write a file that starts the page, and stop.", OUTPUT),
    ] = False,
) -> None:
    """Open the page: markers, lists and the shop in a browser."""
    import gc

    with faults_told():
        _need_extra()
        if install:
            from render.web.shortcut import install_shortcut

            path = install_shortcut()
            typer.echo(f"{path} written: open it to start the page")
            return
        from render.web.server import Serving, serve
        from render.web.settings import default_folder

        gc.enable()  # a server lives on; one command is over before it would pay
        asked = Serving(
            folder or default_folder(),
            lan,
            port,
            base_path,
            tuple(allow_host or ()),
            not no_browser,
        )
        serve(asked, typer.echo)


def _need_extra() -> None:
    """Say in a sentence which packages the page lacks.

    Raises:
        OutputError: there are some.
    """
    from layouts.terms.errors import OutputError

    if lacking := [name for name in _EXTRA if importlib.util.find_spec(name) is None]:
        raise OutputError(
            f"the page needs {', '.join(lacking)}; install them with pip install 'pipelegend[web]'",
            "extra-missing",
        )
