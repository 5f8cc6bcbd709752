"""A shortcut file to click, for people without a command line."""

from __future__ import annotations

import os
import sys
from pathlib import Path

from layouts.terms.errors import OutputError
from render.files.atomic import write_file

_DESKTOP_ENTRY = """\
[Desktop Entry]
Type=Application
Version=1.0
Name=pipelegend
Comment=Markers for pipes, equipment and valves
Exec={command}
Terminal=true
Categories=Utility;
"""
_COMMAND_FILE = '@echo off\r\ntitle pipelegend\r\n"{python}" -m pipelegend web\r\npause\r\n'


def install_shortcut() -> Path:
    """Write a shortcut that starts the page: a menu entry on Linux, a .cmd file on Windows.

    Raises:
        OutputError: the system is neither, or the file cannot be written.
    """
    if sys.platform == "win32":
        path = Path.home() / "Desktop" / "pipelegend.cmd"
        text = command_file(sys.executable)
    elif sys.platform == "linux":
        data = Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share")
        path = data / "applications" / "pipelegend.desktop"
        text = desktop_entry(sys.executable)
    else:
        raise OutputError(
            "a shortcut is written on Linux and Windows only; start the page with pipelegend web",
            "no-shortcut",
        )
    path.parent.mkdir(parents=True, exist_ok=True)
    write_file(path, text.encode())
    return path


def desktop_entry(python: str) -> str:
    """A menu entry by the Desktop Entry Specification 1.5, its command quoted as that asks."""
    escaped = python
    for sign in ("\\", '"', "`", "$"):
        escaped = escaped.replace(sign, f"\\{sign}")
    # A string value doubles its backslashes, and a percent sign begins a field code.
    escaped = escaped.replace("\\", "\\\\").replace("%", "%%")
    return _DESKTOP_ENTRY.format(command=f'"{escaped}" -m pipelegend web')


def command_file(python: str) -> str:
    """A file that Windows runs; a percent sign in it begins a variable."""
    return _COMMAND_FILE.format(python=python.replace("%", "%%"))
