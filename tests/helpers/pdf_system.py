"""What the tests take from the machine: a printer profile and command-line tools."""

from __future__ import annotations

import shutil
from functools import cache
from pathlib import Path

import pytest

from render.color.profile import OutputProfile, read_profile
from render.write.pdf import Press

PROFILES = Path("/usr/share/color/icc/ghostscript")


@cache
def cmyk_profile() -> OutputProfile:
    """The CMYK printer profile that Debian's libgs-common installs."""
    path = PROFILES / "default_cmyk.icc"
    if not path.exists():
        pytest.skip(f"{path} is not installed (package libgs-common)")
    return read_profile(path)


def claiming() -> Press:
    return Press(profile=cmyk_profile())


def tool(name: str) -> str:
    path = shutil.which(name)
    if path is None:
        pytest.skip(f"{name} is not installed")
    return path
