"""Serves the page: address, token and browser."""

from __future__ import annotations

import io
import socket
import threading
import webbrowser
from collections.abc import Callable, Iterable
from pathlib import Path

from layouts.terms.errors import OutputError
from layouts.terms.values import frozen
from render.web.security import TOKEN, Gate
from render.web.settings import LOOPBACK, WebSettings, tidy_base

# No packet goes there: the system only chooses the address it would send from (RFC 5737).
_ELSEWHERE = ("192.0.2.1", 9)
_SHUTDOWN_S = 3
Say = Callable[[str], None]


@frozen
class Serving:
    """The command's options; ``port`` 0 takes a free one."""

    folder: Path
    lan: bool = False
    port: int = 0
    base_path: str = ""
    allowed: tuple[str, ...] = ()
    browser: bool = True


def serve(asked: Serving, say: Say) -> None:
    """Serve the page until it is stopped; ``say`` gets every line for the terminal.

    Raises:
        OutputError: the port is in use or not available, or the folder cannot be created.
    """
    import uvicorn

    from render.web.app import create_app

    _make_folder(asked.folder)
    listening = _listen(asked.lan, asked.port)
    port = listening.getsockname()[1]
    base = tidy_base(asked.base_path)
    phone = f"http://{lan_address()}:{port}{base}/" if asked.lan else ""
    gate = Gate() if asked.lan else None
    own = f"http://127.0.0.1:{port}{base}/"
    hosts = LOOPBACK | {each.lower() for each in asked.allowed}
    if asked.lan:
        hosts |= {lan_address(), socket.gethostname().lower()}
    app = create_app(WebSettings(asked.folder, base, frozenset(hosts), gate))
    entry = f"{own}?{TOKEN}={gate.mint()}" if gate else own
    say(f"The page is at {entry}")
    if gate:
        _say_invitation(phone, gate, say)
    say("Keep this window open while you work; Ctrl+C stops the page.")
    if asked.browser:
        threading.Thread(target=webbrowser.open, args=(entry,), daemon=True).start()
    config = uvicorn.Config(
        app,
        log_config=None,
        access_log=False,
        server_header=False,
        proxy_headers=False,
        timeout_graceful_shutdown=_SHUTDOWN_S,
    )
    try:
        uvicorn.Server(config).run(sockets=[listening])
    except (KeyboardInterrupt, SystemExit):  # after an orderly stop, passed on by the server
        say("Stopped.")
    finally:
        listening.close()


def lan_address() -> str:
    """This machine's address in its network; loopback if it has none."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        try:
            asking.connect(_ELSEWHERE)
            return str(asking.getsockname()[0])
        except OSError:
            return "127.0.0.1"


def qr_lines(address: str) -> Iterable[str]:
    """A QR code of an address for a terminal."""
    import segno

    drawn = io.StringIO()
    segno.make(address, micro=False).terminal(out=drawn, compact=True)
    return drawn.getvalue().splitlines()


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OutputError(
            f"{folder} cannot be made ({error.strerror}); give another --folder", "not-writable"
        ) from error


def _listen(lan: bool, port: int) -> socket.socket:
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        listening.bind(("0.0.0.0" if lan else "127.0.0.1", port))  # noqa: S104  only where asked for
    except (OSError, OverflowError) as error:
        listening.close()
        raise OutputError(
            f"port {port} cannot be used; give another --port, or leave it out for a free one",
            "port-taken",
        ) from error
    listening.listen()
    return listening


def _say_invitation(phone: str, gate: Gate, say: Say) -> None:
    """Print an address that lets one visitor in; once it is used, print the next."""

    def invite_next() -> None:
        _say_invitation(phone, gate, say)

    address = f"{phone}?{TOKEN}={gate.mint(invite_next)}"
    say("For the next phone in this network, good once:")
    for line in qr_lines(address):
        say(line)
    say(address)
