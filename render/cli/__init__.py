"""The command line: reads options, calls the rooms behind it, prints what came of it.

Heavy modules are imported inside the commands, so that ``--help`` stays quick.
"""

from __future__ import annotations

import gc
import os

# Nothing here uses pydantic's plugins, and looking for them costs a twentieth of a second.
os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")

from render.cli import orders, shop, single  # noqa: F401  they add their commands
from render.cli.common import app

__all__ = ["app", "main"]


def main() -> None:
    """Entry point of the ``pipelegend`` command."""
    # The values of a job hold no cycles, and looking for them costs a fifth of its time.
    gc.disable()
    app()
