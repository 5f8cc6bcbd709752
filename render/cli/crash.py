"""Last resort for errors: a sentence for the user and a file for the developer."""

from __future__ import annotations

import json
import os
import platform
import tempfile
import traceback
from collections.abc import Sequence

from pipelegend import __version__


def report(error: Exception, arguments: Sequence[str]) -> str:
    """One sentence about an error that nobody foresaw; the rest is in a report file."""
    text = "\n".join(
        (
            f"pipelegend {__version__}, Python {platform.python_version()}, {platform.platform()}",
            f"arguments: {json.dumps(list(arguments))}",
            "",
            "".join(traceback.format_exception(error)),
        )
    )
    what = f"pipelegend: the program failed ({type(error).__name__}) and wrote nothing"
    try:
        handle, name = tempfile.mkstemp(prefix="pipelegend-report-", suffix=".txt")
        with os.fdopen(handle, "w", encoding="utf-8", errors="replace") as stream:
            stream.write(text)
    except OSError:
        return f"{what}; no report could be written either"
    return f"{what}; please send {name} to whoever maintains it"
