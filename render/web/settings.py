"""The settings of a server."""

from __future__ import annotations

import os
import sys
from dataclasses import field
from pathlib import Path

from layouts.terms.values import frozen
from render.web.security import Gate

# The names under which a browser on the same machine reaches the server (RFC 6761, 6.3).
LOOPBACK = frozenset({"127.0.0.1", "localhost", "[::1]"})


@frozen
class WebSettings:
    """Where the page keeps its files, its base path, and who may ask.

    ``hosts`` are names of this server without a port. ``gate`` is None if no token is required.
    """

    folder: Path
    base_path: str = ""
    hosts: frozenset[str] = LOOPBACK
    gate: Gate | None = field(default=None, repr=False)

    @property
    def shop_file(self) -> Path | None:
        """The shop's file, if the page or its owner has written one."""
        path = self.folder / "shop.toml"
        return path if path.is_file() else None

    @property
    def jobs(self) -> Path:
        """The folder of job folders."""
        return self.folder / "jobs"


def default_folder() -> Path:
    """Where programs of this system keep a user's data (XDG Base Directory Specification)."""
    home = Path.home()
    if sys.platform == "win32":
        base = Path(os.environ.get("LOCALAPPDATA") or home / "AppData" / "Local")
    elif sys.platform == "darwin":
        base = home / "Library" / "Application Support"
    else:
        base = Path(os.environ.get("XDG_DATA_HOME") or home / ".local" / "share")
    return base / "pipelegend"


def tidy_base(text: str) -> str:
    """A base path with one slash in front and none behind; empty for the top."""
    path = text.strip().strip("/")
    return f"/{path}" if path else ""
